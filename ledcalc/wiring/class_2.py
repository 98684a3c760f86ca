"""Class 2 sources: the limits at a voltage, which of them a source passes, and what an open circuit is to the touch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledcalc.arguments import choice, numbers
from ledcalc.errors import TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.devices import SLACK
from ledcalc.wiring.mains import touch_voltage_limit_v

__all__ = [
    "TOUCH_CLASSES",
    "Class2Limits",
    "Class2Verdict",
    "class_2_limits",
    "is_within_class_2",
    "touch_voltage_class",
]

SUPPLIES = ("dc", "ac")
TOUCH_CLASSES = (
    "within the touch limit of wet places",
    "within the touch limit of dry places only",
    "above the touch limit of any place",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Class2Limits:
    """The limits of a Class 2 source at a voltage; None where the table sets none.

    ``current_a``: what it delivers into any load after a minute, short circuit included. ``power_va``: what it delivers
    then, its overcurrent device bypassed. ``overcurrent_a``: the largest overcurrent device. ``nameplate_va`` and
    ``nameplate_a``: what it may be rated for.
    """

    voltage_v: float
    current_a: float
    power_va: float | None
    overcurrent_a: float | None
    nameplate_va: float
    nameplate_a: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Class2Verdict:
    """Whether a source stays within the Class 2 figures, each limit that it passes, and the limits; None: no row."""

    is_within: bool
    passed_limits: tuple[str, ...]
    limits: Class2Limits | None


def class_2_limits(voltage_v: float, kind: str = "dc", inherently_limited: bool = True) -> Class2Limits:
    """Return the limits of a Class 2 source.

    Parameters
    ----------
    voltage_v : V, above 0: highest output, open circuit at rated mains (rms for ac)
    kind : ``"dc"`` or ``"ac"``
    inherently_limited : whether the source itself limits its current, so that it needs no overcurrent device

    Returns
    -------
    Class2Limits

    Raises
    ------
    ArgumentError (a ValueError): an unknown kind, or a number out of its range
    TableRangeError (an ArgumentError): a voltage above the last row

    Validity
    --------
    Dry places; where wet contact is likely 30 V dc is the most (``touch_voltage_limit_v``). A source is Class 2 by its
    marking, not by figures.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Tables 11(A) and 11(B): cells from memory, notes in a public copy.

    Examples
    --------
    >>> found = class_2_limits(48.0)
    >>> found.current_a, found.nameplate_va, round(found.nameplate_a, 3)
    (3.125, 100.0, 2.083)
    """
    volts = float(numbers("voltage_v", voltage_v, above=0))
    choice("kind", kind, SUPPLIES)
    limited = "yes" if inherently_limited else "no"
    rows = [row for row in table("nec_class_2") if (row["kind"], row["inherently_limited"]) == (kind, limited)]
    for row in rows:
        if volts <= float(row["up_to_v"]):
            return _limits(volts, row)
    raise TableRangeError("voltage_v", volts, f"at most {rows[-1]['up_to_v']} V {kind}, the last row of its table")


def is_within_class_2(
    voltage_v: float,
    current_a: float,
    power_va: float,
    *,
    kind: str = "dc",
    inherently_limited: bool = True,
    location: str = "dry",
) -> Class2Verdict:
    """Return which Class 2 limits a source passes.

    Parameters
    ----------
    voltage_v : V, above 0: open circuit
    current_a : A, at least 0: the most it delivers into any load, short circuit included
    power_va : VA (W for dc), at least 0: rated output
    kind, inherently_limited : as in ``class_2_limits``
    location : ``"dry"``, ``"damp"`` or ``"wet"``; other than dry for dc only

    Returns
    -------
    Class2Verdict

    Raises
    ------
    ArgumentError (a ValueError): an unknown word, or a number out of its range

    Validity
    --------
    As ``class_2_limits``: figures only, never a verdict on a product.

    References
    ----------
    As ``class_2_limits`` and ``touch_voltage_limit_v``.

    Examples
    --------
    >>> is_within_class_2(54.0, 12.5, 600.0).passed_limits
    ('current 12.5 A above 2.78 A', 'rated output 600 VA above 100 VA')
    """
    volts = float(numbers("voltage_v", voltage_v, above=0))
    current = float(numbers("current_a", current_a, at_least=0))
    power = float(numbers("power_va", power_va, at_least=0))
    choice("location", location, ("dry", "damp", "wet") if kind == "dc" else ("dry",))
    try:
        limits = class_2_limits(volts, kind, inherently_limited)
    except TableRangeError as problem:
        return Class2Verdict(is_within=False, passed_limits=(f"voltage {volts:.3g} V: {problem.allowed}",), limits=None)
    passed = (*_passed_voltage(volts, kind, location), *_passed(current, power, limits))
    return Class2Verdict(is_within=not passed, passed_limits=passed, limits=limits)


def touch_voltage_class(voltage_v: float, *, rule_set: str = "NEC") -> str:
    """Return what the open-circuit voltage of a dc string is to the touch, one of ``TOUCH_CLASSES``.

    Parameters
    ----------
    voltage_v : V dc, at least 0: open circuit, all boards of a series string together
    rule_set : ``"NEC"`` or ``"IEC"``

    Raises
    ------
    ArgumentError (a ValueError): an unknown rule set, or a number out of its range

    Validity, References
    --------------------
    As ``touch_voltage_limit_v``; damp places go with wet ones.

    Examples
    --------
    >>> touch_voltage_class(24.0), touch_voltage_class(96.0)
    ('within the touch limit of wet places', 'above the touch limit of any place')
    """
    volts = float(numbers("voltage_v", voltage_v, at_least=0))
    wet = min(touch_voltage_limit_v(place, rule_set=rule_set) for place in ("damp", "wet"))
    if volts <= wet:
        return TOUCH_CLASSES[0]
    return TOUCH_CLASSES[1] if volts <= touch_voltage_limit_v("dry", rule_set=rule_set) else TOUCH_CLASSES[2]


def _limits(volts: float, row: Mapping[str, str]) -> Class2Limits:
    def over_voltage(direct: str, product: str) -> float | None:
        if row[direct]:
            return float(row[direct])
        return float(row[product]) / volts if row[product] else None

    current = over_voltage("current_a", "current_va")
    rated = over_voltage("nameplate_a", "nameplate_va")
    assert current is not None
    assert rated is not None
    return Class2Limits(
        voltage_v=volts,
        current_a=current,
        power_va=float(row["power_va"]) if row["power_va"] else None,
        overcurrent_a=over_voltage("overcurrent_a", "overcurrent_va"),
        nameplate_va=float(row["nameplate_va"]) if row["nameplate_va"] else rated * volts,
        nameplate_a=rated,
        source=row["source"],
    )


def _passed_voltage(volts: float, kind: str, location: str) -> Iterator[str]:
    if kind == "dc" and location != "dry":
        most = touch_voltage_limit_v(location)
        if volts > most * SLACK:
            yield f"voltage {volts:.3g} V above {most:g} V dc, {location} places"


def _passed(current_a: float, power_va: float, limits: Class2Limits) -> Iterator[str]:
    if current_a > limits.current_a * SLACK:
        yield f"current {current_a:.3g} A above {limits.current_a:.3g} A"
    if power_va > limits.nameplate_va * SLACK:
        yield f"rated output {power_va:.3g} VA above {limits.nameplate_va:.3g} VA"
