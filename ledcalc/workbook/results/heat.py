"""Pages on heat: steady temperatures, and the way there."""

from __future__ import annotations

import numpy as np

from ledcalc.circuit import WarmUp
from ledcalc.results import BoardResults, Evaluation
from ledcalc.workbook.results.pages import BarChart, CurveChart, Fact, Facts, Page, Shown, Table, col, fact

__all__ = ["heat_page", "warm_up_page"]

HEAT_COLUMNS = (
    col("Board"),
    col("Heat sink", width=18),
    col("Shared sink", width=10),
    col("Electrical power", "W", width=10),
    col("Heat", "W", width=9),
    col("Sink to air", "K/W", width=9),
    col("Heat sink temperature", "degC", 1),
    col("Touch limit, 1 s", "degC", 0, 10),
    col("Board temperature", "degC", 1),
    col("Rated temperature", "degC", 1),
    col("Margin to rating", "K", 1),
    col("Junction temperature", "degC", 1),
    col("Rated junction temperature", "degC", 1),
)
# A table of so many rows shows the course; the chart needs no more.
ROWS = 21
MINUTES_PER_SECOND = 1.0 / 60.0


def heat_page(results: Evaluation) -> Page:
    """Return each board's heat and temperatures, and what warms the room."""
    boards = results.boards
    table = Table(
        heading="Boards on their sinks",
        columns=HEAT_COLUMNS,
        rows=tuple(_row(boards, n) for n in range(len(boards.tag))),
    )
    chart = BarChart(title="Board temperatures against rating", axis="temperature in degC", category=0, bars=8, line=9)
    facts = Facts(heading="Together", facts=_together(results))
    return Page(title="Heat", lead="Steady temperatures once everything has warmed up.", blocks=(facts, table, chart))


def _together(results: Evaluation) -> tuple[Fact, ...]:
    boards, operating, site = results.boards, results.operating, results.fixture.site
    model = next(entry for entry in results.fixture.drivers if entry.tag == results.fixture.driver)
    light = float((boards.power_w - boards.heat_w).sum())
    rise = operating.air_temperature_c - site.air_temperature_c
    warmed = f"{rise:.1f} K above the air that comes in" if site.ventilation_m3_per_h is not None else "as stated"
    rated = "" if model.rated_case_temperature_c is None else f"rated {model.rated_case_temperature_c:g} degC"
    case = operating.case_temperature_c
    return (
        fact("Air around the sinks", operating.air_temperature_c, "degC", 1, warmed),
        fact("Heat given to the room by the boards", float(boards.heat_w.sum()), "W", 1),
        fact("Light given off", light, "W", 1, "it ends as heat in the room too"),
        fact("Loss of the driver", operating.loss_w, "W", 1, "heat too"),
        fact("Driver's case", "not known" if np.isnan(case) else case, "" if np.isnan(case) else "degC", 1, rated),
    )


def _row(boards: BoardResults, n: int) -> tuple[Shown, ...]:
    return (
        boards.tag[n],
        boards.heat_sink[n],
        boards.shared_sink[n] or "its own",
        float(boards.power_w[n]),
        float(boards.heat_w[n]),
        float(boards.sink_resistance_k_per_w[n]),
        float(boards.sink_temperature_c[n]),
        _or("out of reach", boards.touch_limit_c[n]),
        float(boards.temperature_c[n]),
        float(boards.rated_temperature_c[n]),
        float(boards.rated_temperature_c[n] - boards.temperature_c[n]),
        _or("not known", boards.junction_temperature_c[n]),
        _or("not given", boards.rated_junction_temperature_c[n]),
    )


def _or(words: str, value: float) -> Shown:
    return words if np.isnan(value) else float(value)


def warm_up_page(results: Evaluation) -> Page | None:
    """Return how temperatures and currents go after switching on; None where no heat capacity is known."""
    course, boards = results.what_if.warm_up, results.boards
    if course is None:
        return None
    hot, top = (int(np.argmax(rows[:, -1])) for rows in (course.temperature_c, course.current_a))
    minutes = course.time_s * MINUTES_PER_SECOND
    columns = (
        col("Time since switch-on", "min", 1, 14),
        col(f"Temperature of {boards.tag[hot]}", "degC", 1, 16),
        col("Coolest board", "degC", 1, 14),
        col(f"Current of {boards.tag[top]}", "A", 3, 14),
        col("Driver voltage", "V", 2, 14),
    )
    picked = np.unique(np.linspace(0, minutes.size - 1, ROWS).round().astype(int))
    rows = tuple(
        (
            float(minutes[n]),
            float(course.temperature_c[hot, n]),
            float(course.temperature_c[:, n].min()),
            float(course.current_a[top, n]),
            float(course.driver_voltage_v[n]),
        )
        for n in picked
    )
    facts = Facts(heading="From a cold start", facts=_course_facts(results, course))
    chart = CurveChart(
        title="Board temperatures after switching on", across="time in min", up="temperature in degC", curves=(1, 2)
    )
    start = results.operating.air_temperature_c
    lead = f"Everything starts at {start:.1f} degC, the air's; log the branches again once this has settled."
    return Page(title="Warm-up", lead=lead, blocks=(facts, Table(heading="", columns=columns, rows=rows), chart))


def _course_facts(results: Evaluation, course: WarmUp) -> tuple[Fact, ...]:
    what_if, fixture = results.what_if, results.fixture
    slowest = float(np.nanmax(course.time_to_95_s)) * MINUTES_PER_SECOND
    settled = "settled" if course.is_steady else "not settled"
    end = f"after {course.time_s[-1] / 3600.0:.1f} h; settled is less than 0.5 K an hour"
    ceiling = f"ceiling {fixture.voltage_setting_v:g} V"
    facts = [
        fact("95 % of the rise, slowest board", slowest, "min", 0),
        fact("At the end", settled, "", 0, end),
        fact("Driver voltage at switch-on", course.cold_driver_voltage_v, "V", 2, ceiling),
        fact("Driver voltage at the end", float(course.driver_voltage_v[-1]), "V", 2),
    ]
    if np.isfinite(what_if.cold_voltage_v):
        start = f"at the coldest start, {fixture.site.coldest_air_c:g} degC"
        facts.append(fact("Voltage the current setting needs", what_if.cold_voltage_v, "V", 2, start))
    return tuple(facts)
