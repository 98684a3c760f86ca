"""A reading lower or higher than those about it: real, or wrong?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.height_limits import DipLimits, dip_limits
from ledcalc.bench.map_fit import map_fit
from ledcalc.bench.survey_map import MeasuredMap, without
from ledcalc.errors import ArgumentError

__all__ = ["DipVerdict", "judged_dip"]

# Neighbours lie no further away than this many times the nearest; fewer than three, or all on one side, say nothing.
NEIGHBOUR_REACH = 1.6
FEWEST_NEIGHBOURS = 3
ONE_SIDED = 0.35
SURE = 2.0
SAME_PLACE_M = 0.01
# A predicted dip explains a measured one of half to twice its depth; ring shapes are predicted no better.
EXPLAINS = (0.5, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DipVerdict:
    """Whether a reading below (or above) its neighbours is real.

    ``verdict`` is "none" (no more than noise), "real", "outlier" or "cannot tell"; ``depth_fraction`` how far it lies
    below its neighbours' mean (negative: above) and ``depth_uncertainty_fraction`` the standard uncertainty by noise;
    ``words`` the reason, and what to read next.
    """

    verdict: str
    place: str
    depth_fraction: float
    depth_uncertainty_fraction: float
    words: str


def judged_dip(
    measured: MeasuredMap,
    *,
    index: int | None = None,
    others: Sequence[MeasuredMap] = (),
    expected_ppfd: ArrayLike | None = None,
    cosine_exponent: float = 1.0,
) -> DipVerdict:
    """Return whether a reading that lies below or above its neighbours is real or wrong.

    Parameters
    ----------
    measured : a ``MeasuredMap``
    index : which of its readings; None: the one nearest to the area's middle
    others : maps of the same area at other heights or dates: a real dip is there again, a slip is not
    expected_ppfd : umol m-2 s-1: what a model of the fixture says, one a reading
    cosine_exponent : of the boards' beam, as ``dip_limits``

    Returns
    -------
    DipVerdict

    Raises
    ------
    ArgumentError (a ValueError): an index or an expectation that does not fit the map

    Validity
    --------
    Evidence in this order: it repeats in another map; it is more than boards at that height can do; the model has it;
    a map at no greater height lacks it; the readings beyond its neighbours bend towards it as well.
    """
    count = measured.ppfd.size
    place = _middle(measured) if index is None else index
    if not 0 <= place < count:
        raise ArgumentError("index", index, f"from 0 to {count - 1}")
    expected = None if expected_ppfd is None else np.ravel(numbers("expected_ppfd", expected_ppfd, above=0))
    if expected is not None and expected.size != count:
        raise ArgumentError("expected_ppfd", expected.size, f"one for each of {count} readings")
    about = _neighbours(measured, place)
    name = measured.places[place]
    if about.size == 0:
        words = "at the rim, or with fewer than three readings about it: read some on all sides of it"
        nan = float("nan")
        return DipVerdict(
            verdict="cannot tell", place=name, depth_fraction=nan, depth_uncertainty_fraction=nan, words=words
        )
    depth, doubt = _depth(measured, place, about)
    case = _Case(
        measured=measured,
        place=place,
        about=about,
        depth=depth,
        doubt=doubt,
        limits=_limits(measured, place, about, cosine_exponent),
    )
    verdict, words = case.judged(others, expected)
    return DipVerdict(verdict=verdict, place=name, depth_fraction=depth, depth_uncertainty_fraction=doubt, words=words)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Case:
    """A reading, its neighbours, how deep it dips, and how deep it could."""

    measured: MeasuredMap
    place: int
    about: NDArray[np.intp]
    depth: float
    doubt: float
    limits: DipLimits | None

    def judged(self, others: Sequence[MeasuredMap], expected: FloatArray | None) -> tuple[str, str]:
        """Return verdict and words, by the first kind of evidence that decides."""
        said = f"{abs(self.depth):.1%} {'below' if self.depth > 0 else 'above'} the {self.about.size} readings about it"
        if abs(self.depth) <= SURE * self.doubt:
            return "none", f"{said}: no more than noise ({SURE * self.doubt:.1%})"
        evidence = (
            self._repeated(others),
            self._beyond(),
            self._by_model(expected),
            self._absent(others),
            self._shared(),
        )
        verdict, why = next((found for found in evidence if found), ("cannot tell", ""))
        again = "read it again, and half way to its neighbours" if verdict == "cannot tell" else "read it again"
        return verdict, f"{said}{why}" + ("" if verdict == "real" else f"; {again}")

    def _repeated(self, others: Sequence[MeasuredMap]) -> tuple[str, str] | None:
        for other in others:
            depth, doubt = self._in(other)
            if depth * np.sign(self.depth) > SURE * doubt:
                shade = ", though boards at that height cannot do it: look for a shadow" if self._beyond() else ""
                return "real", f", and so again{_at(other)} by {abs(depth):.1%}{shade}"
        return None

    def _beyond(self) -> tuple[str, str] | None:
        if self.limits is None:
            return None
        most = self.limits.dip_fraction if self.depth > 0 else self.limits.peak_fraction
        if abs(self.depth) <= most + SURE * self.doubt:
            return None
        return "outlier", f", where boards {self.measured.height_m:g} m up can do {most:.1%} at most"

    def _by_model(self, expected: FloatArray | None) -> tuple[str, str] | None:
        if expected is None:
            return None
        depth = 1.0 - float(expected[self.place] / expected[self.about].mean())
        share = depth / self.depth
        if EXPLAINS[0] <= share <= EXPLAINS[1]:
            return "real", f", and the model has {abs(depth):.1%} there"
        if abs(self.depth - depth) > SURE * self.doubt:
            return "outlier", f", where the model has {depth:+.1%}"
        return None

    def _absent(self, others: Sequence[MeasuredMap]) -> tuple[str, str] | None:
        own = self.measured.height_m
        for other in others:
            depth, doubt = self._in(other)
            # Boards that are no further away would show it as much.
            near = own is not None and other.height_m is not None and other.height_m <= own
            if near and abs(self.depth) - abs(depth) > SURE * float(np.hypot(self.doubt, doubt)):
                return "outlier", f", which is not so{_at(other)}"
        return None

    def _shared(self) -> tuple[str, str] | None:
        rest = map_fit(without(self.measured, self.place), mirrored=True)
        if rest.surface.kind != "thin plate":
            return None
        said = rest.surface.expectation(float(self.measured.x_m[self.place]), float(self.measured.y_m[self.place]))
        if abs(said.score(float(self.measured.ppfd[self.place]))) > SURE:
            return None
        return "real", ", and the field through all other readings bends to it as well"

    def _in(self, other: MeasuredMap) -> tuple[float, float]:
        """Return depth and doubt of the same place in another map; doubt without end where it is not read."""
        x, y = self.measured.x_m[self.place], self.measured.y_m[self.place]
        away = np.hypot(other.x_m - x, other.y_m - y)
        place = int(away.argmin())
        about = _neighbours(other, place)
        if away[place] > SAME_PLACE_M or about.size == 0:
            return 0.0, float("inf")
        return _depth(other, place, about)


def _at(other: MeasuredMap) -> str:
    height = "" if other.height_m is None else f" at {other.height_m:g} m"
    return height + (f" on {other.conditions.date}" if other.conditions.date else "") or " in another map"


def _middle(measured: MeasuredMap) -> int:
    off = np.hypot(measured.x_m - measured.centre_m[0], measured.y_m - measured.centre_m[1])
    return int(off.argmin())


def _neighbours(measured: MeasuredMap, place: int) -> NDArray[np.intp]:
    """Return the readings next to one, on all sides of it; none where it lies at the rim."""
    dx, dy = measured.x_m - measured.x_m[place], measured.y_m - measured.y_m[place]
    away = np.hypot(dx, dy)
    apart = away > SAME_PLACE_M
    if not apart.any():
        return np.flatnonzero(apart)
    nearest = away[apart].min()
    about = np.flatnonzero(apart & (away <= NEIGHBOUR_REACH * nearest))
    one_sided = float(np.hypot(dx[about].mean(), dy[about].mean())) > ONE_SIDED * nearest
    return about if about.size >= FEWEST_NEIGHBOURS and not one_sided else about[:0]


def _depth(measured: MeasuredMap, place: int, about: NDArray[np.intp]) -> tuple[float, float]:
    level = float(measured.ppfd[about].mean())
    if level <= 0:
        return 0.0, float("inf")
    noise = measured.errors().noise_umol_m2_s
    share = float(measured.ppfd[place]) / level
    around = float(np.hypot.reduce(noise[about])) / about.size
    return 1.0 - share, float(np.hypot(noise[place], share * around)) / level


def _limits(measured: MeasuredMap, place: int, about: NDArray[np.intp], exponent: float) -> DipLimits | None:
    if measured.height_m is None:
        return None
    dx, dy = measured.x_m[about] - measured.x_m[place], measured.y_m[about] - measured.y_m[place]
    return dip_limits(dx, dy, measured.height_m, cosine_exponent=exponent)
