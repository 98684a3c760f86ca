"""The page on the light field."""

from __future__ import annotations

import numpy as np

from ledcalc.light_views import area_above, at_heights
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, CurveChart, Facts, FieldMap, Lines, Page, Table, col, fact

__all__ = ["heights_page", "light_page"]

PPFD_UNIT = "umol m-2 s-1"


def light_page(results: Evaluation) -> Page:
    """Return statistics, dose, efficacies and the map with the boards over it."""
    blocks: list[Block] = [Lines(lines=(f"Crop: {results.fixture.site.crop}",))] if results.fixture.site.crop else []
    blocks += [_statistics(results), _dose_and_efficacy(results), _map(results)]
    basis = results.light.basis
    return Page(title="Light field", lead=f"{basis[0].upper()}{basis[1:]}.", blocks=blocks)


def _statistics(results: Evaluation) -> Facts:
    statistics = results.light.statistics
    variation = 100.0 * statistics.coefficient_of_variation
    return Facts(
        heading=f"On {statistics.reading_count} points, boards {results.fixture.height_m:g} m over the canopy",
        facts=(
            fact("Mean PPFD", statistics.mean, PPFD_UNIT, 0),
            fact("Lowest PPFD", statistics.minimum, PPFD_UNIT, 0),
            fact("Highest PPFD", statistics.maximum, PPFD_UNIT, 0),
            fact("min/mean", statistics.min_over_mean, "", 2, "depends on the grid of points"),
            fact("min/max", statistics.min_over_max),
            fact("Variation (standard deviation / mean)", variation, "%", 1),
        ),
    )


def _dose_and_efficacy(results: Evaluation) -> Facts:
    light = results.light
    hours, used = results.fixture.site.photoperiod_h, f"{light.utilisation_fraction:.0%} of what the boards give"
    return Facts(
        heading="Dose and efficacy",
        facts=(
            fact("Daily light integral, mean", light.dli_mean_mol_m2_d, "mol m-2 d-1", 1, f"{hours:g} h a day"),
            fact("Daily light integral, lowest", light.dli_minimum_mol_m2_d, "mol m-2 d-1", 1),
            fact("Daily light integral, highest", light.dli_maximum_mol_m2_d, "mol m-2 d-1", 1),
            fact("Photon flux of all boards (PPF)", light.photon_flux_umol_s, "umol/s", 0),
            fact("Photon flux on the crop", light.canopy_flux_umol_s, "umol/s", 0, used),
            fact("Photon efficacy, DC basis", light.dc_efficacy_umol_per_j, "umol/J", 2, "PPF over driver output"),
            fact("Photon efficacy, AC basis", light.ac_efficacy_umol_per_j, "umol/J", 2, "PPF over mains power"),
            fact(
                "Canopy efficacy, AC basis",
                light.canopy_efficacy_umol_per_j,
                "umol/J",
                2,
                "flux on the crop over mains",
            ),
        ),
    )


def _map(results: Evaluation) -> FieldMap:
    light, boards, fixture = results.light, results.boards, results.fixture
    turn = np.deg2rad(boards.rotation_deg)
    half_x = (np.abs(boards.width_m * np.cos(turn)) + np.abs(boards.length_m * np.sin(turn))) / 2
    half_y = (np.abs(boards.width_m * np.sin(turn)) + np.abs(boards.length_m * np.cos(turn))) / 2
    x, y = boards.x_m - fixture.crop_x_m, boards.y_m - fixture.crop_y_m
    corners = np.column_stack([x - half_x, y - half_y, x + half_x, y + half_y])
    return FieldMap(
        heading=f"PPFD over the crop in {PPFD_UNIT}, seen from above; thick outlines are the boards",
        x_m=light.x_m,
        y_m=light.y_m,
        ppfd_umol_m2_s=light.ppfd_umol_m2_s,
        boards=tuple((float(row[0]), float(row[1]), float(row[2]), float(row[3])) for row in corners),
    )


def heights_page(results: Evaluation) -> Page:
    """Return the field with the boards hung otherwise, and how much of the crop lies above a level."""
    chart = CurveChart(
        title="Mean and lowest PPFD over the height",
        across="height over canopy in m",
        up=f"PPFD in {PPFD_UNIT}",
        curves=(1, 2),
    )
    lead = "The same boards with the same currents at other heights, on the map's own points, all on one scale."
    return Page(title="Heights", lead=lead, blocks=(_heights(results), chart, _levels(results)))


def _heights(results: Evaluation) -> Table:
    columns = (
        col("Height over canopy", "m", 3, 18),
        col("Mean PPFD", PPFD_UNIT, 0, 16),
        col("Lowest PPFD", PPFD_UNIT, 0, 16),
        col("Highest PPFD", PPFD_UNIT, 0, 16),
        col("min/mean", "", 2, 12),
    )
    rows = tuple(
        (at.height_m, at.mean_umol_m2_s, at.minimum_umol_m2_s, at.maximum_umol_m2_s, at.min_over_mean_fraction)
        for at in at_heights(results)
    )
    return Table(heading="The same boards at other heights", columns=columns, rows=rows)


def _levels(results: Evaluation) -> Table:
    columns = (col("Level", PPFD_UNIT, 0, 18), col("Share of the crop above it", "%", 0, 16))
    rows = tuple((level, 100.0 * share) for level, share in area_above(results))
    return Table(heading="How much of the crop lies above a level", columns=columns, rows=rows)
