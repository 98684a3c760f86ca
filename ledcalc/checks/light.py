"""Rules about the light on the crop."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.checks.limits import OVER, dial_down, driver_of, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.model_curves import beam_of, flux_of
from ledcalc.photons import LightSource, ppfd_for_dose, ppfd_map
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["board_outside_room", "light_above_target", "light_below_target", "light_uneven"]

SETTING = "fixture.current_setting_a"
MOST_BOARDS_FACTOR = 4.0
DARK = ("no load", "switched off")
HEIGHT_STEPS = np.arange(1.05, 3.01, 0.05)


def light_below_target(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The crop gets less light than the site asks for."""
    wanted, basis = _least_ppfd(fixture)
    mean = results.light.statistics.mean
    # No light at all is what the rules on the driver speak of.
    if wanted is None or mean <= 0 or mean * OVER >= wanted:
        return
    factor = wanted / mean * (1.0 + limit("remedy_reserve_fraction"))
    remedy, changes = _brighter(fixture, results, factor)
    yield Finding(
        code="light-below-target",
        severity="act",
        path=SETTING,
        message=f"Mean PPFD is {mean:.0f} umol m-2 s-1 ({results.light.dli_mean_mol_m2_d:.1f} mol m-2 d-1); at least "
        f"{wanted:.0f} umol m-2 s-1 is wanted.",
        value=mean,
        limit=wanted,
        unit="umol m-2 s-1",
        remedy=remedy,
        basis=basis,
        changes=changes,
    )


def _brighter(fixture: Fixture, results: Evaluation, factor: float) -> tuple[str, dict[str, Value]]:
    """Return what gives so many times the light: the dimmer, the dial, the voltage, or more boards."""
    level = fixture.dimming_fraction
    setting = _setting_for(fixture, results, factor)
    if setting is None and level < 1.0 and results.operating.mode == "constant current":
        raised = min(level * factor * (1.0 + 4.0 * limit("remedy_reserve_fraction")), 1.0)
        if level * factor <= 1.0 and _is_within_rating(results, raised / level):
            return f"raise the dimming level to {100 * raised:.0f} %", {"fixture.dimming_fraction": round(raised, 3)}
    if setting is not None:
        return f"set the driver's current to {setting:.2f} A", {SETTING: setting}
    needed, (_, model) = results.what_if.needed_voltage_v, driver_of(fixture)
    if results.operating.mode == "constant voltage" and fixture.voltage_setting_v < needed <= model.voltage_high_v:
        volts = np.ceil(needed * 10.0) / 10.0
        return f"raise the driver's voltage to {volts:.1f} V, so that the current dial holds", {
            "fixture.voltage_setting_v": float(volts)
        }
    count = len(results.boards.tag)
    if factor > MOST_BOARDS_FACTOR:
        return f"this is {1 / factor:.0%} of what is wanted: settle what keeps the boards dim first", {}
    boards = int(np.ceil(count * factor))
    return (
        f"the dial and the boards' rating do not reach it: use {boards} boards instead of {count}, hang them lower, or "
        "light longer"
    ), {}


def _is_within_rating(results: Evaluation, factor: float) -> bool:
    boards = results.boards
    return bool((boards.current_a * factor <= boards.rated_current_a).all())


