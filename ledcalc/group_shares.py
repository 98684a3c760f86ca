"""The best share of each group of boards: a linear programme over the field, each board up to its rating."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.layout import target_mean
from ledcalc.fixture import Fixture
from ledcalc.light_sources import all_sources, crop_points, kept_room, own_sources, per_flux_of_all, room_about
from ledcalc.model_curves import flux_of
from ledcalc.photons import BestDimming, BoardFlux, best_dimming
from ledcalc.results import Evaluation

__all__ = ["GroupShare", "GroupShares", "group_shares"]

REST = "(no group)"
HALVINGS = 60
IndexArray: TypeAlias = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupShare:
    """One group: its share of what its boards give at their rated current, and the current that this takes a board.

    ``today_fraction``: what it gives today, of the same. Currents are the means over its boards.
    """

    group: str
    boards_count: int
    level_fraction: float
    current_a: float
    today_fraction: float
    today_current_a: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroupShares:
    """The shares of the best min/mean at a mean; ``today_min_over_mean_fraction`` and mean are those without them."""

    groups: tuple[GroupShare, ...]
    target_umol_m2_s: float
    target_basis: str
    best: BestDimming
    today_mean_umol_m2_s: float
    today_min_over_mean_fraction: float


def group_shares(results: Evaluation) -> GroupShares | None:
    """Return the best share of each group, boards without one together; None for a single group, or dark boards.

    Parameters
    ----------
    results : from ``evaluate``; groups are those of the Positions sheet

    Validity
    --------
    Boards at the temperature that they have today, so that their light at the rated current is a little high for boards
    run well below it now. Power and wiring stay out of it: a group dimmed by itself needs a channel of its own.
    """
    named = [place.group for place in results.fixture.positions]
    if len(set(named)) < 2 or not results.light.statistics.mean > 0:
        return None
    boards, fields = results.boards, _fields(results)
    # A board that lights no point of the crop has no say in it.
    lit = np.flatnonzero(fields.sum(axis=1) > 0)
    groups = [named[n] or REST for n in lit]
    curves = _curves(results.fixture)
    rated = np.array(
        [curves[boards.model[n]].flux(boards.rated_current_a[n], boards.temperature_c[n]) for n in lit], dtype=float
    )
    target, basis = target_mean(results.fixture, results.light)
    best = best_dimming(
        rated[:, None] * fields[lit],
        groups=groups,
        target_mean=target,
        power_per_board=boards.rated_current_a[lit] * np.maximum(boards.voltage_v[lit], 1e-9),
    )
    amps = [
        _current_for(curves[boards.model[n]], level * flux, boards.temperature_c[n], boards.rated_current_a[n])
        for n, level, flux in zip(lit, best.levels, rated, strict=True)
    ]
    return GroupShares(
        groups=_by_group(results, groups, lit, best, rated, np.array(amps)),
        target_umol_m2_s=target,
        target_basis=basis,
        best=best,
        today_mean_umol_m2_s=results.light.statistics.mean,
        today_min_over_mean_fraction=results.light.statistics.min_over_mean,
    )


def _by_group(
    results: Evaluation, groups: list[str], lit: IndexArray, best: BestDimming, rated: FloatArray, amps: FloatArray
) -> tuple[GroupShare, ...]:
    flux, current = results.boards.photon_flux_umol_s[lit], results.boards.current_a[lit]
    shares = []
    for name, level in zip(best.group_names, best.group_levels, strict=True):
        own = np.array([group == name for group in groups])
        shares.append(
            GroupShare(
                group=str(name),
                boards_count=int(own.sum()),
                level_fraction=float(level),
                current_a=float(amps[own].mean()),
                today_fraction=float(flux[own].sum() / rated[own].sum()),
                today_current_a=float(current[own].mean()),
            )
        )
    return tuple(shares)


def _curves(fixture: Fixture) -> dict[str, BoardFlux]:
    used = {place.board or fixture.board for place in fixture.positions}
    points = {tag: tuple(one for one in fixture.board_points if one.board == tag) for tag in used}
    return {model.tag: flux_of(model, points[model.tag]) for model in fixture.boards if model.tag in used}


def _fields(results: Evaluation) -> FloatArray:
    """Return the map for one umol/s of each board, its likes and the walls included, shape (boards, points)."""
    fixture, light = results.fixture, results.light
    own = own_sources(fixture, results.boards)
    points = crop_points(fixture, *np.meshgrid(light.x_m, light.y_m)).reshape(-1, 3)
    everything = all_sources(fixture, own)
    room = room_about(fixture, everything)
    heights = tuple(sorted({round(source.z_m, 6) for source in everything}))
    prepared = None if room is None else kept_room(room, points.tobytes(), points.shape, heights)
    return per_flux_of_all(fixture, own, points, prepared)


def _current_for(curve: BoardFlux, flux_umol_s: float, temperature_c: float, most_a: float) -> float:
    """Return the current of a flux, by halving: the curve rises."""
    low, high = 0.0, most_a
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if float(curve.flux(middle, temperature_c)) < flux_umol_s else (low, middle)
    return high
