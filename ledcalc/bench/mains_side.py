"""What a log says of the mains side: power drawn, apparent power, the driver's efficiency where it can be told."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench.current_log import CurrentLog
from ledcalc.bench.meter_noise import MeterNoise
from ledcalc.bench.reading_errors import ErrorParts
from ledcalc.bench.rounds import log_rounds

__all__ = ["MainsMeasured", "mains_measured"]

MEASURED = "measured"
PREDICTED = "predicted, not measured: mains watts were not read"
NO_DC = "not measured: no round has every board's current and voltage beside the mains watts"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MainsMeasured:
    """Mains watts, power factor and volt-amperes as last read, warm; NaN where none was.

    ``boards_w`` and the efficiency are means over the rounds in which all of it was read. ``efficiency_fraction`` is
    the boards' power over the mains', wires between meter and boards counted as loss, known to
    ``efficiency_half_width_fraction`` (NaN without the meters' noise). ``basis`` says whether an efficacy from the
    mains is measured, and if not, why.
    """

    supply: str
    mains_w: float
    power_factor: float
    apparent_va: float
    boards_w: float
    efficiency_fraction: float
    efficiency_half_width_fraction: float
    round_count: int
    basis: str


def mains_measured(
    log: CurrentLog,
    *,
    supply: int = 0,
    current_noise: MeterNoise | None = None,
    voltage_noise: MeterNoise | None = None,
    mains_noise: MeterNoise | None = None,
    confidence: float = 0.95,
) -> MainsMeasured:
    """Return what was measured on the mains side of a supply.

    Parameters
    ----------
    log : with mains watts, and for an efficiency every board's current and voltage in the same round
    supply : place in ``log.supplies``
    current_noise, voltage_noise, mains_noise : of the three meters; None: efficiency without an uncertainty
    confidence : above 0, below 1

    Returns
    -------
    MainsMeasured

    Raises
    ------
    ArgumentError (a ValueError): no such supply

    Examples
    --------
    >>> log = CurrentLog.from_wide([4.0], {"B1": [2.0]}, voltage_v={"B1": [50.0]}, mains_w=[110.0], power_factor=[0.97])
    >>> found = mains_measured(log)
    >>> round(found.efficiency_fraction, 3), round(found.apparent_va, 1), found.basis
    (0.909, 113.4, 'measured')
    """
    rounds = log_rounds(log, supply)
    power = (rounds.current_a * rounds.voltage_v).sum(axis=1)
    has_mains = ~np.isnan(rounds.mains_w)
    both = np.flatnonzero(has_mains & ~np.isnan(power))
    # Cold boards draw more than they ever do again: a mean over the log would hold that against its end.
    mains, factor = _last(rounds.mains_w), _last(rounds.power_factor)
    boards_w, efficiency, reach = float("nan"), float("nan"), float("nan")
    if both.size:
        boards_w = float(power[both].mean())
        efficiency = boards_w / float(rounds.mains_w[both].mean())
        if current_noise is not None and voltage_noise is not None and mains_noise is not None:
            current, voltage = rounds.current_a[both], rounds.voltage_v[both]
            relative = _errors(current_noise, current, voltage / power[both].sum())
            relative = relative.with_(_errors(voltage_noise, voltage, current / power[both].sum()))
            watts = rounds.mains_w[both]
            reach = efficiency * relative.with_(
                _errors(mains_noise, watts, np.full(watts.size, 1.0 / watts.sum()))
            ).half_width(confidence)
    return MainsMeasured(
        supply=rounds.supply,
        mains_w=mains,
        power_factor=factor,
        apparent_va=_last(rounds.mains_w / rounds.power_factor),
        boards_w=boards_w,
        efficiency_fraction=efficiency,
        efficiency_half_width_fraction=reach,
        round_count=int(both.size),
        basis=MEASURED if both.size else NO_DC if has_mains.any() else PREDICTED,
    )


def _last(values: FloatArray) -> float:
    read = values[~np.isnan(values)]
    return float(read[-1]) if read.size else float("nan")


def _errors(noise: MeterNoise, value: FloatArray, weight: FloatArray) -> ErrorParts:
    """Return the error of sum(weight x value) by one meter."""
    own = np.ravel(noise.own_half_widths(value) * weight)
    common = np.abs([noise.calibration_fraction * (weight * value).sum(), noise.offset * weight.sum()])
    rectangular, standard = noise.parts(np.concatenate([own, common]))
    return ErrorParts(half_widths=rectangular, standard=standard)
