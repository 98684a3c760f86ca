"""How a measured map is lopsided: tilt along x and y, one diagonal against the other, one pair of sides, quarters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.estimates import Estimate, UncertaintyPart
from ledcalc.bench.figures import figure_text
from ledcalc.bench.map_fit import map_fit
from ledcalc.bench.survey_map import MeasuredMap

__all__ = ["MapShape", "map_shape"]

QUARTERS = ("near left", "near right", "far left", "far right")
# Two tilts, the diagonals, the sides: a word on any of them is a false one in a level map once in 1 / (1 - level).
CLAIMS = 4
SQUARE_WITHIN = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class MapShape:
    """How a map is lopsided, each figure over the area's fitted mean; all are 0 for a field alike in four quarters.

    ``tilt_x`` and ``tilt_y`` are the rise of the best plane from the left to the right edge and from the near to the
    far one; ``diagonals`` by how much the near left and far right corners lie above the two others; ``sides`` by how
    much the middles of the left and right edges lie above those of the near and far ones (on an area that is no square,
    that may be so by design). ``quarters`` are the quarters' means, near left, near right, far left, far right;
    ``four_fold`` is the largest of them less the smallest. ``words`` says what is more than chance, empty for nothing.
    """

    tilt_x: Estimate
    tilt_y: Estimate
    diagonals: Estimate
    sides: Estimate
    quarters: tuple[Estimate, ...]
    four_fold: Estimate
    words: tuple[str, ...]


def map_shape(measured: MeasuredMap, *, level_fraction: float = 0.95) -> MapShape:
    """Return how a map is lopsided.

    Parameters
    ----------
    measured : a ``MeasuredMap``
    level_fraction : above 0, below 1: share of the level maps that nothing is said of

    Returns
    -------
    MapShape; figures whose uncertainty is not known say why, and no word rests on them

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Of the field fitted to the readings, best planes and saddles by least squares over the area. The sensor's
    calibration cancels; a sensor held askew while it goes about looks like a tilt. ``four_fold`` picks the extremes,
    so that in a level map it lies above 0 by about its uncertainty.

    References
    ----------
    Legendre polynomials over a rectangle: slope 3 mean(u f), saddle 9 mean(u v f), bend 5 mean(P2(u) f), u and v from
    -1 to 1.

    Examples
    --------
    >>> from ledcalc.bench import QuantumSensor, map_from_block
    >>> block = [[500 + 40 * column for column in range(5)] for row in range(5)]
    >>> shape = map_shape(map_from_block(block, area_m=(1.0, 1.0), sensor=QuantumSensor(noise_fraction=0.01)))
    >>> round(shape.tilt_x.value, 2), abs(round(shape.tilt_y.value, 2)), shape.words[0][:48]
    (0.35, 0.0, 'rises to the right by 0.346 +- 0.018 of the mean')
    """
    level = float(numbers("level_fraction", level_fraction, above=0, below=1))
    fit = map_fit(measured)
    u, v, _ = fit.surface.nodes()
    quarters = tuple(fit.area_share(4.0 * (np.sign(x) == a) * (np.sign(y) == b)) for x, y, a, b in _quarters(u, v))
    values = [quarter.value for quarter in quarters]
    high, low = int(np.argmax(values)), int(np.argmin(values))
    (_, _, a, b), (_, _, c, d) = _quarters(u, v)[high], _quarters(u, v)[low]
    apart = 4.0 * ((np.sign(u) == a) * (np.sign(v) == b)) - 4.0 * ((np.sign(u) == c) * (np.sign(v) == d))
    tilt_x, tilt_y = fit.area_share(6.0 * u), fit.area_share(6.0 * v)
    shape = MapShape(
        tilt_x=tilt_x,
        tilt_y=tilt_y,
        diagonals=_doubted(fit.area_share(18.0 * u * v), tilt_x.value * tilt_y.value / 2.0),
        sides=_doubted(fit.area_share(11.25 * (u * u - v * v)), (tilt_x.value**2 - tilt_y.value**2) / 8.0),
        quarters=quarters,
        four_fold=fit.area_share(apart),
        words=(),
    )
    words = tuple(_words(shape, measured.area_m, 1.0 - (1.0 - level) / CLAIMS))
    return replace(shape, words=words)


def _quarters(u: FloatArray, v: FloatArray) -> list[tuple[FloatArray, FloatArray, int, int]]:
    return [(u, v, a, b) for b in (-1, 1) for a in (-1, 1)]


def _doubted(estimate: Estimate, by: float) -> Estimate:
    """Return a figure with what a plane through logarithms bends by on the scale of PPFD, which may not be so."""
    if np.isnan(by):
        return estimate
    part = UncertaintyPart(name="scale of the fit", standard_uncertainty=abs(by))
    return replace(estimate, parts=(*estimate.parts, part))


def _words(shape: MapShape, area_m: tuple[float, float], level: float) -> Iterator[str]:
    level_it = "measure the boards' height over the sensor at both ends; level them, or see which boards give less"
    for estimate, low, high in ((shape.tilt_x, "left", "right"), (shape.tilt_y, "near side", "far side")):
        if _sure(estimate, level):
            yield f"rises to the {high if estimate.value > 0 else low} by {_size(estimate, level)}: {level_it}"
    if _sure(shape.diagonals, level):
        pair = ("near left and far right", "near right and far left")[shape.diagonals.value < 0]
        more = f"is stronger {pair} than in the other two corners by {_size(shape.diagonals, level)}"
        yield f"{more}: compare the boards' currents"
    square = abs(area_m[0] / area_m[1] - 1.0) <= SQUARE_WITHIN if area_m[1] > 0 else False
    if square and _sure(shape.sides, level):
        pair = ("left and right", "near and far")[shape.sides.value < 0]
        spread = "spread the boards the other way"
        yield f"is stronger at the {pair} edges than at the two others by {_size(shape.sides, level)}: {spread}"


def _sure(estimate: Estimate, level: float) -> bool:
    return abs(estimate.value) > estimate.half_width(level)


def _size(estimate: Estimate, level: float) -> str:
    return f"{figure_text(abs(estimate.value), estimate.half_width(level))} of the mean"
