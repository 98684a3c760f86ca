"""Rules about how the fixture is put together: sleeves, glands, boxes, wire ends, rails, hangers, leads."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ledcalc.checks.limits import driver_of, limit
from ledcalc.errors import ArgumentError
from ledcalc.findings import Finding
from ledcalc.fixture import Build, Cable, Entry, Fixture
from ledcalc.records import placed_boards
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = [
    "box_overfull",
    "fixture_weight_kg",
    "gland_does_not_seal",
    "hanger_overloaded",
    "hole_off_rail",
    "hot_plug",
    "leads_uncapped",
    "sleeve_too_tight",
    "wire_end_in_clamp",
]

# The formulas of the bench are loaded where a rule asks for them: most fixtures never do.
PRACTICE = "common practice, no source"
END_WORDS = {"soldered": "tinned", "crimped": "ferrule"}
CLAMP_WORDS = {"screw": "screw clamp", "spring": "spring clamp", "solder": "solder joint"}


def sleeve_too_tight(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The runs in a sleeve or conduit do not fit it."""
    for row, entry in enumerate(fixture.entries):
        inside = [cable for cable in fixture.cables if cable.sleeve == entry.tag]
        diameters = [cable.outside_diameter_m for cable in inside if cable.outside_diameter_m is not None]
        if entry.kind == "gland" or entry.inner_diameter_m is None or not diameters or len(diameters) < len(inside):
            continue
        said = _tight(entry, diameters, float(entry.inner_diameter_m))
        if said is None:
            continue
        status, needed = said
        yield Finding(
            code="sleeve-too-tight",
            severity="act",
            path=f"entries[{row}].inner_diameter_m",
            message=f"{', '.join(cable.tag for cable in inside)} in {entry.tag}: {status}.",
            value=1000 * float(entry.inner_diameter_m),
            limit=1000 * needed,
            unit="mm",
            remedy=f"take one of at least {1000 * needed:.1f} mm inside, or put fewer than {len(inside)} runs in it",
            basis="NEC Chapter 9 Table 1 (partly from memory)" if entry.kind == "conduit" else PRACTICE,
            changes={f"entries[{row}].inner_diameter_m": math.ceil(needed * 1e4) / 1e4},
        )


def _tight(entry: Entry, diameters_m: list[float], inner_m: float) -> tuple[str, float] | None:
    """Return what is wrong and the inner diameter that would do; None where they fit."""
    from ledcalc.fabrication import conduit_fill, sleeve_for

    if entry.kind == "conduit":
        fill = conduit_fill(diameters_m, inner_m)
        if fill.fits:
            return None
        return f"{fill.fill_fraction:.0%} full, {fill.limit_fraction:.0%} is the most", inner_m * math.sqrt(
            fill.fill_fraction / fill.limit_fraction
        )
    fit = sleeve_for(diameters_m, inner_m)
    if fit.fits:
        return None
    return f"the bundle of {1000 * fit.bundle_m:.1f} mm in {1000 * inner_m:.1f} mm: {fit.status}", fit.needed_m


