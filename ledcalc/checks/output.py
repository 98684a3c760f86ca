"""Rules about the driver's output: cut-off, lead sets, dimming, boards left without current."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import OVER, driver_of, turn_down
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import wire_end

__all__ = ["board_without_current", "dimmed_below_range", "driver_switched_off", "lead_set_over_current"]

# Of the highest board current: less counts as none.
DARK_FRACTION = 1e-3


def driver_switched_off(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The boards pull the driver below its cut-off, so that it switches its output off."""
    operating = results.operating
    if operating.mode != "switched off":
        return
    row, model = driver_of(fixture)
    yield Finding(
        code="driver-switched-off",
        severity="stop",
        path=f"drivers[{row}].cut_off_v",
        message=f"The boards settle at {operating.voltage_v:.3g} V; {model.tag} switches off below "
        f"{model.cut_off_v:.3g} V, and some try again and again.",
        value=operating.voltage_v,
        limit=model.cut_off_v,
        unit="V",
        remedy=f"take a driver that runs down to {math.floor(operating.voltage_v)} V, or boards of at least "
        f"{math.ceil(model.cut_off_v)} V",
        basis="the driver's datasheet",
    )


def lead_set_over_current(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A pair of the driver's output leads carries more than it may."""
    row, model = driver_of(fixture)
    most, currents = model.lead_set_current_a, results.operating.lead_set_current_a
    if most is None or not currents:
        return
    number = max(currents, key=lambda key: currents[key])
    amps = currents[number]
    if amps <= most * OVER:
        return
    remedy, changes = turn_down(fixture, results.operating.set_current_a * most / amps)
    enough = math.ceil(sum(currents.values()) / most)
    if model.lead_sets == "paralleled" and len(currents) < enough <= model.lead_sets_count:
        remedy += f"; or spread the runs over {enough} lead sets"
    yield Finding(
        code="lead-set-over-current",
        severity="stop",
        path=f"drivers[{row}].lead_set_current_a",
        message=f"Lead set {number} of {model.tag} carries {amps:.4g} A; one may carry {most:.4g} A.",
        value=amps,
        limit=most,
        unit="A",
        remedy=remedy,
        basis="the driver's datasheet",
        changes=changes,
    )


def dimmed_below_range(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The dimming level is below what the driver can be dimmed to."""
    _, model = driver_of(fixture)
    level, least = fixture.dimming_fraction, model.dimming_low_fraction
    if level * OVER >= least:
        return
    equal = fixture.current_setting_a * level / least
    low = (
        f"set the driver's current to {equal:.3g} A instead"
        if equal >= model.current_low_a
        else (f"set the current dial to its low end of {model.current_low_a:.3g} A; less than that it does not give")
    )
    yield Finding(
        code="dimmed-below-range",
        severity="act",
        path="fixture.dimming_fraction",
        message=f"A dimming level of {100 * level:.3g} % is asked for; {model.tag} goes down to "
        f"{100 * least:.3g} %, and below that it "
        "holds on, flickers or switches off.",
        value=level,
        limit=least,
        unit="1",
        remedy=f"dim to {100 * least:.3g} % and {low}",
        basis="the driver's datasheet",
        changes={"fixture.dimming_fraction": least},
    )


def board_without_current(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board gets no current while others are lit."""
    boards = results.boards
    highest = float(boards.current_a.max())
    # What is dark only once warm was starved by heat, which is another finding.
    cold = boards.cold_current_a <= DARK_FRACTION * max(float(boards.cold_current_a.max()), 1e-12)
    dark = np.flatnonzero((boards.current_a <= DARK_FRACTION * highest) & cold)
    if highest <= 0 or not dark.size:
        return
    tags = [boards.tag[number] for number in dark]
    turned = [tag for tag, wrong in zip(boards.tag, boards.wrong_way_round, strict=True) if wrong]
    named = turned or tags
    owners = [{wire_end(cable.from_node)[0], wire_end(cable.to_node)[0]} for cable in fixture.cables]
    touching = [row for row, ends in enumerate(owners) if named[0] in ends]
    remedy = (
        f"swap + and - at {', '.join(turned)}: put in the wrong way round"
        if turned
        else f"check {', '.join(tags)} for a bridge or a wire that leads nowhere, or feed boards of a voltage of their "
        f"own: the others take up to {highest:.3g} A"
    )
    yield Finding(
        code="board-without-current",
        severity="act",
        path=f"cables[{touching[0] if touching else 0}].to_node",
        message=f"{', '.join(tags)} {'gets' if len(tags) == 1 else 'get'} no current while others are lit.",
        value=float(boards.current_a[dark[0]]),
        limit=None,
        unit="A",
        remedy=remedy,
        basis="the circuit as wired",
    )
