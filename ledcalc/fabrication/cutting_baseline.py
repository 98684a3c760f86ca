"""The plan made by hand: longest piece first, each into the first bar that still takes it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

from ledcalc.fabrication.cutting_task import Bar, Task, bars_cost

__all__ = ["first_fit"]

# Orders in which stocks are opened are all tried up to this many stocks.
ORDERED_COUNT = 4


def first_fit(task: Task) -> list[Bar] | None:
    """Return the cheapest plan of first-fit decreasing over the orders of stocks; None where limits defeat it."""
    stocks = sorted(range(len(task.room)), key=lambda stock: -task.room[stock])
    orders = permutations(stocks) if len(stocks) <= ORDERED_COUNT else [stocks, stocks[::-1]]
    plans = [plan for order in orders if (plan := _opened(task, tuple(order))) is not None]
    return min(plans, key=lambda plan: bars_cost(task, plan), default=None)


def _opened(task: Task, order: Sequence[int]) -> list[Bar] | None:
    """Open bars in one order of stocks, then change each, the emptiest first, for the cheapest stock that holds it."""
    opened: list[int] = []
    held: list[list[int]] = []
    filled: list[int] = []
    left = list(task.limits)
    for size, members in zip(task.sizes, task.members, strict=True):
        for piece in members:
            bar = next((n for n, stock in enumerate(opened) if filled[n] + size <= task.room[stock]), None)
            if bar is None:
                stock = next((one for one in order if left[one] and task.room[one] >= size), None)
                if stock is None:
                    return None
                left[stock] -= 1
                bar = len(opened)
                opened.append(stock)
                held.append([])
                filled.append(0)
            held[bar].append(piece)
            filled[bar] += size
    for bar in sorted(range(len(opened)), key=lambda n: filled[n]):
        left[opened[bar]] += 1
        wide = [one for one in range(len(task.room)) if left[one] and task.room[one] >= filled[bar]]
        opened[bar] = min(wide, key=lambda one: task.prices[one])
        left[opened[bar]] -= 1
    return [(stock, tuple(pieces)) for stock, pieces in zip(opened, held, strict=True)]
