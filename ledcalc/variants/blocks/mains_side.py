"""The mains circuit of a block: shares of inrush, leakage and inlet; NaN where an input that they need is not given."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.structure import Block
from ledcalc.wiring import breaker_holds_a, connector_limit_a, drivers_on_residual_device

__all__ = ["inlet_limit_a", "inrush_share", "leakage_share"]

# Any leakage: what may stand behind a device goes by the device alone.
SOME_LEAKAGE_A = 0.001


def inrush_share(block: Block) -> FloatArray:
    """Return the inrush of all drivers over what the breaker holds."""
    fixture, model = block.fixture, block.driver
    if model.inrush_a is None or model.inrush_ms is None:
        return np.full(block.count, np.nan)
    pulse_s = np.divide(model.inrush_ms, 1000.0)
    held = breaker_holds_a(fixture.site.circuit_a, fixture.site.breaker_curve or "unknown", pulse_s)
    return column(np.multiply(model.inrush_a, fixture.fixtures_count) / held, block.count)


def leakage_share(block: Block) -> FloatArray:
    """Return the standing leakage over what may stand behind the residual-current device."""
    fixture, model, device = block.fixture, block.driver, block.structure.fixture.site.residual_device_a
    if model.leakage_a is None or device is None:
        return np.full(block.count, np.nan)
    standing = np.multiply(model.leakage_a, fixture.fixtures_count) + fixture.site.other_leakage_a
    allowed = float(drivers_on_residual_device(SOME_LEAKAGE_A, device).standing_limit_a)
    return column(standing / allowed, block.count)


def inlet_limit_a(block: Block) -> float:
    """Return what the driver's mains connector may carry for hours."""
    inlet = block.structure.driver.inlet
    try:
        return float("nan") if inlet is None else float(connector_limit_a(inlet, block.fixture.site.rule_set))
    except ArgumentError:
        return float("nan")
