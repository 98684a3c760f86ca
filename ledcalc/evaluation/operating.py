"""Where the driver runs, said in numbers and in a sentence, and what it draws from the mains."""

from __future__ import annotations

from ledcalc.circuit import CurrentSplit
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.results import OperatingPoint
from ledcalc.wiring import continuous_limit_a, mains_current

__all__ = ["operating_point"]


def operating_point(fixture: Fixture, model: DriverModel, split: CurrentSplit) -> OperatingPoint:
    """Return the driver's working point and its load on the mains circuit."""
    site = fixture.site
    volts, amps = float(split.driver_voltage_v), float(split.driver_current_a)
    mains_power = volts * amps / model.efficiency_fraction
    own = float(mains_current(mains_power, site.mains_v, model.power_factor_fraction))
    other = float(mains_current(site.circuit_other_load_w, site.mains_v, 1.0))
    mode = str(split.mode)
    return OperatingPoint(
        mode=mode,
        explanation=_explain(mode, volts, amps, fixture, model),
        voltage_v=volts,
        current_a=amps,
        power_w=volts * amps,
        mains_power_w=mains_power,
        mains_current_a=own,
        circuit_load_a=own + other,
        circuit_limit_a=float(continuous_limit_a(site.circuit_a, rule_set=site.rule_set)),
        loop_gain=float(split.loop_gain),
    )


def _explain(mode: str, volts: float, amps: float, fixture: Fixture, model: DriverModel) -> str:
    ceiling, limit = fixture.voltage_setting_v, fixture.current_setting_a
    if mode == "constant current":
        return (
            f"The driver holds its current at {limit:.3g} A; the boards settle the voltage at {volts:.3g} V, below "
            f"the ceiling of {ceiling:.3g} V. That is how it should be: in current limit the voltage "
            f"setting is only a ceiling."
        )
    if mode == "constant voltage":
        return (
            f"The driver holds its voltage at {ceiling:.3g} V; the boards take {amps:.3g} A together, less than the "
            f"current setting of {limit:.3g} A, so the current dial does nothing until it is turned below that."
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
    return "No current flows: the voltage setting is too low for these boards."
