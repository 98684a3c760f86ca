"""Where wires meet and what they go through: terminals, ferrules, sleeves, glands, fuses."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from ledcalc.building.parts import SleeveUse
from ledcalc.errors import ArgumentError
from ledcalc.fabrication import Ferrule, Ports, ShrinkFit, bundle_diameter, ferrule_for, heat_shrink_for, node_ports
from ledcalc.fixture import Cable, Fixture
from ledcalc.schema import wire_end
from ledcalc.wiring import conductor_area_mm2

__all__ = ["counted", "entries_of", "ferrules_of", "fuses_of", "place_of", "shrinks_of", "terminals_of"]

# Conductors of these ends take a ferrule each.
FERRULED = ("ferrule",)


def terminals_of(fixture: Fixture) -> tuple[Ports, ...]:
    """Return the terminals of each node and polarity where more than two ends meet, those of parts included."""
    ends: dict[tuple[str, str], int] = {}
    for cable in fixture.cables:
        for end in (cable.from_node, cable.to_node):
            owner, side = wire_end(end)
            owner = place_of(fixture, cable) if owner == "driver" else owner
            for polarity in (side,) if fixture.arrangement == "single wires" else ("+", "-"):
                ends[(owner, polarity)] = ends.get((owner, polarity), 0) + 1
    # The driver's own leads and a board's own pad are ends too; a joint has none of its own.
    own = {key: count + (1 if key[1] else 0) for key, count in ends.items()}
    meeting = {key: count for key, count in own.items() if count > 2 or not key[1]}
    return node_ports(meeting, fixture.build.ports_per_terminal_count, fixture.build.spare_ports_fraction)


def place_of(fixture: Fixture, cable: Cable) -> str:
    """Return the driver's name at a run: with its lead set, where it limits these separately and they must not meet."""
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    return f"driver set {cable.lead_set}" if model.lead_sets == "separately limited" else "driver"


def ferrules_of(fixture: Fixture) -> tuple[tuple[str, Ferrule | None, int], ...]:
    """Return size, ferrule (None where the table has none) and how many of them."""
    counts: Counter[str] = Counter()
    each = 1 if fixture.arrangement == "single wires" else 2
    for cable in fixture.cables:
        if cable.end_finish in FERRULED and cable.stranding != "solid" and cable.material == "copper":
            counts[cable.size] += 2 * (cable.cores_count or each)
    found = []
    for size, count in counts.items():
        try:
            ferrule = ferrule_for(float(conductor_area_mm2(size, rule_set=fixture.site.rule_set)))
        except ArgumentError:
            ferrule = None
        found.append((size, ferrule, count))
    return tuple(found)


def entries_of(fixture: Fixture) -> tuple[SleeveUse, ...]:
    found = []
    for entry in fixture.entries:
        runs = [cable for cable in fixture.cables if entry.tag in {cable.sleeve, cable.gland}]
        diameters = [cable.outside_diameter_m for cable in runs if cable.outside_diameter_m is not None]
        known = bool(runs) and len(diameters) == len(runs)
        clamps = f"{1000 * (entry.clamping_low_m or 0):g} to {1000 * (entry.clamping_high_m or 0):g} mm"
        inner = "" if entry.inner_diameter_m is None else f"{1000 * entry.inner_diameter_m:.1f} mm inside"
        found.append(
            SleeveUse(
                tag=entry.tag,
                kind=entry.kind,
                runs=tuple(cable.tag for cable in runs),
                bundle_m=bundle_diameter(diameters).diameter_m if known else math.nan,
                size=f"{entry.holes_count} x {clamps}" if entry.kind == "gland" else inner,
            )
        )
    return tuple(found)


def fuses_of(fixture: Fixture) -> tuple[tuple[str, int], ...]:
    return counted(
        [
            f"{cable.fuse_a:g} A {cable.fuse_kind or 'fuse'}"
            + (f", {cable.fuse_v:g} V dc" if cable.fuse_v is not None else "")
            for cable in fixture.cables
            if cable.fuse_a is not None
        ]
    )


def shrinks_of(fixture: Fixture) -> tuple[tuple[float, ShrinkFit, int], ...]:
    """Return a tube an end of each cable with a jacket, where its diameter is given."""
    ends = Counter(
        cable.outside_diameter_m
        for cable in fixture.cables
        if cable.outside_diameter_m is not None and fixture.arrangement != "single wires"
    )
    return tuple((diameter, heat_shrink_for(diameter), 2 * count) for diameter, count in sorted(ends.items()))


def counted(names: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Return each name once, with how often it stands there."""
    return tuple(Counter(names).items())
