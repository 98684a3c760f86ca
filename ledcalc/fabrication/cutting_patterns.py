"""The cheapest patterns that cover all pieces: a bound by column generation, the choice by integer programming."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.fabrication.cutting_knapsack import all_patterns, best_fills
from ledcalc.fabrication.cutting_task import Bar, Pattern, Task, bars_cost

__all__ = ["best_patterns"]

# Up to so many patterns, all of them are listed at once; up to the second number, where generated ones prove nothing.
LISTED_FIRST, LISTED_LAST = 300, 2000
# Limits by counts, not by time, so that the same task has the same plan everywhere.
ROUNDS = 50
# Once the prices settle, plans are filled by prices that stray about them; any fixed number does for the seed.
SEED, STRAY = 1, 0.2
BRANCHES_LISTED, BRANCHES_GENERATED = 1000, 1


def best_patterns(task: Task, baseline: Sequence[Bar] | None, *, thorough: bool) -> tuple[list[Bar], float, bool]:
    """Return the bars of the cheapest plan found, a cost that no plan can beat, and whether the plan is proven least.

    Raises
    ------
    ArgumentError (a ValueError): the limits of the stocks do not suffice, or no plan within them was found
    """
    bound = _length_bound(task)
    plans = [] if baseline is None else [list(baseline)]
    if _reached(task, plans, bound):
        return plans[0], bound, True
    listed = all_patterns(task, LISTED_FIRST)
    branches, is_proven = BRANCHES_LISTED, False
    if listed is None:
        columns, filled, bound = _generated(task, plans, bound, thorough=thorough)
        plans += filled
        if not _reached(task, plans, bound):
            plans += _chosen(task, columns, BRANCHES_GENERATED)[0]
        if not _reached(task, plans, bound):
            listed, branches = all_patterns(task, LISTED_LAST), BRANCHES_GENERATED
    if listed is not None:
        found, is_proven = _chosen(task, listed, branches)
        plans += found
    if not plans:
        raise ArgumentError("limit", list(task.limits), "more stock: no plan was found within these limits")
    best = min(plans, key=lambda plan: bars_cost(task, plan))
    return best, bound, is_proven or _reached(task, [best], bound)


def _reached(task: Task, plans: Sequence[Sequence[Bar]], bound: float) -> bool:
    return any(bars_cost(task, plan) <= bound * (1.0 + 1e-9) for plan in plans)


def _raised(task: Task, bound: float) -> float:
    """A bound raised to the next sum of prices there can be."""
    step = task.price_step
    return math.ceil(bound / step - 1e-7) * step if step else bound


def _length_bound(task: Task) -> float:
    """The cost of enough whole stocks, were the pieces divisible."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    total = sum(size * count for size, count in zip(task.sizes, task.demand, strict=True))
    if total > sum(room * limit for room, limit in zip(task.room, task.limits, strict=True)):
        raise ArgumentError("limit", list(task.limits), "more stock: the pieces are longer than all of it together")
    if len(task.room) == 1:
        return -(-total // task.room[0]) * task.prices[0]
    solve: Any = milp
    found = solve(
        task.prices,
        integrality=np.ones(len(task.room)),
        bounds=Bounds(0.0, np.array(task.limits, dtype=float)),
        # A little less than the total, for what the solver takes for whole.
        constraints=LinearConstraint(np.array(task.room, dtype=float) / total, lb=1.0 - 1e-7),
        options={"node_limit": BRANCHES_LISTED},
    )
    cheapest = min(price / room for price, room in zip(task.prices, task.room, strict=True))
    return _raised(task, max(float(found.mip_dual_bound or 0.0), total * cheapest) * (1.0 - 1e-7))


def _generated(
    task: Task, plans: Sequence[Sequence[Bar]], bound: float, *, thorough: bool
) -> tuple[list[Pattern], list[list[Bar]], float]:
    """Patterns that the relaxed task prices in, plans filled by its prices, and the best dual bound met on the way."""
    columns = dict.fromkeys(pattern for plan in plans for pattern in task.patterns(plan))
    values = np.array(task.sizes, dtype=float) / max(task.room)
    extra = np.zeros(len(task.room))
    tried, filled = values, list[list[Bar]]()
    random = np.random.default_rng(SEED)
    for _ in range(ROUNDS):
        patterns, is_whole = _filled(task, tried)
        fresh = [pattern for pattern in patterns if pattern not in columns]
        columns.update(dict.fromkeys(patterns))
        if is_whole:
            filled.append(task.bars(patterns))
        if _reached(task, filled, bound):
            break
        if fresh:
            values, extra = _prices(task, list(columns))
            bound = max(bound, _raised(task, _dual_bound(task, values, extra)))
            tried = values
        else:
            tried = values * (1.0 + STRAY * random.standard_normal(len(values)))
    # The dearest against the settled prices are the least likely to serve, and cost seconds to choose from.
    dearness = {one: task.prices[one[0]] - float(extra[one[0]] + values @ one[1]) for one in columns}
    kept = 2 * len(task.sizes) if filled and not thorough else len(columns)
    return sorted(columns, key=lambda one: dearness[one])[:kept], filled, bound


def _filled(task: Task, values: FloatArray) -> tuple[list[Pattern], bool]:
    """Fill stock after stock with the pieces worth most, and say whether all pieces found a place."""
    # A piece worth nothing is still to be cut: a little by its length.
    worth = np.maximum(values, 1e-4 * max(task.prices) * np.array(task.sizes) / max(task.room)).tolist()
    demand, limits = list(task.demand), list(task.limits)
    patterns: list[Pattern] = []
    while any(demand):
        fills = [fill for fill in best_fills(task, worth, demand) if limits[fill.pattern[0]] and any(fill.pattern[1])]
        if not fills:
            return patterns, False
        best = max(fills, key=lambda fill: fill.value / task.prices[fill.pattern[0]])
        patterns.append(best.pattern)
        limits[best.pattern[0]] -= 1
        demand = [left - count for left, count in zip(demand, best.pattern[1], strict=True)]
    return patterns, True


def _dual_bound(task: Task, values: FloatArray, extra: FloatArray) -> float:
    """What the prices of the relaxed task prove, whether or not it is solved (Lagrange)."""
    bound = float(values @ task.demand) + float(extra @ task.limits)
    for price, change, limit, fill in zip(
        task.prices, extra.tolist(), task.limits, best_fills(task, values.tolist()), strict=True
    ):
        bound += limit * min(0.0, price - change - fill.most)
    return bound


def _rows(task: Task, columns: Sequence[Pattern]) -> tuple[FloatArray, FloatArray]:
    cover = np.array([counts for _, counts in columns], dtype=float).reshape(len(columns), len(task.sizes)).T
    of_stock = np.array([[float(stock == one) for stock, _ in columns] for one in range(len(task.room))])
    return cover, of_stock


def _prices(task: Task, columns: Sequence[Pattern]) -> tuple[FloatArray, FloatArray]:
    """What a piece of each size is worth, and what one more of each stock would change, in the relaxed task."""
    from scipy.optimize import linprog

    cover, of_stock = _rows(task, columns)
    sizes, stocks = len(task.sizes), len(task.room)
    # A dear way to leave pieces out, so that every round has an answer.
    left_out = np.full(sizes, 10.0 * max(task.prices))
    cost = np.concatenate([[task.prices[stock] for stock, _ in columns], left_out])
    rows = np.block([[-cover, -np.eye(sizes)], [of_stock, np.zeros((stocks, sizes))]])
    solve: Any = linprog
    found = solve(
        cost, A_ub=rows, b_ub=np.concatenate([-np.array(task.demand, dtype=float), task.limits]), method="highs"
    )
    marginals = np.asarray(found.ineqlin.marginals, dtype=float)
    return np.maximum(-marginals[:sizes], 0.0), np.minimum(marginals[sizes:], 0.0)


def _chosen(task: Task, columns: Sequence[Pattern], branches: int) -> tuple[list[list[Bar]], bool]:
    """The cheapest whole numbers of patterns that cover all pieces, if any do, and whether that is proven."""
    from scipy.optimize import LinearConstraint, milp

    if not columns:
        return [], False
    cover, of_stock = _rows(task, columns)
    solve: Any = milp
    found = solve(
        np.array([task.prices[stock] for stock, _ in columns]),
        integrality=np.ones(len(columns)),
        constraints=[LinearConstraint(cover, lb=task.demand), LinearConstraint(of_stock, ub=task.limits)],
        options={"node_limit": branches, "mip_rel_gap": 0.0},
    )
    if found.x is None:
        return [], False
    times = np.rint(found.x).astype(int)
    used = [pattern for pattern, count in zip(columns, times.tolist(), strict=True) for _ in range(count)]
    return [task.bars(used)], found.status == 0
