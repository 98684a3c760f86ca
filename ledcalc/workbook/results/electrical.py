"""Pages on currents, wiring and heat."""

from __future__ import annotations

import math

import numpy as np

from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import BarChart, CurveChart, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["currents_page", "heat_page", "load_page", "wiring_page"]

CURRENT_COLUMNS = (
    col("Board"),
    col("Model", width=18),
    col("Current", "A", 3),
    col("Rated current", "A", 3),
    col("Of rating", "%", 1),
    col("Against rating", width=14),
    col("Share of total", "%"),
    col("If another branch is lost", "A", 3, 14),
    col("Board voltage", "V"),
    col("Board power", "W"),
    col("Photon flux (PPF)", "umol/s", 1),
)
WIRE_COLUMNS = (
    col("Cable", width=9),
    col("To board", width=9),
    col("Wire size", width=10),
    col("One-way length", "m", width=9),
    col("Current", "A", 3, 9),
    col("Conductor temperature", "degC", 1, 13),
    col("Resistance, out and back with contacts", "ohm", 4, 16),
    col("Drop", "V", 3, 8),
    col("Drop of driver voltage", "%", 2, 10),
    col("Loss", "W", 2, 8),
    col("Table ampacity", "A", 1, 10),
    col("Ambient factor", width=9),
    col("Bundle factor", width=9),
    col("Ampacity", "A", 2, 10),
    col("Against ampacity", width=22),
)
HEAT_COLUMNS = (
    col("Board"),
    col("Heat sink", width=18),
    col("Electrical power", "W"),
    col("Heat", "W"),
    col("Sink to air", "K/W"),
    col("Heat sink temperature", "degC", 1),
    col("Board temperature", "degC", 1),
    col("Rated temperature", "degC", 1),
    col("Margin to rating", "K", 1),
)


def currents_page(results: Evaluation) -> Page:
    """Return each board's current against its rating, and what it would take if a branch were lost."""
    operating, fixture = results.operating, results.fixture
    circuit = f"may carry {operating.circuit_limit_a:g} A for hours"
    gain = "below 1 a warm-up dies out; the nearer to 1, the more one board hogs"
    facts = Facts(
        heading="Driver",
        facts=(
            fact("Mode", operating.mode),
            fact("Output voltage", operating.voltage_v, "V", 2, f"setting {fixture.voltage_setting_v:g} V"),
            fact("Output current", operating.current_a, "A", 3, f"setting {fixture.current_setting_a:g} A"),
            fact("Output power", operating.power_w, "W", 1),
            fact("Mains current of this fixture", operating.mains_current_a, "A"),
            fact("Load on the mains circuit", operating.circuit_load_a, "A", 2, circuit),
            fact("Loop gain of current and heat", operating.loop_gain, "", 2, gain),
        ),
    )
    table = Table(heading="Boards", columns=CURRENT_COLUMNS, rows=_current_rows(results))
    chart = BarChart(
        title="Board currents against rating, and with another branch lost",
        axis="current in A",
        category=0,
        bars=2,
        beside=7 if len(results.boards.tag) > 1 else None,
        line=3,
    )
    return Page(title="Currents", lead=operating.explanation, blocks=(facts, table, chart))


def load_page(results: Evaluation) -> Page | None:
    """Return what the boards need against what the driver gives: they run where the two curves meet.

    None where the boards do not share: there is no one curve then.
    """
    what_if, fixture = results.what_if, results.fixture
    if what_if.trim is None:
        return None
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    limit, ceiling = fixture.current_setting_a, fixture.voltage_setting_v
    needs = list(zip(what_if.load_current_a, what_if.load_voltage_v, strict=True))
    below = [(float(a), float(v), min(ceiling, model.power_limit_w / float(a))) for a, v in needs if a < limit]
    beyond = [(float(a), float(v), None) for a, v in needs if a >= limit]
    at_limit = float(np.interp(limit, what_if.load_current_a, what_if.load_voltage_v, right=np.nan))
    edge = [(limit, at_limit, min(ceiling, model.power_limit_w / limit)), (limit, at_limit, model.window_min_v)]
    columns = (
        col("Driver current", "A", 3),
        col("The boards need", "V", 2, 18),
        col("The driver gives at most", "V", 2, 14),
    )
    table = Table(heading="", columns=columns, rows=(*below, *edge, *beyond))
    chart = CurveChart(
        title="Where load and driver meet", across="driver current in A", up="voltage in V", curves=(1, 2)
    )
    lead = "The boards, warm, need so much voltage at each current; the driver gives no more than its two dials allow."
    return Page(title="Load curve", lead=lead, blocks=(table, chart))


