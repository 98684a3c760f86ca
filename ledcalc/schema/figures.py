"""Checks of figures against each other: ends out of order, curves that fall, light without power."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence

from ledcalc.schema.cabling import cables_fit_the_arrangement
from ledcalc.schema.light_blocks import light_blocks_are_whole, light_maps_of_a_size, sensor_errors_are_of_sensors
from ledcalc.schema.light_tables import light_tables_are_whole
from ledcalc.schema.over_time import tables_over_time_are_whole
from ledcalc.schema.record import Record, RecordProblem, Records, form_of
from ledcalc.schema.ring_step import rings_fit_the_crop
from ledcalc.schema.values import Value
from ledcalc.schema.wall_openings import openings_fit_their_walls

__all__ = ["FIGURE_CHECKS"]

# A joule of light holds the most photons at the long end of the counted band: 700 nm / 119.6266 (CODATA 2018).
CEILING_UMOL_PER_J = 5.8515
REFERENCE_C = 25.0


def _room_is_whole(records: Records) -> Iterator[RecordProblem]:
    site = form_of(records, "site")
    names = ("room_width_m", "room_depth_m", "room_height_m")
    missing = [name for name in names if site.get(name) is None]
    if 0 < len(missing) < len(names):
        for name in missing:
            yield RecordProblem(
                sheet="site",
                row=0,
                field=name,
                problem="only part of the room's size is given",
                allowed="all three room sizes, or none for an open bench",
            )


def _ends_in_order(records: Records) -> Iterator[RecordProblem]:
    pairs = (
        ("site", "target_dli_low_mol_m2_d", "target_dli_high_mol_m2_d"),
        ("drivers", "voltage_low_v", "voltage_high_v"),
        ("drivers", "current_low_a", "current_high_a"),
        ("drivers", "window_min_v", "voltage_high_v"),
        ("drivers", "cut_off_v", "voltage_high_v"),
        ("entries", "clamping_low_m", "clamping_high_m"),
        ("fixture", "row_pitch_from_m", "row_pitch_to_m"),
        ("fixture", "column_pitch_from_m", "column_pitch_to_m"),
        ("fixture", "height_from_m", "height_to_m"),
    )
    for key, low_name, high_name in pairs:
        for row, record in enumerate(records.get(key, ())):
            low, high = record.get(low_name), record.get(high_name)
            if isinstance(low, int | float) and isinstance(high, int | float) and low > high:
                yield RecordProblem(
                    sheet=key,
                    row=row,
                    field=high_name,
                    problem=f"the high end {high:g} lies below the low end {low:g}",
                    allowed=f"at least {low:g}",
                    remedy="swap the two, or mend the wrong one",
                )


def _points_make_a_curve(records: Records) -> Iterator[RecordProblem]:
    points = list(enumerate(records.get("board_points", ())))
    for model_row, model in enumerate(records.get("boards", ())):
        own = [(row, point) for row, point in points if point.get("board") == model.get("tag")]
        reference = model.get("reference_temperature_c")
        reference = REFERENCE_C if reference is None else reference
        series: dict[Value, list[tuple[int, Record]]] = {reference: []}
        for row, point in own:
            warm = point.get("temperature_c")
            series.setdefault(reference if warm is None else warm, []).append((row, point))
        if model.get("tag") is not None and len(series[reference]) < 2:
            count = len(series[reference])
            yield RecordProblem(
                sheet="boards",
                row=model_row,
                field="tag",
                problem=f"{model['tag']!r} has {count} board point{'' if count == 1 else 's'} at its reference "
                "temperature",
                allowed="at least two rows of the Board points sheet a model",
                remedy="add points from the datasheet's current-voltage curve",
                rests_on=(
                    "board_points.board",
                    "board_points.temperature_c",
                    "boards.tag",
                    "boards.reference_temperature_c",
                ),
            )
        for entries in series.values():
            yield from _rising(entries)


def _rising(own: Sequence[tuple[int, Record]]) -> Iterator[RecordProblem]:
    whole = [(row, point) for row, point in own if isinstance(point.get("current_a"), int | float)]
    ordered = sorted(whole, key=lambda entry: float(entry[1]["current_a"] or 0.0))
    for (_, before), (row, point) in itertools.pairwise(ordered):
        if before["current_a"] == point["current_a"]:
            yield RecordProblem(
                sheet="board_points",
                row=row,
                field="current_a",
                problem="this current stands twice for the model",
                allowed="each current once a model",
            )
            continue
        for name, word in (("voltage_v", "voltage"), ("photon_flux_umol_s", "photon flux")):
            low, high = before.get(name), point.get(name)
            if isinstance(low, int | float) and isinstance(high, int | float) and high <= low:
                yield RecordProblem(
                    sheet="board_points",
                    row=row,
                    field=name,
                    problem=f"more current but not more {word}",
                    allowed=f"above {low:g}, the {word} at {before['current_a']:g} A",
                    remedy="check the point against the datasheet",
                )


def _no_more_light_than_power(records: Records) -> Iterator[RecordProblem]:
    ceilings = {model.get("tag"): model.get("photons_per_joule_umol_per_j") for model in records.get("boards", ())}
    for row, point in enumerate(records.get("board_points", ())):
        current, voltage, flux = point.get("current_a"), point.get("voltage_v"), point.get("photon_flux_umol_s")
        if not (
            isinstance(current, int | float) and isinstance(voltage, int | float) and isinstance(flux, int | float)
        ):
            continue
        if current <= 0 or voltage <= 0:
            continue
        own = ceilings.get(point.get("board"))
        ceiling = min(float(own), CEILING_UMOL_PER_J) if isinstance(own, int | float) else CEILING_UMOL_PER_J
        efficacy = flux / (current * voltage)
        if efficacy >= ceiling:
            yield RecordProblem(
                sheet="board_points",
                row=row,
                field="photon_flux_umol_s",
                problem=f"{efficacy:.3g} umol/J, more light than the power put in",
                allowed=f"below {ceiling:.4g} umol/J, the photons in a joule of this light",
                remedy="check flux, current and voltage of this point",
            )


def _sinks_are_given_one_way(records: Records) -> Iterator[RecordProblem]:
    plate, fins = ("orientation", "width_m", "length_m"), ("base_thickness_m", "fin_height_m", "fin_thickness_m")
    for row, sink in enumerate(records.get("heat_sinks", ())):
        stated = sink.get("sink_resistance_k_per_w") is not None
        others = (*plate, "fin_count", *fins, "air_speed_m_per_s")
        given = [name for name in others if sink.get(name) is not None]
        given += ["resistance_fraction"] if sink.get("resistance_fraction") not in {None, 1.0} else []
        rests_on = tuple(f"heat_sinks.{name}" for name in ("sink_resistance_k_per_w", *others))
        wanted = (*plate, *fins) if sink.get("fin_count") is not None else plate
        orientations = (
            ("vertical", "fins up") if sink.get("fin_count") is not None else ("vertical", "face up", "face down")
        )
        problem = allowed = ""
        field = "sink_resistance_k_per_w"
        if stated and given:
            problem, allowed = (
                "both a thermal resistance and dimensions or an air speed or a resistance found are given",
                "one of the two; blank the other",
            )
        elif not stated and not set(given) - {"resistance_fraction"}:
            problem, allowed = "neither a thermal resistance nor dimensions are given", "one of the two"
        elif not stated and (missing := [name for name in wanted if sink.get(name) is None]):
            field, problem, allowed = (
                missing[0],
                "needed with the other dimensions",
                "orientation, width, length; for fins all of theirs",
            )
        elif not stated and sink.get("orientation") not in orientations:
            field, problem, allowed = (
                "orientation",
                f"{sink['orientation']!r} does not go with this sink",
                " or ".join(orientations),
            )
        if problem:
            yield RecordProblem(
                sheet="heat_sinks", row=row, field=field, problem=problem, allowed=allowed, rests_on=rests_on
            )


def _diode_is_whole(records: Records) -> Iterator[RecordProblem]:
    names = ("diode_slope_v", "diode_saturation_current_a", "diode_series_resistance_ohm")
    for row, model in enumerate(records.get("boards", ())):
        missing = [name for name in names if model.get(name) is None]
        if 0 < len(missing) < len(names):
            yield RecordProblem(
                sheet="boards",
                row=row,
                field=missing[0],
                problem="only part of the diode form is given",
                allowed="slope, saturation current and series resistance, or none of them",
                rests_on=tuple(f"boards.{name}" for name in names),
            )


def _junction_has_its_leds(records: Records) -> Iterator[RecordProblem]:
    for row, model in enumerate(records.get("boards", ())):
        emitters, series = model.get("emitters_count"), model.get("led_series_count")
        counted = emitters is not None or series is not None
        wired = int(series or 0) * int(model.get("led_parallel_count") or 1)
        if emitters is not None and series is not None and emitters != wired:
            yield RecordProblem(
                sheet="boards",
                row=row,
                field="emitters_count",
                problem=f"{emitters} LEDs, but series times parallel makes {wired}",
                allowed="the same number, or one of the two blank",
                rests_on=("boards.led_series_count", "boards.led_parallel_count"),
            )
        if model.get("junction_resistance_k_per_w") is not None and not counted:
            yield RecordProblem(
                sheet="boards",
                row=row,
                field="emitters_count",
                problem="a junction resistance is given, but not how many LEDs share the heat",
                allowed="the number of LEDs on the board, or LEDs in series and in parallel",
                rests_on=("boards.emitters_count", "boards.led_series_count"),
            )


def _one_sink_is_shared(records: Records) -> Iterator[RecordProblem]:
    own = form_of(records, "fixture").get("heat_sink")
    model_of: dict[str, Value | None] = {}
    for row, place in enumerate(records.get("positions", ())):
        if place.get("shared_sink") is None:
            continue
        label, model = str(place["shared_sink"]), place.get("heat_sink") or own
        if model_of.setdefault(label, model) != model:
            yield RecordProblem(
                sheet="positions",
                row=row,
                field="heat_sink",
                problem=f"the shared sink {label!r} is of model {model_of[label]!r} already",
                allowed="one heat sink model a shared sink",
                rests_on=("positions.shared_sink", "positions.heat_sink", "fixture.heat_sink"),
            )


def _driver_points_stand_once(records: Records) -> Iterator[RecordProblem]:
    seen: dict[tuple[Value | None, ...], int] = {}
    kinds: dict[Value | None, bool] = {}
    for row, point in enumerate(records.get("driver_points", ())):
        place = tuple(point.get(name) for name in ("driver", "mains_v", "load_fraction"))
        any_mains = place[1] is None
        problem = ""
        if place in seen:
            problem = f"this load stands already in data row {seen[place] + 1}"
        elif kinds.setdefault(place[0], any_mains) != any_mains:
            problem = "some points of this driver name a mains voltage and some do not"
        if problem:
            yield RecordProblem(
                sheet="driver_points",
                row=row,
                field="load_fraction" if place in seen else "mains_v",
                problem=problem,
                allowed="each load once a driver and mains voltage; a mains voltage with every point or with none",
            )
        seen.setdefault(place, row)


def _one_test_current_a_model(records: Records) -> Iterator[RecordProblem]:
    first: dict[Value | None, Value | None] = {}
    for row, board in enumerate(records.get("incoming_boards", ())):
        amps = board.get("test_current_a")
        if first.setdefault(board.get("board"), amps) != amps:
            yield RecordProblem(
                sheet="incoming_boards",
                row=row,
                field="test_current_a",
                problem="measured at another current than the first board of this model",
                allowed=f"{first[board.get('board')]} A, as the first one",
                remedy="measure all boards of a model at one current",
            )


FIGURE_CHECKS: tuple[Callable[[Records], Iterator[RecordProblem]], ...] = (
    _room_is_whole,
    _sinks_are_given_one_way,
    _ends_in_order,
    _points_make_a_curve,
    _no_more_light_than_power,
    _diode_is_whole,
    _junction_has_its_leds,
    _one_sink_is_shared,
    _driver_points_stand_once,
    _one_test_current_a_model,
    light_tables_are_whole,
    light_blocks_are_whole,
    light_maps_of_a_size,
    sensor_errors_are_of_sensors,
    rings_fit_the_crop,
    tables_over_time_are_whole,
    cables_fit_the_arrangement,
    openings_fit_their_walls,
)
