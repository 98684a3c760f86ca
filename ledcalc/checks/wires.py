"""Rules about cable runs: ampacity and drop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ledcalc.checks.drops import sizes_that_clear
from ledcalc.checks.limits import OVER, apart, driver_of, limit, limit_source
from ledcalc.errors import ArgumentError
from ledcalc.findings import Finding
from ledcalc.fixture import Cable, Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value
from ledcalc.wiring import (
    conductor_ampacity,
    conductor_area_mm2,
    conductor_resistance,
    known_sizes,
    parse_size,
    terminal_limit_a,
)

__all__ = ["ampacity_not_covered", "wire_drop_high", "wire_over_ampacity"]


def wire_over_ampacity(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A run carries more than its corrected ampacity."""
    wires = results.wires
    for row, cable in enumerate(fixture.cables):
        amps, may = float(wires.current_a[row]), float(wires.ampacity_a[row])
        if not amps > may * OVER:
            continue
        size = _smallest_that_carries(fixture, cable, float(wires.ambient_c[row]), amps)
        carries, most = apart(amps, may)
        at_ends = "and terminals " if wires.status[row].endswith("terminals") else ""
        yield Finding(
            code="wire-over-ampacity",
            severity="stop",
            path=f"cables[{row}].size",
            message=f"{cable.tag} ({cable.size}) carries {carries} A; in its bundle and air "
            f"{at_ends}it may carry {most} A.",
            value=amps,
            limit=may,
            unit="A",
            remedy=_use(
                size,
                "no size of this kind carries it: split the load over more runs, or bundle fewer than "
                f"{cable.grouped_circuits_count} together",
            ),
            basis=wires.ampacity_table[row],
            changes={f"cables[{row}].size": size} if size else {},
        )


