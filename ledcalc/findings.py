"""What a finding is: a legal but unwise state of the fixture, with its place, its limit, its remedy and its basis."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ledcalc.schema import Value

__all__ = ["SEVERITIES", "Finding", "count_by_severity", "worst_first"]

SEVERITIES: dict[str, str] = {
    "stop": "do not energise until this is mended",
    "act": "change this",
    "note": "good to know",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found by a rule.

    ``path`` names the input that the remedy would change (``cables[3].size``), ``cell`` where it stands in the
    user's file (``Cables!E9``; empty when the fixture came from Python). ``value`` and ``limit`` are in ``unit``.
    ``changes`` is the remedy in a form that a program can apply (``ledcalc.with_values``);
    empty where the remedy is work with the hands.
    """

    code: str
    severity: str
    path: str
    message: str
    value: float | None
    limit: float | None
    unit: str
    remedy: str
    basis: str
    cell: str = ""
    changes: Mapping[str, Value] = field(default_factory=dict)


def count_by_severity(findings: Sequence[Finding]) -> dict[str, int]:
    """Return how many findings there are of each severity, all severities named.

    Examples
    --------
    >>> count_by_severity([])
    {'stop': 0, 'act': 0, 'note': 0}
    """
    return {severity: sum(found.severity == severity for found in findings) for severity in SEVERITIES}


def worst_first(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings sorted by severity, order kept within one severity."""
    order = list(SEVERITIES)
    return tuple(sorted(findings, key=lambda found: order.index(found.severity)))
