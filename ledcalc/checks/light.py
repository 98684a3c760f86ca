"""Rules about the light on the crop."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.checks.layout import advised_layout
from ledcalc.checks.limits import OVER, apart, dial_down, driver_of, in_each, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.light_sources import crop_fields, crop_points, own_sources
from ledcalc.model_curves import flux_of
from ledcalc.photons import ppfd_for_dose
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = [
    "current_factor",
    "least_ppfd",
    "less_light",
    "light_above_target",
    "light_below_target",
    "light_uneven",
    "more_light",
]

SETTING = "fixture.current_setting_a"
MOST_BOARDS_FACTOR = 4.0
DARK = ("no load", "switched off")
HEIGHT_STEPS = np.arange(1.05, 3.01, 0.05)


def light_below_target(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The crop gets less light than the site asks for."""
    wanted, basis = least_ppfd(fixture)
    mean = results.light.statistics.mean
    # No light at all is what the rules on the driver speak of.
    if wanted is None or mean <= 0 or mean * OVER >= wanted:
        return
    factor = wanted / mean * (1.0 + limit("remedy_reserve_fraction"))
    remedy, changes = _brighter(fixture, results, factor)
    said, asked = apart(mean, wanted, ".0f")
    yield Finding(
        code="light-below-target",
        severity="act",
        path=SETTING,
        message=f"Mean PPFD is {said} umol m-2 s-1 ({results.light.dli_mean_mol_m2_d:.1f} mol m-2 d-1); at least "
        f"{asked} umol m-2 s-1 is wanted.",
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
        f"the dial and the boards' rating do not reach it: use {boards} boards instead of {count}{in_each(fixture)}, "
        "hang them lower, or light longer"
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
    remedy, changes = _dimmer(fixture, results, wanted)
    said, asked = apart(mean, wanted, ".0f")
    yield Finding(
        code="light-above-target",
        severity="act",
        path=SETTING,
        message=f"Mean PPFD is {said} umol m-2 s-1 ({results.light.dli_mean_mol_m2_d:.1f} mol m-2 d-1); at most "
        f"{asked} umol m-2 s-1 is wanted.",
        value=mean,
        limit=wanted,
        unit="umol m-2 s-1",
        remedy=remedy,
        basis=basis,
        changes=changes,
    )


def _dimmer(fixture: Fixture, results: Evaluation, most: float) -> tuple[str, dict[str, Value]]:
    """Return what takes the light into the band asked for, near its middle: the dial, shorter days, or the hands."""
    site, mean = fixture.site, results.light.statistics.mean
    least, _ = least_ppfd(fixture)
    aims = [(least + most) / 2.0, most] if least is not None and least < most else [most]
    settings = [_setting_for(fixture, results, aim / mean) for aim in aims]
    setting = next((found for found in settings if found is not None), None)
    ways = [f"set the driver's current to {setting:.2f} A"] if setting is not None else []
    # Fewer hours lower the dose, not the PPFD.
    ppfd = site.target_ppfd_umol_m2_s
    is_bright = ppfd is not None and mean > ppfd * (1.0 + limit("ppfd_tolerance_fraction")) * OVER
    if site.target_dli_high_mol_m2_d is not None and not is_bright:
        ways.append(f"light for {np.floor(10.0 * site.photoperiod_h * most / mean) / 10.0:.1f} h a day")
    if not ways:
        ways = [f"{aims[0] / mean:.0%} of this light is wanted, below this driver's dial: hang the boards higher"]
    return ", or ".join(ways), {SETTING: setting} if setting is not None else {}


def more_light(fixture: Fixture, results: Evaluation, factor: float) -> str:
    """Return in words what gives so many times today's light, more than now."""
    return _brighter(fixture, results, factor)[0]


def less_light(fixture: Fixture, results: Evaluation, factor: float) -> str:
    """Return in words what gives so many times today's light, less than now."""
    return _dimmer(fixture, results, factor * results.light.statistics.mean)[0]


def light_uneven(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The light field is less even than the site asks for."""
    wanted, found = fixture.site.target_min_over_mean_fraction, results.light.statistics.min_over_mean
    # A dark crop has no evenness; that it is dark is another finding.
    if wanted is None or results.operating.mode in DARK or found * OVER >= wanted:
        return
    remedy, changes = _more_even(fixture, results, wanted)
    said, asked = apart(found, wanted, ".2f")
    yield Finding(
        code="light-uneven",
        severity="act",
        path="fixture.height_m",
        message=f"min/mean is {said} on the map's {fixture.map_columns_count} x {fixture.map_rows_count} points; "
        f"{asked} is wanted.",
        value=found,
        limit=wanted,
        unit="1",
        remedy=remedy,
        basis="the site's own target",
        changes=changes,
    )


def least_ppfd(fixture: Fixture) -> tuple[float | None, str]:
    """Return the mean PPFD that counts as too little below, None without target, and on what basis."""
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
    high = current_factor(fixture, results, factor)
    # Warmer boards at a higher current give a little less light than the curve at today's temperature.
    reserve = 1.0 + 4.0 * limit("remedy_reserve_fraction") if factor > 1.0 else 1.0
    setting = dial_down(operating.set_current_a * high * reserve / fixture.dimming_fraction)
    within = float((boards.current_a / boards.rated_current_a).max()) * high * reserve <= 1.0
    return setting if within and model.current_low_a <= setting <= model.current_high_a else None


def current_factor(fixture: Fixture, results: Evaluation, factor: float) -> float:
    """Return how many times today's current gives ``factor`` times today's flux, at today's temperatures."""
    boards = results.boards
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
    return high


def _more_even(fixture: Fixture, results: Evaluation, wanted: float) -> tuple[str, dict[str, Value]]:
    """Return what makes the light as even as wanted: the layout advice where it is on and does, else another height."""
    if (advised := advised_layout(fixture, results, wanted)) is not None:
        return advised
    if (height := _even_height(fixture, results, wanted)) is not None:
        changes: dict[str, Value] = {} if _own_heights(fixture) else {"fixture.height_m": height}
        return f"hang the boards at {height:.2f} m and check the mean, or spread them wider", changes
    return f"spread the boards wider, or add boards towards the rim: height alone does not reach {wanted:.2f}", {}


def _own_heights(fixture: Fixture) -> bool:
    return any(place.height_m is not None for place in fixture.positions)


def _even_height(fixture: Fixture, results: Evaluation, wanted: float) -> float | None:
    """Return the lowest height at which the map is as even as wanted: steps of a twentieth, to the next centimetre."""
    light = results.light
    points = crop_points(fixture, *np.meshgrid(light.x_m, light.y_m))
    # Whole centimetres, as they are said: what is hung by them is as even as wanted.
    steps = [float(np.ceil(100.0 * fixture.height_m * step - 1e-9)) / 100.0 for step in HEIGHT_STEPS]
    heights = list(dict.fromkeys(steps))
    raises = [height - fixture.height_m for height in heights]
    fields = crop_fields(fixture, own_sources(fixture, results.boards), points, raises)
    return next(
        (
            height
            for height, field in zip(heights, fields, strict=True)
            if field is not None and field.min() / field.mean() >= wanted
        ),
        None,
    )
