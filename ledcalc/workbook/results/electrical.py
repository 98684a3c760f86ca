"""Pages on currents and wiring."""

from __future__ import annotations

import math

import numpy as np

from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import BarChart, CurveChart, Fact, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["currents_page", "load_page", "wiring_page"]

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
    col("From", width=9),
    col("To", width=9),
    col("Wire size", width=10),
    col("One-way length", "m", width=9),
    col("Current", "A", 3, 9),
    col("Conductor temperature", "degC", 1, 13),
    col("Resistance with contacts", "ohm", 4, 12),
    col("Drop", "V", 3, 8),
    col("Drop of driver voltage", "%", 2, 10),
    col("Loss", "W", 2, 8),
    col("Table ampacity", "A", 1, 10),
    col("Ambient factor", width=9),
    col("Bundle factor", width=9),
    col("Ampacity", "A", 2, 10),
    col("Against ampacity", width=22),
)


def currents_page(results: Evaluation) -> Page:
    """Return each board's current against its rating, and what it would take if a branch were lost."""
    operating, fixture = results.operating, results.fixture
    circuit = f"may carry {operating.circuit_limit_a:g} A for hours"
    separate = operating.set_current_a < operating.current_a * (1.0 - 1e-9)
    each = " on each lead set" if separate else ""
    dimmed = f", dimmed to {fixture.dimming_fraction:.0%}" if fixture.dimming_fraction < 1 else ""
    facts = Facts(
        heading="Driver",
        facts=(
            fact("Mode", operating.mode),
            fact("Output voltage", operating.voltage_v, "V", 2, f"setting {fixture.voltage_setting_v:g} V"),
            fact(
                "Output current", operating.current_a, "A", 3, f"setting {fixture.current_setting_a:g} A{dimmed}{each}"
            ),
            fact("Output power", operating.power_w, "W", 1),
            fact("Efficiency at this load", 100.0 * operating.efficiency_fraction, "%", 1),
            fact("Power factor at this load", operating.power_factor_fraction, "", 2),
            fact("Mains current of this fixture", operating.mains_current_a, "A"),
            fact("Load on the mains circuit", operating.circuit_load_a, "A", 2, circuit),
            *_lead_sets(results),
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
    return Page(title="Currents", lead=operating.explanation, blocks=(facts, table, chart, _stability(results)))


def _lead_sets(results: Evaluation) -> list[Fact]:
    sets = results.operating.lead_set_current_a
    model = next(entry for entry in results.fixture.drivers if entry.tag == results.fixture.driver)
    if model.lead_sets_count == 1:
        return []
    most = "" if model.lead_set_current_a is None else f"may carry {model.lead_set_current_a:g} A"
    return [fact(f"Current of lead set {number}", amps, "A", 3, most) for number, amps in sorted(sets.items())]


def _stability(results: Evaluation) -> Facts:
    """Return how steady the circuit is, and each remedy that would bring it to the margin."""
    advice, gain = results.what_if.advice, results.operating.loop_gain
    facts = [fact("Loop gain of current and heat", gain, "", 2, advice.words)]
    if advice.ballast_ohm > 0 or math.isnan(advice.ballast_ohm):
        each = "each remedy alone brings the gain to 0.7"
        scaled = 100.0 * advice.sink_factor
        facts += [
            _remedy("Ballast in series with every board", advice.ballast_ohm, "ohm", 3, each),
            _remedy("Thermal resistances, of what they are", scaled, "%", 0, "interface included"),
            _remedy("Voltage setting at most", advice.voltage_setting_v, "V", 2, ""),
            _remedy("Current setting at most", advice.current_setting_a, "A", 2, ""),
        ]
    return Facts(heading="Stability", facts=tuple(facts))


def _remedy(label: str, value: float, unit: str, digits: int, remark: str) -> Fact:
    return (
        fact(label, "does not get there", "", 0, remark)
        if math.isnan(value)
        else fact(label, value, unit, digits, remark)
    )


def load_page(results: Evaluation) -> Page | None:
    """Return what the boards need against what the driver gives: they run where the two curves meet.

    None where the boards do not share: there is no one curve then.
    """
    what_if, fixture = results.what_if, results.fixture
    if what_if.trim is None:
        return None
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    limit, ceiling = results.operating.current_limit_a, fixture.voltage_setting_v
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
    whole = results.operating.set_current_a >= results.operating.current_a * (1.0 - 1e-9)
    part = "" if whole else " Figures are those of the lead set nearest its limit."
    lead = (
        f"The boards, warm, need so much voltage at each current; the driver gives no more than its dials allow.{part}"
    )
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
            fact("Spread of drop between runs", largest - smallest, "V", 3),
            fact("Loss in all runs", float(wires.loss_w.sum()), "W"),
            *_shares_moved(results),
        ),
    )
    table = Table(heading="Cable runs", columns=WIRE_COLUMNS, rows=_wire_rows(results))
    tables = tuple(dict.fromkeys(name for name in wires.ampacity_table if name))
    sources = Lines(heading="Tables", lines=tables or ("no table covers these wires",))
    ways = "each row is a single wire" if results.fixture.arrangement == "single wires" else "out and back"
    lead = f"Drop, loss and ampacity of each run; resistance and drop: {ways}."
    return Page(title="Wiring", lead=lead, blocks=(facts, table, sources))


def _shares_moved(results: Evaluation) -> list[Fact]:
    """Return what the runs' drops do to the boards' currents."""
    bare, boards = results.what_if.without_wires_a, results.boards
    if not bare.size:
        return []
    moved = boards.current_a - bare
    most, least = int(np.argmax(moved)), int(np.argmin(moved))
    gains = f"{boards.tag[most]} takes {1000 * moved[most]:+.1f} mA, {boards.tag[least]} {1000 * moved[least]:+.1f} mA"
    return [fact("Currents moved by the drops, at most", 1000 * float(np.abs(moved).max()), "mA", 1, gains)]


def _wire_rows(results: Evaluation) -> tuple[tuple[Shown, ...], ...]:
    wires = results.wires
    return tuple(
        (
            wires.tag[n],
            wires.from_node[n],
            wires.to_node[n],
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