def gland_does_not_seal(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A gland does not seal on the runs that go through it."""
    from ledcalc.fabrication import gland_for

    for row, entry in enumerate(fixture.entries):
        through = [cable for cable in fixture.cables if cable.gland == entry.tag]
        diameters = [cable.outside_diameter_m for cable in through if cable.outside_diameter_m is not None]
        low, high = entry.clamping_low_m, entry.clamping_high_m
        if entry.kind != "gland" or low is None or high is None or not diameters or len(diameters) < len(through):
            continue
        fit = gland_for(diameters, low, high, holes_count=entry.holes_count)
        if fit.seals:
            continue
        thin, thick = min(diameters), max(diameters)
        changes: dict[str, Value] = {f"entries[{row}].holes_count": len(through)}
        if not low <= thin <= thick <= high:
            changes |= {f"entries[{row}].clamping_low_m": thin, f"entries[{row}].clamping_high_m": thick}
        yield Finding(
            code="gland-does-not-seal",
            severity="act",
            path=f"entries[{row}].holes_count",
            message=f"{', '.join(cable.tag for cable in through)} through {entry.tag}: {fit.status}.",
            value=float(len(through)),
            limit=float(entry.holes_count),
            unit="cables",
            remedy=f"take a gland with an insert of {len(through)} hole{'s' if len(through) > 1 else ''} that clamps "
            f"from {1000 * thin:.1f} mm to {1000 * thick:.1f} mm, or one gland a cable",
            basis=PRACTICE,
            changes=changes,
        )


def box_overfull(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The junction box is too small for the conductors in it."""
    from ledcalc.fabrication import box_fill

    build = fixture.build
    if build.box_volume_m3 is None or build.box_size is None or build.box_conductors_count == 0:
        return
    try:
        fill = box_fill({build.box_size: build.box_conductors_count}, box_m3=build.box_volume_m3)
    except ArgumentError:
        return
    if fill.fits:
        return
    yield Finding(
        code="box-overfull",
        severity="act",
        path="build.box_volume_m3",
        message=f"{build.box_conductors_count} conductors of {build.box_size} need {_cm3(fill.needed_m3)}; the box has "
        f"{_cm3(build.box_volume_m3)}.",
        value=fill.needed_m3,
        limit=build.box_volume_m3,
        unit="m3",
        remedy=f"take a box of at least {_cm3(fill.needed_m3)} ({fill.needed_m3 / 0.0254**3:.1f} in3)",
        basis="NEC 314.16(B), from memory; other rule sets leave it to the box's maker",
        changes={"build.box_volume_m3": math.ceil(fill.needed_m3 * 1e7) / 1e7},
    )


def _cm3(volume_m3: float) -> str:
    return f"{1e6 * volume_m3:.0f} cm3"


def wire_end_in_clamp(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A wire's end is finished in a way that does not last in what clamps it."""
    groups: dict[tuple[str, str, str], list[int]] = {}
    for row, cable in enumerate(fixture.cables):
        advice = _end_advice(cable, fixture.build)
        if advice:
            groups.setdefault((cable.end_finish, cable.clamp, advice), []).append(row)
    for (finish, clamp, advice), rows in groups.items():
        yield Finding(
            code="wire-end-in-clamp",
            severity="act",
            path=f"cables[{rows[0]}].end_finish",
            message=f"{', '.join(fixture.cables[row].tag for row in rows)}: {finish} ends under {clamp}.",
            value=None,
            limit=None,
            unit="",
            remedy=f"{advice} ({2 * len(rows)} ends of these runs)",
            basis=PRACTICE,
            changes={f"cables[{row}].end_finish": "ferrule" for row in rows},
        )


def _end_advice(cable: Cable, build: Build) -> str:
    if cable.material != "copper" and cable.clamp != "solder":
        return "aluminium creeps and its skin insulates: use terminals marked for it, or copper"
    from ledcalc.fabrication import wire_end_advice

    allows = build.maker_allows_soldered == "yes" and cable.end_finish == "soldered"
    end = "solid" if cable.stranding == "solid" else END_WORDS.get(cable.end_finish, cable.end_finish)
    return wire_end_advice(CLAMP_WORDS.get(cable.clamp, cable.clamp), end, maker_allows=allows)


def hole_off_rail(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board's mounting hole falls off its rail or too near its end."""
    from ledcalc.fabrication import hole_positions

    build = fixture.build
    model = next(entry for entry in fixture.boards if entry.tag == fixture.board)
    spacing = model.hole_spacing_m
    if build.rails_per_row_count == 0 or build.rail_length_m is None or spacing is None:
        return
    rows: dict[float, list[float]] = {}
    for place in placed_boards(fixture):
        rows.setdefault(round(place.y_m, 4), []).append(place.x_m)
    centres = max(rows.values(), key=lambda row: max(row) - min(row))
    start = (min(centres) + max(centres)) / 2 - build.rail_length_m / 2
    found = hole_positions(
        sorted(centres), spacing, build.rail_length_m, end_margin_m=build.rail_margin_m, rail_start_m=start
    )
    if not found.off_rail_count:
        return
    needed = max(centres) - min(centres) + spacing + 2 * build.rail_margin_m
    yield Finding(
        code="hole-off-rail",
        severity="act",
        path="build.rail_length_m",
        message=f"On a rail of {build.rail_length_m:g} m {found.warnings[0]}.",
        value=build.rail_length_m,
        limit=needed,
        unit="m",
        remedy=f"take rails of at least {needed:.3g} m, or move the boards together",
        basis="geometry",
        changes={"build.rail_length_m": math.ceil(needed * 1000) / 1000},
    )


def hanger_overloaded(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A hanger carries more than its rating leaves after the safety factor."""
    build = fixture.build
    weight = fixture_weight_kg(fixture)
    if build.hangers_count is None or build.hanger_rated_kg is None or weight is None:
        return
    factor = limit("hanger_safety_factor")
    # Of four hangers a diagonal may carry all; of any other number above one, two may.
    share = weight / min(build.hangers_count, 2)
    needed = share * factor
    if needed <= build.hanger_rated_kg * (1.0 + 1e-9):
        return
    yield Finding(
        code="hanger-overloaded",
        severity="act",
        path="build.hanger_rated_kg",
        message=f"The fixture weighs {weight:.3g} kg; of {build.hangers_count} hangers two may carry all of it, "
        f"{share:.3g} kg each, and with a factor of {factor:g} they want {needed:.3g} kg.",
        value=needed,
        limit=build.hanger_rated_kg,
        unit="kg",
        remedy=f"take hangers rated for {needed:.3g} kg or more each, and a second line that catches it",
        basis="statics of a rigid body on cords; factor: common practice, no source",
        changes={"build.hanger_rated_kg": math.ceil(needed * 10) / 10},
    )


def fixture_weight_kg(fixture: Fixture) -> float | None:
    """Return what hangs: boards, sinks, driver, rails, the rest; None where a weight is not given."""
    _, driver = driver_of(fixture)
    boards = {model.tag: model.weight_kg for model in fixture.boards}
    sinks = {sink.tag: sink.weight_kg for sink in fixture.heat_sinks}
    placed = placed_boards(fixture)
    shared: set[str] = set()
    parts: list[float | None] = [driver.weight_kg]
    for place in placed:
        parts.append(boards[str(place.board)])
        if place.shared_sink is None or place.shared_sink not in shared:
            parts.append(sinks[str(place.heat_sink)])
        shared |= {place.shared_sink} if place.shared_sink else set()
    if any(part is None for part in parts):
        return None
    build = fixture.build
    rails = build.rail_weight_kg_per_m * (build.rail_length_m or 0.0) * build.rails_per_row_count * fixture.rows_count
    return sum(float(part or 0.0) for part in parts) + rails + build.other_weight_kg


def leads_uncapped(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver has leads that this fixture does not use."""
    row, model = driver_of(fixture)
    if model.spare_leads_count == 0:
        return
    yield Finding(
        code="leads-uncapped",
        severity="note",
        path=f"drivers[{row}].spare_leads_count",
        message=f"{model.tag} has {model.spare_leads_count} leads that are not used; bare, they may touch "
        "metal or each other.",
        value=float(model.spare_leads_count),
        limit=0.0,
        unit="leads",
        remedy=f"cap each of the {model.spare_leads_count} leads by itself and tie them back, then set the count to 0",
        basis="the driver's datasheet says what each lead does when left open; capping: " + PRACTICE,
        changes={f"drivers[{row}].spare_leads_count": 0},
    )


def hot_plug(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Boards joined to a running driver take its stored charge at once: above its running voltage that is a surge."""
    operating = results.operating
    headroom = fixture.voltage_setting_v - operating.voltage_v
    most = limit("hot_plug_headroom_fraction") * operating.voltage_v
    if operating.mode != "constant current" or headroom <= most or results.what_if.trim is None:
        return
    ceiling = math.floor(10.0 * (operating.voltage_v + most)) / 10.0
    _, model = driver_of(fixture)
    changes: dict[str, Value] = {"fixture.voltage_setting_v": ceiling} if ceiling >= model.voltage_low_v else {}
    yield Finding(
        code="hot-plug",
        severity="note",
        path="fixture.voltage_setting_v",
        message=f"Unloaded the output stands at {fixture.voltage_setting_v:.3g} V, {headroom:.3g} V above what the "
        "boards run at: joined to it live, they take the charge of its capacitors in one surge.",
        value=headroom,
        limit=most,
        unit="V",
        remedy="join and part boards only with the mains off and the output run down, and set the ceiling to "
        f"{ceiling:.1f} V",
        basis=f"stored charge of the output; {PRACTICE}",
        changes=changes,
    )
