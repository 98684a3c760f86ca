"""Nothing is guessed in silence: every value that nobody gave, and every simplification the figures rest on."""

from __future__ import annotations

from ledcalc.evaluation.cost_workings import cost_assumptions
from ledcalc.evaluation.electrical import Settled
from ledcalc.evaluation.layout_ranges import search_ranges
from ledcalc.fixture import Fixture
from ledcalc.model_curves import curve_of
from ledcalc.records import records_from_fixture
from ledcalc.results import Assumption
from ledcalc.schema import default_value, sheet

__all__ = ["USUAL_VALUE", "assumptions_of"]

USUAL_VALUE = "not given; the usual value stands in"

# Simplifications of this version, each with its ground; they hold for every fixture.
SIMPLIFICATIONS = (
    ("boards", "all boards of a model alike", "spread is counted in on the Tolerance sheet only"),
    (
        "fixture",
        "with a fault, light, wires and sinks stay as they are without it",
        "their change moves the currents by less than a thousandth",
    ),
    ("boards", "steady state", "the figures hold once everything has warmed up"),
)


def assumptions_of(fixture: Fixture, settled: Settled) -> tuple[Assumption, ...]:
    """Return the defaults that stood in for blanks, then what the calculation took for granted."""
    origin = fixture.origin
    defaults = _left_at_default(fixture)
    # Of a file it is known which cells were blank; a default may have been changed since, then it is none any more.
    assumed = [path for path in origin.assumed if path in defaults] if origin else list(defaults)
    cells, notes = (origin.cells, origin.notes) if origin else ({}, ())
    found = [
        Assumption(
            path=path,
            cell=cells.get(path, ""),
            value=defaults[path],
            reason=USUAL_VALUE,
        )
        for path in assumed
    ]
    found += [Assumption(path="", cell="", value="", reason=note) for note in notes]
    found += [Assumption(path=path, cell="", value=what, reason=why) for path, what, why in SIMPLIFICATIONS]
    derived = _coefficients_from_points(fixture, settled)
    paths = {entry.path for entry in derived}
    paths |= {path.replace("voltage_coefficient_v_per_k", "flux_coefficient_fraction_per_k") for path in paths}
    found = [entry for entry in found if entry.path not in paths]
    found += derived
    layout = search_ranges(fixture).assumed if fixture.layout_advice == "yes" else ()
    of_parts = (*_of_driver_and_sinks(fixture, settled), *_of_wires(fixture, settled))
    return (*found, *of_parts, *_of_light(fixture), *layout, *cost_assumptions(fixture))


def _left_at_default(fixture: Fixture) -> dict[str, str]:
    """Return the path of every field that is at its default, with the field and value in words."""
    found = {}
    for key, rows in records_from_fixture(fixture).items():
        part = sheet(key)
        for row, record in enumerate(rows):
            for field in part.fields:
                default = default_value(field)
                if default is not None and record[field.name] == default:
                    place = key if part.shape == "form" else f"{key}[{row}]"
                    shown = f"{default:g}" if isinstance(default, int | float) else default
                    unit = field.unit if field.unit not in {"", "1"} else ""
                    found[f"{place}.{field.name}"] = f"{field.label}: {shown} {unit}".rstrip()
    return found


def _coefficients_from_points(fixture: Fixture, settled: Settled) -> list[Assumption]:
    """Return the voltage coefficient that the points of a model at several temperatures give."""
    found = []
    for row, model in enumerate(fixture.boards):
        warm = {point.temperature_c for point in fixture.board_points if point.board == model.tag}
        if model.diode_slope_v is not None or not warm - {None, model.reference_temperature_c}:
            continue
        points = tuple(point for point in fixture.board_points if point.board == model.tag)
        amps = float(settled.split.current_a.mean()) or points[0].current_a
        curve = curve_of(model, points)
        slope_mv = 1000.0 * float(curve.coefficient(amps))
        found.append(
            Assumption(
                path=f"boards[{row}].voltage_coefficient_v_per_k",
                cell="",
                value=f"{model.tag}: {slope_mv:.1f} mV/K at {amps:.3g} A, light by its points too",
                reason="worked out from its points at several temperatures, which go before the Boards sheet",
            )
        )
    return found


def _of_driver_and_sinks(fixture: Fixture, settled: Settled) -> list[Assumption]:
    """Return what stands in where no curve of the driver, no dimensions of a sink and no ventilation are given."""
    found = []
    if settled.draw.is_held:
        what = "the nearest end of the driver's points stands in"
        found.append(("driver_points", what, "load or mains voltage lies outside them"))
    elif not any(point.driver == fixture.driver for point in fixture.driver_points):
        what = "efficiency and power factor as stated, at every load"
        found.append(("driver_points", what, "no points against load are given"))
    if any(sink.sink_resistance_k_per_w is not None for sink in fixture.heat_sinks):
        what = "stated thermal resistances hold at every temperature"
        found.append(("heat_sinks", what, "a real sink improves a little as it warms"))
    if any(place.shared_sink is not None for place in fixture.positions):
        what = "a shared sink has one temperature"
        found.append(("positions", what, "on a long thin one a board warms itself more and the far ones less"))
    if fixture.site.ventilation_m3_per_h is None:
        what = "air at the site's temperature"
        found.append(("site", what, "no ventilation is given, so the fixture's warming of the room is left out"))
    return [Assumption(path=path, cell="", value=what, reason=why) for path, what, why in found]


def _of_wires(fixture: Fixture, settled: Settled) -> list[Assumption]:
    found = []
    for index, run in enumerate(settled.circuit.runs):
        if run.cable.ambient_c is None:
            found.append(
                Assumption(
                    path=f"cables[{index}].ambient_c",
                    cell=fixture.origin.cells.get(f"cables[{index}].ambient_c", "") if fixture.origin else "",
                    value=f"{run.ambient_c:.1f} degC around the cable",
                    reason="not given; the air that the fixture hangs in stands in",
                )
            )
        if run.steps is None:
            found.append(
                Assumption(
                    path=f"cables[{index}].size",
                    cell="",
                    value=f"{run.cable.tag}: conductor as warm as the air around it",
                    reason="no table gives its ampacity, so its own heating is not known",
                )
            )
    return found


def _of_light(fixture: Fixture) -> list[Assumption]:
    if fixture.site.room_width_m is None:
        value, reason = "open bench: no walls, no ceiling", "no room sizes given; walls would add light"
    else:
        value = "walls send light back evenly, whatever hangs on them; boards cast no shadow"
        reason = "real boards take 0.2 to 6 % away in white rooms where their faces are white, 6 to 14 % where black"
    lit = Assumption(path="site.room_width_m", cell="", value=value, reason=reason)
    even = Assumption(
        path="boards", cell="", value="each board shines evenly over its face", reason="its LEDs are not placed singly"
    )
    return [lit, even]