def _current_rows(results: Evaluation) -> tuple[tuple[Shown, ...], ...]:
    boards = results.boards
    return tuple(
        (
            boards.tag[n],
            boards.model[n],
            float(boards.current_a[n]),
            float(boards.rated_current_a[n]),
            100.0 * float(boards.current_a[n] / boards.rated_current_a[n]),
            _against(float(boards.current_a[n]), float(boards.rated_current_a[n]), boards.extrapolated[n]),
            100.0 * float(boards.share_fraction[n]),
            float(boards.one_lost_current_a[n]) if len(boards.tag) > 1 else "no other branch",
            float(boards.voltage_v[n]),
            float(boards.power_w[n]),
            float(boards.photon_flux_umol_s[n]),
        )
        for n in range(len(boards.tag))
    )


def _against(current_a: float, rated_a: float, extrapolated: bool) -> str:
    verdict = "OVER" if current_a > rated_a * (1.0 + 1e-9) else "within"
    return f"{verdict}, extrapolated" if extrapolated else verdict


def wiring_page(results: Evaluation) -> Page:
    """Return each run's drop, loss and ampacity."""
    wires = results.wires
    largest, smallest = float(wires.drop_v.max()), float(wires.drop_v.min())
    facts = Facts(
        heading="All runs together",
        facts=(
            fact("Largest drop", largest, "V", 3),
            fact("Spread of drop between boards", largest - smallest, "V", 3),
            fact("Loss in all runs", float(wires.loss_w.sum()), "W"),
        ),
    )
    table = Table(heading="Cable runs", columns=WIRE_COLUMNS, rows=_wire_rows(results))
    tables = tuple(dict.fromkeys(name for name in wires.ampacity_table if name))
    sources = Lines(heading="Tables", lines=tables or ("no table covers these wires",))
    lead = "Drop, loss and ampacity of each run between driver and board."
    return Page(title="Wiring", lead=lead, blocks=(facts, table, sources))


def _wire_rows(results: Evaluation) -> tuple[tuple[Shown, ...], ...]:
    wires = results.wires
    return tuple(
        (
            wires.tag[n],
            wires.board[n],
            wires.size[n],
            float(wires.one_way_length_m[n]),
            float(wires.current_a[n]),
            float(wires.conductor_temperature_c[n]),
            float(wires.resistance_ohm[n]),
            float(wires.drop_v[n]),
            100.0 * float(wires.drop_fraction[n]),
            float(wires.loss_w[n]),
            float(wires.table_ampacity_a[n]),
            float(wires.ambient_factor[n]),
            float(wires.grouping_factor[n]),
            float(wires.ampacity_a[n]),
            _against_ampacity(float(wires.current_a[n]), float(wires.ampacity_a[n]), wires.status[n]),
        )
        for n in range(len(wires.tag))
    )


def _against_ampacity(current_a: float, ampacity_a: float, status: str) -> str:
    if math.isnan(ampacity_a):
        return status
    return "OVER" if current_a > ampacity_a * (1.0 + 1e-9) else "within"


def heat_page(results: Evaluation) -> Page:
    """Return each board's heat and temperatures."""
    boards = results.boards
    light = float((boards.power_w - boards.heat_w).sum())
    facts = Facts(
        heading="Together",
        facts=(
            fact("Air around the sinks", results.fixture.site.air_temperature_c, "degC", 1),
            fact("Heat given to the room by the boards", float(boards.heat_w.sum()), "W", 1),
            fact("Light given off", light, "W", 1, "it ends as heat in the room too"),
        ),
    )
    rows: tuple[tuple[Shown, ...], ...] = tuple(
        (
            boards.tag[n],
            boards.heat_sink[n],
            float(boards.power_w[n]),
            float(boards.heat_w[n]),
            float(boards.sink_resistance_k_per_w[n]),
            float(boards.sink_temperature_c[n]),
            float(boards.temperature_c[n]),
            float(boards.rated_temperature_c[n]),
            float(boards.rated_temperature_c[n] - boards.temperature_c[n]),
        )
        for n in range(len(boards.tag))
    )
    table = Table(heading="Boards on their sinks", columns=HEAT_COLUMNS, rows=rows)
    chart = BarChart(title="Board temperatures against rating", axis="temperature in degC", category=0, bars=6, line=7)
    return Page(title="Heat", lead="Steady temperatures once everything has warmed up.", blocks=(facts, table, chart))
