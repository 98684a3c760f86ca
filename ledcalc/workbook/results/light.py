"""The page on the light field."""

from __future__ import annotations

import numpy as np

from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Fact, Facts, FieldMap, Lines, Page

__all__ = ["light_page"]


def light_page(results: Evaluation) -> Page:
    """Return statistics, dose, efficacies and the map with the boards over it."""
    light, fixture, statistics = results.light, results.fixture, results.light.statistics
    boards = results.boards
    turn = np.deg2rad(boards.rotation_deg)
    half_x = (np.abs(boards.width_m * np.cos(turn)) + np.abs(boards.length_m * np.sin(turn))) / 2
    half_y = (np.abs(boards.width_m * np.sin(turn)) + np.abs(boards.length_m * np.cos(turn))) / 2
    x, y = boards.x_m - fixture.crop_x_m, boards.y_m - fixture.crop_y_m
    field = FieldMap(
        heading="PPFD over the crop in umol m-2 s-1, seen from above; thick outlines are the boards",
        x_m=light.x_m,
        y_m=light.y_m,
        ppfd_umol_m2_s=light.ppfd_umol_m2_s,
        boards=tuple(
            (float(x[n] - half_x[n]), float(y[n] - half_y[n]), float(x[n] + half_x[n]), float(y[n] + half_y[n]))
            for n in range(len(boards.tag))
        ),
    )
    crop = Lines(lines=(f"Crop: {fixture.site.crop}",)) if fixture.site.crop else Lines(lines=())
    facts = Facts(
        heading=f"On {statistics.reading_count} points, boards {fixture.height_m:g} m over the canopy",
        facts=(
            Fact(label="Mean PPFD", value=statistics.mean, unit="umol m-2 s-1", digits=0),
            Fact(label="Lowest PPFD", value=statistics.minimum, unit="umol m-2 s-1", digits=0),
            Fact(label="Highest PPFD", value=statistics.maximum, unit="umol m-2 s-1", digits=0),
            Fact(label="min/mean", value=statistics.min_over_mean, remark="depends on the grid of points"),
            Fact(label="min/max", value=statistics.min_over_max),
            Fact(
                label="Variation (standard deviation / mean)",
                value=100.0 * statistics.coefficient_of_variation,
                unit="%",
                digits=1,
            ),
            Fact(
                label="DLI, mean",
                value=light.dli_mean_mol_m2_d,
                unit="mol m-2 d-1",
                remark=f"{fixture.site.photoperiod_h:g} h a day",
                digits=1,
            ),
            Fact(
                label="DLI, lowest and highest",
                value=light.dli_minimum_mol_m2_d,
                unit="mol m-2 d-1",
                remark=f"to {light.dli_maximum_mol_m2_d:.1f}",
                digits=1,
            ),
            Fact(label="Photon flux of all boards (PPF)", value=light.photon_flux_umol_s, unit="umol/s", digits=0),
            Fact(
                label="Photon flux on the crop",
                value=light.canopy_flux_umol_s,
                unit="umol/s",
                remark=f"{light.utilisation_fraction:.0%} of what the boards give",
                digits=0,
            ),
            Fact(
                label="Photon efficacy, DC basis",
                value=light.dc_efficacy_umol_per_j,
                unit="umol/J",
                remark="PPF over DC output of the driver",
            ),
            Fact(
                label="Photon efficacy, AC basis",
                value=light.ac_efficacy_umol_per_j,
                unit="umol/J",
                remark="PPF over mains power",
            ),
            Fact(
                label="Canopy efficacy, AC basis",
                value=light.canopy_efficacy_umol_per_j,
                unit="umol/J",
                remark="flux on the crop over mains power",
            ),
        ),
    )
    return Page(title="Light field", lead=f"{light.basis[0].upper()}{light.basis[1:]}.", blocks=(crop, facts, field))
