"""How far the verdict holds: the smallest change of an input that brings a finding or takes one away."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.checks import RULES
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Fixture
from ledcalc.variants.fixture_model import Evaluate, FixtureModel
from ledcalc.variants.rows import VariantRow, evaluate_variants
from ledcalc.variants.sensitivity import Factor

__all__ = ["Flip", "verdict_tolerance"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flip:
    """How far one input may move one way before the verdict changes.

    ``value``: the first found at which it differs, NaN where it holds up to the factor's end; ``holds_to``: the last at
    which it does not. ``brings`` and ``clears``: codes of findings; ``reason``: why it cannot be worked out there,
    where that is what changes.
    """

    path: str
    direction: str
    base: float
    holds_to: float
    value: float
    brings: tuple[str, ...]
    clears: tuple[str, ...]
    reason: str
    line: str


@dataclass(slots=True)
class _Hunt:
    """One factor in one direction: the verdict holds at ``inside`` and has changed at ``outside``, if found."""

    number: int
    factor: Factor
    end: float
    inside: float
    outside: float | None = None
    there: VariantRow | None = None


def verdict_tolerance(
    fixture: Fixture,
    factors: Sequence[Factor],
    *,
    codes: Collection[str] | None = None,
    steps_count: int = 8,
    precision_fraction: float = 0.002,
    evaluate: Evaluate = evaluate_variants,
) -> tuple[Flip, ...]:
    """Return, for each input up and down, the smallest change within its ends that flips a finding.

    Parameters
    ----------
    fixture : the base
    factors : inputs with the ends up to which they are tried; ``factor_of`` makes them
    codes : findings that count; None: all that can have severity stop or act
    steps_count : at least 1, steps from base to end that are tried first
    precision_fraction : above 0, below 1, of the way from base to end: how closely the flip is then found
    evaluate : what works the variants out

    Returns
    -------
    Flip, one a factor and direction, the factor's order kept; none where the base lies at that end

    Raises
    ------
    ArgumentError (a ValueError): an unknown code or path, a number out of its range, or a base that cannot be worked
    out

    Validity
    --------
    One input at a time. A finding that comes and goes within one step is not seen.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.variants.fixture_model import factor_of
    >>> dial = factor_of(seedling_bench(), "fixture.current_setting_a", step=0.8)
    >>> down, up = verdict_tolerance(seedling_bench(), [dial], codes=["driver-setting-out-of-range"], steps_count=4)
    >>> down.value, up.brings, 5.0 < up.value < 5.002
    (nan, ('driver-setting-out-of-range',), True)
    """
    steps = int(whole_numbers("steps_count", steps_count, at_least=1))
    precision = float(numbers("precision_fraction", precision_fraction, above=0, below=1))
    counted = _counted(codes)
    model = FixtureModel(fixture=fixture, factors=tuple(factors), figures=(), evaluate=evaluate)
    bases = np.array([factor.base for factor in factors])
    base = model.evaluated(bases[None, :])[0]
    if base.reason:
        raise ArgumentError("fixture", base.reason, "a base that can be worked out")
    verdict = _verdict(base, counted)
    hunts = [
        _Hunt(number=number, factor=factor, end=end, inside=factor.base)
        for number, factor in enumerate(factors)
        for end in (factor.low, factor.high)
        if end != factor.base
    ]
    for step in range(1, steps + 1):
        open_ones = [hunt for hunt in hunts if hunt.outside is None]
        places = [hunt.factor.base + (hunt.end - hunt.factor.base) * step / steps for hunt in open_ones]
        _try(model, bases, open_ones, places, verdict, counted)
    for _ in range(int(np.ceil(np.log2(1.0 / (steps * precision)))) if steps * precision < 1 else 0):
        found = [hunt for hunt in hunts if hunt.outside is not None]
        _try(
            model, bases, found, [0.5 * (hunt.inside + float(hunt.outside or 0.0)) for hunt in found], verdict, counted
        )
    for hunt in hunts:
        hunt.inside = model.applied(hunt.number, hunt.inside)
        hunt.outside = None if hunt.outside is None else model.applied(hunt.number, hunt.outside)
    return tuple(_flip(hunt, verdict, counted) for hunt in hunts)


def _counted(codes: Collection[str] | None) -> frozenset[str]:
    known = {rule.code for rule in RULES}
    if codes is None:
        return frozenset(rule.code for rule in RULES if rule.severities != ("note",))
    for code in codes:
        if code not in known:
            raise ArgumentError("codes", code, ", ".join(sorted(known)))
    return frozenset(codes)


def _verdict(row: VariantRow, counted: frozenset[str]) -> frozenset[str] | None:
    """Return the findings that count, None where the variant could not be worked out."""
    return None if row.reason else counted.intersection(row.codes)


def _try(
    model: FixtureModel,
    bases: FloatArray,
    hunts: Sequence[_Hunt],
    places: Sequence[float],
    verdict: frozenset[str] | None,
    counted: frozenset[str],
) -> None:
    """Work out every hunt's next place together, and move the end of the hunt that it belongs to."""
    if not hunts:
        return
    rows = np.tile(bases, (len(hunts), 1))
    for row, (hunt, place) in enumerate(zip(hunts, places, strict=True)):
        rows[row, hunt.number] = place
    for hunt, place, row_there in zip(hunts, places, model.evaluated(rows), strict=True):
        if _verdict(row_there, counted) == verdict:
            hunt.inside = place
        else:
            hunt.outside, hunt.there = place, row_there


def _flip(hunt: _Hunt, verdict: frozenset[str] | None, counted: frozenset[str]) -> Flip:
    there = hunt.there
    codes = tuple(code for code in there.codes if code in counted) if there else ()
    before = verdict or frozenset()
    brings = tuple(code for code in codes if code not in before)
    clears = tuple(sorted(before - set(codes))) if there and not there.reason else ()
    value = float("nan") if hunt.outside is None else hunt.outside
    return Flip(
        path=hunt.factor.path,
        direction="up" if hunt.end > hunt.factor.base else "down",
        base=hunt.factor.base,
        holds_to=hunt.inside,
        value=value,
        brings=brings,
        clears=clears,
        reason=there.reason if there else "",
        line=_line(hunt, brings, clears, there.reason if there else ""),
    )


def _line(hunt: _Hunt, brings: Sequence[str], clears: Sequence[str], reason: str) -> str:
    factor = hunt.factor
    what = f"{factor.path}{' (share of its value)' if factor.relative else ''}"
    if hunt.outside is None:
        return f"{what}: the verdict holds from {factor.base:.4g} to {hunt.end:.4g}"
    change = hunt.outside - factor.base
    share = f" ({100 * change / factor.base:+.2g} %)" if factor.base else ""
    said = [f"brings {', '.join(brings)}"] if brings else []
    said += [f"clears {', '.join(clears)}"] if clears else []
    said += [f"cannot be worked out: {reason}"] if reason else []
    return f"{what}: {change:+.3g}{share}, at {hunt.outside:.4g}, {' and '.join(said)}"
