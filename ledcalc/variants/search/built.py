"""A candidate as a fixture: its parts, places and wires, everything else as in the catalogue."""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from ledcalc.fixture import Build, Cable, DriverModel, Fixture, HeatSink, Part, Position, Site
from ledcalc.records import placed_boards
from ledcalc.variants.search.catalogue import BoardItem
from ledcalc.variants.search.layouts import Layout
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["Candidate", "built", "model_tags", "wire_sizes"]

# Lengths are rounded up to this: what a tape tells.
STEP_M = 0.005
# What belongs to another fixture, or to one that is built.
LEFT_OUT: dict[str, Any] = dict.fromkeys(
    (
        "positions",
        "other_fixtures",
        "entries",
        "stock",
        "incoming_boards",
        "current_log",
        "supply_log",
        "dial_log",
        "light_readings",
        "light_grids",
        "light_rings",
        "surveys",
        "build_record",
    ),
    (),
)
# Two ends by name, and where they are: None at the driver.
_Way: TypeAlias = tuple[str, str, tuple[Position | None, Position | None]]
MOST_NAME = 120


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """Parts that may make a fixture; ``in_series``: boards of a string, 1 for boards in parallel."""

    board: BoardItem
    heat_sink: HeatSink
    driver: DriverModel
    layout: Layout
    in_series: int
    wire_size: str

    @property
    def strings(self) -> int:
        """Return how many strings share the driver's current."""
        return self.layout.boards_count // self.in_series

    @property
    def parts(self) -> str:
        """Return the candidate in words."""
        model, layout = self.board.model.tag, self.layout
        strings = f" in strings of {self.in_series}" if self.in_series > 1 else ""
        wires = f"{self.driver.tag}, {self.wire_size}"
        return f"{layout.rows} x {layout.columns} {model}{strings} on {self.heat_sink.tag}, {wires}"


def wire_sizes(catalogue: Fixture, space: DesignSpace) -> tuple[str, ...]:
    """Return the wire sizes that are tried."""
    return space.wire_sizes or (catalogue.cables[0].size,)


def model_tags(catalogue: Fixture, space: DesignSpace) -> frozenset[str]:
    """Return the tags of all that is chosen among, which are on a fixture's parts list only where it uses them."""
    tags = {one.tag for one in catalogue.boards} | {one.tag for one in catalogue.heat_sinks}
    return frozenset(tags | {one.tag for one in catalogue.drivers} | set(wire_sizes(catalogue, space)))


def built(catalogue: Fixture, target: DesignTarget, space: DesignSpace, candidate: Candidate) -> Fixture:
    """Return the candidate as a fixture with its driver at the top of its dials; readings, stock, boards that arrived
    and parts that are not used left out."""
    layout, driver, board = candidate.layout, candidate.driver, candidate.board
    used = {board.model.tag, candidate.heat_sink.tag, driver.tag, candidate.wire_size}
    bare = dataclasses.replace(
        catalogue,
        name=candidate.parts[:MOST_NAME],
        driver=driver.tag,
        voltage_setting_v=driver.voltage_high_v,
        current_setting_a=driver.current_high_a,
        dimming_fraction=1.0,
        arrangement="home runs" if candidate.in_series == 1 else "single wires",
        trunk=None,
        board=board.model.tag,
        heat_sink=candidate.heat_sink.tag,
        rows_count=layout.rows,
        columns_count=layout.columns,
        row_pitch_m=layout.row_pitch_m or catalogue.row_pitch_m,
        column_pitch_m=layout.column_pitch_m or catalogue.column_pitch_m,
        height_m=layout.height_m,
        site=_site(catalogue, target),
        boards=(board.model,),
        board_points=board.points,
        heat_sinks=(candidate.heat_sink,),
        drivers=(driver,),
        driver_points=tuple(point for point in catalogue.driver_points if point.driver == driver.tag),
        picture="no",
        layout_advice="no",
        cables=(),
        **LEFT_OUT,
        build=_build(catalogue, candidate),
        parts=_parts(catalogue, space, used),
        origin=None,
    )
    return dataclasses.replace(bare, cables=_cables(bare, catalogue, space, candidate))


