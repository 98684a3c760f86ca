"""Pages to build from: the wire schedule with all that goes with it, the cutting plan, the checklists."""

from __future__ import annotations

import math

from ledcalc.building import BuildList, Cutting, build_list, checklists
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, Lines, Page, Shown, Table, col

__all__ = ["building_pages"]

WIRE_COLUMNS = (
    col("Cable", width=8),
    col("From", width=11),
    col("To", width=11),
    col("Wire size", width=10),
    col("Cores", "", 0, 7),
    col("Colours", width=26),
    col("Path", "m", 3, 8),
    col("Cut length", "m", 3, 9),
    col("Ends", width=18),
    col("Fuse", width=20),
    col("Sleeve", width=14),
    col("Gland", width=14),
    col("Label", width=30),
)
# One page, one set of widths: its tables stand below each other.
FIRST, SECOND, THIRD, FOURTH, FIFTH = 20, 16, 18, 46, 30
TERMINAL_COLUMNS = (
    col("Node", width=FIRST),
    col("Terminals", "", 0, SECOND),
    col("Wire ends", "", 0, THIRD),
    col("How", width=FOURTH),
    col("Free ports", "", 0, FIFTH),
)
FERRULE_COLUMNS = (
    col("Ferrules for", width=FIRST),
    col("How many", "", 0, SECOND),
    col("Colour, DIN 46228-4", width=THIRD),
    col("How", width=FOURTH),
)
SHRINK_COLUMNS = (
    col("Cable of", "mm", 1, FIRST),
    col("How many", "", 0, SECOND),
    col("Ratio", width=THIRD),
    col("How", width=FOURTH),
)
ENTRY_COLUMNS = (
    col("Entry", width=FIRST),
    col("Kind", width=SECOND),
    col("Bundle", "mm", 1, THIRD),
    col("Runs", width=FOURTH),
    col("Size", width=FIFTH),
)
RAIL_COLUMNS = (
    col("Rails of row", "", 0, FIRST),
    col("How many", "", 0, SECOND),
    col("Length", "mm", 0, THIRD),
    col("Holes, from the rail's end", "mm", width=FOURTH),
    col("Mind", width=FIFTH),
)
QUANTITY_COLUMNS = (col("What", width=FIRST), col("Pieces", "", 0, SECOND), col("Length", "m", 2, THIRD))
CUT_COLUMNS = (
    col("Stock", width=18),
    col("Length", "m", 3, 10),
    col("Pieces, in this order", width=90),
    col("Left over", "m", 3, 10),
)
CHECK_COLUMNS = (col("Done", width=7), col("What", width=58), col("Expect", width=52), col("How near", width=34))


def building_pages(results: Evaluation) -> list[Page]:
    """Return the pages to build from; the build list is worked out once for all of them."""
    made = build_list(results)
    pages = (_wire_schedule(made), _build(results, made), _cutting(results, made), _checklists(results))
    return [page for page in pages if page is not None]


def _wire_schedule(made: BuildList) -> Page:
    """Return each wire with its ends, colours, cut length and label."""
    table = Table(heading="Wire schedule", columns=WIRE_COLUMNS, rows=_wire_rows(made))
    notes = (
        "Cut length: path with its spare, both service loops, both stripped ends, rounded up to 5 mm.",
        "Colours mark, they prove nothing: prove polarity by test. The label goes on both ends.",
    )
    lead = "What to cut, where it goes, how it is marked; print it and tick it off."
    return Page(title="Wire schedule", lead=lead, blocks=(table, Lines(heading="Notes", lines=notes)))


def _build(results: Evaluation, made: BuildList) -> Page:
    """Return quantities, terminals, ferrules, sleeves, glands and rails."""
    blocks: list[Block] = [Table(heading="Quantities", columns=QUANTITY_COLUMNS, rows=_quantity_rows(results, made))]
    if made.terminals:
        heading = "Terminals, where more than two ends meet"
        blocks.append(Table(heading=heading, columns=TERMINAL_COLUMNS, rows=_terminal_rows(made)))
    if made.ferrules:
        blocks.append(Table(heading="Ferrules", columns=FERRULE_COLUMNS, rows=_ferrule_rows(made)))
    if made.shrinks:
        blocks.append(Table(heading="Heat-shrink over jacket ends", columns=SHRINK_COLUMNS, rows=_shrink_rows(made)))
    if made.entries:
        blocks.append(Table(heading="Sleeves, conduits and glands", columns=ENTRY_COLUMNS, rows=_entry_rows(made)))
    if made.rails:
        blocks.append(Table(heading="Rails", columns=RAIL_COLUMNS, rows=_rail_rows(made)))
    weight = "not known: one of the weights is not given" if made.weight_kg is None else f"{made.weight_kg:.2f} kg"
    notes = (
        f"Weight that hangs: {weight}.",
        "A soldered end creeps under screw and spring unless the clamp's maker allows it; solid ends take no ferrule.",
        "Wire ends count the driver's own leads and the boards' own pads.",
    )
    blocks.append(Lines(heading="Notes", lines=notes))
    return Page(title="Build list", lead="What to buy, crimp, join and mount.", blocks=blocks)


