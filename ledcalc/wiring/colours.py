"""Colours of conductors: what they are meant to say in each rule set, and what else the same colour may mean."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import choice
from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.sizes import RULE_SETS

__all__ = ["COLOUR_PLACES", "COLOUR_REMINDER", "ConductorColour", "colour_roles", "conductor_colour"]

COLOUR_PLACES = ("cord", "fixed", "fixed 277/480 V", "dc")
COLOUR_REMINDER = (
    "A colour proves nothing: old, foreign and mistaken wiring use it otherwise. Switch off, lock off and prove each "
    "conductor dead and which it is by test, by a licensed electrician where mains is concerned."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorColour:
    """The colours of one conductor. ``colours``: any one of them; ``standing``: required or customary.

    ``also_means``: what else, somewhere in the table, wears one of these colours. ``reminder`` goes wherever this does.
    """

    colours: tuple[str, ...]
    standing: str
    also_means: tuple[str, ...]
    reminder: str
    source: str


def conductor_colour(role: str, rule_set: str = "NEC", where: str = "cord") -> ConductorColour:
    """Return the colour that marks a conductor, and what the same colour marks elsewhere.

    Parameters
    ----------
    role : ``"line"``, ``"line 2"``, ``"line 3"``, ``"neutral"``, ``"earth"``, ``"positive"``, ``"negative"`` or
        ``"midpoint"``
    rule_set : ``"NEC"`` or ``"IEC"``
    where : ``"cord"``, ``"fixed"`` (NEC: 120/240 V and 208Y/120 V), ``"fixed 277/480 V"`` or ``"dc"``

    Returns
    -------
    ConductorColour

    Raises
    ------
    ArgumentError (a ValueError): an unknown role, rule set or place
    TableRangeError (an ArgumentError): no such conductor there

    Validity
    --------
    New wiring. It tells how to mark a conductor, never what a conductor is: prove that by test.

    References
    ----------
    NFPA 70 (NEC) 200.6, 210.5, 250.119, 400.22, 400.23, UL 62; IEC 60445:2017, HD 308; partly from memory.

    Examples
    --------
    >>> found = conductor_colour("negative", "IEC", "dc")
    >>> found.colours, found.also_means[0]
    (('white',), 'NEC cord: neutral')
    """
    choice("role", role, tuple(dict.fromkeys(row["role"] for row in table("conductor_colours"))))
    choice("rule_set", rule_set, RULE_SETS)
    choice("where", where, COLOUR_PLACES)
    here = [row for row in table("conductor_colours") if (row["rule_set"], row["place"]) == (rule_set, where)]
    found = [row for row in here if row["role"] == role]
    if not found:
        roles = ", ".join(row["role"] for row in here) or "nothing"
        raise TableRangeError("role", role, f"{roles}: what the table has for {rule_set}, {where}")
    colours = tuple(found[0]["colour"].split(" or "))
    others = [text for colour in colours for text in colour_roles(colour) if not text.endswith(f": {role}")]
    return ConductorColour(
        colours=colours,
        standing=found[0]["standing"],
        also_means=tuple(dict.fromkeys(others)),
        reminder=COLOUR_REMINDER,
        source=found[0]["source"],
    )


def colour_roles(colour: str) -> tuple[str, ...]:
    """Return everything that a colour marks, as ``"IEC fixed: line 2"``; it never tells which of these a conductor is.

    Parameters
    ----------
    colour : ``"black"``, ``"grey"``, ``"green-yellow"`` ...

    Raises
    ------
    ArgumentError (a ValueError): no conductor of the table has that colour

    Examples
    --------
    >>> colour_roles("blue")
    ('NEC fixed: line 3', 'IEC cord: neutral', 'IEC fixed: neutral', 'IEC dc: midpoint')
    """
    wanted = str(colour).strip().lower().replace("gray", "grey").replace("/", "-")
    rows = [(row, row["colour"].split(" or ")) for row in table("conductor_colours")]
    known = tuple(dict.fromkeys(name for _, names in rows for name in names))
    if wanted not in known:
        raise ArgumentError("colour", colour, ", ".join(known))
    return tuple(f"{row['rule_set']} {row['place']}: {row['role']}" for row, names in rows if wanted in names)
