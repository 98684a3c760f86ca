"""Efficiency and power factor of a driver at its load and mains voltage, from points of its datasheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError

__all__ = ["DriverAtLoad", "driver_at_load"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverAtLoad:
    """A driver at its load and mains voltage. ``is_held``: outside the points, so the nearest end of them stands in."""

    efficiency_fraction: Numbers
    power_factor_fraction: Numbers
    is_held: bool | NDArray[np.bool_]


def driver_at_load(
    load_fraction: ArrayLike,
    mains_v: ArrayLike,
    *,
    point_load_fraction: ArrayLike,
    point_efficiency_fraction: ArrayLike,
    point_power_factor_fraction: ArrayLike,
    point_mains_v: Sequence[float] | None = None,
) -> DriverAtLoad:
    """Return a driver's efficiency and power factor at a load and mains voltage.

    Parameters
    ----------
    load_fraction : at least 0, any shape: output power over rated output power
    mains_v : V rms, above 0, broadcast with it
    point_load_fraction : above 0, one-dimensional, a point an entry, any order
    point_efficiency_fraction, point_power_factor_fraction : above 0, at most 1, same shape
    point_mains_v : V, a point an entry: mains voltage of each; None: they hold at any

    Returns
    -------
    DriverAtLoad, in the shape that load and mains voltage broadcast to

    Raises
    ------
    ArgumentError (a ValueError): no point, shapes that differ, or a number out of its range

    Validity
    --------
    By straight lines over the load at each mains voltage, then between the two nearest mains voltages; outside the
    points the nearest end holds. Below a tenth of its load a driver is worse than its lowest point tells.

    References
    ----------
    Linear interpolation; datasheets give these curves at two or three mains voltages (common practice, no source).

    Examples
    --------
    >>> found = driver_at_load(
    ...     0.6,
    ...     120.0,
    ...     point_load_fraction=[0.5, 1.0],
    ...     point_efficiency_fraction=[0.88, 0.90],
    ...     point_power_factor_fraction=[0.90, 0.98],
    ... )
    >>> round(found.efficiency_fraction, 4), round(found.power_factor_fraction, 4), found.is_held
    (0.884, 0.916, False)
    """
    load, volts = np.broadcast_arrays(
        numbers("load_fraction", load_fraction, at_least=0), numbers("mains_v", mains_v, above=0)
    )
    at = np.atleast_1d(numbers("point_load_fraction", point_load_fraction, above=0))
    columns = np.array(
        [
            np.broadcast_to(numbers(name, given, above=0, at_most=1), at.shape)
            for name, given in (
                ("point_efficiency_fraction", point_efficiency_fraction),
                ("point_power_factor_fraction", point_power_factor_fraction),
            )
        ]
    )
    mains = np.zeros(at.shape) if point_mains_v is None else numbers("point_mains_v", point_mains_v, above=0)
    if at.ndim != 1 or at.size == 0 or mains.shape != at.shape:
        raise ArgumentError("point_load_fraction", at.shape, "one-dimensional, at least one point, all of one shape")
    known = np.unique(mains)
    curves = np.array([_over_load(load, at[mains == one], columns[:, mains == one]) for one in known])
    efficiency, factor = _between(volts, known, curves)
    outside = np.any([(load < at[mains == one].min()) | (load > at[mains == one].max()) for one in known], axis=0)
    if point_mains_v is not None:
        outside = outside | (volts < known[0]) | (volts > known[-1])
    return DriverAtLoad(
        efficiency_fraction=answer(efficiency),
        power_factor_fraction=answer(factor),
        is_held=bool(outside) if load.ndim == 0 else outside,
    )


def _over_load(load: FloatArray, at: FloatArray, columns: FloatArray) -> FloatArray:
    order = np.argsort(at)
    return np.array([np.interp(load, at[order], column[order]) for column in columns])


def _between(volts: FloatArray, known: FloatArray, curves: FloatArray) -> FloatArray:
    """Return the figures at a mains voltage from those at the known ones, the first axis of ``curves``."""
    if known.size == 1:
        return np.asarray(curves[0])
    after = np.clip(np.searchsorted(known, volts), 1, known.size - 1)
    share = np.clip((volts - known[after - 1]) / (known[after] - known[after - 1]), 0.0, 1.0)
    low, high = (np.take_along_axis(curves, number[None, None], axis=0)[0] for number in (after - 1, after))
    return np.asarray(low + share * (high - low))