def _site(catalogue: Fixture, target: DesignTarget) -> Site:
    """Return the site with what is asked of the light in place of its own targets."""
    return dataclasses.replace(
        catalogue.site,
        target_ppfd_umol_m2_s=target.mean_ppfd_umol_m2_s,
        target_dli_low_mol_m2_d=None,
        target_dli_high_mol_m2_d=None,
        target_min_over_mean_fraction=target.least_min_over_mean or None,
    )


def _build(catalogue: Fixture, candidate: Candidate) -> Build:
    """Return how it is put together, with rails as long as a row takes where rails have a length."""
    build, layout, model = catalogue.build, candidate.layout, candidate.board.model
    if build.rail_length_m is None:
        return build
    row_m = (layout.columns - 1) * layout.column_pitch_m + (model.hole_spacing_m or model.width_m)
    return dataclasses.replace(build, rail_length_m=_up(row_m + 2 * build.rail_margin_m))


def _parts(catalogue: Fixture, space: DesignSpace, used: set[str]) -> tuple[Part, ...]:
    """Return the parts list without boards, sinks, drivers and wires that are not used; those used are counted."""
    models = model_tags(catalogue, space)
    return tuple(
        dataclasses.replace(part, quantity=None) if part.tag in used else part
        for part in catalogue.parts
        if part.tag in used or (part.tag not in models and part.quantity is not None)
    )


def _cables(bare: Fixture, catalogue: Fixture, space: DesignSpace, candidate: Candidate) -> tuple[Cable, ...]:
    """Return the wires: a run a board, or for strings one wire from end to end of each gap."""
    places, in_series, wire_size = placed_boards(bare), candidate.in_series, candidate.wire_size
    pattern = dataclasses.replace(catalogue.cables[0], size=wire_size, lead_set=1, sleeve=None, gland=None)
    ways: list[_Way] = [("driver", place.tag, (None, place)) for place in places]
    if in_series > 1:
        # The cable of the pattern is one of two cores; single wires are thinner, and how thick is not known.
        pattern = dataclasses.replace(pattern, outside_diameter_m=None, cores_count=None)
        ways = []
        for start in range(0, len(places), in_series):
            string = places[start : start + in_series]
            ways.append(("driver +", f"{string[0].tag} +", (None, string[0])))
            ways += [(f"{one.tag} -", f"{two.tag} +", (one, two)) for one, two in itertools.pairwise(string)]
            ways.append((f"{string[-1].tag} -", "driver -", (string[-1], None)))
    driver = _driver_place(catalogue, space)
    return tuple(
        dataclasses.replace(
            pattern,
            tag=f"W{number}",
            from_node=start,
            to_node=end,
            one_way_length_m=_length([(place.x_m, place.y_m) if place else driver for place in ends], space),
        )
        for number, (start, end, ends) in enumerate(ways, start=1)
    )


def _driver_place(catalogue: Fixture, space: DesignSpace) -> tuple[float, float]:
    x = 0.5 * catalogue.crop_width_m if space.driver_x_m is None else space.driver_x_m
    y = 0.5 * catalogue.crop_depth_m if space.driver_y_m is None else space.driver_y_m
    return catalogue.crop_x_m + x, catalogue.crop_y_m + y


def _length(ends: Sequence[tuple[float, float]], space: DesignSpace) -> float:
    (x_0, y_0), (x_1, y_1) = ends
    path = abs(x_0 - x_1) + abs(y_0 - y_1) + space.wire_slack_m
    return _up(max(path, STEP_M))


def _up(length_m: float) -> float:
    return round(math.ceil(length_m / STEP_M - 1e-6) * STEP_M, 6)