def ampacity_not_covered(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """No published table says what a run may carry."""
    wires = results.wires
    for row, cable in enumerate(fixture.cables):
        if np.isfinite(wires.ampacity_a[row]):
            continue
        ambient, amps = float(wires.ambient_c[row]), float(wires.current_a[row])
        hot = ambient >= cable.insulation_c
        size = None if hot else _smallest_that_carries(fixture, cable, ambient, amps)
        remedy = _use(
            size,
            f"take a wire that the {fixture.site.rule_set} tables cover, or go by its maker's figure for at least "
            f"{amps:.2g} A",
        )
        changes: dict[str, Value] = {f"cables[{row}].size": size} if size else {}
        if hot:
            remedy, changes = f"use insulation rated well above {ambient:.0f} degC, or keep the run out of that air", {}
        elif size and cable.material != "copper":
            remedy, changes = f"use copper of {size} or larger", {**changes, f"cables[{row}].material": "copper"}
        yield Finding(
            code="ampacity-not-covered",
            severity="stop" if hot else "act",
            path=f"cables[{row}].insulation_c" if hot else f"cables[{row}].size",
            message=f"The air around {cable.tag} has {ambient:.0f} degC, and its insulation may have "
            f"{cable.insulation_c:.0f} degC."
            if hot
            else f"{cable.tag} ({cable.size}) carries {amps:.3g} A, and no table here says what it may carry "
            f"({wires.status[row].removeprefix('no ampacity: ')}).",
            value=ambient if hot else amps,
            limit=cable.insulation_c if hot else None,
            unit="degC" if hot else "A",
            remedy=remedy,
            basis="the insulation's rating" if hot else "no guess where no table speaks",
            changes=changes,
        )


def wire_drop_high(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A run drops more than the recommended share of the voltage."""
    wires, most = results.wires, limit("drop_recommended_fraction")
    high = [row for row, share in enumerate(wires.drop_fraction) if share > most * OVER]
    sizes = _sizes_against_drop(fixture, results, high, most) if high else {}
    for row, cable in enumerate(fixture.cables):
        share = float(wires.drop_fraction[row])
        if not share > most * OVER:
            continue
        size = sizes[row]
        single = fixture.arrangement == "single wires"
        uneven = "" if single else f", and less current for {cable.to_node} than for its neighbours"
        said, _ = apart(100.0 * share, 100.0 * most, ".1f")
        length = cable.one_way_length_m * most / share
        yield Finding(
            code="wire-drop-high",
            severity="act",
            path=f"cables[{row}].size",
            message=f"{cable.tag} drops {wires.drop_v[row]:.2g} V, {said} % of the driver's voltage; that is "
            f"loss{uneven}.",
            value=share,
            limit=most,
            unit="1",
            remedy=_use(size, f"shorten it to {length:.2g} m or less"),
            basis=limit_source("drop_recommended_fraction"),
            changes={f"cables[{row}].size": size} if size else {},
        )


def _use(size: str | None, otherwise: str) -> str:
    return f"use {size} or larger" if size else otherwise


def _smallest_that_carries(fixture: Fixture, cable: Cable, ambient: float, current_a: float) -> str | None:
    for size in _larger_sizes(fixture, cable):
        try:
            may = conductor_ampacity(
                size,
                wire_kind=cable.wire_kind,
                insulation_c=cable.insulation_c,
                ambient_c=ambient,
                loaded_conductors=cable.loaded_conductors_count,
                installation_method=cable.installation_method,
                grouped_circuits=cable.grouped_circuits_count,
                rule_set=fixture.site.rule_set,
            )
        except ArgumentError:
            continue
        if cable.terminal_c is not None and cable.terminal_c < cable.insulation_c:
            may = min(float(may), _by_terminals(fixture, cable, size))
        if may >= current_a:
            return size
    return None


def _by_terminals(fixture: Fixture, cable: Cable, size: str) -> float:
    return terminal_limit_a(
        size,
        float(cable.terminal_c or cable.insulation_c),
        wire_kind=cable.wire_kind,
        loaded_conductors=cable.loaded_conductors_count,
        installation_method=cable.installation_method,
        rule_set=fixture.site.rule_set,
    )


def _sizes_against_drop(
    fixture: Fixture, results: Evaluation, rows: Sequence[int], most: float
) -> dict[int, str | None]:
    """Return the smallest size of each run that clears its drop; on home runs, with the current it then takes."""
    wires = results.wires
    tried = {row: _resistances(fixture, results, row) for row in rows}
    if fixture.arrangement == "home runs" and driver_of(fixture)[1].lead_sets != "separately limited":
        return sizes_that_clear(fixture, results, tried, most)
    inside = most * (1.0 - limit("remedy_reserve_fraction"))
    allowed = {row: float(wires.resistance_ohm[row]) * inside / float(wires.drop_fraction[row]) for row in rows}
    return {row: next((size for size, ohm in own if ohm <= allowed[row]), None) for row, own in tried.items()}


def _resistances(fixture: Fixture, results: Evaluation, row: int) -> list[tuple[str, float]]:
    """Return the sizes that one can buy, from a run's own up, with the resistance that it would have."""
    cable, count = fixture.cables[row], results.wires.conductors_count[row]
    return [
        (size, count * float(one) + cable.contact_resistance_ohm)
        for size in _larger_sizes(fixture, cable)
        for one in [
            conductor_resistance(
                size,
                cable.one_way_length_m,
                conductor_temperature_c=float(results.wires.conductor_temperature_c[row]),
                stranding=cable.stranding,
                rule_set=fixture.site.rule_set,
                coating=cable.coating,
                material=cable.material,
            )
        ]
    ]


def _larger_sizes(fixture: Fixture, cable: Cable) -> list[str]:
    """Return the sizes that one can buy, this one and up: odd gauges are left out."""
    rule_set = fixture.site.rule_set
    own = conductor_area_mm2(parse_size(cable.size, rule_set=rule_set), rule_set=rule_set)
    sizes = [size for size in known_sizes(rule_set) if conductor_area_mm2(size, rule_set=rule_set) >= own]
    return [
        size
        for size in sizes
        if rule_set == "IEC" or "/" in size or int(size.split()[0]) % 2 == 0 or size[:2] in {"1 ", "3 "}
    ]
