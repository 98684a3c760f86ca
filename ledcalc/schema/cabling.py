"""Checks of cables against the arrangement: home runs, a shared trunk, or single wires between named points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches

from ledcalc.schema.record import TAGS_ON_THE_FIXTURE, RecordProblem, Records, board_tags, form_of

__all__ = ["cables_fit_the_arrangement", "lead_sets_at", "wire_end"]

SIDES = {"+": "+", "-": "-", "\u2212": "-", "\u2013": "-"}


def wire_end(text: str) -> tuple[str, str]:
    """Return owner and side of a single wire's end: ("B1", "+"), ("driver", "-"); a joint has no side.

    Examples
    --------
    >>> wire_end("B1 +"), wire_end("Driver -"), wire_end("joint 3")
    (('B1', '+'), ('driver', '-'), ('joint 3', ''))
    """
    words = text.strip()
    side = SIDES.get(words[-1:], "")
    owner = words[:-1].strip() if side else words
    return ("driver" if owner.casefold() == "driver" else owner), side


def lead_sets_at(runs: Sequence[tuple[str, str, int]]) -> dict[str, frozenset[int]]:
    """Return, for each board or joint, the lead sets that feed the part of the circuit it is in.

    ``runs``: ends and lead set of each cable; parts hang together by cables, not by the driver.

    Examples
    --------
    >>> lead_sets_at([("driver", "B1", 1), ("B1", "B2", 1), ("driver", "B3", 2)])["B2"]
    frozenset({1})
    """
    part_of: dict[str, int] = {}
    ends = [(wire_end(start)[0], wire_end(end)[0], lead_set) for start, end, lead_set in runs]
    for start, end, _ in ends:
        for owner in {start, end} - {"driver"}:
            part_of.setdefault(owner, len(part_of))
        if "driver" not in {start, end} and part_of[start] != part_of[end]:
            gone, kept = part_of[start], part_of[end]
            part_of = {owner: kept if part == gone else part for owner, part in part_of.items()}
    fed: dict[int, set[int]] = {part: set() for part in part_of.values()}
    for start, end, lead_set in ends:
        for owner in {start, end} - {"driver"} if "driver" in {start, end} else ():
            fed[part_of[owner]].add(lead_set)
    return {owner: frozenset(fed[part]) for owner, part in part_of.items()}


def cables_fit_the_arrangement(records: Records) -> Iterator[RecordProblem]:
    """Say which cables do not fit the arrangement, and which boards no cable reaches."""
    yield from _lead_sets_exist(records)
    yield from _entries_are_of_their_kind(records)
    arrangement = form_of(records, "fixture").get("arrangement") or "home runs"
    if arrangement == "single wires":
        yield from _wires_reach_all(records)
        return
    yield from _ends_are_boards(records)
    if arrangement == "shared trunk":
        yield from _trunk_reaches_all(records)
        return
    served: dict[str, int] = {}
    for row, cable in enumerate(records.get("cables", ())):
        start, board = cable.get("from_node"), cable.get("to_node")
        if start is not None and str(start).casefold() != "driver":
            yield _of_cable(row, "from_node", f"a home run starts at {start!r}", "driver", "write driver")
        if board is not None and str(board) in served:
            problem = f"board {board!r} already has the run of data row {served[str(board)] + 1}"
            yield _of_cable(row, "to_node", problem, "one run a board")
        served.setdefault(str(board), row)
    for tag in board_tags(records):
        if tag not in served:
            yield _no_cable(f"no cable runs to board {tag!r}", f"add a row that ends at {tag}")


def _trunk_reaches_all(records: Records) -> Iterator[RecordProblem]:
    tags, reached = board_tags(records), {"driver"}
    runs = []
    for row, cable in enumerate(records.get("cables", ())):
        start, end = str(cable.get("from_node") or "driver"), str(cable.get("to_node"))
        start = "driver" if start.casefold() == "driver" else start
        if start not in {"driver", *tags}:
            yield _of_cable(row, "from_node", f"there is no board {start!r}", f"driver, {', '.join(tags[:12])}")
        if start == end:
            yield _of_cable(row, "to_node", "the run ends where it starts", "another board")
        runs.append((start, end))
    said = form_of(records, "fixture").get("trunk")
    loops = list(_no_loop(runs))
    if said == "radial":
        yield from loops
    elif said == "looped" and not loops:
        yield _no_cable("the trunk is said to be looped, and has one way to each board", "add a run from the far end")
    for _ in runs:
        for start, end in runs:
            if start in reached or end in reached:
                reached |= {start, end}
    for tag in tags:
        if tag not in reached:
            yield _no_cable(f"no run leads from the driver to board {tag!r}", f"add a row that ends at {tag}")


def _no_loop(runs: Sequence[tuple[str, str]]) -> Iterator[RecordProblem]:
    """Name each run that closes a loop of a trunk said to be radial."""
    part: dict[str, int] = {}
    for row, (start, end) in enumerate(runs):
        gone = part.setdefault(start, len(part))
        kept = part.setdefault(end, len(part))
        if gone == kept and start != end:
            yield _of_cable(
                row, "to_node", "this run closes a loop, and the trunk is said to be radial", "one way to each board"
            )
        part = {node: kept if own == gone else own for node, own in part.items()}


def _of_cable(row: int, field: str, problem: str, allowed: str, remedy: str = "") -> RecordProblem:
    return RecordProblem(sheet="cables", row=row, field=field, problem=problem, allowed=allowed, remedy=remedy)


def _no_cable(problem: str, remedy: str) -> RecordProblem:
    return RecordProblem(
        sheet="cables",
        row=-1,
        field="to_node",
        problem=problem,
        allowed="a way from the driver to every board",
        remedy=remedy,
        rests_on=("cables.to_node", "cables.from_node", *TAGS_ON_THE_FIXTURE),
    )


def _ends_are_boards(records: Records) -> Iterator[RecordProblem]:
    tags = board_tags(records)
    for row, cable in enumerate(records.get("cables", ())):
        end = cable.get("to_node")
        if end is not None and str(end) not in tags:
            near = get_close_matches(str(end), tags, n=1, cutoff=0.4)
            yield RecordProblem(
                sheet="cables",
                row=row,
                field="to_node",
                problem=f"there is no board {end!r} on the fixture",
                allowed=_some(tags),
                remedy=f"nearest: {near[0]}" if near else "",
                rests_on=TAGS_ON_THE_FIXTURE,
            )


def _lead_sets_exist(records: Records) -> Iterator[RecordProblem]:
    chosen = form_of(records, "fixture").get("driver")
    model = next((entry for entry in records.get("drivers", ()) if entry.get("tag") == chosen), None)
    count = (model or {}).get("lead_sets_count") or 1
    for row, cable in enumerate(records.get("cables", ())):
        own = cable.get("lead_set")
        if model is not None and isinstance(own, int | float) and isinstance(count, int | float) and own > count:
            many = "one output lead set" if count == 1 else f"{count:g} output lead sets"
            yield RecordProblem(
                sheet="cables",
                row=row,
                field="lead_set",
                problem=f"the driver has {many}",
                allowed=f"1 to {count:g}",
                rests_on=("drivers.lead_sets_count", "drivers.tag", "fixture.driver"),
            )
    if (model or {}).get("lead_sets") == "separately limited":
        yield from _separate_sets_stay_apart(records)


def _entries_are_of_their_kind(records: Records) -> Iterator[RecordProblem]:
    """Say where a gland stands for a sleeve or the other way, and where a cable has fewer cores than its run needs."""
    kinds = {entry.get("tag"): entry.get("kind") for entry in records.get("entries", ())}
    needed = 1 if form_of(records, "fixture").get("arrangement") == "single wires" else 2
    for row, cable in enumerate(records.get("cables", ())):
        for column, is_gland in (("sleeve", False), ("gland", True)):
            kind = kinds.get(cable.get(column))
            if kind is not None and (kind == "gland") != is_gland:
                wanted = "a gland" if is_gland else "a sleeve or conduit"
                yield _of_cable(row, column, f"{cable[column]!r} is a {kind}", wanted)
        cores = cable.get("cores_count")
        if isinstance(cores, int | float) and cores < needed:
            yield _of_cable(row, "cores_count", f"{cores:g} core does not lead out and back", f"at least {needed}")


def _separate_sets_stay_apart(records: Records) -> Iterator[RecordProblem]:
    rows = [
        (str(cable.get("from_node") or "driver"), str(cable["to_node"]), int(cable.get("lead_set") or 1))
        for cable in records.get("cables", ())
        if cable.get("to_node") is not None
    ]
    sets = lead_sets_at(rows)
    for row, (start, end, _) in enumerate(rows):
        owner = wire_end(end)[0] if wire_end(end)[0] != "driver" else wire_end(start)[0]
        if len(sets.get(owner, ())) > 1 and "driver" in {wire_end(start)[0], wire_end(end)[0]}:
            yield _of_cable(
                row, "lead_set", "this run joins lead sets that the driver limits separately", "one lead set a part"
            )


def _wires_reach_all(records: Records) -> Iterator[RecordProblem]:
    tags = board_tags(records)
    sides = {(tag, side) for tag in tags for side in "+-"}
    # A board passes current, so that what hangs beyond it counts as reached from both sides.
    joined: list[tuple[tuple[str, str], tuple[str, str]]] = [((tag, "+"), (tag, "-")) for tag in tags]
    used = set()
    for row, cable in enumerate(records.get("cables", ())):
        if cable.get("to_node") is None:
            continue
        ends = []
        for name in ("from_node", "to_node"):
            owner, side = wire_end(str(cable.get(name) or "driver"))
            ends.append((owner, side))
            if not side and (owner == "driver" or owner in tags):
                yield _of_cable(row, name, f"{owner!r} has two sides", f"{owner} + or {owner} -")
            elif side and owner != "driver" and owner not in tags:
                near = get_close_matches(owner, tags, n=1, cutoff=0.4)
                nearest = f"nearest: {near[0]}" if near else ""
                allowed = f"driver, {_some(tags)}; a joint's own name does not end in + or -"
                yield _of_cable(row, name, f"there is no board {owner!r}", allowed, nearest)
        if ends[0] == ends[1]:
            yield _of_cable(row, "to_node", "the wire ends where it starts", "another end")
        used |= set(ends)
        joined.append((ends[0], ends[1]))
    reached = {("driver", "+"), ("driver", "-")}
    for _ in joined:
        for start, end in joined:
            if start in reached or end in reached:
                reached |= {start, end}
    yield from _nothing_is_bridged(records, tags)
    yield from _joints_lead_on(records, tags)
    for tag, side in sorted(sides - (used & reached)):
        yield _no_cable(f"no wire leads from the driver to {tag} {side}", f"add a row that ends at {tag} {side}")


def _nothing_is_bridged(records: Records, tags: Sequence[str]) -> Iterator[RecordProblem]:
    """Name the wire that joins both sides of the driver or of a board without a board between."""
    part: dict[tuple[str, str], int] = {}
    for row, cable in enumerate(records.get("cables", ())):
        if cable.get("to_node") is None:
            continue
        start, end = (wire_end(str(cable.get(name) or "driver")) for name in ("from_node", "to_node"))
        gone, kept = part.setdefault(start, len(part)), part.setdefault(end, len(part))
        part = {node: kept if own == gone else own for node, own in part.items()}
        for owner in ("driver", *tags):
            if part.get((owner, "+"), -1) == part.get((owner, "-"), -2):
                what = "short-circuits the driver" if owner == "driver" else f"bridges board {owner}"
                yield _of_cable(row, "to_node", f"this wire {what}: + and - are joined", "no way round a board")
                return


def _joints_lead_on(records: Records, tags: Sequence[str]) -> Iterator[RecordProblem]:
    """Name each joint that only one wire meets: mostly a side of a board misspelt."""
    met: dict[str, list[tuple[int, str]]] = {}
    for row, cable in enumerate(records.get("cables", ())):
        for name in ("from_node", "to_node"):
            owner, side = wire_end(str(cable.get(name) or "driver"))
            if not side and owner != "driver" and owner not in tags:
                met.setdefault(owner, []).append((row, name))
    ends = [f"{owner} {side}" for owner in ("driver", *tags) for side in "+-"]
    for owner, places in met.items():
        if len(places) == 1:
            near = get_close_matches(owner, ends, n=1, cutoff=0.5)
            yield _of_cable(
                *places[0],
                f"the joint {owner!r} leads nowhere: no other wire meets it",
                "a joint of two wires or more, or a side of a board or of the driver",
                f"nearest: {near[0]}" if near else "",
            )


def _some(tags: list[str]) -> str:
    return ", ".join(tags[:12]) + (" ..." if len(tags) > 12 else "")
