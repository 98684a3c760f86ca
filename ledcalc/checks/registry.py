"""All rules in one list, what runs them, and what no rule looks at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ledcalc.checks.ageing import (
    aged_light_below_target,
    aged_share_below_wanted,
    board_hotter_than_tests,
    life_beyond_projection,
)
from ledcalc.checks.boards import (
    board_over_current,
    board_over_temperature,
    curve_extrapolated,
    one_board_hogs,
    one_lost_over_current,
    thermal_margin_thin,
)
from ledcalc.checks.driver import (
    boards_dark,
    driver_at_power_limit,
    driver_below_window,
    driver_setting_out_of_range,
    voltage_above_touch_limit,
)
from ledcalc.checks.heat import driver_case_hot, hot_to_touch, junction_over_temperature, room_air_too_warm
from ledcalc.checks.light import light_above_target, light_below_target, light_uneven
from ledcalc.checks.light_notes import (
    blue_light,
    bright_source,
    dose_off_published_range,
    long_day,
    ppfd_without_co2,
    ultraviolet,
)
from ledcalc.checks.light_plan import plan_above_full_light, plan_below_dimmer
from ledcalc.checks.light_share import light_share_high
from ledcalc.checks.log import (
    branches_off_total,
    log_drifts,
    log_hogs,
    log_suspect,
    log_unsettled,
    mains_off_prediction,
)
from ledcalc.checks.mains import (
    circuit_overloaded,
    inlet_overloaded,
    inlet_without_earth,
    inrush_may_trip,
    leakage_high,
    metal_not_earthed,
    output_not_isolated,
)
from ledcalc.checks.making import (
    box_overfull,
    gland_does_not_seal,
    hanger_overloaded,
    hole_off_rail,
    hot_plug,
    leads_uncapped,
    sleeve_too_tight,
    wire_end_in_clamp,
)
from ledcalc.checks.measured_light import measured_light_off_target
from ledcalc.checks.output import (
    board_without_current,
    dimmed_below_range,
    driver_switched_off,
    lead_set_over_current,
)
from ledcalc.checks.owning import parts_too_few
from ledcalc.checks.places import board_at_canopy, board_outside_room, boards_overlap, crop_outside_room
from ledcalc.checks.protection import (
    class_2_passed,
    fuse_above_wire,
    fuse_below_load,
    fuse_never_blows,
    fuse_voltage_low,
    wire_not_protected,
)
from ledcalc.checks.readings import canopy_above_fixture, measured_off_prediction, measured_over_rating
from ledcalc.checks.sleeves import runs_share_a_sleeve
from ledcalc.checks.stock import stock_short
from ledcalc.checks.surveys import (
    light_lopsided,
    light_off_prediction,
    reading_outside_crop,
    reading_suspect,
    readings_few,
    readings_odd,
    survey_not_warm,
)
from ledcalc.checks.what_if import cold_start_dim, fault_over_limits, spread_over_rating
from ledcalc.checks.wires import ampacity_not_covered, wire_drop_high, wire_over_ampacity
from ledcalc.findings import Finding, worst_first
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation

__all__ = ["RULES", "Rule", "findings_for"]

Check = Callable[[Fixture, Evaluation], Iterator[Finding]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule: the code of its findings, the severities they may have, and the function that looks."""

    code: str
    severities: tuple[str, ...]
    check: Check

    @property
    def meaning(self) -> str:
        """What the rule looks for, in one sentence."""
        return (self.check.__doc__ or "").strip()


def _rule(code: str, severities: str, check: Check) -> Rule:
    return Rule(code=code, severities=tuple(severities.split()), check=check)


