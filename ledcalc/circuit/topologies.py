"""Networks of the usual wirings, built from boards and the resistances of their pieces of wire."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import choice
from ledcalc.circuit.network import Link, Load, Network
from ledcalc.circuit.parts import Branch
from ledcalc.errors import ArgumentError

__all__ = ["FEEDS", "home_run_network", "series_of_groups", "string_network", "trunk_network"]

FEEDS = ("one end", "both ends", "reversed return")
PLUS, MINUS = "P", "N"


def home_run_network(boards: Sequence[Branch], *, thermal_matrix_k_per_w: ArrayLike | None = None) -> Network:
    """Return boards in parallel on home runs as a network, for sinks that boards share.

    Parameters
    ----------
    boards : a ``Branch`` each, its whole run in ``wire_resistance_ohm``
    thermal_matrix_k_per_w : as in ``Network``
    """
    cables: list[Link] = []
    loads = []
    for number, board in enumerate(boards):
        loads.append(_load(_lead(cables, PLUS, f"+{number}", board), MINUS, board))
    return Network(cables=cables, boards=loads, thermal_matrix_k_per_w=thermal_matrix_k_per_w)


def trunk_network(
    boards: Sequence[Branch],
    plus_ohm: Sequence[ArrayLike],
    minus_ohm: Sequence[ArrayLike],
    *,
    feed: str = "one end",
) -> Network:
    """Return boards along a trunk of two conductors.

    Parameters
    ----------
    boards : a ``Branch`` each, in their order along the trunk, each with its own lead in ``wire_resistance_ohm``
    plus_ohm, minus_ohm : ohm, at least 0: the pieces of each conductor. ``"one end"``: one a board, from the driver on.
        ``"both ends"``: one more, from the last board back to the driver. ``"reversed return"``: one a board; the plus
        comes from the driver to the first, the minus goes from the last back to the driver, so that every board sees
        the same length
    feed : ``"one end"``, ``"both ends"`` or ``"reversed return"``

    Raises
    ------
    ArgumentError (a ValueError): another number of pieces, or an unknown feed

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve
    >>> board = Branch(curve=BoardCurve.from_diode(0.6, 1e-12, 1.0))
    >>> len(trunk_network([board] * 3, [0.1] * 4, [0.1] * 4, feed="both ends").cables)
    8
    """
    choice("feed", feed, FEEDS)
    count = len(boards)
    pieces = count + (feed == "both ends")
    for name, given in (("plus_ohm", plus_ohm), ("minus_ohm", minus_ohm)):
        if len(given) != pieces:
            raise ArgumentError(name, len(given), f"{pieces} pieces for {count} boards fed at {feed}")
    plus = [PLUS, *(f"+{number}" for number in range(count))]
    minus = [f"-{number}" for number in range(count)]
    minus = [*minus, MINUS] if feed == "reversed return" else [MINUS, *minus]
    if feed == "both ends":
        plus, minus = [*plus, PLUS], [*minus, MINUS]
    cables = [
        Link(start, end, ohm)
        for nodes, given in ((plus, plus_ohm), (minus, minus_ohm))
        for start, end, ohm in zip(nodes[:-1], nodes[1:], given, strict=True)
    ]
    loads = []
    for number, board in enumerate(boards):
        loads.append(_load(_lead(cables, f"+{number}", f"lead{number}", board), f"-{number}", board))
    return Network(cables=cables, boards=loads)


def string_network(strings: Sequence[Sequence[Branch]]) -> Network:
    """Return strings in parallel, each of boards in series; a lone string is a series circuit.

    Parameters
    ----------
    strings : strings of ``Branch`` entries, each with the wire before it in ``wire_resistance_ohm``

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve, Driver, current_split
    >>> board = Branch(curve=BoardCurve.from_diode(0.6, 1e-12, 1.0), wire_resistance_ohm=0.1)
    >>> split = current_split(
    ...     string_network([[board, board]]), driver=Driver(voltage_setting_v=60, current_setting_a=1)
    ... )
    >>> split.current_a.round(9).tolist()
    [1.0, 1.0]
    """
    cables: list[Link] = []
    loads = []
    for line, boards in enumerate(strings):
        node = PLUS
        for number, board in enumerate(boards):
            out_of = MINUS if number == len(boards) - 1 else f"{line}.{number}-"
            loads.append(_load(_lead(cables, node, f"{line}.{number}+", board), out_of, board))
            node = out_of
    return Network(cables=cables, boards=loads)


def series_of_groups(groups: Sequence[Sequence[Branch]]) -> Network:
    """Return groups in series, each of boards in parallel; wires in each board's ``wire_resistance_ohm``."""
    cables: list[Link] = []
    loads = []
    for place, boards in enumerate(groups):
        start = PLUS if place == 0 else f"group{place}"
        end = MINUS if place == len(groups) - 1 else f"group{place + 1}"
        for number, board in enumerate(boards):
            loads.append(_load(_lead(cables, start, f"{place}.{number}+", board), end, board))
    return Network(cables=cables, boards=loads)


def _lead(cables: list[Link], node: str, name: str, board: Branch) -> str:
    """Return the node at the board's plus: the end of its own wire, where it has one."""
    if np.ndim(board.wire_resistance_ohm) == 0 and board.wire_resistance_ohm == 0:
        return node
    cables.append(Link(node, name, board.wire_resistance_ohm))
    return name


def _load(plus: str, minus: str, board: Branch) -> Load:
    return Load(
        plus,
        minus,
        board.curve,
        thermal_resistance_k_per_w=board.thermal_resistance_k_per_w,
        radiant_fraction=board.radiant_fraction,
        offset_v=board.offset_v,
    )
