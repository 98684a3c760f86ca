"""Rules about heat, light and the mains side, in blocks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.checks.light import DARK
from ledcalc.checks.limits import OVER, limit
from ledcalc.checks.mains import has_earth
from ledcalc.fixture import Site
from ledcalc.photons import ppfd_for_dose
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.mains_side import inlet_limit_a, inrush_share, leakage_share
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts
from ledcalc.variants.rules.stairs import stepwise
from ledcalc.wiring import known_connectors, metal_to_earth

__all__ = ["SURROUNDING_RULES"]

WARMER_K, OUTSIDE_M = 1e-6, 1e-9


def _hot_to_touch(worked: Worked) -> Counts:
    boards = worked.boards
    over = np.nan_to_num(boards.sink_temperature_c - boards.touch_limit_c, nan=-1.0) > WARMER_K
    sinks = [board.sink.tag for board in worked.block.structure.placed]
    found = np.zeros(worked.block.count, dtype=np.intp)
    for tag in set(sinks):
        found += over[[number for number, name in enumerate(sinks) if name == tag]].any(axis=0)
    return {"act": found}


def _junction_over_temperature(worked: Worked) -> Counts:
    boards = worked.boards
    over = boards.junction_temperature_c - boards.rated_junction_temperature_c
    return {"stop": np.asarray((over > WARMER_K).any(axis=0))}


def _room_air_too_warm(worked: Worked) -> Counts:
    most = worked.block.fixture.site.warmest_air_c
    if most is None:
        return {}
    is_cool: NDArray[np.bool_] = np.less_equal(worked.operating.air_temperature_c, np.add(most, WARMER_K))
    return {"act": ~is_cool}


def _driver_case_hot(worked: Worked) -> Counts:
    most = worked.block.driver.rated_case_temperature_c
    return {} if most is None else {"stop": worked.operating.case_temperature_c > np.multiply(most, OVER)}


def _wanted_ppfd(site: Site, count: int) -> tuple[FloatArray, FloatArray]:
    """Return the least and the most PPFD that the site asks for: 0 and infinity where it does not."""
    least, most, slack = np.zeros(count), np.full(count, np.inf), limit("ppfd_tolerance_fraction")
    if site.target_ppfd_umol_m2_s is not None:
        least = column(np.multiply(site.target_ppfd_umol_m2_s, 1.0 - slack), count)
        most = column(np.multiply(site.target_ppfd_umol_m2_s, 1.0 + slack), count)
    if site.target_dli_low_mol_m2_d is not None:
        least = np.maximum(least, ppfd_for_dose(site.target_dli_low_mol_m2_d, site.photoperiod_h))
    if site.target_dli_high_mol_m2_d is not None:
        most = np.minimum(most, ppfd_for_dose(site.target_dli_high_mol_m2_d, site.photoperiod_h))
    return least, most


def _light_below_target(worked: Worked) -> Counts:
    least, _ = _wanted_ppfd(worked.block.fixture.site, worked.block.count)
    mean = worked.light.statistics.mean
    return {"act": (least > 0) & ~((mean <= 0) | (mean * OVER >= least))}


def _light_above_target(worked: Worked) -> Counts:
    _, most = _wanted_ppfd(worked.block.fixture.site, worked.block.count)
    return {"act": np.isfinite(most) & ~(worked.light.statistics.mean <= most * OVER)}


def _light_uneven(worked: Worked) -> Counts:
    wanted = worked.block.fixture.site.target_min_over_mean_fraction
    if wanted is None:
        return {}
    is_even = worked.light.statistics.min_over_mean * OVER >= wanted
    return {"act": ~np.isin(worked.operating.mode, DARK) & ~is_even}


def _circuit_overloaded(worked: Worked) -> Counts:
    return {"stop": ~(worked.operating.circuit_load_a <= worked.operating.circuit_limit_a * OVER)}


def _inrush_may_trip(worked: Worked) -> Counts:
    return {"act": inrush_share(worked.block) > OVER}


def _leakage_high(worked: Worked) -> Counts:
    return {"act": leakage_share(worked.block) > OVER}


def _inlet_overloaded(worked: Worked) -> Counts:
    return {"stop": worked.operating.mains_current_a > inlet_limit_a(worked.block) * OVER}


def _metal_not_earthed(worked: Worked) -> Counts:
    fixture, model, site = worked.block.structure.fixture, worked.block.structure.driver, worked.block.fixture.site
    if fixture.metal_earthed == "yes":
        return {}
    has_metal = any(board.has_metal == "yes" for board in fixture.boards)

    def asks(output_v: float) -> bool:
        need = metal_to_earth(
            model.protection_class,
            is_isolated=model.isolated_output == "yes" or model.protection_class == "III",
            output_v=output_v,
            location=site.location,
            mains_in_fixture=model.protection_class != "III",
            rule_set=site.rule_set,
        )
        return need.driver_case or (need.fixture_metal and has_metal)

    found, which = stepwise(asks, column(worked.block.fixture.voltage_setting_v, worked.block.count))
    return {"stop" if fixture.metal_earthed == "no" else "note": np.array(found)[which]}


def _inlet_without_earth(worked: Worked) -> Counts:
    model = worked.block.structure.driver
    inlet = model.inlet
    if inlet is None or model.protection_class != "I" or inlet not in known_connectors():
        return {}
    lacks = not any(has_earth(inlet, rule_set) for rule_set in ("NEC", "IEC"))
    return {"stop": np.full(worked.block.count, lacks)}


SURROUNDING_RULES: dict[str, Check] = {
    "hot-to-touch": _hot_to_touch,
    "junction-over-temperature": _junction_over_temperature,
    "room-air-too-warm": _room_air_too_warm,
    "driver-case-hot": _driver_case_hot,
    "light-below-target": _light_below_target,
    "light-above-target": _light_above_target,
    "light-uneven": _light_uneven,
    "circuit-overloaded": _circuit_overloaded,
    "inrush-may-trip": _inrush_may_trip,
    "leakage-high": _leakage_high,
    "inlet-overloaded": _inlet_overloaded,
    "metal-not-earthed": _metal_not_earthed,
    "inlet-without-earth": _inlet_without_earth,
}