RULES: tuple[Rule, ...] = (
    _rule("board-over-current", "stop", board_over_current),
    _rule("one-board-hogs", "stop", one_board_hogs),
    _rule("board-over-temperature", "stop", board_over_temperature),
    _rule("junction-over-temperature", "stop", junction_over_temperature),
    _rule("driver-case-hot", "stop", driver_case_hot),
    _rule("driver-switched-off", "stop", driver_switched_off),
    _rule("lead-set-over-current", "stop", lead_set_over_current),
    _rule("driver-below-window", "stop", driver_below_window),
    _rule("driver-setting-out-of-range", "stop", driver_setting_out_of_range),
    _rule("wire-over-ampacity", "stop", wire_over_ampacity),
    _rule("circuit-overloaded", "stop", circuit_overloaded),
    _rule("fuse-above-wire", "stop", fuse_above_wire),
    _rule("inlet-overloaded", "stop", inlet_overloaded),
    _rule("inlet-without-earth", "stop", inlet_without_earth),
    _rule("metal-not-earthed", "stop note", metal_not_earthed),
    _rule("measured-over-rating", "stop act", measured_over_rating),
    _rule("one-lost-over-current", "act", one_lost_over_current),
    _rule("fault-over-limits", "act note", fault_over_limits),
    _rule("spread-over-rating", "act", spread_over_rating),
    _rule("thermal-margin-thin", "act", thermal_margin_thin),
    _rule("wire-not-protected", "act", wire_not_protected),
    _rule("fuse-below-load", "act", fuse_below_load),
    _rule("fuse-voltage-low", "act", fuse_voltage_low),
    _rule("class-2-passed", "act", class_2_passed),
    _rule("output-not-isolated", "act", output_not_isolated),
    _rule("inrush-may-trip", "act", inrush_may_trip),
    _rule("leakage-high", "act", leakage_high),
    _rule("sleeve-too-tight", "act", sleeve_too_tight),
    _rule("sleeve-not-counted", "act", runs_share_a_sleeve),
    _rule("gland-does-not-seal", "act", gland_does_not_seal),
    _rule("stock-short", "act", stock_short),
    _rule("box-overfull", "act", box_overfull),
    _rule("wire-end-in-clamp", "act", wire_end_in_clamp),
    _rule("hole-off-rail", "act", hole_off_rail),
    _rule("hanger-overloaded", "act", hanger_overloaded),
    _rule("hot-to-touch", "act", hot_to_touch),
    _rule("room-air-too-warm", "act", room_air_too_warm),
    _rule("dimmed-below-range", "act", dimmed_below_range),
    _rule("board-without-current", "act", board_without_current),
    _rule("boards-dark", "act", boards_dark),
    _rule("driver-at-power-limit", "act", driver_at_power_limit),
    _rule("voltage-above-touch-limit", "act", voltage_above_touch_limit),
    _rule("ampacity-not-covered", "stop act", ampacity_not_covered),
    _rule("wire-drop-high", "act", wire_drop_high),
    _rule("curve-extrapolated", "act", curve_extrapolated),
    _rule("light-share-high", "act", light_share_high),
    _rule("light-below-target", "act", light_below_target),
    _rule("light-above-target", "act", light_above_target),
    _rule("light-uneven", "act", light_uneven),
    _rule("measured-light-off-target", "act", measured_light_off_target),
    _rule("board-outside-room", "act", board_outside_room),
    _rule("crop-outside-room", "act", crop_outside_room),
    _rule("boards-overlap", "act", boards_overlap),
    _rule("board-at-canopy", "act", board_at_canopy),
    _rule("canopy-above-fixture", "act", canopy_above_fixture),
    _rule("reading-suspect", "act", reading_suspect),
    _rule("reading-outside-crop", "act", reading_outside_crop),
    _rule("log-suspect", "note", log_suspect),
    _rule("log-unsettled", "note", log_unsettled),
    _rule("log-drifts", "act", log_drifts),
    _rule("log-hogs", "act", log_hogs),
    _rule("branches-off-total", "act", branches_off_total),
    _rule("mains-off-prediction", "note", mains_off_prediction),
    _rule("board-hotter-than-tests", "act", board_hotter_than_tests),
    _rule("aged-light-below-target", "act", aged_light_below_target),
    _rule("aged-share-below-wanted", "act", aged_share_below_wanted),
    _rule("plan-above-full-light", "act", plan_above_full_light),
    _rule("plan-below-dimmer", "act", plan_below_dimmer),
    _rule("fuse-never-blows", "note", fuse_never_blows),
    _rule("parts-too-few", "note", parts_too_few),
    _rule("leads-uncapped", "note", leads_uncapped),
    _rule("hot-plug", "note", hot_plug),
    _rule("cold-start-dim", "note", cold_start_dim),
    _rule("measured-off-prediction", "note", measured_off_prediction),
    _rule("light-off-prediction", "note", light_off_prediction),
    _rule("light-lopsided", "note", light_lopsided),
    _rule("readings-odd", "note", readings_odd),
    _rule("readings-few", "note", readings_few),
    _rule("survey-not-warm", "note", survey_not_warm),
    _rule("life-beyond-projection", "note", life_beyond_projection),
    _rule("dose-off-published-range", "note", dose_off_published_range),
    _rule("ppfd-without-co2", "note", ppfd_without_co2),
    _rule("long-day", "note", long_day),
    _rule("ultraviolet", "note", ultraviolet),
    _rule("blue-light", "note", blue_light),
    _rule("bright-source", "note", bright_source),
)


def findings_for(fixture: Fixture, results: Evaluation) -> tuple[Finding, ...]:
    """Return what every rule finds, worst first; ``results`` are those of the fixture."""
    return worst_first([found for rule in RULES for found in rule.check(fixture, results)])
