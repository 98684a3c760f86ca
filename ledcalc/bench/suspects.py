"""Readings of a map that do not fit the others: flagged with a reason, never deleted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.dips import judged_dip
from ledcalc.bench.sensors import QuantumSensor
from ledcalc.bench.surface import Expectation, Surface, fitted_surface
from ledcalc.bench.survey_map import MeasuredMap
from ledcalc.bench.transcription import Slip, likely_slips
from ledcalc.bench.uncertainty import coverage_factor
from ledcalc.errors import ArgumentError

__all__ = ["SuspectReading", "Suspects", "suspect_readings"]

FEWEST = 8
# At most one reading in ten is suspected, and no more than six: many wrong readings make a map that no fit can judge.
ONE_IN, MOST = 10, 6
# Coefficients of the trend, and the amplitudes that the readings settle.
SETTLED = 6
# A slip of the pen must bring the reading within this many standard deviations of what the others say.
PLAUSIBLE = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspectReading:
    """A reading that the others contradict.

    ``expected_umol_m2_s`` is what they say without it, ``deviation_fraction`` how far it lies above that, ``score`` the
    same in standard deviations, ``limit`` where it would have been suspected first; ``slips`` what it may have been as
    written; ``verdict`` "outlier", or "real" where a dip or peak is there after all; ``words`` why.
    """

    index: int
    place: str
    ppfd: float
    expected_umol_m2_s: float
    deviation_fraction: float
    score: float
    limit: float
    slips: tuple[Slip, ...]
    verdict: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspects:
    """The readings that do not fit, the worst first; ``tested`` says how, or why they could not be tested.

    ``noise_factor``: how many times the stated noise the other readings scatter by; NaN if not tested.
    """

    readings: tuple[SuspectReading, ...]
    tested: str
    noise_factor: float


def suspect_readings(
    measured: MeasuredMap,
    *,
    expected_ppfd: ArrayLike | None = None,
    others: Sequence[MeasuredMap] = (),
    false_alarm_fraction: float = 0.05,
) -> Suspects:
    """Return the readings of a map that the others contradict.

    Parameters
    ----------
    measured : a ``MeasuredMap`` of at least 8 readings
    expected_ppfd : umol m-2 s-1, above 0: what a model of the fixture says, one a reading: its shape is taken out first
    others : maps of the same area at other heights or dates: what is there again is real
    false_alarm_fraction : above 0, below 1: of maps without a wrong reading, about how many may be suspected of one

    Returns
    -------
    Suspects

    Raises
    ------
    ArgumentError (a ValueError): an expectation that does not fit, or a number out of its range

    Validity
    --------
    A thin plate is fitted to the logarithms, with a part alike on both sides of both middle lines as it lies under
    boards in rows, so that a reading is judged by its mirror images as well as by its neighbours. The reading that the
    others contradict most is taken out, the plate fitted anew, and so on; then each is held against the plate that knew
    nothing of it. On simulated 6 x 6 maps with 2 % of noise a reading 15 or 25 % off was found in over 95 of 100, and
    fewer than 10 of 100 clean ones were suspected (tests/bench/test_suspects.py).

    References
    ----------
    Rosner (1983), generalised extreme studentised deviates: several outliers one by one; limits by Student's t shared
    out over the readings (Bonferroni). From memory.

    Examples
    --------
    >>> from ledcalc.bench import map_from_block
    >>> survey = map_from_block("700 780 710\\n790 85 775\\n705 785 695", area_m=(0.9, 0.9))
    >>> suspect, = suspect_readings(survey).readings
    >>> suspect.place, suspect.slips[0].value
    ('row 2, column 2', 850.0)
    """
    allowed = float(numbers("false_alarm_fraction", false_alarm_fraction, above=0, below=1))
    model = _model(measured, expected_ppfd)
    count = measured.ppfd.size
    level = float(measured.ppfd.mean())
    if count < FEWEST or level <= 0:
        why = f"too few readings to tell a wrong one: {count}, of {FEWEST} at least" if level > 0 else "no light"
        return Suspects(readings=(), tested=why, noise_factor=float("nan"))
    test = _Test(measured=measured, model=model, noise=measured.errors().noise_umol_m2_s)
    left = np.arange(count)
    surface = test.surface(left)
    if surface.kind != "thin plate":
        return Suspects(readings=(), tested=f"not tested: {surface.reason}", noise_factor=float("nan"))
    taken: list[tuple[int, float]] = []
    contradicted, clean = 0, surface
    for turn in range(min(MOST, max(1, count // ONE_IN))):
        index = int(left[np.argmax(np.abs(surface.left_out_scores()))])
        left = left[left != index]
        surface = test.surface(left)
        limit = float(coverage_factor(1.0 - allowed / (count - turn), max(1, left.size - SETTLED)))
        taken.append((index, limit))
        if abs(test.score(surface, index)) > limit:
            contradicted, clean = turn + 1, surface
    found = [test.suspect(clean, index, limit, others) for index, limit in taken[:contradicted]]
    return Suspects(
        readings=tuple(sorted(found, key=lambda one: -abs(one.score))),
        tested=f"{count} readings, each against the others; fitted: thin plate",
        noise_factor=clean.noise_factor,
    )


def _model(measured: MeasuredMap, expected_ppfd: ArrayLike | None) -> FloatArray:
    """Return the shape to take out, about 1."""
    if expected_ppfd is None:
        return np.ones(measured.ppfd.size)
    expected = np.ravel(numbers("expected_ppfd", expected_ppfd, above=0))
    if expected.size != measured.ppfd.size:
        raise ArgumentError("expected_ppfd", expected.size, f"one for each of {measured.ppfd.size} readings")
    return np.asarray(expected / expected.mean())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Test:
    measured: MeasuredMap
    model: FloatArray
    noise: FloatArray

    def surface(self, kept: NDArray[np.intp]) -> Surface:
        one = self.measured
        return fitted_surface(
            one.x_m[kept],
            one.y_m[kept],
            (one.ppfd / self.model)[kept],
            (self.noise / self.model)[kept],
            area_m=one.area_m,
            centre_m=one.centre_m,
            mirrored=True,
        )

    def said(self, surface: Surface, index: int) -> Expectation:
        return surface.expectation(float(self.measured.x_m[index]), float(self.measured.y_m[index]))

    def score(self, surface: Surface, index: int) -> float:
        return self.said(surface, index).score(float(self.measured.ppfd[index] / self.model[index]))

    def suspect(self, surface: Surface, index: int, limit: float, others: Sequence[MeasuredMap]) -> SuspectReading:
        one, said, model = self.measured, self.said(surface, index), float(self.model[index])
        sensor = one.sensor or QuantumSensor()
        low, expected, high = (said.ppfd(score) * model for score in (-PLAUSIBLE, 0.0, PLAUSIBLE))
        as_shown = [value / sensor.correction_factor + sensor.zero_reading_umol_m2_s for value in (low, high)]
        slips = likely_slips(float(one.raw_umol_m2_s[index]), *(max(0.0, value) for value in as_shown))
        shape = None if (self.model == 1.0).all() else self.model
        dip = judged_dip(one, index=index, others=others, expected_ppfd=shape)
        real = dip.verdict == "real"
        off = float(one.ppfd[index]) / expected - 1.0 if expected > 0 else float("inf")
        told = f"{abs(off):.0%} {'above' if off > 0 else 'below'} what the other readings say ({expected:.0f})"
        slip = f"; perhaps {slips[0].value:g}, {slips[0].slip}" if slips else ""
        return SuspectReading(
            index=index,
            place=one.places[index],
            ppfd=float(one.ppfd[index]),
            expected_umol_m2_s=expected,
            deviation_fraction=off,
            score=self.score(surface, index),
            limit=limit,
            slips=slips,
            verdict="real" if real else "outlier",
            words=f"{told}{slip}" + (f"; {dip.words}" if real else "; read it again"),
        )
