"""Rules about what protects the runs, and what a fuse must be."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import driver_of
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = [
    "class_2_passed",
    "fuse_above_wire",
    "fuse_below_load",
    "fuse_never_blows",
    "fuse_voltage_low",
    "wire_not_protected",
]

BY_CODE = "IEC 60364-4-43 433.1 (from memory)"
BY_NEC = "NEC 240.4, 240.4(D), 210.20 as quoted in public, partly from memory"
DECIDES = "local code, and a licensed electrician, decide"


def wire_not_protected(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A run is within its ampacity, but the driver can push more into a fault than the run may carry."""
    yield from _of_status(
        fixture,
        results,
        "within ampacity, not protected by the source's limit",
        code="wire-not-protected",
        severity="act",
        says="may carry {limit:.3g} A, and into a fault the driver can push {source:.3g} A: no fuse stops it.",
        field="fuse_a",
    )


def fuse_above_wire(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A fuse lets through more than its run may carry."""
    yield from _of_status(
        fixture,
        results,
        "fuse above the wire",
        code="fuse-above-wire",
        severity="stop",
        says="may carry {limit:.3g} A; its fuse of {fuse:g} A lets more through.",
        field="fuse_a",
    )


def fuse_below_load(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A fuse is too small for the current that its run carries for hours."""
    yield from _of_status(
        fixture,
        results,
        "fuse too small for its load",
        code="fuse-below-load",
        severity="act",
        says="carries {amps:.3g} A for hours; a fuse of {fuse:g} A may open without a fault.",
        field="fuse_a",
    )


def fuse_voltage_low(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A fuse is not marked for the DC voltage that it would have to break."""
    protection = results.protection
    for row, cable in enumerate(fixture.cables):
        if protection.status[row] != "fuse's voltage too low (DC)":
            continue
        marked = "not marked for it" if cable.fuse_v is None else f"marked {cable.fuse_v:g} V"
        volts = protection.source_voltage_v
        yield Finding(
            code="fuse-voltage-low",
            severity="act",
            path=f"cables[{row}].fuse_v",
            message=f"The fuse of {cable.tag} would have to break {volts:.3g} V dc and is {marked}: it may arc on.",
            value=volts,
            limit=cable.fuse_v,
            unit="V",
            remedy=f"take a fuse marked for {volts:.3g} V dc or more",
            basis="the fuse's marking; an ac figure does not count for dc",
        )


def fuse_never_blows(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver's own limit is below what opens the fuse: only electronics limit the current."""
    yield from _of_status(
        fixture,
        results,
        "limited electronically only",
        code="fuse-never-blows",
        severity="note",
        says="has a fuse of {fuse:g} A, and the driver gives {source:.3g} A at most: the fuse would never open.",
        field="fuse_a",
    )


def class_2_passed(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver is said to be Class 2, and its figures pass the limits of one."""
    row, model = driver_of(fixture)
    passed = results.protection.class_2_passed
    if passed:
        yield Finding(
            code="class-2-passed",
            severity="act",
            path=f"drivers[{row}].class_2_output",
            message=f"{model.tag} is called Class 2, and its figures pass the limits: {'; '.join(passed)}.",
            value=None,
            limit=None,
            unit="",
            remedy=f"check the datasheet's {model.voltage_high_v:g} V and {model.current_high_a:g} A; wire it as any "
            "other source until that is settled",
            basis="NEC Chapter 9 Tables 11(A), 11(B): cells from memory, notes read in a public copy",
            changes={f"drivers[{row}].class_2_output": "no"},
        )


def _of_status(
    fixture: Fixture, results: Evaluation, status: str, *, code: str, severity: str, says: str, field: str
) -> Iterator[Finding]:
    """Yield one finding for all runs that a status and one remedy hold for."""
    protection, wires = results.protection, results.wires
    groups: dict[tuple[str, str, str], list[int]] = {}
    for row in range(len(fixture.cables)):
        if protection.status[row] == status:
            key = (fixture.cables[row].size, f"{protection.recommended_fuse_a[row]}", protection.remedy_size[row])
            groups.setdefault(key, []).append(row)
    for rows in groups.values():
        worst = max(rows, key=lambda row: float(wires.current_a[row]))
        remedy, changes = _remedy(fixture, results, rows, worst)
        named = ", ".join(fixture.cables[row].tag for row in rows)
        figures = {
            "limit": protection.wire_limit_a[worst],
            "source": protection.source_limit_a[worst],
            "fuse": protection.fuse_a[worst],
            "amps": wires.current_a[worst],
        }
        yield Finding(
            code=code,
            severity=severity,
            path=f"cables[{worst}].{field}",
            message=f"{named} ({fixture.cables[worst].size}) {says.format(**figures)}",
            value=float(protection.source_limit_a[worst]),
            limit=float(protection.wire_limit_a[worst]),
            unit="A",
            remedy=remedy,
            basis=BY_NEC if fixture.site.rule_set == "NEC" else BY_CODE,
            changes=changes,
        )


def _remedy(fixture: Fixture, results: Evaluation, rows: list[int], worst: int) -> tuple[str, dict[str, Value]]:
    protection = results.protection
    fuse, thicker = float(protection.recommended_fuse_a[worst]), protection.remedy_size[worst]
    ways: list[str] = []
    changes: dict[str, Value] = {}
    if np.isfinite(fuse):
        kind, volts = protection.fuse_kind[worst], protection.source_voltage_v
        ways.append(f"a {kind} of {fuse:g} A, marked for {volts:.3g} V dc or more, at the start of each")
        for row in rows:
            changes |= {
                f"cables[{row}].fuse_a": fuse,
                f"cables[{row}].fuse_kind": kind,
                f"cables[{row}].fuse_v": float(np.ceil(volts)),
            }
    if thicker:
        ways.append(f"{thicker} or thicker")
        changes = changes or {f"cables[{row}].size": thicker for row in rows}
    limit = float(protection.wire_limit_a[worst])
    ways = ways or [f"a driver that gives no more than {limit:.3g} A"]
    return f"use {', or '.join(ways)}; {DECIDES}", changes
