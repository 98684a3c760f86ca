"""Currents, heat and wires: where the driver runs, each board, each cable, and what if."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.arguments import FloatArray
from ledcalc.circuit import FaultOutcome, StabilityAdvice, ToleranceResult, Trim, WarmUp

__all__ = ["BoardResults", "OperatingPoint", "WhatIf", "WireResults"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """Where the driver runs. ``explanation`` says the mode in a sentence.

    ``set_current_a``: of the lead set that gives most, where the driver limits its sets separately; else the whole
    current. ``current_limit_a``: the current setting, dimmed. ``case_temperature_c``: NaN where the driver's case is
    not known. ``air_temperature_c``: around sinks and driver, the room's own warming included.
    """

    mode: str
    explanation: str
    voltage_v: float
    current_a: float
    power_w: float
    mains_power_w: float
    mains_current_a: float
    circuit_load_a: float
    circuit_limit_a: float
    loop_gain: float
    set_current_a: float
    current_limit_a: float
    efficiency_fraction: float
    power_factor_fraction: float
    loss_w: float
    case_temperature_c: float
    air_temperature_c: float
    lead_set_current_a: Mapping[int, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardResults:
    """One entry a board on the fixture. ``one_lost_current_a``: its highest current when any one other is lost.

    ``cold_current_a``: what it takes at the moment of switch-on. ``wrong_way_round``: whether it gets no current as it
    is wired, and would if its two sides were swapped. ``shared_sink``: the label of a sink that boards share, empty for
    one of its own; ``sink_heat_w``: heat of all boards on it. ``junction_temperature_c`` and its rating: NaN where not
    known. ``touch_limit_c``: where touching the sink for a moment starts to burn, less what that figure is unsure by;
    NaN out of reach.
    """

    tag: tuple[str, ...]
    model: tuple[str, ...]
    heat_sink: tuple[str, ...]
    x_m: FloatArray
    y_m: FloatArray
    z_m: FloatArray
    width_m: FloatArray
    length_m: FloatArray
    rotation_deg: FloatArray
    tilt_deg: FloatArray
    current_a: FloatArray
    cold_current_a: FloatArray
    share_fraction: FloatArray
    rated_current_a: FloatArray
    one_lost_current_a: FloatArray
    voltage_v: FloatArray
    power_w: FloatArray
    heat_w: FloatArray
    temperature_c: FloatArray
    sink_temperature_c: FloatArray
    sink_resistance_k_per_w: FloatArray
    sink_heat_w: FloatArray
    shared_sink: tuple[str, ...]
    rated_temperature_c: FloatArray
    junction_temperature_c: FloatArray
    rated_junction_temperature_c: FloatArray
    touch_limit_c: FloatArray
    photon_flux_umol_s: FloatArray
    extrapolated: tuple[bool, ...]
    wrong_way_round: tuple[bool, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What else could happen: each single fault, the spread of parts, and the settings that would suit best.

    ``advice``: how steady the circuit is, and what would make it steadier. ``warm_up`` is None where a heat capacity is
    not known. ``cold_voltage_v``: what the current setting needs at the coldest start, NaN where none is named;
    ``needed_voltage_v``: the same in the air that the site has, NaN where no board can conduct as wired. ``tolerance``
    is None where no spread of the boards is given. ``load_current_a`` and ``load_voltage_v``: what the warm boards need
    at each current. ``without_wires_a``: each board's current if no run dropped anything. Where the boards do not share
    nothing is tried at all.
    """

    faults: tuple[FaultOutcome, ...]
    tolerance: ToleranceResult | None
    trim: Trim | None
    cold_voltage_v: float
    load_current_a: FloatArray
    load_voltage_v: FloatArray
    needed_voltage_v: float
    without_wires_a: FloatArray
    advice: StabilityAdvice
    warm_up: WarmUp | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WireResults:
    """One entry a cable row. ``ampacity_a`` is NaN where no table covers the wire, and ``status`` says why."""

    tag: tuple[str, ...]
    from_node: tuple[str, ...]
    to_node: tuple[str, ...]
    size: tuple[str, ...]
    one_way_length_m: FloatArray
    ambient_c: FloatArray
    conductors_count: tuple[int, ...]
    current_a: FloatArray
    resistance_ohm: FloatArray
    conductor_temperature_c: FloatArray
    drop_v: FloatArray
    drop_fraction: FloatArray
    loss_w: FloatArray
    table_ampacity_a: FloatArray
    ambient_factor: FloatArray
    grouping_factor: FloatArray
    ampacity_a: FloatArray
    ampacity_table: tuple[str, ...]
    status: tuple[str, ...]
