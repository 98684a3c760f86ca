"""Which boards current can pass at all, as they are wired: in at plus, out at minus, and on to the driver."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

__all__ = ["Node", "conducting", "leading_on", "turned"]

# Owner and side of an end: ("B1", "+"), ("driver", "-"), ("joint 3", "").
Node = tuple[str, str]
PLUS, MINUS = ("driver", "+"), ("driver", "-")


def conducting(tags: Sequence[str], wires: Iterable[tuple[Node, Node]]) -> list[int]:
    """Return the numbers of the boards whose plus current can reach and whose minus leads on to the driver.

    Wires pass current both ways, boards from plus to minus only. What is not passed is dark: a board put in the wrong
    way round, or one at a dead end.
    """
    wired = list(wires)
    both_ways = [*wired, *((end, start) for start, end in wired)]
    lit = list(range(len(tags)))
    while True:
        boards = [((tags[number], "+"), (tags[number], "-")) for number in lit]
        # What comes to the driver's other terminal goes into the driver, and not on.
        from_plus = _reached(PLUS, [*both_ways, *boards], stop=MINUS)
        to_minus = _reached(MINUS, [*both_ways, *((end, start) for start, end in boards)], stop=PLUS)
        left = [number for number in lit if (tags[number], "+") in from_plus and (tags[number], "-") in to_minus]
        if left == lit:
            return lit
        lit = left


def leading_on(tags: Iterable[str], wires: Sequence[tuple[Node, Node]]) -> list[int]:
    """Return the numbers of the wires that lead on to something: dead ends and what hangs on nothing are left out."""
    sides = [((tag, "+"), (tag, "-")) for tag in tags]
    fed = _reached(PLUS, [*wires, *((end, start) for start, end in wires), *sides, *((b, a) for a, b in sides)])
    fed |= _reached(MINUS, [*wires, *((end, start) for start, end in wires)])
    kept = [number for number, (start, end) in enumerate(wires) if start in fed or end in fed]
    held = Counter(side for pair in sides for side in pair) + Counter({PLUS: 1, MINUS: 1})
    while True:
        meeting = held + Counter(end for number in kept for end in wires[number])
        left = [number for number in kept if all(meeting[end] > 1 for end in wires[number])]
        if left == kept:
            return kept
        kept = left


def turned(tag: str, wires: Iterable[tuple[Node, Node]]) -> list[tuple[Node, Node]]:
    """Return the wires with a board's two sides swapped."""
    other = {(tag, "+"): (tag, "-"), (tag, "-"): (tag, "+")}
    return [(other.get(start, start), other.get(end, end)) for start, end in wires]


def _reached(start: Node, steps: Iterable[tuple[Node, Node]], *, stop: Node | None = None) -> set[Node]:
    onward: dict[Node, list[Node]] = {}
    for one, other in steps:
        onward.setdefault(one, []).append(other)
    found, waiting = {start}, [start]
    while waiting:
        here = waiting.pop()
        for node in onward.get(here, ()) if here != stop else ():
            if node not in found:
                found.add(node)
                waiting.append(node)
    return found
