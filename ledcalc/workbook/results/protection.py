"""Pages on what protects the runs, and on the mains side."""

from __future__ import annotations

import math

from ledcalc.building import size_choices
from ledcalc.results import Evaluation
from ledcalc.wiring import COLOUR_REMINDER, conductor_colour
from ledcalc.workbook.results.pages import Fact, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["mains_page", "protection_page"]

PROTECTION_COLUMNS = (
    col("Cable", width=8),
    col("Wire size", width=10),
    col("Current", "A", 2, 9),
    col("Ampacity limit", "A", 2, 10),
    col("Driver can push", "A", 2, 10),
    col("Fuse", "A", 2, 8),
    col("Smallest fuse for the load", "A", 2, 12),
    col("Largest fuse for the wire", "A", 2, 12),
    col("Status", width=40),
    col("Smallest size by drop", width=13),
    col("By ampacity", width=11),
    col("By protection", width=12),
    col("Governs", width=12),
)


def protection_page(results: Evaluation) -> Page:
    """Return, for each run, what protects it, and the smallest wire that would do."""
    protection, wires, choices = results.protection, results.wires, size_choices(results)
    rows: tuple[tuple[Shown, ...], ...] = tuple(
        (
            wires.tag[n],
            wires.size[n],
            float(wires.current_a[n]),
            _known(protection.wire_limit_a[n]),
            float(protection.source_limit_a[n]),
            _known(protection.fuse_a[n], "none"),
            _known(protection.needed_fuse_a[n]),
            _known(protection.highest_fuse_a[n]),
            protection.status[n]
            + (f" ({protection.guarded_by[n]})" if protection.guarded_by[n] not in {"", wires.tag[n]} else ""),
            choices[n].by_drop or "none",
            choices[n].by_ampacity or "none",
            choices[n].by_protection or "none",
            choices[n].governed_by or "",
        )
        for n in range(len(wires.tag))
    )
    notes = tuple(dict.fromkeys(note for own in protection.notes for note in own))
    lines = (
        "A run is protected where its fuse, or what the driver can push into a fault, is no more than it may carry.",
        "Smallest sizes: for a drop of 3 % of the voltage, for the current, and for the fuse or the driver's limit.",
        "Breaking capacity, and the discharge of the driver's capacitors into a fault, are not judged.",
        *(f"{note[0].upper()}{note[1:]}." for note in notes),
    )
    lead = (
        f"The driver can push {float(protection.source_limit_a.max()):g} A at up to {protection.source_voltage_v:g} V."
    )
    return Page(
        title="Protection",
        lead=lead,
        blocks=(
            Table(heading="Runs", columns=PROTECTION_COLUMNS, rows=rows),
            Lines(heading="How to read it", lines=lines),
        ),
    )


def _known(value: float, words: str = "not known") -> Shown:
    return words if math.isnan(value) else float(value)


def mains_page(results: Evaluation) -> Page:
    """Return what the mains circuit carries, holds and leaks, and what is earthed."""
    mains, operating, fixture = results.mains, results.operating, results.fixture
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    site, count = fixture.site, fixture.fixtures_count
    share = (
        f"{100 * mains.circuit_share_fraction:.0f} % of what it may carry for hours, {operating.circuit_limit_a:g} A"
    )
    circuit = Facts(
        heading="Circuit",
        facts=(
            fact("One fixture draws", mains.fixture_a, "A", 2, f"at {site.mains_v:g} V"),
            fact("Fixtures on the circuit", count, "", 0),
            fact("Load of the circuit", operating.circuit_load_a, "A", 2, share),
            _figure("Fixtures that it takes beside its other load", mains.fixtures_fit_count, "", 0, ""),
            _figure("Mains inlet may carry for hours", mains.inlet_limit_a, "A", 1, model.inlet or "none named"),
        ),
    )
    switched = Facts(
        heading="Switching on, and leakage",
        facts=(
            _figure(
                "Inrush, of what the breaker holds", 100 * mains.inrush_share_fraction, "%", 0, "a cautious reading"
            ),
            _together(mains.inrush_fit_count),
            _figure("Standing leakage", 1000 * mains.leakage_a, "mA", 2, ""),
            _figure(
                "Of what may stand behind the device", 100 * mains.leakage_share_fraction, "%", 0, "30 % of its rating"
            ),
            _figure("Fixtures that the device takes", mains.leakage_fit_count, "", 0, ""),
        ),
    )
    earth = _earth(results)
    colours = Lines(heading="Conductor colours", lines=(*_colours("NEC"), *_colours("IEC"), COLOUR_REMINDER))
    notes = Lines(heading="Not known", lines=mains.notes) if mains.notes else None
    lead = "Mains work is for a licensed electrician under your local code; these are figures to talk about with one."
    blocks = (circuit, switched, earth, colours, *((notes,) if notes else ()))
    return Page(title="Mains side", lead=lead, blocks=blocks)


def _earth(results: Evaluation) -> Facts:
    mains, fixture = results.mains, results.fixture
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    asked = (mains.earth_driver_case, "driver case"), (mains.earth_fixture_metal, "fixture metal")
    metal = ", ".join(word for is_asked, word in asked if is_asked) or "none"
    return Facts(
        heading="Earth and isolation",
        facts=(
            fact("Metal that asks for protective earth", metal, "", 0, "; ".join(mains.earth_reasons)),
            fact("Said to be earthed", fixture.metal_earthed),
            fact("Least protective conductor", "see beside", "", 0, mains.earth_conductor),
            fact("Output isolated from the mains", model.isolated_output),
        ),
    )


def _together(count: float) -> Fact:
    known = "a cautious reading; many makers' tables allow three to four times as many"
    remark = known if math.isfinite(count) else "see Not known below"
    return _figure("Drivers that may switch on together", count, "", 0, remark)


def _figure(label: str, value: float, unit: str, digits: int, remark: str) -> Fact:
    is_known = math.isfinite(value)
    return fact(label, value if is_known else "not known", unit if is_known else "", digits, remark)


def _colours(rule_set: str) -> list[str]:
    cord = ", ".join(
        f"{role} {' or '.join(conductor_colour(role, rule_set, 'cord').colours)}"
        for role in ("line", "neutral", "earth")
    )
    dc = ", ".join(
        f"{role} {' or '.join(conductor_colour(role, rule_set, 'dc').colours)}" for role in ("positive", "negative")
    )
    return [f"Mains cord ({rule_set}): {cord}.", f"DC ({rule_set}): {dc}."]
