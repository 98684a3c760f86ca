"""Where the driver runs, said in numbers and in a sentence, and what it draws from the mains."""

from __future__ import annotations

from ledcalc.circuit.split import HOGGED, grown_share
from ledcalc.evaluation.electrical import Settled
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.heat import driver_case_temperature
from ledcalc.results import OperatingPoint
from ledcalc.wiring import continuous_limit_a, mains_current

__all__ = ["operating_point"]


def operating_point(fixture: Fixture, model: DriverModel, settled: Settled) -> OperatingPoint:
    """Return the driver's working point and its load on the mains circuit."""
    site, split, draw = fixture.site, settled.split, settled.draw
    volts, amps = float(split.driver_voltage_v), float(split.driver_current_a)
    own = float(mains_current(draw.mains_power_w, site.mains_v, draw.power_factor_fraction))
    other = float(mains_current(site.circuit_other_load_w, site.mains_v, 1.0))
    sets = settled.circuit.lead_set_currents(split)
    separate = settled.circuit.are_sets_separate
    loss = draw.mains_power_w - volts * amps
    case = model.case_resistance_k_per_w
    return OperatingPoint(
        mode=str(split.mode),
        explanation=_explain(fixture, model, settled),
        voltage_v=volts,
        current_a=amps,
        power_w=volts * amps,
        mains_power_w=draw.mains_power_w,
        mains_current_a=own,
        circuit_load_a=own * fixture.fixtures_count + other,
        circuit_limit_a=float(continuous_limit_a(site.circuit_a, rule_set=site.rule_set)),
        loop_gain=float(split.loop_gain),
        set_current_a=max(sets.values()) if separate and sets else amps,
        current_limit_a=fixture.current_setting_a * fixture.dimming_fraction,
        efficiency_fraction=draw.efficiency_fraction,
        power_factor_fraction=draw.power_factor_fraction,
        loss_w=loss,
        case_temperature_c=float("nan")
        if case is None
        else float(driver_case_temperature(max(loss, 0.0), case, ambient_c=settled.air_c)),
        air_temperature_c=settled.air_c,
        lead_set_current_a=sets,
    )


def _explain(fixture: Fixture, model: DriverModel, settled: Settled) -> str:
    split = settled.split
    volts, amps, mode = float(split.driver_voltage_v), float(split.driver_current_a), str(split.mode)
    ceiling, limit = fixture.voltage_setting_v, fixture.current_setting_a * fixture.dimming_fraction
    dimmed = f" (the dial's {fixture.current_setting_a:.3g} A dimmed)" if fixture.dimming_fraction < 1 else ""
    each = " on each lead set" if settled.circuit.are_sets_separate else ""
    if mode == "constant current":
        return (
            f"The driver holds its current at {limit:.3g} A{each}{dimmed}; the boards settle the voltage at "
            f"{volts:.3g} V, below the ceiling of {ceiling:.3g} V. {_shared(settled)}"
        )
    if mode == "constant voltage":
        return (
            f"The driver holds its voltage at {ceiling:.3g} V{each}; the boards take {amps:.3g} A together, less than "
            f"the current setting of {limit:.3g} A{each}{dimmed}, so the current dial does nothing until it is turned "
            f"below that."
        )
    if mode == "power limit":
        return (
            f"The driver is at its rated output of {model.power_limit_w:.4g} W ({volts:.3g} V, {amps:.3g} A) and gives "
            f"less than either dial asks for."
        )
    if mode == "below window":
        return (
            f"The boards pull the driver down to {volts:.3g} V, below its lowest running voltage of "
            f"{model.window_min_v:.3g} V: it cannot regulate there, and the figures are not to be relied on."
        )
    if mode == "switched off":
        return (
            f"The boards pull the driver down to {volts:.3g} V, below its cut-off of {model.cut_off_v:.3g} V: it "
            f"switches its output off."
        )
    if not settled.circuit.parts():
        return (
            "No current flows: as wired it can pass no board from + to - on its way through the driver's two terminals."
        )
    return "No current flows: the voltage setting is too low for these boards."


def _shared(settled: Settled) -> str:
    """Return what becomes of the current that the driver holds."""
    current = settled.split.current_a
    if grown_share(settled.cold_current_a, current) <= HOGGED:
        return "That is how it should be: in current limit the voltage setting is only a ceiling."
    top = int(current.argmax())
    return (
        f"But the boards do not share it: {settled.circuit.boards[top].tag} ran away as it warmed and takes "
        f"{current[top]:.3g} A of it."
    )
