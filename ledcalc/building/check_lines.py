"""What a checklist consists of."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Check", "CheckSection"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One line: what to do, what to expect, and how far off it may be, or when it is due."""

    do: str
    expect: str
    tolerance: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSection:
    """Checks that belong together, in their order, with the cautions that go before them."""

    title: str
    cautions: tuple[str, ...]
    checks: tuple[Check, ...]