def light_above_target(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The crop gets more light than the site asks for."""
    wanted, basis = _most_ppfd(fixture)
    mean = results.light.statistics.mean
    if wanted is None or mean <= wanted * OVER:
        return
    setting = _setting_for(fixture, results, wanted / mean)
    hours = fixture.site.photoperiod_h * wanted / mean
    changes: dict[str, Value] = {SETTING: setting} if setting is not None else {}
    dial = f"set the driver's current to {setting:.2f} A, or " if setting is not None else ""
    yield Finding(
        code="light-above-target",
        severity="act",
        path=SETTING,
        message=f"Mean PPFD is {mean:.0f} umol m-2 s-1 ({results.light.dli_mean_mol_m2_d:.1f} mol m-2 d-1); at most "
        f"{wanted:.0f} umol m-2 s-1 is wanted.",
        value=mean,
        limit=wanted,
        unit="umol m-2 s-1",
        remedy=f"{dial}light for {hours:.1f} h a day",
        basis=basis,
        changes=changes,
    )


def light_uneven(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The light field is less even than the site asks for."""
    wanted, found = fixture.site.target_min_over_mean_fraction, results.light.statistics.min_over_mean
    # A dark crop has no evenness; that it is dark is another finding.
    if wanted is None or results.operating.mode in DARK or found * OVER >= wanted:
        return
    height = _even_height(fixture, results, wanted)
    yield Finding(
        code="light-uneven",
        severity="act",
        path="fixture.height_m",
        message=f"min/mean is {found:.2f} on the map's {fixture.map_columns_count} x {fixture.map_rows_count} points; "
        f"{wanted:.2f} is wanted.",
        value=found,
        limit=wanted,
        unit="1",
        remedy=f"hang the boards at {height:.2f} m and check the mean, or spread them wider"
        if height
        else f"spread the boards wider, or add boards towards the rim: height alone does not reach {wanted:.2f}",
        basis="the site's own target",
        changes={"fixture.height_m": height} if height and not _own_heights(fixture) else {},
    )


def board_outside_room(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board hangs outside the room's walls or above its ceiling."""
    site, boards = fixture.site, results.boards
    if site.room_width_m is None or site.room_depth_m is None or site.room_height_m is None:
        return
    turn = np.deg2rad(boards.rotation_deg)
    reach_x = (np.abs(boards.width_m * np.cos(turn)) + np.abs(boards.length_m * np.sin(turn))) / 2
    reach_y = (np.abs(boards.width_m * np.sin(turn)) + np.abs(boards.length_m * np.cos(turn))) / 2
    beyond = np.max(
        [
            reach_x - boards.x_m,
            boards.x_m + reach_x - site.room_width_m,
            reach_y - boards.y_m,
            boards.y_m + reach_y - site.room_depth_m,
        ],
        axis=0,
    )
    beyond = np.maximum(beyond, boards.z_m - site.room_height_m)
    worst = int(np.argmax(beyond))
    if beyond[worst] <= 1e-9:
        return
    yield Finding(
        code="board-outside-room",
        severity="act",
        path="site.room_width_m",
        message=f"{boards.tag[worst]} reaches {beyond[worst]:.2f} m beyond the room.",
        value=float(beyond[worst]),
        limit=0.0,
        unit="m",
        remedy=f"move the crop area or the boards by at least {beyond[worst]:.2f} m, or mend the room's size",
        basis="geometry",
    )


def _least_ppfd(fixture: Fixture) -> tuple[float | None, str]:
    site, wanted, basis = fixture.site, 0.0, ""
    if site.target_ppfd_umol_m2_s is not None:
        wanted = site.target_ppfd_umol_m2_s * (1.0 - limit("ppfd_tolerance_fraction"))
        basis = f"the site's target PPFD; {limit_source('ppfd_tolerance_fraction')}"
    if site.target_dli_low_mol_m2_d is not None:
        by_dose = float(ppfd_for_dose(site.target_dli_low_mol_m2_d, site.photoperiod_h))
        if by_dose > wanted:
            wanted, basis = by_dose, "the site's lowest DLI"
    return wanted or None, basis


def _most_ppfd(fixture: Fixture) -> tuple[float | None, str]:
    site, wanted, basis = fixture.site, np.inf, ""
    if site.target_ppfd_umol_m2_s is not None:
        wanted = site.target_ppfd_umol_m2_s * (1.0 + limit("ppfd_tolerance_fraction"))
        basis = f"the site's target PPFD; {limit_source('ppfd_tolerance_fraction')}"
    if site.target_dli_high_mol_m2_d is not None:
        by_dose = float(ppfd_for_dose(site.target_dli_high_mol_m2_d, site.photoperiod_h))
        if by_dose < wanted:
            wanted, basis = by_dose, "the site's highest DLI"
    return (float(wanted) if np.isfinite(wanted) else None), basis


def _setting_for(fixture: Fixture, results: Evaluation, factor: float) -> float | None:
    """Return the current setting that brings the flux to ``factor`` times today's, None where dial or boards do not
    reach.

    Droop counts: the boards' own flux curves are followed, at today's temperatures.
    """
    operating, boards = results.operating, results.boards
    _, model = driver_of(fixture)
    if factor > 1.0 and operating.mode != "constant current":
        return None
    points = {tag: tuple(one for one in fixture.board_points if one.board == tag) for tag in set(boards.model)}
    curves = {model.tag: flux_of(model, points[model.tag]) for model in fixture.boards if model.tag in points}
    low, high = 0.0, 10.0
    for _ in range(60):
        middle = (low + high) / 2.0
        flux = sum(
            float(curves[name].flux(amps * middle, temperature))
            for name, amps, temperature in zip(boards.model, boards.current_a, boards.temperature_c, strict=True)
        )
        low, high = (middle, high) if flux < factor * results.light.photon_flux_umol_s else (low, middle)
    # Warmer boards at a higher current give a little less light than the curve at today's temperature.
    reserve = 1.0 + 4.0 * limit("remedy_reserve_fraction") if factor > 1.0 else 1.0
    setting = dial_down(operating.set_current_a * high * reserve / fixture.dimming_fraction)
    within = float((boards.current_a / boards.rated_current_a).max()) * high * reserve <= 1.0
    return setting if within and model.current_low_a <= setting <= model.current_high_a else None


def _own_heights(fixture: Fixture) -> bool:
    return any(place.height_m is not None for place in fixture.positions)


def _even_height(fixture: Fixture, results: Evaluation, wanted: float) -> float | None:
    """Return the lowest height, in steps of a twentieth of today's, at which the map is as even as wanted."""
    boards, light = results.boards, results.light
    x, y = np.meshgrid(light.x_m + fixture.crop_x_m, light.y_m + fixture.crop_y_m)
    points = np.stack([x, y, np.full_like(x, fixture.canopy_height_m)], axis=-1)
    models = {model.tag: model for model in fixture.boards}
    for step in HEIGHT_STEPS:
        height = round(fixture.height_m * float(step), 3)
        sources = [
            LightSource(
                x_m=float(boards.x_m[number]),
                y_m=float(boards.y_m[number]),
                z_m=float(boards.z_m[number]) + height - fixture.height_m,
                width_m=float(boards.width_m[number]),
                length_m=float(boards.length_m[number]),
                photon_flux_umol_s=float(boards.photon_flux_umol_s[number]),
                rotation_deg=float(boards.rotation_deg[number]),
                tilt_deg=float(boards.tilt_deg[number]),
                cosine_exponent=models[boards.model[number]].cosine_exponent,
                beam=beam_of(models[boards.model[number]], fixture.beams),
            )
            for number in range(len(boards.tag))
        ]
        field = np.asarray(ppfd_map(sources, points))
        if field.min() / field.mean() >= wanted:
            return height
    return None
