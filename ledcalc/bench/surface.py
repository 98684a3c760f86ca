"""A smooth PPFD field through readings, and what can be said of it where nothing was read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, choice, numbers
from ledcalc.bench.thin_plate import likely_amplitudes, mirrored_plate, outside_trend, plate, trend
from ledcalc.errors import ArgumentError

__all__ = ["AreaAverage", "Expectation", "Surface", "fitted_surface"]

KINDS = ("thin plate", "quadratic", "plane", "constant")
DEGREE = {"thin plate": 1, "quadratic": 2, "plane": 1, "constant": 0}
# Places that each kind needs: its coefficients, and two to judge them by; a plate three.
FEWEST = {"thin plate": 6, "quadratic": 8, "plane": 5, "constant": 1}
# Logarithms are taken of PPFD plus this share of the median, so that a dark reading has one.
OFFSET_SHARE = 0.02
SMALLEST_NOISE = 1e-4
NODES = 10
# PPFD fields are smoother between readings than plates bent at random: on simulated benches the error of the mean was
# this part of what the plate says, where it rests on enough readings (tests/bench/test_map_means.py).
SAMPLING_SHARE, SHARE_FROM = 0.65, 16
RANK_SLACK = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AreaAverage:
    """A weighted average of the field over the area: what it changes by per reading, and its error between readings."""

    value: float
    reading_weights: FloatArray
    sampling_uncertainty: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """What a fit says of a reading that it does not know: mean and spread of what was fitted (logarithms or not)."""

    mean: float
    spread: float
    offset: float | None

    def score(self, ppfd: float) -> float:
        """Return how many standard deviations a reading lies above it."""
        value = ppfd if self.offset is None else float(np.log(ppfd + self.offset))
        return (value - self.mean) / self.spread

    def ppfd(self, score: float = 0.0) -> float:
        """Return the reading that lies so many standard deviations above it, at least 0."""
        value = self.mean + score * self.spread
        return max(0.0, value if self.offset is None else float(np.exp(value)) - self.offset)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """A fitted field; ``fitted_surface`` makes it.

    ``kind`` says what was fitted and ``reason`` why; ``noise_factor`` how many times the stated noise the readings
    scatter by, at least 1; ``degrees_of_freedom`` how many readings are left to judge the fit by.
    """

    kind: str
    reason: str
    noise_factor: float
    degrees_of_freedom: int
    half_size: FloatArray
    centre: FloatArray
    scale: float
    u: FloatArray
    v: FloatArray
    values: FloatArray
    noise: FloatArray
    offset: float | None
    bends: tuple[float, float]
    system: FloatArray

    def at(self, x_m: ArrayLike, y_m: ArrayLike) -> FloatArray:
        """Return the fitted PPFD at places in m."""
        x, y = np.broadcast_arrays(numbers("x_m", x_m), numbers("y_m", y_m))
        u, v = (x.ravel() - self.centre[0]) / self.scale, (y.ravel() - self.centre[1]) / self.scale
        solved = np.linalg.solve(self.system, self._right_side(u, v))
        return self._as_ppfd(solved[: self.values.size].T @ self.values).reshape(x.shape)

    def expectation(self, x_m: float, y_m: float) -> Expectation:
        """Return what the fit says of one more reading at a place."""
        u, v = np.array([(x_m - self.centre[0]) / self.scale]), np.array([(y_m - self.centre[1]) / self.scale])
        right = self._right_side(u, v)[:, 0]
        solved = np.linalg.solve(self.system, right)
        own = float(self._covariance(u, v, u, v)[0, 0] - right @ solved)
        noise = float(np.median(self.noise)) * self.noise_factor
        return Expectation(
            mean=float(solved[: self.values.size] @ self.values),
            spread=float(np.hypot(np.sqrt(max(own, 0.0)), noise)),
            offset=self.offset,
        )

    def left_out_scores(self) -> FloatArray:
        """Return how many standard deviations each reading lies above what all others say.

        References
        ----------
        Dubrule (1983): both from the inverse of the whole system.
        """
        inverse = np.linalg.inv(self.system)[: self.values.size, : self.values.size]
        return np.asarray(inverse @ self.values / np.sqrt(np.diag(inverse)))

    def nodes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return places across the area, from -1 to 1 along x and along y, and the share that each stands for."""
        return _nodes()

    def average(self, weights: FloatArray | float = 1.0) -> AreaAverage:
        """Return the average over the area of the field times weights, one a node."""
        along_x, along_y, share = _nodes()
        u, v = along_x * self.half_size[0] / self.scale, along_y * self.half_size[1] / self.scale
        right = self._right_side(u, v)
        solved = np.linalg.solve(self.system, right)
        by_reading = solved[: self.values.size]
        field = self._as_ppfd(by_reading.T @ self.values)
        slope = share * weights * (1.0 if self.offset is None else field + self.offset)
        effect = by_reading @ slope
        whole = float(slope @ (self._covariance(u, v, u, v) - right.T @ solved) @ slope)
        between = max(0.0, whole - float(np.sum((effect * self.noise * self.noise_factor) ** 2)))
        known = 1.0 if self.values.size < SHARE_FROM else SAMPLING_SHARE
        return AreaAverage(
            value=float(np.sum(share * weights * field)),
            reading_weights=effect if self.offset is None else effect * np.exp(-self.values),
            sampling_uncertainty=known * float(np.sqrt(between)),
        )

    def _right_side(self, u: FloatArray, v: FloatArray) -> FloatArray:
        return np.vstack([self._covariance(self.u, self.v, u, v), trend(u, v, DEGREE[self.kind]).T])

    def _covariance(self, u: FloatArray, v: FloatArray, u2: FloatArray, v2: FloatArray) -> FloatArray:
        return _bent(self.bends, u, v, u2, v2)

    def _as_ppfd(self, values: FloatArray) -> FloatArray:
        return values if self.offset is None else np.exp(values) - self.offset


