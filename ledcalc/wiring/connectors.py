"""What the plugs, sockets and appliance couplers on the mains side are rated for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from ledcalc.arguments import choice
from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.mains import continuous_limit_a
from ledcalc.wiring.sizes import RULE_SETS

__all__ = ["ConnectorRating", "connector_limit_a", "connector_rating", "known_connectors"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorRating:
    """A connector's rating, what of it a load may take, its rated voltage, and whether it carries an earth."""

    connector: str
    rated_a: float
    limit_a: float
    rated_v: float
    has_earth: bool
    source: str


def known_connectors(rule_set: str | None = None) -> tuple[str, ...]:
    """Return the connectors of the table, or those that have a rating under a rule set.

    Raises
    ------
    ArgumentError (a ValueError): an unknown rule set

    Examples
    --------
    >>> known_connectors("NEC")[-1]
    'NEMA 6-20'
    """
    if rule_set is None:
        return tuple(row["connector"] for row in table("connectors"))
    column = f"{choice('rule_set', rule_set, RULE_SETS).lower()}_a"
    return tuple(row["connector"] for row in table("connectors") if row[column])


def connector_limit_a(connector: str, rule_set: str = "NEC", continuous: bool = True) -> float:
    """Return the current that a load may draw through a mains connector.

    Parameters
    ----------
    connector : ``"C13"``, ``"NEMA 5-15"``, ``"BS 1363"``, ``"CEE 7/7"``, one of ``known_connectors()``; also as
        ``"IEC 60320 C13"`` or ``"5-15P"``
    rule_set : ``"NEC"`` (the UL figure) or ``"IEC"``
    continuous : whether the load runs for 3 h or more; NEC then allows 80 %

    Returns
    -------
    A rms

    Raises
    ------
    ArgumentError (a ValueError): an unknown connector or rule set
    TableRangeError (an ArgumentError): the connector has no rating known to us under the rule set

    Validity
    --------
    New, clean contacts, fully mated. The cord has an ampacity of its own, and so has the fuse in a fused plug: the
    lowest counts. Both halves of a coupling count.

    References
    ----------
    IEC 60320-1, NEMA WD 6, BS 1363, CEE 7, EN 50075; NFPA 70 (NEC) 210.21(B); all from memory.

    Examples
    --------
    >>> connector_limit_a("NEMA 5-15"), connector_limit_a("C13", "IEC")
    (12.0, 10.0)
    """
    return connector_rating(connector, rule_set, continuous).limit_a


def connector_rating(connector: str, rule_set: str = "NEC", continuous: bool = True) -> ConnectorRating:
    """Return a mains connector's ratings; parameters, errors and sources as ``connector_limit_a``.

    Examples
    --------
    >>> rating = connector_rating("C7", "IEC")
    >>> rating.rated_a, rating.rated_v, rating.has_earth
    (2.5, 250.0, False)
    """
    column = f"{choice('rule_set', rule_set, RULE_SETS).lower()}_a"
    name = _known_name(connector)
    row = next(row for row in table("connectors") if row["connector"] == name)
    if not row[column]:
        raise TableRangeError("connector", connector, f"with the {rule_set} rule set {_listed(rule_set)}")
    rated = float(row[column])
    return ConnectorRating(
        connector=name,
        rated_a=rated,
        limit_a=float(continuous_limit_a(rated, rule_set=rule_set)) if continuous else rated,
        rated_v=float(row["voltage_v"]),
        has_earth=row["has_earth"] == "yes",
        source=row["source"],
    )


def _known_name(connector: str) -> str:
    words = " ".join(str(connector).upper().split())
    words = re.sub(r"^(IEC )?(60320[- ])?(?=C\d)", "", words)
    words = re.sub(r"^(?:NEMA )?([56]-\d\d)[PR]?$", r"NEMA \1", words)
    names = known_connectors()
    if words in names:
        return words
    near = get_close_matches(words, names, n=1)
    raise ArgumentError("connector", connector, f"{', '.join(names)}{f' (nearest: {near[0]})' if near else ''}")


def _listed(rule_set: str) -> str:
    return ", ".join(known_connectors(rule_set))
