"""Rules about the driver and the mains side."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ledcalc.checks.limits import OVER, dial_down, driver_of
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value
from ledcalc.wiring import touch_voltage_limit_v

__all__ = [
    "boards_dark",
    "driver_at_power_limit",
    "driver_below_window",
    "driver_setting_out_of_range",
    "voltage_above_touch_limit",
]


def driver_below_window(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The boards pull the driver below the voltage at which it can hold its current."""
    operating = results.operating
    if operating.mode != "below window":
        return
    _, model = driver_of(fixture)
    yield Finding(
        code="driver-below-window",
        severity="stop",
        path="fixture.driver",
        message=f"The boards settle at {operating.voltage_v:.3g} V; {model.tag} cannot hold its current below "
        f"{model.window_min_v:.3g} V.",
        value=operating.voltage_v,
        limit=model.window_min_v,
        unit="V",
        remedy=f"take a driver whose lowest running voltage is {math.floor(operating.voltage_v)} V or less, or "
        "boards of at "
        f"least {math.ceil(model.window_min_v)} V",
        basis="the driver's datasheet",
    )


def boards_dark(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """No current flows: the voltage setting is too low, or the boards are wired the wrong way round."""
    if results.operating.mode != "no load":
        return
    needed = results.what_if.needed_voltage_v
    if math.isnan(needed):
        yield _no_way_through(fixture, results)
        return
    _, model = driver_of(fixture)
    setting = math.ceil(needed * 10.0) / 10.0
    within = model.voltage_low_v <= setting <= model.voltage_high_v
    yield Finding(
        code="boards-dark",
        severity="act",
        path="fixture.voltage_setting_v",
        message=f"No current flows: the voltage setting is {fixture.voltage_setting_v:.3g} V, and the boards as wired "
        f"need {needed:.3g} V for the set current when cold.",
        value=fixture.voltage_setting_v,
        limit=needed,
        unit="V",
        remedy=f"set the driver's voltage to {setting:.1f} V"
        if within
        else f"take a driver that reaches {setting:.1f} V, or put fewer boards in series",
        basis="the boards' own points",
        changes={"fixture.voltage_setting_v": setting} if within else {},
    )


def _no_way_through(fixture: Fixture, results: Evaluation) -> Finding:
    turned = [tag for tag, wrong in zip(results.boards.tag, results.boards.wrong_way_round, strict=True) if wrong]
    count = len(results.boards.tag)
    which = ", ".join(turned) if 0 < len(turned) < count else f"all {count} boards, or the driver's own two leads"
    return Finding(
        code="boards-dark",
        severity="act",
        path="cables[0].to_node",
        message="No current flows: as wired it can enter no board at + and leave it at - on the way from the "
        "driver's + to its -.",
        value=0.0,
        limit=None,
        unit="A",
        remedy=f"swap + and - at {which}",
        basis="the circuit as wired",
    )


def driver_setting_out_of_range(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A dial is set to what the driver cannot be set to."""
    _, model = driver_of(fixture)
    dials = (
        ("voltage", "V", fixture.voltage_setting_v, model.voltage_low_v, model.voltage_high_v, "voltage_setting_v"),
        ("current", "A", fixture.current_setting_a, model.current_low_a, model.current_high_a, "current_setting_a"),
    )
    for word, unit, setting, low, high, name in dials:
        nearest = min(max(setting, low), high)
        if abs(setting - nearest) <= 1e-9 * nearest:
            continue
        yield Finding(
            code="driver-setting-out-of-range",
            severity="stop",
            path=f"fixture.{name}",
            message=f"The {word} setting of {setting:.4g} {unit} is outside the dial of {model.tag}, {low:.4g} "
            f"to {high:.4g} {unit}.",
            value=setting,
            limit=nearest,
            unit=unit,
            remedy=f"set it to {nearest:.4g} {unit}, or take a driver whose dial reaches {setting:.4g} {unit}",
            basis="the driver's datasheet",
            changes={f"fixture.{name}": nearest},
        )


def driver_at_power_limit(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver's rated power is what limits the current."""
    operating = results.operating
    if operating.mode != "power limit":
        return
    _, model = driver_of(fixture)
    setting = dial_down(operating.set_current_a / fixture.dimming_fraction)
    changes: dict[str, Value] = {"fixture.current_setting_a": setting} if setting >= model.current_low_a else {}
    yield Finding(
        code="driver-at-power-limit",
        severity="act",
        path="fixture.current_setting_a",
        message=f"{model.tag} is at its rated {model.power_limit_w:.4g} W: it gives {operating.set_current_a:.3g} A "
        f"where {operating.current_limit_a:.3g} A is set. Not every driver limits itself there; some shut down.",
        value=operating.power_w,
        limit=model.power_limit_w,
        unit="W",
        remedy=f"set the driver's current to {setting:.2f} A, or take a driver of at least "
        f"{operating.voltage_v * operating.current_limit_a * operating.current_a / operating.set_current_a:.0f} W",
        basis="the driver's datasheet",
        changes=changes,
    )


def voltage_above_touch_limit(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """With a branch open, the output stands at its voltage setting; that may be more than may be touched."""
    site, setting = fixture.site, fixture.voltage_setting_v
    touchable = touch_voltage_limit_v(site.location, rule_set=site.rule_set)
    if setting <= touchable * OVER:
        return
    _, model = driver_of(fixture)
    reachable = model.voltage_low_v <= touchable and results.operating.voltage_v < touchable
    lower = f"set the driver's voltage to {touchable:.3g} V or less, or " if reachable else ""
    yield Finding(
        code="voltage-above-touch-limit",
        severity="act",
        path="fixture.voltage_setting_v",
        message=f"Unloaded, the output stands at {setting:.3g} V dc; in a {site.location} place bare parts above "
        f"{touchable:.3g} V count as a shock hazard.",
        value=setting,
        limit=touchable,
        unit="V",
        remedy=f"{lower}cover every live part above {touchable:.3g} V so that it cannot be touched, and have a "
        "licensed "
        f"electrician look at it",
        basis=_touch_basis(site.rule_set),
        changes={"fixture.voltage_setting_v": touchable} if reachable else {},
    )


def _touch_basis(rule_set: str) -> str:
    if rule_set == "NEC":
        return "NEC Chapter 9 Table 11 and notes, as read in a public copy; damp taken as wet"
    return "IEC 60364-4-41 clause 414.4.5 (from memory)"
