"""The rules of a wire's protection, size by size: status, fuses that fit, the next size that would be protected."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.wiring.devices import (
    SLACK,
    DeviceKind,
    goes_by_small_limit,
    highest_rating_within,
    next_rating,
    small_conductor_limit,
    wire_limit_a,
)
from ledcalc.wiring.laying import Laying, buyable_sizes
from ledcalc.wiring.sizes import conductor_area_mm2

__all__ = [
    "PROTECTED",
    "PROTECTION_STATUSES",
    "ProtectionCase",
    "highest_fuse_a",
    "needed_fuse_a",
    "protection_notes",
    "protection_status",
    "recommended_fuse_a",
    "remedy_size",
]

BY_SOURCE = "protected by the source's limit"
BY_FUSE = "protected by its fuse"
UNPROTECTED = "within ampacity, not protected by the source's limit"
OVERLOADED = "over its ampacity"
FUSE_HIGH = "fuse above the wire"
FUSE_LOW = "fuse too small for its load"
ELECTRONIC = "limited electronically only"
FUSE_VOLTAGE = "fuse's voltage too low (DC)"
PROTECTION_STATUSES = (BY_SOURCE, BY_FUSE, UNPROTECTED, OVERLOADED, FUSE_HIGH, FUSE_LOW, ELECTRONIC, FUSE_VOLTAGE)
PROTECTED = (BY_SOURCE, BY_FUSE)
# IEC 60364-4-43 clause 433.1: what opens the device for certain is at most 1.45 times what the wire carries for good.
OVERLOAD_FACTOR = 1.45


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectionCase:
    """A wire's load, source and fuse, apart from its size. ``needed_a``: what its fuse must carry at least."""

    load_a: float
    source_limit_a: float
    source_voltage_v: float
    needed_a: float
    kind: DeviceKind
    fuse_a: float | None
    fuse_voltage_v: float | None
    is_continuous: bool
    rule_set: str
    wire_kind: str | None


def protection_status(case: ProtectionCase, size: str, ampacity_a: float) -> str:
    """Return the status of a wire of some size and ampacity."""
    limit = _wire_limit_a(case, size, ampacity_a)
    by_source = case.source_limit_a <= limit * SLACK
    if case.load_a > _load_limit_a(case, size, ampacity_a) * SLACK:
        return OVERLOADED
    if case.fuse_a is None:
        return BY_SOURCE if by_source else UNPROTECTED
    if case.fuse_voltage_v is not None and case.fuse_voltage_v < case.source_voltage_v:
        return FUSE_VOLTAGE
    if case.fuse_a * SLACK < case.needed_a:
        return FUSE_LOW
    if by_source:
        return BY_SOURCE
    if case.fuse_a > _fuse_ceiling_a(case, size, ampacity_a) * SLACK:
        return FUSE_HIGH
    return BY_FUSE if _blows(case, case.fuse_a) else ELECTRONIC


def needed_fuse_a(case: ProtectionCase) -> float | None:
    """Return the smallest standard rating for the load, None where the kind has none so large."""
    try:
        return float(next_rating(case.needed_a, case.kind.kind))
    except TableRangeError:
        return None


def highest_fuse_a(case: ProtectionCase, size: str, ampacity_a: float) -> float | None:
    """Return the largest standard rating for the wire, blown by its source or not; None: the kind has none so small."""
    try:
        return float(highest_rating_within(_fuse_ceiling_a(case, size, ampacity_a), case.kind.kind))
    except TableRangeError:
        return None


def recommended_fuse_a(case: ProtectionCase, size: str, ampacity_a: float) -> float | None:
    """Return the fuse to fit: for the load, within the wire, blown by the source, made for its voltage."""
    needed, highest = needed_fuse_a(case), highest_fuse_a(case, size, ampacity_a)
    if needed is None or highest is None or needed > highest or not _blows(case, needed):
        return None
    if protection_status(case, size, ampacity_a) == BY_SOURCE:
        return None
    made_for = case.fuse_voltage_v
    return None if made_for is not None and made_for < case.source_voltage_v else needed


