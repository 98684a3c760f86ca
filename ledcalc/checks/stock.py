"""The rule on stock: whether what is listed can be cut into what is needed at all."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ledcalc.findings import Finding
from ledcalc.fixture import Fixture, Stock
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["stock_short"]


def stock_short(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The stock listed for a wire size is too short for a piece, or too little for all of them."""
    build = fixture.build
    ends_m = 2.0 * (build.service_loop_m + build.strip_m)
    needed: dict[str, list[float]] = {}
    for cable in fixture.cables:
        length = cable.one_way_length_m * (1.0 + build.cable_spare_fraction) + ends_m
        needed.setdefault(cable.size.casefold(), []).append(length + build.cut_loss_m)
    for size, pieces in needed.items():
        own = [(row, stock) for row, stock in enumerate(fixture.stock) if stock.serves.casefold() == size]
        if own and (said := _lack([stock for _, stock in own], pieces)):
            message, remedy, more = said
            row, stock = max(own, key=lambda pair: pair[1].stock_length_m)
            changes: dict[str, Value] = {}
            if more:
                changes = {f"stock[{row}].on_hand_count": (stock.on_hand_count or 0) + more}
            yield Finding(
                code="stock-short",
                severity="act",
                path=f"stock[{row}].on_hand_count" if more else f"stock[{row}].stock_length_m",
                message=f"{stock.serves}: {message}.",
                value=sum(pieces),
                limit=None,
                unit="m",
                remedy=remedy,
                basis="lengths of the wire schedule",
                changes=changes if more else {f"stock[{row}].stock_length_m": math.ceil(10.0 * max(pieces)) / 10.0},
            )


def _lack(stock: list[Stock], pieces_m: list[float]) -> tuple[str, str, int] | None:
    """Return what is wrong, the remedy, and how many more of the longest stock it takes; None where nothing is."""
    longest, most = max(entry.stock_length_m for entry in stock), max(pieces_m)
    if most > longest + 1e-9:
        return f"a piece of {most:.2f} m is longer than any stock", f"list stock of {most:.2f} m or more", 0
    if any(entry.on_hand_count is None for entry in stock):
        return None
    on_hand = sum(entry.stock_length_m * (entry.on_hand_count or 0) for entry in stock)
    if on_hand >= sum(pieces_m) - 1e-9:
        return None
    # First come, first cut from the longest: never fewer than it takes.
    per_stock = max(1, int(longest // most))
    more = math.ceil(len(pieces_m) / per_stock)
    return (
        f"{on_hand:.2f} m are on hand and {sum(pieces_m):.2f} m are needed",
        f"get {more} more of {longest:g} m, or as many as the cutting plan shows",
        more,
    )
