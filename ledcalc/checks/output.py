"""Rules about the driver's output: cut-off, lead sets, dimming, boards left without current."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import OVER, driver_of, turn_down
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation

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
        message=f"Lead set {number} of {model.tag} carries {amps:.3g} A; one may carry {most:.3g} A.",
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
    yield Finding(
        code="dimmed-below-range",
        severity="act",
        path="fixture.dimming_fraction",
        message=f"A dimming level of {level:.0%} is asked for; {model.tag} goes down to {least:.0%}, and below that it "
        "holds on, flickers or switches off.",
        value=level,
        limit=least,
        unit="1",
        remedy=f"dim to {least:.0%} and set the driver's current to "
        f"{fixture.current_setting_a * level / least:.3g} A instead",
        basis="the driver's datasheet",
        changes={"fixture.dimming_fraction": least},
    )


def board_without_current(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board gets no current while others are lit."""
    boards = results.boards
    highest = float(boards.current_a.max())
    dark = np.flatnonzero(boards.current_a <= DARK_FRACTION * highest)
    if highest <= 0 or not dark.size:
        return
    tags = [boards.tag[number] for number in dark]
    touching = [
        row for row, cable in enumerate(fixture.cables) if tags[0] in {cable.to_node, cable.to_node.rstrip("+- ")}
    ]
    yield Finding(
        code="board-without-current",
        severity="act",
        path=f"cables[{touching[0] if touching else 0}].to_node",
        message=f"{', '.join(tags)} {'gets' if len(tags) == 1 else 'get'} no current while others are lit.",
        value=float(boards.current_a[dark[0]]),
        limit=None,
        unit="A",
        remedy=f"check that current enters {tags[0]} at + and that nothing bridges it; or feed it boards of its own "
        f"voltage: others take up to {highest:.3g} A",
        basis="the circuit as wired",
    )
