"""From a fixture to everything worked out about it: the only place that joins tables, formulas and checks."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from ledcalc.checks import findings_for, not_checked, trade_problems
from ledcalc.errors import CellProblem, InputErrors
from ledcalc.evaluation.ageing import ageing_assumptions
from ledcalc.evaluation.assumptions import assumptions_of
from ledcalc.evaluation.board_results import board_results
from ledcalc.evaluation.cost import cost_results
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.light import light_results
from ledcalc.evaluation.mains_side import mains_results
from ledcalc.evaluation.operating import operating_point
from ledcalc.evaluation.over_time import over_time_results
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.evaluation.protection import protection_results
from ledcalc.evaluation.readings import logged_boards, logged_verdict
from ledcalc.evaluation.runs import wire_results
from ledcalc.evaluation.selection import selection_of
from ledcalc.evaluation.surveys import light_surveys
from ledcalc.evaluation.what_if import what_if
from ledcalc.evaluation.workings import workings_of
from ledcalc.findings import Finding, worst_first
from ledcalc.fixture import Fixture
from ledcalc.light_sources import own_sources
from ledcalc.records import records_from_fixture
from ledcalc.results import BoardResults, Evaluation, LayoutAdvice, LightResults, Stamp
from ledcalc.schema import SCHEMA_VERSION, RecordProblem, limit_problems, record_problems, sheet
from ledcalc.version import __version__

__all__ = ["check_fixture", "evaluate"]


def evaluate(fixture: Fixture) -> Evaluation:
    """Work out currents, heat, wiring, light, dose and cost of one fixture, and judge them.

    Parameters
    ----------
    fixture : the inputs, from ``read_workbook`` or built in Python

    Returns
    -------
    Evaluation: numbers, findings (worst first, with cell and remedy), assumptions, workings

    Raises
    ------
    InputErrors (a ValueError): inputs that contradict each other or lie out of range, all named
    NotSettledError: no steady state exists between currents and heat

    Validity
    --------
    One driver; steady state; sinks by stated resistances or dimensions.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> evaluate(seedling_bench()).operating.mode
    'constant current'
    """
    check_fixture(fixture)
    placed, model = boards_on(fixture), driver_model(fixture)
    settled = settle(fixture, placed, model)
    operating = operating_point(fixture, model, settled)
    tried = what_if(fixture, placed, model, settled)
    boards, circuit = board_results(fixture, placed, settled, tried.faults), settled.circuit
    sources = own_sources(fixture, boards)
    light = light_results(fixture, sources, dc_power_w=operating.power_w, mains_power_w=operating.mains_power_w)
    over_time = over_time_results(fixture, placed, model, settled, light, sources)
    wires = wire_results(circuit.runs, circuit.cable_currents(settled.split), operating.voltage_v)
    results = Evaluation(
        fixture=fixture,
        operating=operating,
        boards=boards,
        what_if=tried,
        wires=wires,
        protection=protection_results(fixture, model, circuit.runs, wires),
        mains=mains_results(fixture, model, operating),
        light=light,
        layout=_layout(fixture, boards, light),
        ageing=over_time.ageing,
        dimmed=over_time.dimmed,
        light_plan=over_time.light_plan,
        cost=cost_results(
            fixture,
            mains_power_w=operating.mains_power_w,
            photon_flux_umol_s=light.photon_flux_umol_s,
            canopy_flux_umol_s=light.canopy_flux_umol_s,
        ),
        selection=selection_of(fixture, placed, settled),
        logged=logged_boards(fixture, boards),
        log_verdict=logged_verdict(fixture, boards),
        surveys=light_surveys(fixture, placed, model, sources),
        findings=(),
        not_checked=(),
        assumptions=(*assumptions_of(fixture, settled), *ageing_assumptions(fixture, over_time.ageing)),
        workings=(),
        stamp=_stamp(fixture),
    )
    return _judged(results)


def _layout(fixture: Fixture, boards: BoardResults, light: LightResults) -> LayoutAdvice | None:
    if fixture.layout_advice != "yes":
        return None
    # The search loads where it is asked for.
    from ledcalc.evaluation.layout import layout_advice

    return layout_advice(fixture, boards, light)


def check_fixture(fixture: Fixture) -> None:
    """Raise InputErrors if a value is out of its range or inputs contradict each other; say nothing otherwise."""
    records = records_from_fixture(fixture)
    found = [*limit_problems(records), *record_problems(records), *trade_problems(records)]
    if found:
        source = fixture.origin.file if fixture.origin else fixture.name
        raise InputErrors(source, [_cell_problem(fixture, problem) for problem in found])


def _judged(results: Evaluation) -> Evaluation:
    cells = results.fixture.origin.cells if results.fixture.origin else {}
    findings: Sequence[Finding] = [
        dataclasses.replace(found, cell=_cell_of(found.path, cells)) for found in findings_for(results.fixture, results)
    ]
    return dataclasses.replace(
        results,
        findings=worst_first(findings),
        not_checked=not_checked(results.fixture, results),
        workings=workings_of(results),
    )


def _cell_of(path: str, cells: Mapping[str, str]) -> str:
    """Return the cell of a field; of a column that the sheet does not have, the first cell of the row."""
    row = path.rpartition(".")[0]
    return cells.get(path) or next(
        (cell for known, cell in cells.items() if "[" in row and known.startswith(f"{row}.")), ""
    )


def _cell_problem(fixture: Fixture, problem: RecordProblem) -> CellProblem:
    part = sheet(problem.sheet)
    path = f"{part.key}.{problem.field}" if part.shape == "form" else f"{part.key}[{problem.row}].{problem.field}"
    cell = fixture.origin.cells.get(path, "") if fixture.origin else ""
    return CellProblem(
        sheet=part.title,
        cell=cell.rpartition("!")[2] or path,
        field=part.field(problem.field).label,
        path=part.field(problem.field).path if cell else "",
        value="",
        problem=problem.problem,
        allowed=problem.allowed,
        remedy=problem.remedy,
    )


def _stamp(fixture: Fixture) -> Stamp:
    return Stamp(
        ledcalc_version=__version__,
        schema_version=SCHEMA_VERSION,
        input_file=fixture.origin.file if fixture.origin else "",
        input_sha256=fixture.origin.sha256 if fixture.origin else "",
    )
