"""The wire schedule, and the plan that cuts it from stock."""

from __future__ import annotations

from collections.abc import Sequence

from ledcalc.building.joints import place_of
from ledcalc.building.parts import Cutting, Rail, WireToCut
from ledcalc.errors import ArgumentError
from ledcalc.fabrication import Stock, cut_length, cut_plan, wire_label
from ledcalc.fixture import Cable, Fixture
from ledcalc.schema import wire_end
from ledcalc.wiring import conductor_colour

__all__ = ["cuttings_of", "wire_to_cut"]

RAIL = "rail"
# Lengths are rounded up to this: what a tape tells.
STEP_M = 0.005


def wire_to_cut(fixture: Fixture, cable: Cable, conductors: int) -> WireToCut:
    build, cores = fixture.build, cable.cores_count or conductors
    start, end = (
        place_of(fixture, cable) if node.casefold() == "driver" else node for node in (cable.from_node, cable.to_node)
    )
    fuse = "" if cable.fuse_a is None else f"{cable.fuse_a:g} A {cable.fuse_kind or 'fuse'}"
    return WireToCut(
        tag=cable.tag,
        from_place=start,
        to_place=end,
        size=cable.size,
        conductors_count=cores,
        colours=_colours(fixture, cable, cores),
        path_m=cable.one_way_length_m,
        cut_length_m=float(
            cut_length(
                cable.one_way_length_m,
                service_loops_m=2 * build.service_loop_m,
                strip_m=2 * build.strip_m,
                spare_fraction=build.cable_spare_fraction,
                step_m=STEP_M,
            )
        ),
        ends=f"{cable.end_finish}, {cable.clamp}",
        fuse=fuse,
        sleeve=cable.sleeve or "",
        gland=cable.gland or "",
        label=wire_label(cable.tag, start, end, size=cable.size),
    )


def _colours(fixture: Fixture, cable: Cable, cores: int) -> tuple[str, ...]:
    """Return the DC colours of the rule set, plus first; a single wire has that of the side it belongs to."""
    rule_set = fixture.site.rule_set
    names = {role: " or ".join(conductor_colour(role, rule_set, "dc").colours) for role in ("positive", "negative")}
    if fixture.arrangement == "single wires":
        sides = {wire_end(end)[1] for end in (cable.from_node, cable.to_node)} - {""}
        ends_at = {wire_end(end) for end in (cable.from_node, cable.to_node)}
        if ("driver", "+") in ends_at or sides == {"+"}:
            return (names["positive"],)
        if ("driver", "-") in ends_at or sides == {"-"}:
            return (names["negative"],)
        return ("neither: between boards in series",)
    rest = ("earth",) if cores == 3 else tuple(f"core {n}" for n in range(3, cores + 1))
    return (names["positive"], names["negative"], *rest)


def cuttings_of(fixture: Fixture, wires: Sequence[WireToCut], rails: Sequence[Rail]) -> tuple[Cutting, ...]:
    groups: dict[str, list[tuple[str, float]]] = {}
    for wire in wires:
        groups.setdefault(wire.size, []).append((wire.tag, wire.cut_length_m))
    for rail in rails:
        groups.setdefault(RAIL, []).extend(
            (f"row {rail.row}, rail {number}", rail.length_m) for number in range(1, rail.rails_count + 1)
        )
    return tuple(_cutting(fixture, serves, pieces) for serves, pieces in groups.items())


def _cutting(fixture: Fixture, serves: str, pieces: Sequence[tuple[str, float]]) -> Cutting:
    stock = tuple(entry for entry in fixture.stock if entry.serves.casefold() == serves.casefold())
    lengths = tuple(length for _, length in pieces)
    plan, problem = None, "" if stock else "no stock is listed for it"
    if stock:
        priced = all(entry.price is not None for entry in stock)
        offers = [
            Stock(
                length_m=entry.stock_length_m,
                price=entry.price if priced else None,
                limit=entry.on_hand_count,
            )
            for entry in stock
        ]
        try:
            plan = cut_plan(lengths, offers, kerf_m=fixture.build.cut_loss_m)
        except ArgumentError:
            longest = max(entry.stock_length_m for entry in stock)
            problem = (
                f"a piece of {max(lengths):.3f} m is longer than the longest stock, {longest:g} m"
                if max(lengths) > longest
                else f"what is on hand does not suffice for {sum(lengths):.2f} m in {len(lengths)} pieces"
            )
    return Cutting(
        serves=serves,
        tags=tuple(tag for tag, _ in pieces),
        pieces_m=lengths,
        stock=stock,
        plan=plan,
        problem=problem,
    )
