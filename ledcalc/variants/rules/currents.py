"""Rules about boards, driver and output, in blocks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.checks.light_share import light_share_of
from ledcalc.checks.limits import OVER, limit
from ledcalc.checks.output import DARK_FRACTION
from ledcalc.checks.what_if import BY_THE_SITE, ELSEWHERE, NOTED
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts
from ledcalc.wiring import touch_voltage_limit_v

__all__ = ["CURRENT_RULES"]

DUST, WARMER_K = 1e-9, 1e-6
RISES = 1.0 + 1e-3


def _is_hogged(worked: Worked) -> NDArray[np.bool_]:
    return np.asarray(worked.boards.grown.max(axis=0) > limit("hogging_over_mean"))


def _board_over_current(worked: Worked) -> Counts:
    boards = worked.boards
    ratio = boards.current_a / boards.rated_current_a
    return {"stop": (ratio.max(axis=0) > OVER) & ~_is_hogged(worked)}


def _one_board_hogs(worked: Worked) -> Counts:
    return {"stop": _is_hogged(worked)}


def _board_over_temperature(worked: Worked) -> Counts:
    boards = worked.boards
    over = boards.temperature_c - boards.rated_temperature_c
    hot = over.argmax(axis=0)
    every = np.arange(hot.size)
    return {"stop": over[hot, every] > DUST * np.abs(boards.rated_temperature_c[hot, every])}


def _one_lost_over_current(worked: Worked) -> Counts:
    boards, lost = worked.boards, worked.what_if.one_lost_current_a
    rises = lost > boards.current_a * RISES
    ratio = np.where(rises, lost / boards.rated_current_a, -np.inf)
    return {"act": (ratio.max(axis=0) > OVER) & ~_is_hogged(worked)}


def _thermal_margin_thin(worked: Worked) -> Counts:
    return {"act": worked.operating.loop_gain > limit("loop_gain_margin") * OVER}


def _curve_extrapolated(worked: Worked) -> Counts:
    models = [board.model.tag for board in worked.block.structure.placed]
    found = np.zeros(worked.block.count, dtype=np.intp)
    for model in set(models):
        own = [number for number, name in enumerate(models) if name == model]
        found += worked.boards.extrapolated[own].any(axis=0)
    return {"act": found}


def _light_share_high(worked: Worked) -> Counts:
    models = [board.model.tag for board in worked.block.structure.placed]
    over = light_share_of(worked.steady.split.power_w, worked.steady.heat_w) > limit("light_share_fraction") * OVER
    owned = [[number for number, name in enumerate(models) if name == model] for model in set(models)]
    return {"act": np.sum([over[own].any(axis=0) for own in owned], axis=0)}


def _fault_over_limits(worked: Worked) -> Counts:
    # Faults are tried where boards are within their limits only: elsewhere this rule is silent.
    noted, act = (np.zeros(worked.block.count, dtype=np.intp) for _ in range(2))
    what_if = worked.what_if
    for kind, overloads in what_if.overloads.items():
        if kind not in ELSEWHERE:
            found = overloads | what_if.switches_off[kind] if kind in BY_THE_SITE else overloads
            into = noted if kind in NOTED else act
            into += found
    return {"act": act, "note": noted}


def _spread_over_rating(worked: Worked) -> Counts:
    return {"act": worked.what_if.is_over_too_often}


def _cold_start_dim(worked: Worked) -> Counts:
    is_high = worked.what_if.cold_voltage_v > np.multiply(worked.block.fixture.voltage_setting_v, OVER)
    return {"note": (worked.operating.mode == "constant current") & is_high}


def _hot_plug(worked: Worked) -> Counts:
    operating = worked.operating
    headroom = worked.block.fixture.voltage_setting_v - operating.voltage_v
    is_wide = headroom > limit("hot_plug_headroom_fraction") * operating.voltage_v
    return {"note": (operating.mode == "constant current") & is_wide & worked.what_if.is_tried}


def _in_mode(severity: str, mode: str) -> Check:
    def check(worked: Worked) -> Counts:
        return {severity: worked.operating.mode == mode}

    return check


def _setting_out_of_range(worked: Worked) -> Counts:
    fixture, model = worked.block.fixture, worked.block.driver
    found = np.zeros(worked.block.count, dtype=np.intp)
    for setting, low, high in (
        (fixture.voltage_setting_v, model.voltage_low_v, model.voltage_high_v),
        (fixture.current_setting_a, model.current_low_a, model.current_high_a),
    ):
        nearest = np.minimum(np.maximum(setting, low), high)
        found += ~(np.abs(setting - nearest) <= DUST * nearest)
    return {"stop": found}


def _touch_limit(worked: Worked) -> Counts:
    site, setting = worked.block.fixture.site, worked.block.fixture.voltage_setting_v
    touchable = touch_voltage_limit_v(site.location, rule_set=site.rule_set)
    return {"act": np.full(worked.block.count, np.asarray(setting) > touchable * OVER)}


def _lead_set_over_current(worked: Worked) -> Counts:
    most, currents = worked.block.driver.lead_set_current_a, worked.operating.lead_set_current_a
    if most is None or not currents:
        return {}
    highest = np.max(list(currents.values()), axis=0)
    return {"stop": ~(highest <= np.multiply(most, OVER))}


def _dimmed_below_range(worked: Worked) -> Counts:
    level, least = worked.block.fixture.dimming_fraction, worked.block.driver.dimming_low_fraction
    return {"act": np.full(worked.block.count, ~(np.multiply(level, OVER) >= least))}


def _board_without_current(worked: Worked) -> Counts:
    boards = worked.boards
    highest = boards.current_a.max(axis=0)
    cold = boards.cold_current_a <= DARK_FRACTION * np.maximum(boards.cold_current_a.max(axis=0), 1e-12)
    dark = (boards.current_a <= DARK_FRACTION * highest) & cold
    return {"act": (highest > 0) & dark.any(axis=0)}


CURRENT_RULES: dict[str, Check] = {
    "board-over-current": _board_over_current,
    "one-board-hogs": _one_board_hogs,
    "board-over-temperature": _board_over_temperature,
    "one-lost-over-current": _one_lost_over_current,
    "thermal-margin-thin": _thermal_margin_thin,
    "curve-extrapolated": _curve_extrapolated,
    "light-share-high": _light_share_high,
    "fault-over-limits": _fault_over_limits,
    "spread-over-rating": _spread_over_rating,
    "cold-start-dim": _cold_start_dim,
    "hot-plug": _hot_plug,
    "driver-below-window": _in_mode("stop", "below window"),
    "driver-switched-off": _in_mode("stop", "switched off"),
    "driver-at-power-limit": _in_mode("act", "power limit"),
    "boards-dark": _in_mode("act", "no load"),
    "driver-setting-out-of-range": _setting_out_of_range,
    "voltage-above-touch-limit": _touch_limit,
    "lead-set-over-current": _lead_set_over_current,
    "dimmed-below-range": _dimmed_below_range,
    "board-without-current": _board_without_current,
}