def fitted_surface(
    x_m: FloatArray,
    y_m: FloatArray,
    ppfd: FloatArray,
    noise: FloatArray,
    *,
    area_m: tuple[float, float],
    centre_m: tuple[float, float],
    kind: str | None = None,
    mirrored: bool = False,
) -> Surface:
    """Return a smooth field through readings.

    Parameters
    ----------
    x_m, y_m, ppfd, noise : m, m, umol m-2 s-1, and the stated standard deviation of each reading
    area_m, centre_m : m: width and depth of the area, and its middle
    kind : "thin plate" (of the logarithms), "quadratic", "plane" or "constant"; None: by the count. Where there are too
        few readings for it, the next simpler one is fitted, and ``reason`` says so.
    mirrored : whether a thin plate may hold that much of the field is alike on both sides of both middle lines, as
        under boards in rows

    Returns
    -------
    Surface

    Validity
    --------
    How far the plate bends is read off the readings themselves (restricted maximum likelihood), given that they scatter
    by at least the stated noise. A thin plate through logarithms follows the fields of boards in rows better than a
    quadratic does (tests/bench/test_map_means.py).
    """
    scale = max(max(area_m) / 2.0, np.finfo(float).tiny)
    u, v = (x_m - centre_m[0]) / scale, (y_m - centre_m[1]) / scale
    level = float(np.mean(ppfd))
    fitted, reason = _kind(kind, u, v) if level > 0 else ("constant", "all readings are 0; fitted: constant")
    columns = trend(u, v, DEGREE[fitted])
    offset = OFFSET_SHARE * (float(np.median(ppfd)) or level) if fitted == "thin plate" else None
    values, doubt = _transformed(ppfd, noise, offset)
    if fitted == "thin plate":
        even = mirrored_plate(u, v, u, v) if mirrored else None
        found = likely_amplitudes(values, columns, even, plate(u, v, u, v), doubt)
        bends, factor = (found.mirrored, found.free), found.noise_factor
    else:
        bends, factor = (0.0, 0.0), _scatter(values, columns, doubt)
    covariance = _bent(bends, u, v, u, v) + np.diag((doubt * factor) ** 2)
    width = columns.shape[1]
    return Surface(
        kind=fitted,
        reason=reason,
        noise_factor=factor,
        degrees_of_freedom=u.size - width,
        half_size=np.array(area_m) / 2.0,
        centre=np.array(centre_m),
        scale=scale,
        u=u,
        v=v,
        values=values,
        noise=doubt,
        offset=offset,
        bends=bends,
        system=np.block([[covariance, columns], [columns.T, np.zeros((width, width))]]),
    )


@cache
def _nodes() -> tuple[FloatArray, FloatArray, FloatArray]:
    node, weight = np.polynomial.legendre.leggauss(NODES)
    along_x, along_y = np.meshgrid(node, node)
    places = (along_x.ravel(), along_y.ravel(), (np.outer(weight, weight) / 4.0).ravel())
    for array in places:
        array.flags.writeable = False
    return places


def _kind(asked: str | None, u: FloatArray, v: FloatArray) -> tuple[str, str]:
    """Return what can be fitted, and why not what was asked for."""
    wanted = "thin plate" if asked is None else choice("kind", asked, KINDS)
    places: FloatArray = np.unique(np.round(np.column_stack([u, v]), 6), axis=0)
    refused = []
    for kind in KINDS[KINDS.index(wanted) :]:
        if asked is None and kind == "quadratic":
            continue
        columns = trend(places[:, 0], places[:, 1], DEGREE[kind])
        if len(places) < FEWEST[kind]:
            refused.append(f"too few places for a {kind}: {len(places)} of {FEWEST[kind]}")
        elif np.linalg.matrix_rank(columns, tol=RANK_SLACK * len(places)) < columns.shape[1]:
            refused.append(f"the places lie on a line, or on too few lines for a {kind}")
        else:
            return kind, "; ".join([*refused, f"fitted: {kind}"])
    raise ArgumentError("x_m", len(places), "at least one place")


def _bent(bends: tuple[float, float], u: FloatArray, v: FloatArray, u2: FloatArray, v2: FloatArray) -> FloatArray:
    covariance = np.zeros((u.size, u2.size))
    if bends[0]:
        covariance += bends[0] ** 2 * mirrored_plate(u, v, u2, v2)
    if bends[1]:
        covariance += bends[1] ** 2 * plate(u, v, u2, v2)
    return covariance


def _transformed(ppfd: FloatArray, noise: FloatArray, offset: float | None) -> tuple[FloatArray, FloatArray]:
    """Return what is fitted, and its standard deviations; a polynomial goes through all readings with one weight."""
    if offset is None:
        level = float(np.mean(np.abs(ppfd)))
        usual = max(float(np.sqrt(np.mean(noise**2))), SMALLEST_NOISE * level, np.finfo(float).tiny)
        return ppfd, np.full(ppfd.size, usual)
    lifted = ppfd + offset
    return np.log(lifted), np.maximum(noise / lifted, SMALLEST_NOISE)


def _scatter(values: FloatArray, columns: FloatArray, noise: FloatArray) -> float:
    """Return how many times the stated noise readings lie off a least-squares polynomial, at least 1."""
    left = outside_trend(columns).T @ values
    return max(1.0, float(np.sqrt(np.mean((left / noise[0]) ** 2)))) if left.size else 1.0
