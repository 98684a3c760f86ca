"""How far to dim each board or group of boards: a linear programme, for the field is linear in the levels."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["BestDimming", "best_dimming"]

# Room for rounding between one programme's optimum and the next one's limit.
SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BestDimming:
    """Levels (1: a board's full drive) a board and a group, and the light that they give; PPFD in umol m-2 s-1.

    ``power_fraction`` is the power drawn, as a share of all boards' at full drive. ``group_names`` and ``group_levels``
    go in the order in which groups first occur. ``reached`` is False where what was asked for cannot be met: the levels
    are then those that come nearest, and ``note`` says by how much they fall short.
    """

    levels: FloatArray
    group_names: tuple[Hashable, ...]
    group_levels: FloatArray
    mean: float
    minimum: float
    min_over_mean: float
    power_fraction: float
    reached: bool
    note: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Task:
    """Fields and powers by group; ``means`` of the fields over the crop; ``member``: which boards are in which."""

    names: tuple[Hashable, ...]
    member: FloatArray
    fields: FloatArray
    means: FloatArray
    powers: FloatArray
    least_level: float
    target: float


def best_dimming(
    field_per_board: ArrayLike,
    *,
    groups: Sequence[Hashable] | None = None,
    target_mean: float | None = None,
    least_min_over_mean: float | None = None,
    least_level: float = 0.0,
    power_per_board: ArrayLike | None = None,
    point_weights: ArrayLike | None = None,
) -> BestDimming:
    """Return the dimming of the best min/mean, or of the least power at a least min/mean; exact, not merely found.

    Parameters
    ----------
    field_per_board : umol m-2 s-1, shape (boards, points): each board's PPFD at full drive
    groups : a name a board; boards of one name are dimmed alike; None: each by itself
    target_mean : umol m-2 s-1, above 0: the mean wanted. None: the brightest group is at full drive
    least_min_over_mean : from 0 to 1: with it the least power is looked for at no less than ``target_mean``, which
        must be given; without, the best min/mean is
    least_level : from 0 to 1: as far as drivers dim
    power_per_board : W, above 0: at full drive; None: all alike
    point_weights : at least 0: each point's share of the area; None: all alike

    Returns
    -------
    BestDimming

    Raises
    ------
    ArgumentError (a ValueError): no boards or points, a point or board without light, shapes that do not fit, or a
        number out of its range

    Validity
    --------
    Light and power go linearly with the level; boards are somewhat more efficacious dimmed by current, and colours of a
    mixed board must be dimmed alike. A min/mean bettered by dimming costs light that the boards could give. Of several
    dimmings that are as even, that of the least power at the target is returned, or the brightest without one.

    References
    ----------
    Linear programming; the ratio min/mean by the transformation of Charnes and Cooper (1962, from memory).

    Examples
    --------
    >>> best = best_dimming([[100.0, 40.0, 0.0], [30.0, 90.0, 30.0], [0.0, 40.0, 100.0]], target_mean=90.0)
    >>> best.levels.round(3).tolist(), round(best.min_over_mean, 3)
    ([0.818, 0.273, 0.818], 1.0)
    """
    task = _task(field_per_board, groups, power_per_board, point_weights, least_level, target_mean)
    if target_mean is None and least_min_over_mean is not None:
        raise ArgumentError("target_mean", None, "a mean, where least_min_over_mean is given")
    least = None
    if least_min_over_mean is not None:
        least = float(numbers("least_min_over_mean", least_min_over_mean, at_least=0, at_most=1))
    levels, note = _levels(task, least)
    mean, minimum = float(levels @ task.means), float((levels @ task.fields).min())
    return BestDimming(
        levels=levels @ task.member,
        group_names=task.names,
        group_levels=levels,
        mean=mean,
        minimum=minimum,
        min_over_mean=minimum / mean if mean > 0 else 0.0,
        power_fraction=float(levels @ task.powers),
        reached=not note,
        note=note,
    )


def _task(
    field_per_board: ArrayLike,
    groups: Sequence[Hashable] | None,
    power_per_board: ArrayLike | None,
    point_weights: ArrayLike | None,
    least_level: float,
    target_mean: float | None,
) -> _Task:
    fields = numbers("field_per_board", field_per_board, at_least=0)
    if fields.ndim != 2 or 0 in fields.shape:
        raise ArgumentError("field_per_board", fields.shape, "shape (boards, points), at least one of each")
    boards, points = fields.shape
    weights = _weights(point_weights, points)
    dark = np.flatnonzero(fields @ weights == 0.0)
    if dark.size:
        raise ArgumentError(f"field_per_board[{dark[0]}]", 0.0, "some light from each board")
    powers = numbers("power_per_board", 1.0 if power_per_board is None else power_per_board, above=0)
    if powers.shape not in ((), (boards,)):
        raise ArgumentError("power_per_board", powers.shape, f"one number, or one a board: {boards}")
    powers = np.broadcast_to(powers, (boards,))
    names, member = _members(groups, boards)
    return _Task(
        names=names,
        member=member,
        fields=member @ fields,
        means=member @ fields @ weights,
        powers=member @ powers / powers.sum(),
        least_level=float(numbers("least_level", least_level, at_least=0, at_most=1)),
        target=0.0 if target_mean is None else float(numbers("target_mean", target_mean, above=0)),
    )


def _levels(task: _Task, least: float | None) -> tuple[FloatArray, str]:
    """Return the levels of the groups, and what cannot be met."""
    full = float(task.means.sum())
    if full < task.target * (1.0 - SLACK):
        return np.ones(task.means.size), (
            f"At full drive the mean is {full:.1f} umol m-2 s-1, below the {task.target:g} asked for"
        )
    cost = task.powers if task.target else -task.means
    if least is not None and (levels := _cheapest(task, cost, least)) is not None:
        return levels, ""
    levels = _most_even(task)
    evenness = float((levels @ task.fields).min() / (levels @ task.means))
    # Of all that are as even: the least power at the target, or the brightest.
    if (better := _cheapest(task, cost, evenness * (1.0 - SLACK))) is not None:
        levels = better
    if least is None:
        return levels, ""
    return levels, f"No dimming reaches a min/mean of {least:g} at this mean; the most even has {evenness:.3f}"


def _most_even(task: _Task) -> FloatArray:
    """Maximise s: levels y = t x level of mean 1, field >= s everywhere, least t <= y <= t, t <= 1 / target."""
    groups, points = task.fields.shape
    scale = float(task.means.sum())
    # Unknowns: y (a group each), t and s, in units in which all boards at full drive have a mean of 1.
    fields, means = task.fields / scale, task.means / scale
    unit = np.eye(groups)
    ones, zeros = np.ones((groups, 1)), np.zeros((groups, 1))
    rows = np.block(
        [
            [-fields.T, np.zeros((points, 1)), np.ones((points, 1))],
            [unit, -ones, zeros],
            [-unit, task.least_level * ones, zeros],
        ]
    )
    # Without a target t is free; more than the largest y that a mean of 1 allows it need not be.
    most = scale / task.target if task.target else 1.0 / float(means.min())
    found = _solved(
        np.append(np.zeros(groups + 1), -1.0),
        rows,
        np.zeros(rows.shape[0]),
        (np.concatenate([means, [0.0, 0.0]])[None, :], np.ones(1)),
        [(0, None)] * groups + [(0, most), (None, None)],
    )
    if found is None:
        # The target is the mean at full drive to rounding.
        return np.ones(groups)
    return np.clip(found[:groups] / found[groups], task.least_level, 1.0)


def _cheapest(task: _Task, cost: FloatArray, least: float) -> FloatArray | None:
    """Minimise the cost: field >= least x mean everywhere, mean >= target, least level <= level <= 1."""
    groups, points = task.fields.shape
    scale = float(task.means.sum())
    rows = np.vstack([least * task.means[None, :] - task.fields.T, -task.means[None, :]]) / scale
    bounds: list[tuple[float | None, float | None]] = [(task.least_level, 1.0)] * groups
    found = _solved(
        cost / cost.sum() * np.sign(cost[0]), rows, np.append(np.zeros(points), -task.target / scale), None, bounds
    )
    return None if found is None else np.clip(found, task.least_level, 1.0)


def _solved(
    cost: FloatArray,
    rows: FloatArray,
    limits: FloatArray,
    equal: tuple[FloatArray, FloatArray] | None,
    bounds: list[tuple[float | None, float | None]],
) -> FloatArray | None:
    """Return the programme's optimum, None where nothing meets its limits."""
    from scipy.optimize import linprog

    solve: Any = linprog
    a_eq, b_eq = equal if equal is not None else (None, None)
    found = solve(cost, A_ub=rows, b_ub=limits, A_eq=a_eq, b_eq=b_eq, bounds=bounds, method="highs")
    return np.asarray(found.x, dtype=float) if found.status == 0 else None


def _members(groups: Sequence[Hashable] | None, boards: int) -> tuple[tuple[Hashable, ...], FloatArray]:
    """Return the groups' names and which boards belong to each, shape (groups, boards)."""
    if groups is None:
        return tuple(range(boards)), np.eye(boards)
    if len(groups) != boards:
        raise ArgumentError("groups", len(groups), f"a name a board: {boards}")
    names = tuple(dict.fromkeys(groups))
    return names, np.array([[float(group == name) for group in groups] for name in names])


def _weights(point_weights: ArrayLike | None, points: int) -> FloatArray:
    if point_weights is None:
        return np.full(points, 1.0 / points)
    weights = numbers("point_weights", point_weights, at_least=0)
    if weights.shape != (points,) or not weights.sum() > 0:
        raise ArgumentError("point_weights", weights.shape, f"one a point: {points}, not all 0")
    return np.asarray(weights / weights.sum())
