"""The pages on the light field: as the boards hang, with its rings, and at other heights."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.light_views import AlongRing, AtHeight, along_rings, area_above, at_heights
from ledcalc.outlines import outlines_of
from ledcalc.results import Evaluation
from ledcalc.workbook.results.dose import dose_facts, illuminance_facts
from ledcalc.workbook.results.pages import (
    CurveChart,
    Facts,
    FieldMap,
    FieldMaps,
    Image,
    Lines,
    Page,
    SheetBlock,
    Table,
    col,
    fact,
)

__all__ = ["heights_page", "light_page"]

PPFD_UNIT = "umol m-2 s-1"
NEAR_WALL_M = 0.05


def light_page(results: Evaluation, picture: Image | Lines | None = None) -> Page:
    """Return statistics, dose, efficacies, rings and the map with the boards over it; last a picture, if any."""
    blocks: list[SheetBlock] = []
    if results.fixture.site.crop:
        blocks.append(Lines(lines=(f"Crop: {results.fixture.site.crop}",)))
    blocks += [_statistics(results), _dose_and_efficacy(results), *_rings(results), _map(results)]
    blocks += [picture] if picture else []
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
            *illuminance_facts(results),
        ),
    )


def _dose_and_efficacy(results: Evaluation) -> Facts:
    light = results.light
    hours, count = results.fixture.site.photoperiod_h, light.in_room_count
    own, every = ("of this fixture", f" of all {count} fixtures") if count > 1 else ("", "")
    whole = fact(f"Photon flux of all {count} fixtures", light.room_photon_flux_umol_s, "umol/s", 0)
    used = f"{light.utilisation_fraction:.0%} of what the boards{every} give"
    return Facts(
        heading="Dose and efficacy",
        facts=(
            fact("Daily light integral, mean", light.dli_mean_mol_m2_d, "mol m-2 d-1", 1, f"{hours:g} h a day"),
            fact("Daily light integral, lowest", light.dli_minimum_mol_m2_d, "mol m-2 d-1", 1),
            fact("Daily light integral, highest", light.dli_maximum_mol_m2_d, "mol m-2 d-1", 1),
            fact("Photon flux of all boards (PPF)", light.photon_flux_umol_s, "umol/s", 0, own),
            *([whole] if count > 1 else []),
            fact("Photon flux on the crop", light.canopy_flux_umol_s, "umol/s", 0, used),
            fact("Photon efficacy, DC basis", light.dc_efficacy_umol_per_j, "umol/J", 2, "PPF over driver output"),
            fact("Photon efficacy, AC basis", light.ac_efficacy_umol_per_j, "umol/J", 2, "PPF over mains power"),
            fact(
                "Canopy efficacy, AC basis",
                light.canopy_efficacy_umol_per_j,
                "umol/J",
                2,
                f"flux on the crop over mains{every}",
            ),
            *dose_facts(results),
        ),
    )


def _rings(results: Evaluation) -> tuple[Table, Lines]:
    """Return the means along square rings, and how they were come by."""
    fixture, rings = results.fixture, along_rings(results)
    columns = (
        col("Side of the ring", "m", 3, 19),
        col("Mean PPFD", PPFD_UNIT, 0, 19),
        col("Lowest PPFD", PPFD_UNIT, 0, 19),
        col("Highest PPFD", PPFD_UNIT, 0, 19),
        col("Of the map's mean", "%", 0, 19),
        col("Points", "", 0, 13),
    )
    rows = tuple(
        (
            ring.side_m,
            ring.mean_umol_m2_s,
            ring.minimum_umol_m2_s,
            ring.maximum_umol_m2_s,
            100.0 * ring.share_of_mean_fraction,
            ring.point_count,
        )
        for ring in rings
    )
    asked = "a quarter, half, three quarters and the whole of the crop's shorter side, as no ring step is given"
    if fixture.ring_step_m is not None:
        asked = f"every {fixture.ring_step_m:g} m, and the crop's shorter side"
    lines = [f"Sides: {asked}. Worked out at even points of each ring itself, corners and middles of sides among them."]
    near = [ring for ring in rings if _gap_to_wall(results, ring) < NEAR_WALL_M]
    if near:
        lines.append(
            f"The ring of {near[0].side_m:g} m runs within {100 * NEAR_WALL_M:g} cm of a wall, where a prediction is "
            "unsure by 10 to 15 % (common practice, no source)."
        )
    table = Table(heading="Square rings about the crop's centre", columns=columns, rows=rows)
    return table, Lines(lines=tuple(lines))


def _gap_to_wall(results: Evaluation, ring: AlongRing) -> float:
    fixture, site = results.fixture, results.fixture.site
    if site.room_width_m is None or site.room_depth_m is None:
        return float("inf")
    middle_x, middle_y = fixture.crop_x_m + fixture.crop_width_m / 2, fixture.crop_y_m + fixture.crop_depth_m / 2
    nearest = min(middle_x, site.room_width_m - middle_x, middle_y, site.room_depth_m - middle_y)
    return nearest - ring.side_m / 2


def _map(results: Evaluation) -> FieldMap:
    heading = f"PPFD over the crop in {PPFD_UNIT}, seen from above; thick outlines are {_outlined(results)}"
    return _field_map(results, heading, results.light.ppfd_umol_m2_s)


def _outlined(results: Evaluation) -> str:
    """Return what the outlines are: along a map's cells a turned board has none of its own."""
    is_square, count = np.isclose(np.mod(results.boards.rotation_deg + 1.0, 90.0), 1.0), results.fixture.in_room_count
    those = "the boards" if count == 1 else f"the boards of all {count} fixtures"
    return those if is_square.all() else f"{those}, or the boxes about turned ones"