def remedy_size(case: ProtectionCase, status: str, size: str, laying: Laying) -> tuple[str | None, str]:
    """Return the next thicker size that would be protected, all else as it is; or None and why."""
    if status in (FUSE_LOW, FUSE_VOLTAGE):
        return None, "a thicker wire changes nothing in that"
    if not laying.is_known():
        return None, "no remedy's size: wire kind (NEC) or installation method (IEC) not given"
    own = conductor_area_mm2(size, rule_set=case.rule_set)
    for thicker in buyable_sizes(case.rule_set):
        if conductor_area_mm2(thicker, rule_set=case.rule_set) <= own:
            continue
        try:
            steps = laying.steps(thicker)
        except ArgumentError as problem:
            return None, f"no remedy's size: {problem}"
        if not isinstance(steps, str) and protection_status(case, thicker, float(steps.ampacity_a)) in PROTECTED:
            return thicker, ""
    return None, "no thicker size in its table would be protected"


def protection_notes(case: ProtectionCase, size: str, ampacity_a: float, why_none: str) -> tuple[str, ...]:
    """Return why a wire stands as it does, in plain words."""
    return (*_wire_notes(case, size, ampacity_a), *_fuse_notes(case, size, ampacity_a), *filter(None, [why_none]))


def _wire_notes(case: ProtectionCase, size: str, ampacity_a: float) -> Iterator[str]:
    limit = _wire_limit_a(case, size, ampacity_a)
    yield (
        f"the source can go on delivering {case.source_limit_a:.3g} A into a fault; "
        f"the wire may be protected at up to {limit:.3g} A"
    )
    if limit < ampacity_a:
        yield f"{size} building wire: a device of {limit:g} A at most, whatever its ampacity (NEC 240.4(D))"
    load_limit = _load_limit_a(case, size, ampacity_a)
    if case.load_a > load_limit * SLACK:
        yield f"the load is {case.load_a:.3g} A; the wire may carry {load_limit:.3g} A for good"


def _fuse_notes(case: ProtectionCase, size: str, ampacity_a: float) -> Iterator[str]:
    kind = case.kind.kind
    ceiling = _fuse_ceiling_a(case, size, ampacity_a)
    if needed_fuse_a(case) is None:
        yield f"no {kind} is as large as the {case.needed_a:.3g} A that the load asks for"
    if highest_fuse_a(case, size, ampacity_a) is None:
        yield f"no {kind} is as small as the {ceiling:.3g} A that the wire asks for"
    if case.fuse_a is None:
        return
    opens = case.fuse_a * case.kind.opens_factor
    yield f"a {kind} of {case.fuse_a:g} A opens for certain at {opens:.3g} A; for this wire {ceiling:.3g} A is the most"
    if not _blows(case, case.fuse_a):
        yield f"the source's {case.source_limit_a:.3g} A may never blow it"
    if case.fuse_a not in case.kind.ratings_a:
        yield f"{case.fuse_a:g} A is no standard rating of a {kind} known here"
    if case.fuse_voltage_v is None:
        yield f"the dc voltage that the {kind} is made for is not given; {case.source_voltage_v:.3g} V stands behind it"


def _wire_limit_a(case: ProtectionCase, size: str, ampacity_a: float) -> float:
    return wire_limit_a(size, ampacity_a, rule_set=case.rule_set, wire_kind=case.wire_kind)


def _load_limit_a(case: ProtectionCase, size: str, ampacity_a: float) -> float:
    if not goes_by_small_limit(size, rule_set=case.rule_set, wire_kind=case.wire_kind):
        return ampacity_a
    small = small_conductor_limit(size)
    return min(ampacity_a, small.continuous_a if case.is_continuous else small.device_a)


def _fuse_ceiling_a(case: ProtectionCase, size: str, ampacity_a: float) -> float:
    return min(_wire_limit_a(case, size, ampacity_a), OVERLOAD_FACTOR * ampacity_a / case.kind.opens_factor)


def _blows(case: ProtectionCase, fuse_a: float) -> bool:
    return case.source_limit_a * SLACK >= fuse_a * case.kind.opens_factor