def _wire_rows(made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            wire.tag,
            wire.from_place,
            wire.to_place,
            wire.size,
            wire.conductors_count,
            ", ".join(wire.colours),
            wire.path_m,
            wire.cut_length_m,
            wire.ends,
            wire.fuse or "none",
            wire.sleeve or "none",
            wire.gland or "none",
            wire.label,
        )
        for wire in made.wires
    )


def _quantity_rows(results: Evaluation, made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    pieces = [*made.boards, *made.heat_sinks, (results.fixture.driver, 1)]
    rows: list[tuple[Shown, ...]] = [(name, count, None) for name, count in pieces]
    rows += [(f"Fuse {name}", count, None) for name, count in made.fuses]
    lengths: dict[str, list[float]] = {}
    for wire in made.wires:
        lengths.setdefault(f"Wire {wire.size}", []).append(wire.cut_length_m)
    for rail in made.rails:
        lengths.setdefault("Rail", []).extend([rail.length_m] * rail.rails_count)
    rows += [(name, len(each), sum(each)) for name, each in lengths.items()]
    return tuple(rows)


def _terminal_rows(made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            ports.node,
            ports.terminal_count,
            ports.end_count,
            f"{ports.port_count} ports in all, {ports.link_port_count} of them for {_links(ports.link_count)}",
            ports.spare_count,
        )
        for ports in made.terminals
    )


def _links(count: int) -> str:
    return "1 link" if count == 1 else f"{count} links"


def _ferrule_rows(made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            size,
            count,
            "none in the table" if ferrule is None else ferrule.colour,
            ""
            if ferrule is None
            else f"sleeve {1000 * ferrule.sleeve_m:.0f} mm, strip {1000 * ferrule.strip_m:.0f} mm",
        )
        for size, ferrule, count in made.ferrules
    )


def _shrink_rows(made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            1000 * diameter,
            count,
            "2:1",
            f"{1000 * tube.supplied_m:.1f} mm supplied, {1000 * tube.recovered_m:.1f} mm shrunk"
            if tube.fits
            else tube.status,
        )
        for diameter, tube, count in made.shrinks
    )


def _entry_rows(made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            entry.tag,
            entry.kind,
            "not known" if math.isnan(entry.bundle_m) else 1000 * entry.bundle_m,
            ", ".join(entry.runs) or "none",
            entry.size,
        )
        for entry in made.entries
    )


def _rail_rows(made: BuildList) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            rail.row,
            rail.rails_count,
            1000 * rail.length_m,
            ", ".join(f"{1000 * place:.0f}" for place in rail.holes_m),
            "; ".join(rail.warnings) or f"carries {', '.join(rail.boards)}",
        )
        for rail in made.rails
    )


def _cutting(results: Evaluation, made: BuildList) -> Page | None:
    """Return which piece is cut from which stock; None where no stock is listed."""
    if not results.fixture.stock:
        return None
    blocks: list[Block] = []
    for cutting in made.cuttings:
        blocks += _cutting_blocks(cutting)
    lead = "Each line is one spool or bar; the pieces are cut from it in this order."
    return Page(title="Cutting plan", lead=lead, blocks=blocks)


def _cutting_blocks(cutting: Cutting) -> list[Block]:
    plan, heading = cutting.plan, "Rails" if cutting.serves == "rail" else cutting.serves
    if plan is None:
        return [Lines(heading=heading, lines=(f"No plan: {cutting.problem}.",))]
    rows = tuple(
        (
            cutting.stock[bar.stock].tag,
            bar.stock_m,
            ", ".join(f"{cutting.tags[piece]} ({cutting.pieces_m[piece]:.3f} m)" for piece in bar.pieces),
            bar.offcut_m,
        )
        for bar in plan.bars
    )
    priced = all(entry.price is not None for entry in cutting.stock)
    proof = (
        ("No plan costs less." if priced else "No plan needs less.")
        if plan.is_proven
        else f"At most {plan.gap_fraction:.1%} above the least cost."
    )
    simple = "Cut longest first, each into the first that has room: " + (
        "not possible." if plan.baseline_count is None else f"{plan.baseline_count} of them."
    )
    used = f"{plan.stock_used_count} used, {plan.stock_used_m:g} m; {plan.waste_m:.2f} m is left over or lost in cuts."
    return [Table(heading=heading, columns=CUT_COLUMNS, rows=rows), Lines(lines=(f"{used} {proof} {simple}",))]


def _checklists(results: Evaluation) -> Page:
    """Return the checklists of this fixture, to print and tick off."""
    blocks: list[Block] = []
    for section in checklists(results):
        blocks.append(Lines(heading=section.title, lines=section.cautions))
        rows = tuple(("[  ]", check.do, check.expect, check.tolerance) for check in section.checks)
        blocks.append(Table(heading="", columns=CHECK_COLUMNS, rows=rows))
    lead = "Figures are those of this fixture as it is set; stop where a reading is off, and look for the reason."
    return Page(title="Checklists", lead=lead, blocks=blocks)
