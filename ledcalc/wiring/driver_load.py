"""Efficiency and power factor of a driver at its load and mains voltage, from points of its datasheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["DriverAtLoad", "driver_at_load"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverAtLoad:
    """A driver at one load and mains voltage. ``is_held``: outside the points, so the nearest end of them stands in."""

    efficiency_fraction: float
    power_factor_fraction: float
    is_held: bool


def driver_at_load(
    load_fraction: float,
    mains_v: float,
    *,
    point_load_fraction: ArrayLike,
    point_efficiency_fraction: ArrayLike,
    point_power_factor_fraction: ArrayLike,
    point_mains_v: Sequence[float] | None = None,
) -> DriverAtLoad:
    """Return a driver's efficiency and power factor at a load and mains voltage.

    Parameters
    ----------
    load_fraction : at least 0: output power over rated output power
    mains_v : V rms, above 0
    point_load_fraction : above 0, one-dimensional, a point an entry, any order
    point_efficiency_fraction, point_power_factor_fraction : above 0, at most 1, same shape
    point_mains_v : V, a point an entry: mains voltage of each; None: they hold at any

    Returns
    -------
    DriverAtLoad

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
    load = float(numbers("load_fraction", load_fraction, at_least=0))
    volts = float(numbers("mains_v", mains_v, above=0))
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
    mains = np.full(at.shape, volts) if point_mains_v is None else numbers("point_mains_v", point_mains_v, above=0)
    if at.ndim != 1 or at.size == 0 or mains.shape != at.shape:
        raise ArgumentError("point_load_fraction", at.shape, "one-dimensional, at least one point, all of one shape")
    known = np.unique(mains)
    curves = [_over_load(load, at[mains == one], columns[:, mains == one]) for one in known]
    efficiency, factor = (float(np.interp(volts, known, [curve[n] for curve in curves])) for n in (0, 1))
    outside = any(not at[mains == one].min() <= load <= at[mains == one].max() for one in known)
    return DriverAtLoad(
        efficiency_fraction=efficiency,
        power_factor_fraction=factor,
        is_held=outside or not known[0] <= volts <= known[-1],
    )


def _over_load(load: float, at: FloatArray, columns: FloatArray) -> list[float]:
    order = np.argsort(at)
    return [float(np.interp(load, at[order], column[order])) for column in columns]
