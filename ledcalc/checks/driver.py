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
    "circuit_overloaded",
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
    """The voltage setting is below what the boards need to conduct at all."""
    if results.operating.mode != "no load":
        return
    _, model = driver_of(fixture)
    points = [point for point in fixture.board_points if point.board in results.boards.model]
    least, enough = min(point.voltage_v for point in points), max(point.voltage_v for point in points)
    setting = math.ceil(enough * 10.0) / 10.0
    within = model.voltage_low_v <= setting <= model.voltage_high_v
    yield Finding(
        code="boards-dark",
        severity="act",
        path="fixture.voltage_setting_v",
        message=f"No current flows: the voltage setting is {fixture.voltage_setting_v:.3g} V, and the boards "
        "conduct from "
        f"about {least:.3g} V.",
        value=fixture.voltage_setting_v,
        limit=least,
        unit="V",
        remedy=f"set the driver's voltage to {setting:.1f} V"
        if within
        else f"take a driver that reaches {setting:.1f} V, or boards of less voltage",
        basis="the boards' own points",
        changes={"fixture.voltage_setting_v": setting} if within else {},
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
        message=f"{model.tag} is at its rated {model.power_limit_w:.4g} W: it gives {operating.current_a:.3g} A where "
        f"{operating.current_limit_a:.3g} A is set. Not every driver limits itself there; some shut down.",
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


def circuit_overloaded(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Fixture and other loads draw more than the mains circuit may carry for hours."""
    operating, site = results.operating, fixture.site
    if operating.circuit_load_a <= operating.circuit_limit_a * OVER:
        return
    surplus_w = math.ceil((operating.circuit_load_a - operating.circuit_limit_a) * site.mains_v)
    needed_a = site.circuit_a * operating.circuit_load_a / operating.circuit_limit_a
    enough = site.circuit_other_load_w >= surplus_w
    changes: dict[str, Value] = {"site.circuit_other_load_w": site.circuit_other_load_w - surplus_w} if enough else {}
    yield Finding(
        code="circuit-overloaded",
        severity="stop",
        path="site.circuit_other_load_w" if enough else "site.circuit_a",
        message=f"The circuit carries {operating.circuit_load_a:.3g} A with this fixture; for hours on end it "
        "may carry "
        f"{operating.circuit_limit_a:.3g} A.",
        value=operating.circuit_load_a,
        limit=operating.circuit_limit_a,
        unit="A",
        remedy=f"take {surplus_w} W off the circuit, or have a licensed electrician provide one of at least "
        f"{needed_a:.1f} A",
        basis="NEC 210.19, 210.20: 80 % for continuous loads, as summarised in public"
        if site.rule_set == "NEC"
        else "IEC 60364-4-43: design current at most the device's rating (from memory)",
        changes=changes,
    )


def _touch_basis(rule_set: str) -> str:
    if rule_set == "NEC":
        return "NEC Chapter 9 Table 11 and notes, as read in a public copy; damp taken as wet"
    return "IEC 60364-4-41 clause 414.4.5 (from memory)"
