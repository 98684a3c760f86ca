"""The field seen otherwise: at other heights, by how much of the crop lies above a level; the spectra of the boards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.evaluation.light import room_about
from ledcalc.fixture import Fixture
from ledcalc.model_curves import beam_of, spectrum_of
from ledcalc.photons import LightSource, Spectrum, ppfd_map
from ledcalc.results import Evaluation

__all__ = ["AtHeight", "area_above", "at_heights", "spectra_of"]

HEIGHT_FACTORS = (0.6, 0.8, 1.0, 1.25, 1.6)
LEVELS_OF_MEAN = (0.7, 0.8, 0.9, 1.0, 1.1, 1.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class AtHeight:
    """The field with the boards at a height over the canopy, all else as it is."""

    height_m: float
    mean_umol_m2_s: float
    minimum_umol_m2_s: float
    maximum_umol_m2_s: float
    min_over_mean_fraction: float


def at_heights(results: Evaluation, factors: Sequence[float] = HEIGHT_FACTORS) -> tuple[AtHeight, ...]:
    """Return the field at several heights, on the map's own points; heights above the ceiling are left out.

    Parameters
    ----------
    results : from ``evaluate``
    factors : above 0: heights as parts of the fixture's

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluate import evaluate
    >>> low, high = at_heights(evaluate(seedling_bench()), (0.8, 1.2))
    >>> low.mean_umol_m2_s > high.mean_umol_m2_s, low.min_over_mean_fraction < high.min_over_mean_fraction
    (True, True)
    """
    fixture, light = results.fixture, results.light
    x, y = np.meshgrid(light.x_m + fixture.crop_x_m, light.y_m + fixture.crop_y_m)
    points = np.stack([x, y, np.full_like(x, fixture.canopy_height_m)], axis=-1)
    ceiling = fixture.site.room_height_m or np.inf
    heights = [round(fixture.height_m * factor, 4) for factor in factors]
    hung = {height: _raised(results, height - fixture.height_m) for height in heights}
    kept = {height: sources for height, sources in hung.items() if max(source.z_m for source in sources) <= ceiling}
    room = room_about(fixture, _raised(results, 0.0))
    prepared = None
    if room is not None and kept:
        levels = sorted({round(source.z_m, 6) for sources in kept.values() for source in sources})
        prepared = room.prepare(points, fixture_height_m=levels)
    found = []
    for height, sources in kept.items():
        field = np.asarray(ppfd_map(sources, points, room=prepared), dtype=float)
        mean = float(field.mean())
        found.append(
            AtHeight(
                height_m=height,
                mean_umol_m2_s=mean,
                minimum_umol_m2_s=float(field.min()),
                maximum_umol_m2_s=float(field.max()),
                min_over_mean_fraction=float(field.min()) / mean if mean > 0 else float("nan"),
            )
        )
    return tuple(found)


def _raised(results: Evaluation, by_m: float) -> list[LightSource]:
    """Return the boards as light sources, raised."""
    boards, fixture = results.boards, results.fixture
    models = {model.tag: model for model in fixture.boards}
    return [
        LightSource(
            x_m=float(boards.x_m[n]),
            y_m=float(boards.y_m[n]),
            z_m=float(boards.z_m[n]) + by_m,
            width_m=float(boards.width_m[n]),
            length_m=float(boards.length_m[n]),
            photon_flux_umol_s=float(boards.photon_flux_umol_s[n]),
            rotation_deg=float(boards.rotation_deg[n]),
            tilt_deg=float(boards.tilt_deg[n]),
            cosine_exponent=models[boards.model[n]].cosine_exponent,
            beam=beam_of(models[boards.model[n]], fixture.beams),
        )
        for n in range(len(boards.tag))
    ]


def area_above(results: Evaluation, levels: Sequence[float] = LEVELS_OF_MEAN) -> tuple[tuple[float, float], ...]:
    """Return level in umol m-2 s-1 and the share of the crop that lies above it, levels as parts of the mean."""
    field = results.light.ppfd_umol_m2_s
    mean = float(field.mean())
    return tuple((part * mean, float((field >= part * mean).mean())) for part in levels)


def spectra_of(fixture: Fixture) -> tuple[Spectrum, ...]:
    """Return the spectra of the board models on the fixture that name one."""
    used = {place.board or fixture.board for place in fixture.positions} or {fixture.board}
    tags = dict.fromkeys(model.spectrum for model in fixture.boards if model.tag in used and model.spectrum)
    return tuple(spectrum_of(str(tag), fixture.spectra) for tag in tags)
