"""Nothing is guessed in silence: every value that nobody gave, and every simplification the figures rest on."""

from __future__ import annotations

from ledcalc.evaluation.electrical import Settled
from ledcalc.fixture import Fixture
from ledcalc.records import records_from_fixture
from ledcalc.results import Assumption
from ledcalc.schema import default_value, sheet

__all__ = ["assumptions_of"]

# Simplifications of this version, each with its ground; they hold for every fixture.
SIMPLIFICATIONS = (
    ("boards", "all boards of a model alike", "spread is counted in on the Tolerance sheet only"),
    (
        "fixture",
        "with a fault, light, wires and sinks stay as they are without it",
        "their change moves the currents by less than a thousandth",
    ),
    ("drivers", "efficiency and power factor as stated, at every load", "no curve against load is given"),
    ("heat_sinks", "stated thermal resistances hold at every temperature", "a real sink improves a little as it warms"),
    (
        "heat_sinks",
        "each board alone on its sink, in air at the site's temperature",
        "no warming of the air by the fixture",
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
            reason="not given; the usual value stands in",
        )
        for path in assumed
    ]
    found += [Assumption(path="", cell="", value="", reason=note) for note in notes]
    found += [Assumption(path=path, cell="", value=what, reason=why) for path, what, why in SIMPLIFICATIONS]
    return (*found, *_of_wires(fixture, settled), *_of_light(fixture))


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


def _of_wires(fixture: Fixture, settled: Settled) -> list[Assumption]:
    found = []
    for index, run in enumerate(settled.circuit.runs):
        if run.cable.ambient_c is None:
            found.append(
                Assumption(
                    path=f"cables[{index}].ambient_c",
                    cell=fixture.origin.cells.get(f"cables[{index}].ambient_c", "") if fixture.origin else "",
                    value=f"{run.ambient_c:g} degC around the cable",
                    reason="not given; the site's air temperature stands in",
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
        value = "walls and ceiling send nothing back"
        reason = "this version works out direct light; real walls add some"
    lit = Assumption(path="site.room_width_m", cell="", value=value, reason=reason)
    even = Assumption(
        path="boards", cell="", value="each board shines evenly over its face", reason="its LEDs are not placed singly"
    )
    return [lit, even]
