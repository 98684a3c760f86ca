"""From an evaluation to what is bought, cut, crimped and screwed; every quantity follows from the network."""

from __future__ import annotations

from ledcalc.building.joints import counted, entries_of, ferrules_of, fuses_of, shrinks_of, terminals_of
from ledcalc.building.parts import BuildList
from ledcalc.building.rails import rails_of
from ledcalc.building.schedule import cuttings_of, wire_to_cut
from ledcalc.checks.making import fixture_weight_kg
from ledcalc.records import placed_boards
from ledcalc.results import Evaluation

__all__ = ["build_list"]


def build_list(results: Evaluation) -> BuildList:
    """Return the build list of an evaluated fixture.

    Parameters
    ----------
    results : from ``evaluate``

    Returns
    -------
    BuildList: wire schedule, cutting plans, terminals, ferrules, sleeves and glands, fuses, rails, weight

    Raises
    ------
    Nothing: what cannot be worked out says why in its place

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> len(build_list(evaluate(seedling_bench())).wires)
    8
    """
    fixture = results.fixture
    wires = tuple(
        wire_to_cut(fixture, cable, results.wires.conductors_count[n]) for n, cable in enumerate(fixture.cables)
    )
    rails = rails_of(fixture)
    placed = placed_boards(fixture)
    sinks = {place.shared_sink or place.tag: str(place.heat_sink) for place in placed}
    return BuildList(
        wires=wires,
        cuttings=cuttings_of(fixture, wires, rails),
        terminals=terminals_of(fixture),
        ferrules=ferrules_of(fixture),
        entries=entries_of(fixture),
        fuses=fuses_of(fixture),
        shrinks=shrinks_of(fixture),
        rails=rails,
        boards=counted([str(place.board) for place in placed]),
        heat_sinks=counted(list(sinks.values())),
        weight_kg=fixture_weight_kg(fixture),
    )
