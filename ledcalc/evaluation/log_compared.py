"""Predicted against measured: currents, temperatures, voltages of a logged fixture, with chi-square in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench import MeterNoise
from ledcalc.bench.meter_noise import PER_STANDARD
from ledcalc.evaluation.bench_log import JudgedLog, judged_log, only_meter
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation

__all__ = ["Comparison", "comparisons_of"]

TWICE = NormalDist().inv_cdf(0.975)
LIKELY, UNLIKELY = 0.05, 0.001
NOT_LISTED = "no meter listed: shown, not judged"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comparison:
    """One quantity, an entry a board or one for the driver: measured, known to ``half_width``, and predicted.

    ``half_width`` is NaN where no meter says. ``verdict``: what chi-square makes of the differences, in words.
    """

    quantity: str
    unit: str
    tag: tuple[str, ...]
    measured: FloatArray
    half_width: FloatArray
    predicted: FloatArray
    verdict: str


def comparisons_of(results: Evaluation) -> tuple[Comparison, ...]:
    """Return every quantity that was measured beside its prediction; none without a log that can be judged."""
    judged = judged_log(results.fixture, results.boards)
    if judged is None:
        return ()
    found = [_currents(results, judged), _temperatures(results, judged), _voltages(results, judged), _driver(results)]
    return tuple(each for each in found if each is not None)


def _currents(results: Evaluation, judged: JudgedLog) -> Comparison | None:
    verdict = results.log_verdict
    if verdict is None:
        return None
    levels = [each.level for each in judged.judgement.boards]
    limits = {level.limits for level in levels}
    per = PER_STANDARD[limits.pop()]
    own = np.array(
        [((level.own_half_widths_a**2).sum() / per**2 + level.own_standard_uncertainty_a**2) ** 0.5 for level in levels]
    )
    shared = np.array([level.calibration_fraction * level.current_a for level in levels]) / per
    predicted = results.boards.current_a[_index(results, verdict.tag)]
    return Comparison(
        quantity="board current",
        unit="A",
        tag=verdict.tag,
        measured=verdict.current_a,
        half_width=verdict.half_width_a,
        predicted=predicted,
        verdict=_words(verdict.current_a - predicted, own, shared),
    )


def _temperatures(results: Evaluation, judged: JudgedLog) -> Comparison | None:
    """Sinks, each at the air that the prediction is for: where its rise goes to, or its latest."""
    found, air = judged.judgement, results.operating.air_temperature_c
    rises = found.rises
    tags, measured = [], []
    for each in found.boards:
        heat = each.temperature_settling
        if heat is None:
            continue
        latest = rises.latest(rises.boards.index(each.board))
        rise = heat.steady if np.isfinite(heat.steady) else float("nan") if latest is None else rises.rise_k[latest]
        tags.append(each.board)
        measured.append(air + float(rise))
    if not tags:
        return None
    value = np.array(measured)
    # Board and air are two readings.
    own, shared = (root * np.sqrt(2.0) for root in _standard(value, only_meter(results.fixture, "temperature")))
    predicted = results.boards.sink_temperature_c[_index(results, tags)]
    return Comparison(
        quantity=f"sink at {air:.1f} degC air",
        unit="degC",
        tag=tuple(tags),
        measured=value,
        half_width=TWICE * np.hypot(own, shared),
        predicted=predicted,
        verdict=_words(value - predicted, own, shared, _no_one_meter(results.fixture, "temperature")),
    )


def _voltages(results: Evaluation, judged: JudgedLog) -> Comparison | None:
    log = judged.judgement.log
    tags, measured = [], []
    for number, tag in enumerate(log.boards):
        read = log.voltage_v[(log.board == number) & ~np.isnan(log.voltage_v)]
        if read.size:
            tags.append(tag)
            measured.append(float(read[-1]))
    if not tags:
        return None
    value, predicted = np.array(measured), results.boards.voltage_v[_index(results, tags)]
    own, shared = _standard(value, only_meter(results.fixture, "voltage"))
    return Comparison(
        quantity="board voltage, latest",
        unit="V",
        tag=tuple(tags),
        measured=value,
        half_width=TWICE * np.hypot(own, shared),
        predicted=predicted,
        verdict=_words(value - predicted, own, shared, _no_one_meter(results.fixture, "voltage")),
    )


def _driver(results: Evaluation) -> Comparison | None:
    read = [row.voltage_v for row in results.fixture.supply_log if row.voltage_v is not None]
    if not read:
        return None
    value, predicted = np.array(read[-1:]), np.array([results.operating.voltage_v])
    own, shared = _standard(value, only_meter(results.fixture, "voltage"))
    return Comparison(
        quantity="driver voltage, latest",
        unit="V",
        tag=("driver",),
        measured=value,
        half_width=TWICE * np.hypot(own, shared),
        predicted=predicted,
        verdict=_words(value - predicted, own, shared, _no_one_meter(results.fixture, "voltage")),
    )


def _standard(value: FloatArray, noise: MeterNoise | None) -> tuple[FloatArray, FloatArray]:
    """Return standard uncertainties of a reading's own error and of the meter's calibration; NaN without a meter."""
    if noise is None:
        return np.full(value.size, np.nan), np.full(value.size, np.nan)
    per = PER_STANDARD[noise.limits]
    own = np.asarray(noise.own_standard_uncertainty(value))
    return own, noise.calibration_fraction * np.abs(value) / per


def _no_one_meter(fixture: Fixture, quantity: str) -> str:
    """Return why differences are not judged where readings of a quantity do not name their meter."""
    several = sum(meter.quantity == quantity for meter in fixture.meters) > 1
    return f"several {quantity} meters are listed: shown, not judged" if several else NOT_LISTED


def _words(off: FloatArray, own: FloatArray, shared: FloatArray, why: str = NOT_LISTED) -> str:
    """Return what chi-square makes of differences whose errors are each their own, and one common to all; ``why``
    where there is none.
    """
    known = np.isfinite(off) & np.isfinite(own)
    count = int(known.sum())
    if not count or not (own[known] > 0).all():
        return why
    from scipy.special import chdtrc

    covariance = np.diag(own[known] ** 2) + np.outer(shared[known], shared[known])
    chi_square = float(off[known] @ np.linalg.solve(covariance, off[known]))
    chance = float(chdtrc(count, chi_square))
    figures = f"chi-square {chi_square:.3g} for {count} reading{'s' * (count > 1)}"
    if chance >= LIKELY:
        return (
            f"no further apart than the meter explains ({figures}; as much by chance in {100 * chance:.0f} % of cases)"
        )
    if chance >= UNLIKELY:
        return f"rather far apart for the meter alone ({figures}; as much by chance in {100 * chance:.1f} % of cases)"
    return f"further apart than the meter explains ({figures}): the model or the build is off by what is shown"


def _index(results: Evaluation, tags: tuple[str, ...] | list[str]) -> list[int]:
    return [results.boards.tag.index(tag) for tag in tags]
