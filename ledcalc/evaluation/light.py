"""The light field over the crop, the dose, and the efficacies, each on its named basis."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.fixture import Fixture, Site
from ledcalc.light_sources import (
    all_sources,
    crop_points,
    kept_room,
    per_flux_of_all,
    raised,
    room_about,
    wall_reflectances,
)
from ledcalc.photons import LightSource, daily_light_integral, photon_efficacy, ppfd_grid_statistics
from ledcalc.results import LightResults

__all__ = ["light_over_crop", "light_per_flux", "light_results"]

WALLS = ("left", "right", "front", "back")


def light_over_crop(
    fixture: Fixture, own: Sequence[LightSource], x_m: FloatArray, y_m: FloatArray, raised_m: float = 0.0
) -> FloatArray:
    """Return the PPFD of all fixtures at points counted from the crop's corner, boards as they hang or raised."""
    fluxes = np.array([source.photon_flux_umol_s for source in own])
    return np.asarray(np.tensordot(fluxes, light_per_flux(fixture, own, x_m, y_m, raised_m), axes=1))


def light_per_flux(
    fixture: Fixture, own: Sequence[LightSource], x_m: FloatArray, y_m: FloatArray, raised_m: float = 0.0
) -> FloatArray:
    """Return the same for one umol/s of each board, its likes in other fixtures included: m-2, by board and point."""
    points, hung = crop_points(fixture, x_m, y_m), raised(own, raised_m)
    of_all = all_sources(fixture, hung)
    room = room_about(fixture, of_all)
    if room is None:
        return per_flux_of_all(fixture, hung, points)
    heights = tuple(sorted({round(source.z_m, 6) for source in of_all}))
    # As the boards hang, one room serves the map and all other points: it is solved once, and what these see follows.
    kept = points if raised_m else crop_points(fixture, *np.meshgrid(*_map_axes(fixture)))
    return per_flux_of_all(fixture, hung, points, room=kept_room(room, kept.tobytes(), kept.shape, heights))


def _map_axes(fixture: Fixture) -> tuple[FloatArray, FloatArray]:
    """Return the columns and rows of the map, the centres of even cells, counted from the crop's corner in m."""
    x = (np.arange(fixture.map_columns_count) + 0.5) * fixture.crop_width_m / fixture.map_columns_count
    y = (np.arange(fixture.map_rows_count) + 0.5) * fixture.crop_depth_m / fixture.map_rows_count
    return x, y


def light_results(
    fixture: Fixture, own: Sequence[LightSource], *, dc_power_w: float, mains_power_w: float
) -> LightResults:
    """Return the map at the centres of even cells over the crop, and what follows from it; powers of this fixture."""
    x, y = _map_axes(fixture)
    x_grid, y_grid = np.meshgrid(x, y)
    ppfd = light_over_crop(fixture, own, x_grid, y_grid)
    area = (fixture.crop_width_m, fixture.crop_depth_m)
    middle = (fixture.crop_width_m / 2, fixture.crop_depth_m / 2)
    statistics = ppfd_grid_statistics(x_grid.ravel(), y_grid.ravel(), ppfd.ravel(), area_m=area, centre_m=middle)
    flux, count = float(sum(source.photon_flux_umol_s for source in own)), fixture.in_room_count
    canopy_flux = statistics.area_weighted_mean * area[0] * area[1]
    hours = fixture.site.photoperiod_h
    return LightResults(
        x_m=x,
        y_m=y,
        ppfd_umol_m2_s=ppfd,
        statistics=statistics,
        basis=_basis(fixture, own),
        photon_flux_umol_s=flux,
        in_room_count=count,
        room_photon_flux_umol_s=flux * count,
        canopy_flux_umol_s=canopy_flux,
        utilisation_fraction=canopy_flux / (flux * count) if flux > 0 else float("nan"),
        dli_mean_mol_m2_d=float(daily_light_integral(statistics.mean, hours)),
        dli_minimum_mol_m2_d=float(daily_light_integral(statistics.minimum, hours)),
        dli_maximum_mol_m2_d=float(daily_light_integral(statistics.maximum, hours)),
        dc_efficacy_umol_per_j=_efficacy(flux, dc_power_w),
        ac_efficacy_umol_per_j=_efficacy(flux, mains_power_w),
        canopy_efficacy_umol_per_j=_efficacy(canopy_flux, mains_power_w * count),
    )


def _efficacy(photon_flux_umol_s: float, power_w: float) -> float:
    return float(photon_efficacy(photon_flux_umol_s, power_w)) if power_w > 0 else float("nan")


def _basis(fixture: Fixture, own: Sequence[LightSource]) -> str:
    grid = f"{fixture.map_columns_count} x {fixture.map_rows_count} points at the centres of even cells"
    site = fixture.site
    if room_about(fixture, all_sources(fixture, own)) is not None:
        place = (
            f"walls send back {_walls(site)}, ceiling {site.ceiling_reflectance_fraction:.0%}, "
            f"canopy {site.floor_reflectance_fraction:.0%}{_openings(fixture)}"
        )
    elif site.room_width_m is None:
        place = "direct light only"
    else:
        place = "direct light only: boards or crop stand outside the room, so that its walls are not counted"
    count = fixture.in_room_count
    boards = "the boards' photon flux" if count == 1 else f"the photon flux of the boards of all {count} fixtures"
    return f"worked out from {boards}; {place}; {grid}"


def _walls(site: Site) -> str:
    shares = wall_reflectances(site, site.wall_reflectance_fraction)
    if len(set(shares)) == 1:
        return f"{shares[0]:.0%}"
    return ", ".join(f"{share:.0%} ({name})" for share, name in zip(shares, WALLS, strict=True))


def _openings(fixture: Fixture) -> str:
    count = len(fixture.wall_openings)
    if not count:
        return ""
    return ", 1 opening in the walls nothing" if count == 1 else f", {count} openings in the walls nothing"
