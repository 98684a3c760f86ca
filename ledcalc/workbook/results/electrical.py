"""Pages on currents, wiring and heat."""

from __future__ import annotations

from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import BarChart, Col, Fact, Facts, Lines, Page, Table

__all__ = ["currents_page", "heat_page", "wiring_page"]


def currents_page(results: Evaluation) -> Page:
    """Return each board's current against its rating, and what it would take if a branch were lost."""
    boards, operating = results.boards, results.operating
    table = Table(
        heading="Boards",
        columns=(
            Col(label="Board"),
            Col(label="Model", width=18),
            Col(label="Current", unit="A", digits=3),
            Col(label="Rated current", unit="A", digits=3),
            Col(label="Of rating", unit="%", digits=1),
            Col(label="Against rating", width=14),
            Col(label="Share of total", unit="%", digits=2),
            Col(label="If another branch is lost", unit="A", digits=3, width=14),
            Col(label="Board voltage", unit="V"),
            Col(label="Board power", unit="W"),
            Col(label="Photon flux (PPF)", unit="umol/s", digits=1),
        ),
        rows=tuple(
            (
                boards.tag[n],
                boards.model[n],
                float(boards.current_a[n]),
                float(boards.rated_current_a[n]),
                100.0 * float(boards.current_a[n] / boards.rated_current_a[n]),
                _against(float(boards.current_a[n]), float(boards.rated_current_a[n]), boards.extrapolated[n]),
                100.0 * float(boards.share_fraction[n]),
                float(boards.one_lost_current_a[n]),
                float(boards.voltage_v[n]),
                float(boards.power_w[n]),
                float(boards.photon_flux_umol_s[n]),
            )
            for n in range(len(boards.tag))
        ),
    )
    chart = BarChart(title="Board currents against rating", axis="current in A", category=0, bars=2, line=3)
    facts = Facts(
        heading="Driver",
        facts=(
            Fact(label="Mode", value=operating.mode),
            Fact(
                label="Output voltage",
                value=operating.voltage_v,
                unit="V",
                remark=f"setting {results.fixture.voltage_setting_v:g} V",
            ),
            Fact(
                label="Output current",
                value=operating.current_a,
                unit="A",
                remark=f"setting {results.fixture.current_setting_a:g} A",
                digits=3,
            ),
            Fact(label="Output power", value=operating.power_w, unit="W", digits=1),
            Fact(label="Mains current of this fixture", value=operating.mains_current_a, unit="A"),
            Fact(
                label="Load on the mains circuit",
                value=operating.circuit_load_a,
                unit="A",
                remark=f"may carry {operating.circuit_limit_a:g} A for hours",
            ),
            Fact(
                label="Loop gain of current and heat",
                value=operating.loop_gain,
                remark="below 1 a warm-up dies out; the nearer to 1, the more one board hogs",
            ),
        ),
    )
    return Page(title="Currents", lead=operating.explanation, blocks=(facts, table, chart))


def _against(current_a: float, rated_a: float, extrapolated: bool) -> str:
    verdict = "OVER" if current_a > rated_a * (1.0 + 1e-9) else "within"
    return f"{verdict}, extrapolated" if extrapolated else verdict


def wiring_page(results: Evaluation) -> Page:
    """Return each run's drop, loss and ampacity."""
    wires = results.wires
    drops = [float(drop) for drop in wires.drop_v]
    table = Table(
        heading="Cable runs",
        columns=(
            Col(label="Cable", width=9),
            Col(label="To board", width=9),
            Col(label="Wire size", width=10),
            Col(label="One-way length", unit="m", width=9),
            Col(label="Current", unit="A", digits=3, width=9),
            Col(label="Conductor temperature", unit="degC", digits=1, width=13),
            Col(label="Resistance, out and back with contacts", unit="ohm", digits=4, width=16),
            Col(label="Drop", unit="V", digits=3, width=8),
            Col(label="Drop of driver voltage", unit="%", width=10),
            Col(label="Loss", unit="W", width=8),
            Col(label="Table ampacity", unit="A", digits=1, width=10),
            Col(label="Ambient factor", width=9),
            Col(label="Bundle factor", width=9),
            Col(label="Ampacity", unit="A", width=9),
            Col(label="Against ampacity", width=22),
        ),
        rows=tuple(
            (
                wires.tag[n],
                wires.board[n],
                wires.size[n],
                float(wires.one_way_length_m[n]),
                float(wires.current_a[n]),
                float(wires.conductor_temperature_c[n]),
                float(wires.resistance_ohm[n]),
                drops[n],
                100.0 * float(wires.drop_fraction[n]),
                float(wires.loss_w[n]),
                float(wires.table_ampacity_a[n]),
                float(wires.ambient_factor[n]),
                float(wires.grouping_factor[n]),
                float(wires.ampacity_a[n]),
                _against_ampacity(float(wires.current_a[n]), float(wires.ampacity_a[n]), wires.status[n]),
            )
            for n in range(len(wires.tag))
        ),
    )
    facts = Facts(
        heading="All runs together",
        facts=(
            Fact(label="Largest drop", value=max(drops), unit="V", digits=3),
            Fact(label="Spread of drop between boards", value=max(drops) - min(drops), unit="V", digits=3),
            Fact(label="Loss in all runs", value=float(wires.loss_w.sum()), unit="W"),
        ),
    )
    tables = tuple(dict.fromkeys(name for name in wires.ampacity_table if name))
    sources = Lines(heading="Tables", lines=tables or ("no table covers these wires",))
    return Page(
        title="Wiring",
        lead="Drop, loss and ampacity of each run between driver and board.",
        blocks=(facts, table, sources),
    )


def _against_ampacity(current_a: float, ampacity_a: float, status: str) -> str:
    if ampacity_a != ampacity_a:
        return status
    return "OVER" if current_a > ampacity_a * (1.0 + 1e-9) else "within"


def heat_page(results: Evaluation) -> Page:
    """Return each board's heat and temperatures."""
    boards, air = results.boards, results.fixture.site.air_temperature_c
    table = Table(
        heading="Boards on their sinks",
        columns=(
            Col(label="Board"),
            Col(label="Heat sink", width=18),
            Col(label="Electrical power", unit="W"),
            Col(label="Heat", unit="W"),
            Col(label="Heat sink temperature", unit="degC", digits=1),
            Col(label="Board temperature", unit="degC", digits=1),
            Col(label="Rated temperature", unit="degC", digits=1),
            Col(label="Margin to rating", unit="K", digits=1),
        ),
        rows=tuple(
            (
                boards.tag[n],
                boards.heat_sink[n],
                float(boards.power_w[n]),
                float(boards.heat_w[n]),
                float(boards.sink_temperature_c[n]),
                float(boards.temperature_c[n]),
                float(boards.rated_temperature_c[n]),
                float(boards.rated_temperature_c[n] - boards.temperature_c[n]),
            )
            for n in range(len(boards.tag))
        ),
    )
    chart = BarChart(title="Board temperatures against rating", axis="temperature in degC", category=0, bars=5, line=6)
    facts = Facts(
        heading="Together",
        facts=(
            Fact(label="Air around the sinks", value=air, unit="degC", digits=1),
            Fact(label="Heat given to the room by the boards", value=float(boards.heat_w.sum()), unit="W", digits=1),
            Fact(
                label="Light given off",
                value=float((boards.power_w - boards.heat_w).sum()),
                unit="W",
                remark="it ends as heat in the room too",
                digits=1,
            ),
        ),
    )
    return Page(title="Heat", lead="Steady temperatures once everything has warmed up.", blocks=(facts, table, chart))
