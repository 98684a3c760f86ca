"""Checklists for this very fixture: before power, first power, first hours; each with what to expect and how near."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ledcalc.building.care import care_section
from ledcalc.building.check_lines import Check, CheckSection
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.results import Evaluation
from ledcalc.wiring import touch_voltage_limit_v

__all__ = ["checklists"]

# How near a prediction is expected: datasheet curves, stated thermal resistances, a hand-held meter (common practice).
CURRENT_FRACTION, VOLTAGE_FRACTION, RISE_FRACTION = 0.10, 0.03, 0.20
DIM_STEPS = (0.25, 0.5, 0.75, 1.0)
INSULATION_OHM = "1 megohm or more at 500 V dc, driver unplugged from the boards"


def checklists(results: Evaluation) -> tuple[CheckSection, ...]:
    """Return the checklists of an evaluated fixture.

    Parameters
    ----------
    results : from ``evaluate``

    Returns
    -------
    CheckSection entries: before power, first power, first hours, care in service

    References
    ----------
    Common practice, no source; local codes and the makers' instructions go before it.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> [section.title for section in checklists(evaluate(seedling_bench()))]
    ['Before power', 'First power', 'First hours', 'Care in service']
    """
    fixture = results.fixture
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    return (
        CheckSection(
            title="Before power",
            cautions=("Unplugged, and the output run down: prove both with the meter.", *_hazards(results, model)),
            checks=tuple(_before_power(results, model)),
        ),
        CheckSection(
            title="First power",
            cautions=(
                "Boards are bright and get hot: shade your eyes, and keep hands off the sinks.",
                "One hand, dry place, somebody near. Mains work is for a licensed electrician under your local code.",
            ),
            checks=tuple(_first_power(results, model)),
        ),
        CheckSection(
            title="First hours",
            cautions=("Stay with it until it has settled.",),
            checks=tuple(_first_hours(results)),
        ),
        care_section(results),
    )


def _hazards(results: Evaluation, model: DriverModel) -> tuple[str, ...]:
    site, found = results.fixture.site, []
    touchable = touch_voltage_limit_v(site.location, rule_set=site.rule_set)
    if results.fixture.voltage_setting_v > touchable:
        found.append(
            f"The output can stand at {results.fixture.voltage_setting_v:.3g} V dc, above the {touchable:.3g} V that "
            f"count as touchable in a {site.location} place: cover every joint before power."
        )
    if model.isolated_output != "yes":
        words = "is not separated" if model.isolated_output == "no" else "may not be separated"
        found.append(
            f"The driver's output {words} from the mains: treat boards and sinks as live at {site.mains_v:g} V."
        )
    found.append(
        "The driver's capacitors hold charge after unplugging: wait, then measure the output before touching it."
    )
    return tuple(found)


def _before_power(results: Evaluation, model: DriverModel) -> Iterator[Check]:
    fixture, wires = results.fixture, results.wires
    ends = {1: "end to end", 2: "each conductor, end to end"}
    highest = int(wires.resistance_ohm.argmax())
    whole = float(wires.resistance_ohm[highest])
    one_way = f"under {_ohms(whole / 2)} each conductor one way ({_ohms(whole)} out and back)"
    under = one_way if wires.conductors_count[highest] == 2 else f"under {_ohms(whole)} a run one way"
    yield Check(
        do=f"Continuity of all {len(wires.tag)} runs, {ends.get(wires.conductors_count[0], 'end to end')}",
        expect=f"{under}, meter leads taken off",
        tolerance="an open run reads over range",
    )
    yield Check(
        do="Polarity: + of the driver reaches + of each board",
        expect=f"{len(results.boards.tag)} boards right; a diode test reads only one way round",
    )
    yield Check(do="Resistance between + and - of each run, boards off", expect="over range: no short")
    if fixture.metal_earthed != "no" or results.mains.earth_driver_case:
        yield Check(
            do="Protective earth: plug's earth pin to driver case, each sink, frame",
            expect="well under 1 ohm each",
            tolerance=results.mains.earth_conductor,
        )
    yield Check(do="Insulation: + and - joined, against earthed metal", expect=INSULATION_OHM)
    yield from _fuses(fixture)
    yield Check(
        do="Dials before the first switch-on",
        expect=f"voltage {fixture.voltage_setting_v:.4g} V or less, current at its low end {model.current_low_a:.3g} A",
    )
    yield Check(
        do=f"Output without boards: plug in, read, unplug ({model.tag})",
        expect=f"{fixture.voltage_setting_v:.4g} V at the setting, {model.voltage_high_v:.4g} V at most",
        tolerance=_plus_minus(fixture.voltage_setting_v * max(model.voltage_tolerance_fraction, 0.02), "V"),
    )
    if model.control not in {"none", "dial"}:
        leads = "each unused lead capped by itself" if model.spare_leads_count else "no lead left over"
        yield Check(
            do=f"Control leads ({model.control})", expect=f"joined to the control only, polarity right; {leads}"
        )
    elif model.spare_leads_count:
        yield Check(do="Unused leads", expect=f"all {model.spare_leads_count} capped one by one")


def _fuses(fixture: Fixture) -> Iterator[Check]:
    fused = [cable for cable in fixture.cables if cable.fuse_a is not None]
    if fused:
        listed = ", ".join(f"{cable.tag} {cable.fuse_a:g} A" for cable in fused)
        yield Check(do="Fuses in place, rating and dc voltage as marked", expect=listed)


def _first_power(results: Evaluation, model: DriverModel) -> Iterator[Check]:
    what_if, operating = results.what_if, results.operating
    separate = operating.set_current_a < operating.current_a * (1.0 - 1e-9)
    full, each = operating.set_current_a, " on each lead set" if separate else " in all"
    if full <= 0:
        yield Check(do="Nothing to switch on yet", expect="no current flows as it is wired and set: mend that first")
        return
    steps = sorted({max(step * full, min(model.current_low_a, full)) for step in DIM_STEPS})
    for amps in steps:
        volts = (
            float(np.interp(amps, what_if.load_current_a, what_if.load_voltage_v))
            if what_if.load_current_a.size
            else math.nan
        )
        wait = "a minute" if amps < full else "five minutes"
        yield Check(
            do=f"Turn the current to {amps:.3g} A{each if separate else ''}; wait {wait}; read current and voltage",
            expect=f"{amps:.3g} A{each}" + ("" if math.isnan(volts) else f" at about {volts:.3g} V"),
            tolerance="" if math.isnan(volts) else _plus_minus(VOLTAGE_FRACTION * volts, "V") + ", more while cold",
        )
    boards = results.boards
    low, high = float(boards.current_a.min()), float(boards.current_a.max())
    yield Check(
        do="Current of each branch at the full setting",
        expect=f"{low:.3g} to {high:.3g} A; none over {float(boards.rated_current_a.min()):.3g} A",
        tolerance=_plus_minus(CURRENT_FRACTION * high, "A"),
    )
    yield Check(
        do="Mains current",
        expect=f"{operating.mains_current_a:.3g} A at {results.fixture.site.mains_v:g} V",
        tolerance=_plus_minus(CURRENT_FRACTION * operating.mains_current_a, "A"),
    )
    yield Check(
        do="Smell, hum, flicker, a board darker than its neighbours", expect="none; else unplug and look for it"
    )


def _first_hours(results: Evaluation) -> Iterator[Check]:
    boards, course = results.boards, results.what_if.warm_up
    hot = int(np.argmax(boards.temperature_c))
    if course is not None:
        minutes = float(np.nanmax(course.time_to_95_s)) / 60.0
        yield Check(
            do="Log currents and sink temperatures every 15 minutes",
            expect=f"95 % of the rise after about {minutes:.0f} min, then settled",
            tolerance=_plus_minus(RISE_FRACTION * minutes, "min"),
        )
    else:
        yield Check(do="Log currents and sink temperatures every 15 minutes", expect="settled: less than 0.5 K an hour")
    sink, rise = float(boards.sink_temperature_c[hot]), float(boards.sink_temperature_c[hot])
    rise -= results.operating.air_temperature_c
    yield Check(
        do=f"Sink of {boards.tag[hot]}, the hottest",
        expect=f"{sink:.0f} degC in air of {results.operating.air_temperature_c:.0f} degC",
        tolerance=_plus_minus(max(RISE_FRACTION * rise, 3.0), "K"),
    )
    yield Check(
        do="Every branch again, settled",
        expect=f"none over its rating; shares {100 * float(boards.share_fraction.min()):.1f} to "
        f"{100 * float(boards.share_fraction.max()):.1f} %",
    )
    yield Check(do="Plug, terminals, fuses, by touch with the mains off", expect="no warmer than the hand")


def _ohms(value: float) -> str:
    return f"{1000 * value * 1.5:.0f} mohm"


def _plus_minus(value: float, unit: str) -> str:
    return f"+- {value:.2g} {unit}"
