"""The mains circuit of the fixture: load, inrush, leakage, inlet, earth."""

from __future__ import annotations

from ledcalc.errors import ArgumentError
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.results import MainsResults, OperatingPoint
from ledcalc.wiring import (
    circuit_load_share,
    connector_limit_a,
    drivers_on_breaker,
    drivers_on_residual_device,
    equipment_earth_size,
    fixtures_on_circuit,
    inrush_share,
    leakage_share,
    mains_current,
    metal_to_earth,
    protective_conductor_mm2,
)

__all__ = ["mains_results"]

UNKNOWN = float("nan")


def mains_results(fixture: Fixture, model: DriverModel, operating: OperatingPoint) -> MainsResults:
    """Return what the mains circuit carries and holds with all fixtures that hang on it."""
    site, count = fixture.site, fixture.fixtures_count
    own, other = operating.mains_current_a, float(mains_current(site.circuit_other_load_w, site.mains_v, 1.0))
    notes: list[str] = []
    inrush, inrush_fit = _inrush(fixture, model, notes)
    leakage, share, leakage_fit = _leakage(fixture, model, notes)
    earth = metal_to_earth(
        model.protection_class,
        is_isolated=model.isolated_output == "yes" or model.protection_class == "III",
        output_v=fixture.voltage_setting_v,
        location=site.location,
        mains_in_fixture=model.protection_class != "III",
        rule_set=site.rule_set,
    )
    has_metal = any(board.has_metal == "yes" for board in fixture.boards)
    return MainsResults(
        fixture_a=own,
        fixtures_fit_count=float(fixtures_on_circuit(own, site.circuit_a, other_load_a=other, rule_set=site.rule_set))
        if own > 0
        else UNKNOWN,
        circuit_share_fraction=float(circuit_load_share(own * count + other, site.circuit_a, rule_set=site.rule_set)),
        inrush_share_fraction=inrush,
        inrush_fit_count=inrush_fit,
        leakage_a=leakage,
        leakage_share_fraction=share,
        leakage_fit_count=leakage_fit,
        inlet_limit_a=_inlet(fixture, model, notes),
        earth_driver_case=earth.driver_case,
        earth_fixture_metal=earth.fixture_metal and has_metal,
        earth_reasons=tuple(line for line in earth.reasons if has_metal or not line.startswith("fixture metal")),
        earth_conductor=_earth_conductor(fixture),
        notes=tuple(notes),
    )


def _inrush(fixture: Fixture, model: DriverModel, notes: list[str]) -> tuple[float, float]:
    if model.inrush_a is None or model.inrush_ms is None:
        notes.append("inrush: the driver's peak or its half-value time is not given")
        return UNKNOWN, UNKNOWN
    site, curve = fixture.site, fixture.site.breaker_curve or "unknown"
    if site.breaker_curve is None:
        notes.append("inrush: the breaker's curve is not given; taken to trip from three times its rating on")
    pulse_s = model.inrush_ms / 1000.0
    share = inrush_share(model.inrush_a, pulse_s, fixture.fixtures_count, site.circuit_a, curve)
    fit = drivers_on_breaker(model.inrush_a, pulse_s, site.circuit_a, curve, rule_set=site.rule_set)
    return float(share), float(fit.by_inrush_count)


def _leakage(fixture: Fixture, model: DriverModel, notes: list[str]) -> tuple[float, float, float]:
    site = fixture.site
    if model.leakage_a is None:
        notes.append("leakage: the driver's earth leakage is not given")
        return UNKNOWN, UNKNOWN, UNKNOWN
    together = model.leakage_a * fixture.fixtures_count + site.other_leakage_a
    if site.residual_device_a is None:
        notes.append("leakage: no residual-current device is named")
        return together, UNKNOWN, UNKNOWN
    share = leakage_share(
        model.leakage_a, fixture.fixtures_count, site.residual_device_a, other_leakage_a=site.other_leakage_a
    )
    fit = drivers_on_residual_device(model.leakage_a, site.residual_device_a, other_leakage_a=site.other_leakage_a)
    # Over what may stand behind the device, not over its rating.
    return together, float(share) * site.residual_device_a / float(fit.standing_limit_a), float(fit.drivers_count)


def _inlet(fixture: Fixture, model: DriverModel, notes: list[str]) -> float:
    if model.inlet is None:
        notes.append("mains inlet: none is named")
        return UNKNOWN
    try:
        return float(connector_limit_a(model.inlet, fixture.site.rule_set))
    except ArgumentError as problem:
        notes.append(f"mains inlet: {model.inlet} has no rating under this rule set ({problem.allowed})")
        return UNKNOWN


def _earth_conductor(fixture: Fixture) -> str:
    """Return the least protective conductor of the circuit, in words with its basis."""
    site = fixture.site
    try:
        if site.rule_set == "NEC":
            return f"{equipment_earth_size(site.circuit_a)} copper (NEC Table 250.122, from memory)"
        return (
            f"as thick as the line conductor up to 16 mm2, such as {float(protective_conductor_mm2(1.5)):g} mm2 with "
            "1.5 mm2 (IEC 60364-5-54 Table 54.2, from memory)"
        )
    except ArgumentError as problem:
        return f"not in the table: {problem.allowed}"
