"""What a room adds to direct light, as a smooth function of a board's place: a few places stand for all.

Light that came back from walls varies little with where its board stands, so that Chebyshev polynomials through a few
hundred places give it everywhere; direct light, which does not, is worked out for each layout. Good for judging which
layouts are best, not for the figures that are reported.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons.field import ppfd_per_flux
from ledcalc.photons.layout_fields import (
    DirectFields,
    Figures,
    axis_places,
    figures_of,
    fold,
    in_parts,
    joined,
    part_weights,
)
from ledcalc.photons.layout_grid import FieldOf, field_per_flux

__all__ = ["SmoothFields", "smooth_fields"]

# Nodes from the middle to the outermost board, and from the lowest to the highest place.
PLACE_NODES = 9
HEIGHT_NODES = 5
TRIAL_PLACES = 12
SOURCES_AT_A_TIME = 500
# Largest root mean square error of the fit at the trial places, as a share of the mean field.
TOLERANCE = 0.003


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SmoothFields:
    """Direct light of each layout and a fit of the rest; ``rest``: shape (x nodes, y nodes, height nodes, points)."""

    direct: DirectFields
    nodes_x: FloatArray
    nodes_y: FloatArray
    nodes_height: FloatArray
    rest: FloatArray

    def figures(self, height_m: float, column_pitches_m: FloatArray, row_pitches_m: FloatArray) -> Figures:
        """Return the figures of all pairs."""
        weights = part_weights(self.direct.crop, self.direct.symmetric)
        at_height = np.tensordot(_polynomials(self.nodes_height, np.array([height_m]))[0], self.rest, axes=(0, 2))
        rows = self._sums(self.nodes_y, self.direct.rows, row_pitches_m)
        parts = []
        for pitches in in_parts(column_pitches_m, row_pitches_m.size * weights.size):
            columns = self._sums(self.nodes_x, self.direct.columns, pitches)
            fields = np.tensordot(columns, np.tensordot(rows, at_height, axes=(1, 1)), axes=(1, 1))
            parts.append(figures_of(fields + self.direct.fields(height_m, pitches, row_pitches_m), weights))
        return joined(parts)

    def _sums(self, nodes: FloatArray, count: int, pitches_m: FloatArray) -> FloatArray:
        """Return the polynomials summed over the boards in one line, shape (pitches, nodes)."""
        sums = np.empty((pitches_m.size, nodes.size))
        for number, pitch in enumerate(pitches_m.tolist()):
            places = axis_places(count, pitch, self.direct.symmetric)
            sums[number] = np.array(list(places.values())) @ _polynomials(nodes, np.array(list(places)))
        return sums


def smooth_fields(
    direct: DirectFields, field_of: FieldOf, ends_m: tuple[float, float], heights_m: FloatArray
) -> SmoothFields | None:
    """Return the fit for boards out to so far from the middle, None where it does not hold at places in between."""
    least = [0.0 if direct.symmetric else -end for end in ends_m]
    count = PLACE_NODES if direct.symmetric else 2 * PLACE_NODES - 1
    low, high = float(heights_m[0]), float(heights_m[-1])
    spans = [(least[0], ends_m[0], count), (least[1], ends_m[1], count), (low, high, HEIGHT_NODES)]
    nodes = [_nodes(*span) for span in spans]
    places = np.stack(np.meshgrid(*nodes, indexing="ij"), axis=-1).reshape(-1, 3)
    # Places in between, spread evenly: multiples of square roots, modulo 1.
    turns = np.outer(np.arange(1, TRIAL_PLACES + 1), np.sqrt([2.0, 3.0, 5.0])) % 1.0
    trials = np.array([start + (end - start) * turns[:, axis] for axis, (start, end, _) in enumerate(spans)]).T
    whole, rest = _parts(direct, field_of, np.concatenate([places, trials]))
    fitted = rest[: len(places)].reshape(*(line.size for line in nodes), -1)
    across, along, upward = (_polynomials(line, trials[:, axis]) for axis, line in enumerate(nodes))
    error = np.einsum("ta,tb,tc,abcp->tp", across, along, upward, fitted, optimize=True) - rest[len(places) :]
    if not np.sqrt(np.mean(error**2)) <= TOLERANCE * whole.mean():
        return None
    return SmoothFields(direct=direct, nodes_x=nodes[0], nodes_y=nodes[1], nodes_height=nodes[2], rest=fitted)


def _parts(direct: DirectFields, field_of: FieldOf, places_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the whole field of a board at each place, and what it has beyond direct light."""
    points, whole, rest = direct.crop.points_m, [], []
    for start in range(0, len(places_m), SOURCES_AT_A_TIME):
        some = places_m[start : start + SOURCES_AT_A_TIME].tolist()
        sources = [direct.crop.source_at(direct.board, *place) for place in some]
        given = field_per_flux(field_of, sources, points)
        beyond = given - ppfd_per_flux(sources, points)
        whole.append(fold(given, direct.crop) if direct.symmetric else given)
        rest.append(fold(beyond, direct.crop) if direct.symmetric else beyond)
    return np.concatenate(whole), np.concatenate(rest)


def _nodes(start: float, end: float, count: int) -> FloatArray:
    """Return the zeros of the Chebyshev polynomial over a span, one place where it has no length."""
    if end - start < 1e-9:
        return np.array([(start + end) / 2])
    turns = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    return np.asarray((start + end) / 2 + (end - start) / 2 * turns)


def _polynomials(nodes: FloatArray, places: FloatArray) -> FloatArray:
    """Return the Lagrange polynomials of the nodes at each place, shape (places, nodes)."""
    apart = nodes[:, None] - nodes[None, :]
    np.fill_diagonal(apart, 1.0)
    factors = (places[:, None, None] - nodes[None, None, :]) / apart
    same = np.arange(nodes.size)
    factors[:, same, same] = 1.0
    return np.asarray(factors.prod(axis=2))
