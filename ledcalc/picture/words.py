"""What stands in words under a picture: the figures, and the conditions that they hold under."""

from __future__ import annotations

from collections.abc import Sequence

from ledcalc.fixture import Fixture
from ledcalc.light_taken import taken_readings
from ledcalc.light_views import AtHeight, along_rings
from ledcalc.results import Evaluation, LightSurvey

__all__ = ["Words", "conditions_of", "figures_of", "heights_in_words", "rests_on"]

PPFD_UNIT = "umol m-2 s-1"
# A name and what it is, a row each.
Words = tuple[tuple[str, str], ...]


def figures_of(results: Evaluation, survey: LightSurvey | None) -> Words:
    """Return the figures of the field as the boards hang."""
    light, statistics = results.light, results.light.statistics
    grid = f"{light.x_m.size} x {light.y_m.size} points"
    rows = [
        (
            "PPFD",
            f"mean {statistics.mean:.0f}, lowest {statistics.minimum:.0f}, highest {statistics.maximum:.0f} "
            f"{PPFD_UNIT}",
        ),
        (
            "Evenness",
            f"min/mean {statistics.min_over_mean:.2f}, min/max {statistics.min_over_max:.2f}, "
            f"variation {statistics.coefficient_of_variation:.0%}, on {grid}",
        ),
        ("Dose", f"DLI {light.dli_mean_mol_m2_d:.1f} mol m-2 d-1 in {results.fixture.site.photoperiod_h:g} h"),
        (
            "Photon flux",
            f"{light.room_photon_flux_umol_s:.0f} umol/s, {light.utilisation_fraction:.0%} of it on the crop",
        ),
        (
            "Efficacy",
            f"{light.ac_efficacy_umol_per_j:.2f} umol/J AC, {light.dc_efficacy_umol_per_j:.2f} DC; "
            f"canopy {light.canopy_efficacy_umol_per_j:.2f} AC",
        ),
    ]
    if results.fixture.ring_step_m is not None:
        rings = "; ".join(f"{ring.side_m:g} m {ring.mean_umol_m2_s:.0f}" for ring in along_rings(results))
        rows.append(("Ring means", f"{rings} {PPFD_UNIT}, by the ring's side"))
    if survey is not None:
        read, mean = survey.statistics, survey.predicted_mean_umol_m2_s
        there = f"predicted at the same {read.reading_count} places {mean:.0f}"
        rows.append(("Readings", f"mean {read.mean:.0f}, {there} {PPFD_UNIT}"))
        rows.append(("Taken", _taken(results.fixture, survey)))
    return tuple(rows)


def _taken(fixture: Fixture, survey: LightSurvey) -> str:
    """Return when, with what and under what a survey was taken, as far as the inputs say."""
    rows = [one.reading for one in taken_readings(fixture) if one.reading.survey == survey.survey]
    stated = sorted({row.taken_on for row in rows if row.taken_on})
    stated += [meter for meter in dict.fromkeys(row.meter for row in rows) if meter]
    for under in (one for one in fixture.surveys if one.survey == survey.survey):
        stated += [f"{under.current_a:g} A"] if under.current_a is not None else []
        stated += [f"{under.warm_up_h:g} h after switch-on"] if under.warm_up_h is not None else []
        stated += [f"air {under.air_temperature_c:g} degC"] if under.air_temperature_c is not None else []
    return f"{', '.join(stated)}; else as predicted" if stated else "not stated: compared as if as predicted"


def heights_in_words(views: Sequence[AtHeight]) -> Words:
    """Return the figures of the field at each height."""
    return tuple(
        (
            f"{view.height_m:g} m",
            f"mean {view.mean_umol_m2_s:.0f}, lowest {view.minimum_umol_m2_s:.0f}, highest "
            f"{view.maximum_umol_m2_s:.0f} {PPFD_UNIT}, min/mean {view.min_over_mean_fraction:.2f}",
        )
        for view in views
    )


def conditions_of(results: Evaluation, heights_m: tuple[float, ...]) -> Words:
    """Return what was lit, by what, how it was set, and where."""
    fixture, operating, boards = results.fixture, results.operating, results.boards
    models = ", ".join(dict.fromkeys(boards.model))
    hung = " or ".join(f"{height:g}" for height in heights_m)
    dimmed = f", dimmed to {fixture.dimming_fraction:.0%}" if fixture.dimming_fraction < 1.0 else ""
    many = f"{fixture.in_room_count} fixtures, each " if fixture.in_room_count > 1 else ""
    crop = f"{fixture.crop_width_m:g} x {fixture.crop_depth_m:g} m"
    return (
        ("Boards", f"{many}{len(boards.tag)} x {models}, {hung} m over the canopy"),
        ("Dials", f"{fixture.driver} at {fixture.current_setting_a:g} A, {fixture.voltage_setting_v:g} V{dimmed}"),
        (
            "It runs at",
            f"{operating.current_a:.2f} A, {operating.voltage_v:.1f} V, {operating.mains_power_w:.0f} W mains; "
            f"{operating.mode}",
        ),
        (
            "State",
            f"settled, everything warmed up; air {operating.air_temperature_c:.0f} degC, hottest board "
            f"{boards.temperature_c.max():.0f} degC",
        ),
        ("Crop", f"{crop}, {fixture.site.crop}" if fixture.site.crop else crop),
    )


def rests_on(results: Evaluation, grid: tuple[int, int]) -> str:
    """Return the line that says what the picture is worth."""
    return (
        f"The map is predicted, not measured: {results.light.basis}; shades and lines on {grid[0]} x {grid[1]} points. "
        f"ledcalc {results.stamp.ledcalc_version}"
    )
