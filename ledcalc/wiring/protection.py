"""Whether a wire is protected: by what its source can give at most, by its fuse, or by neither, and what would do."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import choice, numbers
from ledcalc.wiring.ampacity import WIRE_KINDS
from ledcalc.wiring.devices import DEVICE_KINDS, device_kind, wire_limit_a
from ledcalc.wiring.laying import Laying
from ledcalc.wiring.mains import continuous_limit_a
from ledcalc.wiring.protection_rules import (
    PROTECTED,
    PROTECTION_STATUSES,
    ProtectionCase,
    highest_fuse_a,
    needed_fuse_a,
    protection_notes,
    protection_status,
    recommended_fuse_a,
    remedy_size,
)
from ledcalc.wiring.sizes import RULE_SETS, parse_size

__all__ = ["PROTECTED", "PROTECTION_STATUSES", "WireProtection", "wire_protection"]

USUAL_FUSE = {"NEC": "NEC fuse", "IEC": "cartridge fuse"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WireProtection:
    """Whether a wire is protected, and what would protect it.

    ``wire_limit_a``: the ampacity, or less on small building wire. ``needed_fuse_a``: the smallest standard rating for
    the load; ``highest_fuse_a``: the largest that the wire takes; ``recommended_fuse_a``: the needed one, if the wire
    takes it, the source blows it and its voltage does; each None where there is none, and no fuse is recommended where
    the source's limit protects. ``fuse_opens_a``: the
    current that opens the fuse fitted for certain. ``remedy_size``: the next thicker size that would be protected with
    all else as it is; None where it is protected already or no size would be. ``notes``: why, in plain words.
    """

    status: str
    is_protected: bool
    wire_limit_a: float
    fuse_kind: str
    needed_fuse_a: float | None
    highest_fuse_a: float | None
    recommended_fuse_a: float | None
    fuse_opens_a: float | None
    fuse_voltage_v: float | None
    remedy_size: str | None
    notes: tuple[str, ...]


def wire_protection(
    load_a: float,
    ampacity_a: float,
    source_limit_a: float,
    *,
    source_voltage_v: float,
    size: str,
    rule_set: str = "NEC",
    fuse_kind: str | None = None,
    fuse_a: float | None = None,
    fuse_voltage_v: float | None = None,
    continuous: bool = True,
    wire_kind: str | None = None,
    insulation_c: float | None = None,
    ambient_c: float = 30.0,
    loaded_conductors: int = 2,
    installation_method: str | None = None,
    grouped_circuits: int = 1,
) -> WireProtection:
    """Return whether a wire is protected against what its source can deliver into a fault.

    Parameters
    ----------
    load_a : A, at least 0: what the wire carries in use
    ampacity_a : A, above 0: its corrected ampacity
    source_limit_a : A, above 0, may be infinite: the most the source delivers into a fault and goes on delivering
    source_voltage_v : V dc, at least 0, open circuit
    size, rule_set : as in ``conductor_ampacity``
    fuse_kind : as in ``device_kind``; None: ``"NEC fuse"`` or ``"cartridge fuse"`` by rule set
    fuse_a : A, above 0: rating of the fuse fitted; None: none fitted
    fuse_voltage_v : V dc, above 0: its rating; None: that of its kind where the kind has one
    continuous : whether the load stays for hours; under NEC its fuse is then 125 % of it or more
    wire_kind, insulation_c, ambient_c, loaded_conductors, installation_method, grouped_circuits : as in
        ``conductor_ampacity``: for the remedy's size; cords and fixture wire go by their ampacity alone, any other
        wire, named or not, by NEC 240.4(D) too

    Returns
    -------
    WireProtection

    Raises
    ------
    ArgumentError (a ValueError): an unknown size, kind or rule set, or a number out of its range

    Validity
    --------
    Overload and a fault's lasting current; breaking capacity, motor loads and the device's own air are not judged. The
    next standard rating above the ampacity, which NEC allows some wires, is never taken. The 1.45 rule of IEC holds
    for every kind of fuse here, so a cartridge fuse is at most 0.69 of the ampacity. Every case is listed in the order:
    over its ampacity, voltage, too small a fuse, source's limit, too large a fuse, a fuse never blown.

    References
    ----------
    NFPA 70 (NEC) 240.4, 240.4(D), 240.5, 210.20: public quotes, partly from memory; IEC 60364-4-43 clause 433.1, In at
    least Ib, at most Iz, I2 at most 1.45 Iz, from memory; factors of ``device_kind``, from memory.

    Examples
    --------
    >>> found = wire_protection(
    ...     2.1, 10.0, 12.5, source_voltage_v=54.0, size="18 AWG", wire_kind="flexible cord", insulation_c=60
    ... )
    >>> found.status, found.needed_fuse_a, found.highest_fuse_a, found.remedy_size
    ("within ampacity, not protected by the source's limit", 3.0, 10.0, '16 AWG')
    """
    name = parse_size(size, rule_set=choice("rule_set", rule_set, RULE_SETS))
    if wire_kind is not None:
        choice("wire_kind", wire_kind, WIRE_KINDS)
    ampacity = float(numbers("ampacity_a", ampacity_a, above=0))
    kind = device_kind(choice("fuse_kind", fuse_kind or USUAL_FUSE[rule_set], DEVICE_KINDS))
    rated = fuse_voltage_v if fuse_voltage_v is not None else kind.voltage_v
    load = float(numbers("load_a", load_a, at_least=0))
    case = ProtectionCase(
        load_a=load,
        source_limit_a=float(numbers("source_limit_a", source_limit_a, above=0, infinite=True)),
        source_voltage_v=float(numbers("source_voltage_v", source_voltage_v, at_least=0)),
        needed_a=load / float(continuous_limit_a(1.0, rule_set=rule_set)) if continuous else load,
        kind=kind,
        fuse_a=None if fuse_a is None else float(numbers("fuse_a", fuse_a, above=0)),
        fuse_voltage_v=None if rated is None else float(numbers("fuse_voltage_v", rated, above=0)),
        is_continuous=continuous,
        rule_set=rule_set,
        wire_kind=wire_kind,
    )
    laying = Laying(
        rule_set=rule_set,
        wire_kind=wire_kind,
        insulation_c=insulation_c,
        ambient_c=ambient_c,
        loaded_conductors=loaded_conductors,
        installation_method=installation_method,
        grouped_circuits=grouped_circuits,
    )
    return _result(case, name, ampacity, laying)


def _result(case: ProtectionCase, size: str, ampacity_a: float, laying: Laying) -> WireProtection:
    status = protection_status(case, size, ampacity_a)
    thicker, why_none = (None, "") if status in PROTECTED else remedy_size(case, status, size, laying)
    return WireProtection(
        status=status,
        is_protected=status in PROTECTED,
        wire_limit_a=wire_limit_a(size, ampacity_a, rule_set=case.rule_set, wire_kind=case.wire_kind),
        fuse_kind=case.kind.kind,
        needed_fuse_a=needed_fuse_a(case),
        highest_fuse_a=highest_fuse_a(case, size, ampacity_a),
        recommended_fuse_a=recommended_fuse_a(case, size, ampacity_a),
        fuse_opens_a=None if case.fuse_a is None else case.fuse_a * case.kind.opens_factor,
        fuse_voltage_v=case.fuse_voltage_v,
        remedy_size=thicker,
        notes=protection_notes(case, size, ampacity_a, why_none),
    )
