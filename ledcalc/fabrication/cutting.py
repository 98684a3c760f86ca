"""Cutting: how long a wire is cut, and how pieces come out of stock lengths or spools with the least cost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.fabrication.cutting_baseline import first_fit
from ledcalc.fabrication.cutting_patterns import best_patterns
from ledcalc.fabrication.cutting_task import Bar, Task, bars_cost

__all__ = ["CutBar", "CutPlan", "Stock", "cut_length", "cut_plan"]

LARGEST_COUNT = 2000


def cut_length(
    path_m: ArrayLike,
    *,
    service_loops_m: ArrayLike = 0.0,
    strip_m: ArrayLike = 0.0,
    spare_fraction: ArrayLike = 0.0,
    step_m: float = 0.0,
) -> Numbers:
    """Return the length to which a wire is cut.

    Parameters
    ----------
    path_m : m, at least 0: from terminal to terminal along the way it is laid
    service_loops_m : m, at least 0: loops left at both ends together
    strip_m : m, at least 0: what is stripped at both ends together and lies within the terminals
    spare_fraction : at least 0: over the path, for bends and measuring
    step_m : m, at least 0: rounded up to whole steps; 0: not rounded

    Returns
    -------
    m, in the shape the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    path (1 + spare) + loops + strip.

    Examples
    --------
    >>> cut_length(1.2, service_loops_m=0.1, strip_m=0.02, spare_fraction=0.05, step_m=0.01)
    1.38
    """
    path, loops, strip, spare = (
        numbers(name, value, at_least=0)
        for name, value in (
            ("path_m", path_m),
            ("service_loops_m", service_loops_m),
            ("strip_m", strip_m),
            ("spare_fraction", spare_fraction),
        )
    )
    step = float(numbers("step_m", step_m, at_least=0))
    length = path * (1.0 + spare) + loops + strip
    if step:
        length = np.round(np.ceil(np.round(length / step, 9)) * step, 9)
    return answer(length)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A length that can be bought: price each (None: by its length), and how many there are (None: no limit)."""

    length_m: float
    price: float | None = None
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBar:
    """One stock length and what is cut from it: pieces by their place in the list (0 first), and the offcut."""

    stock: int
    stock_m: float
    pieces: tuple[int, ...]
    pieces_m: tuple[float, ...]
    offcut_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """Every piece cut once. ``waste_m``: offcuts and kerfs; ``baseline_*``: first-fit decreasing (None: it failed).

    ``least_cost`` is a bound that no plan can beat, ``gap_fraction`` how far the cost may lie above it; ``is_proven``:
    no cheaper plan exists.
    """

    bars: tuple[CutBar, ...]
    stock_used_count: int
    stock_used_m: float
    waste_m: float
    cost: float
    least_cost: float
    gap_fraction: float
    is_proven: bool
    baseline_count: int | None
    baseline_cost: float | None


def cut_plan(pieces_m: ArrayLike, stocks: Sequence[Stock], *, kerf_m: float = 0.0, thorough: bool = False) -> CutPlan:
    """Return which piece is cut from which stock length or spool, at the least cost.

    Parameters
    ----------
    pieces_m : m, above 0, a piece an entry, 1 to 2000 of them
    stocks : lengths that can be bought, one or more; either all with a price or none
    kerf_m : m, at least 0: lost in each cut; a piece that ends with its stock needs none
    thorough : whether some seconds may go into closing a gap that is left

    Returns
    -------
    CutPlan: lengths in m, cost in money (in m of stock where no prices are given); the same every time

    Raises
    ------
    ArgumentError (a ValueError): a piece longer than every stock, limits that do not suffice (or for which no plan was
    found), prices for some stocks only, or a number out of its range

    Validity
    --------
    Lengths are reckoned to a tenth of a micrometre. Proven for most tasks of some tens of pieces; where not, the gap
    says how much a better plan could save at most.

    References
    ----------
    Cutting stock by patterns (Gilmore and Gomory 1961): column generation for the bound, patterns chosen by
    mixed-integer programming (SciPy, HiGHS).

    Examples
    --------
    >>> plan = cut_plan([0.8, 0.8, 0.6, 0.6, 0.6, 0.6], [Stock(length_m=2.0)])
    >>> plan.stock_used_count, plan.baseline_count, plan.is_proven
    (2, 3, True)
    """
    pieces, task = _task(pieces_m, stocks, kerf_m)
    baseline = first_fit(task)
    chosen, bound, proven = best_patterns(task, baseline, thorough=thorough)
    cost = bars_cost(task, chosen)
    used = math.fsum(stocks[stock].length_m for stock, _ in chosen)
    return CutPlan(
        bars=_cut_bars(chosen, pieces, stocks, kerf_m),
        stock_used_count=len(chosen),
        stock_used_m=used,
        waste_m=used - math.fsum(pieces),
        cost=cost,
        least_cost=cost if proven else min(bound, cost),
        gap_fraction=0.0 if proven else max(0.0, cost - bound) / cost,
        is_proven=proven,
        baseline_count=None if baseline is None else len(baseline),
        baseline_cost=None if baseline is None else bars_cost(task, baseline),
    )


def _task(pieces_m: ArrayLike, stocks: Sequence[Stock], kerf_m: float) -> tuple[list[float], Task]:
    pieces = np.atleast_1d(numbers("pieces_m", pieces_m, above=0))
    if pieces.ndim != 1 or not 1 <= pieces.size <= LARGEST_COUNT:
        raise ArgumentError("pieces_m", pieces.shape, f"1 to {LARGEST_COUNT} lengths in a row")
    kerf = float(numbers("kerf_m", kerf_m, at_least=0))
    if not stocks:
        raise ArgumentError("stocks", stocks, "at least one stock length")
    priced = [stock.price is not None for stock in stocks]
    if any(priced) and not all(priced):
        raise ArgumentError("price", None, "prices for all stocks or for none")
    lengths = [float(numbers("length_m", stock.length_m, above=0)) for stock in stocks]
    prices = [
        float(numbers("price", stock.length_m if stock.price is None else stock.price, above=0)) for stock in stocks
    ]
    limits = [
        pieces.size if stock.limit is None else min(int(whole_numbers("limit", stock.limit)), pieces.size)
        for stock in stocks
    ]
    longest = max((length for length, limit in zip(lengths, limits, strict=True) if limit), default=0.0)
    task = Task.of(pieces.tolist(), kerf, lengths, prices, limits)
    if float(pieces.max()) > longest + 1e-8:
        raise ArgumentError("pieces_m", float(pieces.max()), f"at most {longest:g} m, the longest stock there is")
    return pieces.tolist(), task


def _cut_bars(
    chosen: Sequence[Bar], pieces: Sequence[float], stocks: Sequence[Stock], kerf_m: float
) -> tuple[CutBar, ...]:
    """Bars of one stock together, each with its longest piece first."""
    bars = []
    for stock, held in sorted(chosen, key=lambda bar: (bar[0], [-pieces[piece] for piece in bar[1]], bar[1])):
        lengths = tuple(pieces[piece] for piece in held)
        left = stocks[stock].length_m - math.fsum(lengths)
        # The last piece needs a cut of its own only where something is left behind it.
        cuts = kerf_m * (len(held) - 1)
        offcut = max(0.0, round(left - cuts - kerf_m, 9))
        bars.append(CutBar(stock=stock, stock_m=stocks[stock].length_m, pieces=held, pieces_m=lengths, offcut_m=offcut))
    return tuple(bars)
