"""The field seen otherwise: at other heights, along rings, by shares above a level, by eye; the boards' spectra."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.light import light_over_crop, light_per_flux
from ledcalc.fixture import Fixture
from ledcalc.light_sources import crop_fields, crop_points, own_sources
from ledcalc.model_curves import spectrum_of
from ledcalc.photons import LightSource, Spectrum, ring_points, ring_sides
from ledcalc.results import Evaluation

__all__ = [
    "AlongRing",
    "AtHeight",
    "Illuminance",
    "along_rings",
    "area_above",
    "at_heights",
    "hung_sources",
    "mean_illuminance",
    "spectra_of",
]

HEIGHT_FACTORS = (0.6, 0.8, 1.0, 1.25, 1.6)
LEVELS_OF_MEAN = (0.7, 0.8, 0.9, 1.0, 1.1, 1.2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AtHeight:
    """The field with the boards at a height over the canopy, all else as it is: a row a y, a column an x."""

    height_m: float
    ppfd_umol_m2_s: FloatArray
    mean_umol_m2_s: float
    minimum_umol_m2_s: float
    maximum_umol_m2_s: float
    min_over_mean_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AlongRing:
    """The field along a square ring about the crop's centre, worked out at so many points of the ring itself."""

    side_m: float
    mean_umol_m2_s: float
    minimum_umol_m2_s: float
    maximum_umol_m2_s: float
    share_of_mean_fraction: float
    point_count: int


def at_heights(
    results: Evaluation,
    factors: Sequence[float] = HEIGHT_FACTORS,
    *,
    axes_m: tuple[FloatArray, FloatArray] | None = None,
) -> tuple[AtHeight, ...]:
    """Return the field at several heights, on the map's own points; those that put a board above the
    ceiling or down to the canopy are left out.

    Parameters
    ----------
    results : from ``evaluate``
    factors : above 0: heights as parts of the fixture's
    axes_m : m from the crop's corner: other columns and rows than the map's

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> low, high = at_heights(evaluate(seedling_bench()), (0.8, 1.2))
    >>> low.mean_umol_m2_s > high.mean_umol_m2_s, low.min_over_mean_fraction < high.min_over_mean_fraction
    (True, True)
    """
    fixture = results.fixture
    points = crop_points(fixture, *np.meshgrid(*(axes_m or (results.light.x_m, results.light.y_m))))
    heights = [round(fixture.height_m * factor, 4) for factor in factors]
    raises = [height - fixture.height_m for height in heights]
    found = []
    for height, field in zip(
        heights, crop_fields(fixture, own_sources(fixture, results.boards), points, raises), strict=True
    ):
        if field is None:
            continue
        mean = float(field.mean())
        found.append(
            AtHeight(
                height_m=height,
                ppfd_umol_m2_s=field,
                mean_umol_m2_s=mean,
                minimum_umol_m2_s=float(field.min()),
                maximum_umol_m2_s=float(field.max()),
                min_over_mean_fraction=float(field.min()) / mean if mean > 0 else float("nan"),
            )
        )
    return tuple(found)


def area_above(results: Evaluation, levels: Sequence[float] = LEVELS_OF_MEAN) -> tuple[tuple[float, float], ...]:
    """Return level in umol m-2 s-1 and the share of the crop that lies above it, levels as parts of the mean."""
    field = results.light.ppfd_umol_m2_s
    mean = float(field.mean())
    return tuple((part * mean, float((field >= part * mean).mean())) for part in levels)


@dataclass(frozen=True, slots=True, kw_only=True)
class Illuminance:
    """The light as eyes and lux meters have it: mean over the crop, its ratio to the PPFD, and all fixtures' lumens."""

    mean_lx: float
    lx_per_umol_m2_s: float
    luminous_flux_lm: float


def mean_illuminance(results: Evaluation) -> Illuminance | None:
    """Return the mean illuminance of the map by the boards' spectra; None where a board has none, or all are dark.

    Walls are taken to send all wavelengths back alike.
    """
    fixture, boards, light = results.fixture, results.boards, results.light
    named = {model.tag: model.spectrum for model in fixture.boards}
    tags = [named[model] for model in boards.model]
    if None in tags or light.statistics.mean <= 0:
        return None
    spectra = {tag: spectrum_of(str(tag), fixture.spectra) for tag in dict.fromkeys(tags)}
    ratios = {tag: one.luminous_flux_lm() / one.photon_flux_umol_s(400.0, 700.0) for tag, one in spectra.items()}
    lm_per_umol = np.array([ratios[tag] for tag in tags])
    mean = light.statistics.mean * lm_per_umol[0]
    if len(ratios) > 1:
        x, y = np.meshgrid(light.x_m, light.y_m)
        shares = light_per_flux(fixture, hung_sources(results), x, y).mean(axis=(1, 2))
        mean = float(shares @ (boards.photon_flux_umol_s * lm_per_umol))
    return Illuminance(
        mean_lx=float(mean),
        lx_per_umol_m2_s=float(mean) / light.statistics.mean,
        luminous_flux_lm=float(boards.photon_flux_umol_s @ lm_per_umol) * light.in_room_count,
    )


def spectra_of(fixture: Fixture) -> tuple[Spectrum, ...]:
    """Return the spectra of the board models on the fixture that name one."""
    used = {place.board or fixture.board for place in fixture.positions} or {fixture.board}
    tags = dict.fromkeys(model.spectrum for model in fixture.boards if model.tag in used and model.spectrum)
    return tuple(spectrum_of(str(tag), fixture.spectra) for tag in tags)


def along_rings(results: Evaluation) -> tuple[AlongRing, ...]:
    """Return the field along square rings about the crop's centre: by the fixture's ring step, else by quarters.

    Parameters
    ----------
    results : from ``evaluate``

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> [round(ring.side_m, 2) for ring in along_rings(evaluate(seedling_bench()))]
    [0.15, 0.3, 0.45, 0.6]
    """
    fixture, mean = results.fixture, results.light.statistics.mean
    width, depth = fixture.crop_width_m, fixture.crop_depth_m
    sides = ring_sides(min(width, depth), fixture.ring_step_m).tolist()
    # As close as the map's own points.
    spacing = min(width / fixture.map_columns_count, depth / fixture.map_rows_count)
    rings = [ring_points(side, (width / 2, depth / 2), spacing_m=spacing) for side in sides]
    points = np.concatenate(rings)
    field = light_over_crop(fixture, hung_sources(results), points[:, 0], points[:, 1])
    parts = np.split(field, np.cumsum([len(ring) for ring in rings])[:-1])
    return tuple(
        AlongRing(
            side_m=side,
            mean_umol_m2_s=float(part.mean()),
            minimum_umol_m2_s=float(part.min()),
            maximum_umol_m2_s=float(part.max()),
            share_of_mean_fraction=float(part.mean()) / mean if mean > 0 else float("nan"),
            point_count=part.size,
        )
        for side, part in zip(sides, parts, strict=True)
    )


def hung_sources(results: Evaluation) -> list[LightSource]:
    """Return the boards of this fixture as light sources in the room's axes, as they hang."""
    return own_sources(results.fixture, results.boards)
