"""What to look at again, and when: the care of this fixture once it is in service."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from ledcalc.building.check_lines import Check, CheckSection
from ledcalc.evaluation.parts import boards_on
from ledcalc.results import Evaluation
from ledcalc.tables import table

__all__ = ["care_section"]


def care_section(results: Evaluation) -> CheckSection:
    """Return the care schedule: by date where the fixture says since when it is in service, else by days.

    References
    ----------
    Table ``care_intervals``: common practice, no source; makers' and local rules go before it.
    """
    return CheckSection(
        title="Care in service",
        cautions=("Unplugged, cooled down and proved dead for all but the readings.",),
        checks=tuple(_checks(results)),
    )


def _checks(results: Evaluation) -> Iterator[Check]:
    since = results.fixture.in_service_on
    for row in sorted(table("care_intervals"), key=lambda row: float(row["first_days"])):
        if row["name"] in _not_here(results):
            continue
        first, every = int(row["first_days"]), int(row["every_days"])
        when = f"after {first} days" if since is None else f"by {_day(since, first)}"
        do = row["do"] if row["name"] != "sinks" else _sinks(results)
        yield Check(do=do, expect=row["expect"], tolerance=f"first {when}, then every {every} days")
    yield from _unchecked_boards(results)


def _not_here(results: Evaluation) -> set[str]:
    """Return what does not apply to this fixture."""
    fixture = results.fixture
    skipped = set()
    if all(cable.clamp != "screw" for cable in fixture.cables):
        skipped.add("joints")
    if fixture.site.residual_device_a is None:
        skipped.add("trip")
    if fixture.metal_earthed == "no" and not results.mains.earth_driver_case:
        skipped.add("earth")
    if not _sinks(results):
        skipped.add("sinks")
    return skipped


def _sinks(results: Evaluation) -> str:
    """Return what to look at on the heat sinks: of one given by its resistance nobody knows whether it has fins."""
    sinks = {board.sink.tag: board.sink for board in boards_on(results.fixture)}.values()
    fans = any(sink.air_speed_m_per_s for sink in sinks)
    fins = any(sink.fin_count or sink.sink_resistance_k_per_w is not None for sink in sinks)
    whole = next(str(row["do"]) for row in table("care_intervals") if row["name"] == "sinks")
    if fins and fans:
        return whole
    if fins:
        return "Fins, and fans if there are any: dust out"
    return "Fans: dust out, turning" if fans else ""


def _unchecked_boards(results: Evaluation) -> Iterator[Check]:
    """Return boards whose last check is older than the newest one by more than the interval between readings."""
    dated = [(entry.checked_on, entry) for entry in results.fixture.build_record if entry.checked_on is not None]
    if not dated:
        return
    newest = datetime.date.fromisoformat(max(day for day, _ in dated))
    every = next(int(row["every_days"]) for row in table("care_intervals") if row["name"] == "currents")
    late = [
        f"{entry.board} ({entry.serial}, {day})"
        for day, entry in dated
        if (newest - datetime.date.fromisoformat(day)).days > every
    ]
    if late:
        yield Check(
            do=f"Boards that were left out of the last round: {', '.join(late)}",
            expect="current and sink within what the sheets say",
            tolerance="now",
        )


def _day(since: str, days: int) -> str:
    return (datetime.date.fromisoformat(since) + datetime.timedelta(days=days)).isoformat()