def _field_map(results: Evaluation, heading: str, field: FloatArray) -> FieldMap:
    """Return a field on the map's points with the boards of all fixtures over it."""
    light, fixture = results.light, results.fixture
    places = outlines_of(fixture, results.boards).corners_m[:, :, :2] - [fixture.crop_x_m, fixture.crop_y_m]
    corners = np.hstack([places.min(axis=1), places.max(axis=1)])
    return FieldMap(
        heading=heading,
        x_m=light.x_m,
        y_m=light.y_m,
        ppfd_umol_m2_s=field,
        boards=tuple((float(row[0]), float(row[1]), float(row[2]), float(row[3])) for row in corners),
    )


def heights_page(results: Evaluation) -> Page:
    """Return the field with the boards hung otherwise: figures, curve, maps, how much of the crop is above a level."""
    chart = CurveChart(
        title="Mean and lowest PPFD over the height",
        across="height over canopy in m",
        up=f"PPFD in {PPFD_UNIT}",
        curves=(1, 2),
    )
    heights = at_heights(results)
    lead = "The same boards with the same currents at other heights, on the map's own points."
    blocks: list[SheetBlock] = [_heights(heights), chart, _levels(results)]
    if heights:
        blocks.append(_maps(results, heights))
    return Page(title="Heights", lead=lead, blocks=blocks)


def _heights(heights: tuple[AtHeight, ...]) -> Table:
    columns = (
        col("Height over canopy", "m", 3, 19),
        col("Mean PPFD", PPFD_UNIT, 0, 19),
        col("Lowest PPFD", PPFD_UNIT, 0, 19),
        col("Highest PPFD", PPFD_UNIT, 0, 19),
        col("min/mean", "", 2, 13),
    )
    rows = tuple(
        (at.height_m, at.mean_umol_m2_s, at.minimum_umol_m2_s, at.maximum_umol_m2_s, at.min_over_mean_fraction)
        for at in heights
    )
    return Table(heading="The same boards at other heights", columns=columns, rows=rows)


def _maps(results: Evaluation, heights: tuple[AtHeight, ...]) -> FieldMaps:
    """Return the lowest, the own and the highest of the heights as maps on one scale."""
    own = min(range(len(heights)), key=lambda n: abs(heights[n].height_m - results.fixture.height_m))
    shown = [heights[n] for n in sorted({0, own, len(heights) - 1})]
    low, high = min(at.minimum_umol_m2_s for at in shown), max(at.maximum_umol_m2_s for at in shown)
    return FieldMaps(
        heading=f"PPFD over the crop in {PPFD_UNIT} at {len(shown)} heights, seen from above; thick outlines are "
        f"{_outlined(results)}; one scale for all maps: palest {low:.0f}, darkest {high:.0f}",
        maps=tuple(_field_map(results, f"{at.height_m:g} m over the canopy", at.ppfd_umol_m2_s) for at in shown),
        lowest_umol_m2_s=low,
        highest_umol_m2_s=high,
    )


def _levels(results: Evaluation) -> Table:
    columns = (col("Level", PPFD_UNIT, 0, 19), col("Share of the crop above it", "%", 0, 26))
    rows = tuple((level, 100.0 * share) for level, share in area_above(results))
    return Table(heading="How much of the crop lies above a level", columns=columns, rows=rows)
