"""Names typed in other letters than in their own sheet: b2 for B2."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledcalc.schema.cabling import wire_end
from ledcalc.schema.contradictions import known_names
from ledcalc.schema.model import sheets
from ledcalc.schema.record import Records, board_tags, form_of

__all__ = ["names_as_listed"]


def names_as_listed(records: Records) -> Iterator[tuple[str, int, str, str]]:
    """Yield sheet, row (from 0), field and listed name of each reference that differs from it in letter case only.

    Where two names differ in case only, neither is meant more than the other: nothing is said of them.

    Examples
    --------
    >>> list(names_as_listed({"fixture": [{"columns_count": 2}], "current_log": [{"board": "b2"}]}))
    [('current_log', 0, 'board', 'B2')]
    """
    for part in sheets():
        for field in part.fields:
            if field.refers_to is None or not records.get(part.key):
                continue
            known = known_names(records, field)
            for row, record in enumerate(records[part.key]):
                name = record.get(field.name)
                if name is not None and (listed := _listed(str(name), known)):
                    yield part.key, row, field.name, listed
    yield from _cable_ends(records)


def _cable_ends(records: Records) -> Iterator[tuple[str, int, str, str]]:
    tags = board_tags(records)
    is_single = form_of(records, "fixture").get("arrangement") == "single wires"
    for row, cable in enumerate(records.get("cables", ())):
        for name in ("from_node", "to_node"):
            typed = str(cable.get(name) or "")
            owner, side = wire_end(typed) if is_single else (typed, "")
            # Without a side, an end of a single wire is a joint with a name of its own.
            listed = _listed(owner, tags) if side or not is_single else ""
            if listed:
                yield "cables", row, name, f"{listed} {side}".rstrip()


def _listed(name: str, known: Sequence[str]) -> str:
    """Return the one known name that differs from a name in letter case only, else nothing."""
    if not name or name in known:
        return ""
    alike = [one for one in known if one.casefold() == name.casefold()]
    return alike[0] if len(alike) == 1 else ""
