"""Rules about the logs of a built fixture: settled, drifting, hogging, adding up, drawing what was predicted."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import OVER, dial_down, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import sheet

__all__ = ["branches_off_total", "log_drifts", "log_hogs", "log_suspect", "log_unsettled", "mains_off_prediction"]

BASIS = "the meter's stated accuracy, half of its percentage anew with each reading (common practice, no source)"
# How far to turn down while a hogging board is looked into: common practice, no source.
TURN_DOWN = 0.8


def log_suspect(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A cell of a log looks wrong: another unit, a slipped digit, a time out of order, a column that never changes."""
    found = results.log_verdict
    for suspect in () if found is None else found.suspects:
        key, _, rest = suspect.path.partition("[")
        row, _, name = rest.partition("].")
        place = f"{sheet(key).title}, row {int(row) + 1}"
        label = sheet(key).field(name).label
        likely = suspect.changes.get(suspect.path)
        unit = sheet(key).field(name).unit
        value = "" if suspect.value is None else f"{suspect.value:.4g} {unit}: "
        enter = "" if likely is None else f"likely {likely:.4g} {unit}: "
        yield Finding(
            code="log-suspect",
            severity="note",
            path=suspect.path,
            message=f"{place}, {label}: {value}{suspect.message}.",
            value=suspect.value,
            limit=likely,
            unit=unit,
            remedy=f"{enter}{suspect.remedy} (row {int(row) + 1})",
            basis="the other rows of the log",
            changes=suspect.changes,
        )


def log_unsettled(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The log ends before the boards' currents and temperatures have settled."""
    found = results.log_verdict
    if found is None or found.verdict != "still settling":
        return
    still = [tag for tag, state in zip(found.tag, found.settling, strict=True) if state == "still settling"]
    until = found.next_read_h if np.isfinite(found.next_read_h) else 2.0 * found.last_h
    what = f"{', '.join(still)}: the current still settles" if still else "heat sinks still warm up"
    yield Finding(
        code="log-unsettled",
        severity="note",
        path=_last_row(fixture, still[0] if still else found.tag[0]),
        message=f"At {found.last_h:.3g} h, where the log ends, {what}.",
        value=found.last_h,
        limit=until,
        unit="h",
        remedy=f"read every board again from hour {until:.2g} on, three rounds at least",
        basis=f"an exponential approach fitted to the log; {BASIS}",
    )


def log_drifts(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board's current rises or falls by more than its meter's errors explain, and does not settle."""
    found = results.log_verdict
    if found is None or found.verdict != "drifting":
        return
    for n, tag in enumerate(found.tag):
        if found.drift[n] not in {"rising", "falling"}:
            continue
        yield Finding(
            code="log-drifts",
            severity="act",
            path=_last_row(fixture, tag),
            message=f"{tag}'s current is {found.drift[n]}, by {found.change_a[n]:+.2g} A over the log; the meter's "
            f"errors explain {found.least_change_a[n]:.2g} A.",
            value=float(found.change_a[n]),
            limit=float(found.least_change_a[n]),
            unit="A",
            remedy=f"log {tag} for {max(found.last_h, 1.0):.2g} h more; if it goes on, unplug, and check its joints, "
            "sink and paste",
            basis=BASIS,
        )


def log_hogs(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board's share of the current rises with its temperature, and still grows."""
    found = results.log_verdict
    if found is None or not found.growing:
        return
    names = ", ".join(found.growing)
    setting = dial_down(fixture.current_setting_a * TURN_DOWN)
    yield Finding(
        code="log-hogs",
        severity="act",
        path="fixture.current_setting_a",
        message=f"The share of {names} rises with its temperature, and still grew in the second half of the log.",
        value=None,
        limit=None,
        unit="",
        remedy=f"set the driver's current to {setting:.2f} A meanwhile, give {names} a larger sink or more air, and "
        "log again",
        basis=BASIS,
    )


def branches_off_total(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The branch currents do not add up to the whole current that was measured."""
    found = results.log_verdict
    if found is None or found.sum_verdict in {"adds up", "not measured"}:
        return
    row = next(n for n, reading in enumerate(fixture.supply_log) if reading.current_a is not None)
    yield Finding(
        code="branches-off-total",
        severity="act",
        path=f"supply_log[{row}].current_a",
        message=f"The branches less the whole current come to {found.sum_difference_a:+.2g} A: {found.sum_verdict}.",
        value=found.sum_difference_a,
        limit=found.sum_half_width_a,
        unit="A",
        remedy=f"{found.sum_remedy}, until they agree within {found.sum_half_width_a:.2g} A",
        basis=f"what flows in flows out (Kirchhoff); {BASIS}",
    )


def mains_off_prediction(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The mains power that was measured differs from the prediction by more than meter and model explain."""
    found = results.log_verdict
    if found is None or not np.isfinite(found.mains_w):
        return
    predicted = results.operating.mains_power_w
    allowance = float(np.nan_to_num(found.mains_half_width_w)) + limit("prediction_tolerance_fraction") * predicted
    off = found.mains_w - predicted
    if abs(off) <= allowance * OVER:
        return
    rows = [(one.elapsed_h, row) for row, one in enumerate(fixture.supply_log) if one.mains_power_w is not None]
    yield Finding(
        code="mains-off-prediction",
        severity="note",
        path=f"supply_log[{max(rows)[1]}].mains_power_w",
        message=f"The plug was last read at {found.mains_w:.4g} W; predicted {predicted:.4g} W.",
        value=off,
        limit=allowance,
        unit="W",
        remedy=f"see that nothing else hangs on the meter and that the driver is set to {fixture.current_setting_a:g} "
        "A; if it stays, correct the driver's efficiency",
        basis=limit_source("prediction_tolerance_fraction"),
    )


def _last_row(fixture: Fixture, tag: str) -> str:
    own = [(reading.elapsed_h, row) for row, reading in enumerate(fixture.current_log) if reading.board == tag]
    return f"current_log[{max(own)[1]}].current_a"
