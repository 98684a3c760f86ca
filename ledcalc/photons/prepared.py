"""A room worked out once: how its patches exchange light, and what sensors see of them; then layout after layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.photons.direct import direct_factors
from ledcalc.photons.emission import PatchPoints, patch_points, patch_shares
from ledcalc.photons.exchange import exchange_areas, seen_shares
from ledcalc.photons.mesh import Surface, room_surfaces
from ledcalc.photons.mirrors import MirrorRoom, mirror_room
from ledcalc.photons.source import LightSource

__all__ = ["PreparedRoom", "RoomBalance", "prepared_room"]

# How far, in m, a board or point may stand outside through rounding.
ROUNDING_M = 1e-9
POINTS_AT_A_TIME = 2_000
AXES = ("x_m", "y_m", "z_m")
Rectangles = Mapping[str, Sequence[tuple[Sequence[float], Sequence[float]]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomBalance:
    """Where the boards' light goes when all walls send it back diffusely; umol/s, by surface.

    ``incident_umol_s`` counts light each time that it arrives; what is absorbed (through openings: lost) sums to the
    boards' flux.
    """

    incident_umol_s: Mapping[str, float]
    absorbed_umol_s: Mapping[str, float]
    photon_flux_umol_s: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedRoom:
    """A room whose patches' exchange is solved; made by ``Room.prepare`` and given as ``room`` to ``ppfd_map``."""

    sizes_m: tuple[float, float, float]
    mirror_share: float
    surfaces: Sequence[Surface]
    areas_m2: FloatArray
    reflectances: FloatArray
    inverse: FloatArray
    face_points: PatchPoints
    mirrors: MirrorRoom | None
    points_m: FloatArray
    transfer: FloatArray

    @property
    def patch_count(self) -> int:
        """Return how many patches the surfaces are cut into."""
        return self.areas_m2.size

    def per_flux(self, sources: Sequence[LightSource], points_m: FloatArray) -> FloatArray:
        """Return the PPFD at points of shape (n, 3) for one umol/s of each source, the room's share included."""
        self._check_sources(sources)
        total = np.zeros((len(sources), points_m.shape[0]))
        if not sources:
            return total
        if self.mirror_share < 1.0:
            leaving = self.incident_densities(sources) * self.reflectances
            diffuse = direct_factors(sources, points_m) + self._sent_back(leaving, points_m)
            total += (1.0 - self.mirror_share) * diffuse
        if self.mirrors is not None:
            total += self.mirror_share * self.mirrors.per_flux(sources, self.check_points(points_m))
        return total

    def incident_densities(self, sources: Sequence[LightSource]) -> FloatArray:
        """Return the light that arrives on each patch, in m-2 for one umol/s of each source; walls diffuse."""
        shares = patch_shares(sources, self.surfaces, self.face_points)
        return np.asarray((shares / self.areas_m2) @ self.inverse.T)

    def balance(self, sources: Sequence[LightSource]) -> RoomBalance:
        """Return where the boards' light goes, by surface, with all walls diffuse."""
        self._check_sources(sources)
        fluxes = np.array([source.photon_flux_umol_s for source in sources])
        incident = fluxes @ self.incident_densities(sources) * self.areas_m2
        absorbed = incident * (1.0 - self.reflectances)
        ends = np.cumsum([surface.count for surface in self.surfaces])[:-1]
        names = [surface.name for surface in self.surfaces]
        parts = [
            {name: float(part.sum()) for name, part in zip(names, np.split(values, ends), strict=True)}
            for values in (incident, absorbed)
        ]
        return RoomBalance(incident_umol_s=parts[0], absorbed_umol_s=parts[1], photon_flux_umol_s=float(fluxes.sum()))

    def check_points(self, points_m: FloatArray) -> FloatArray:
        """Return points of shape (n, 3) as they are, or say which lies outside the room."""
        for axis, (name, size) in enumerate(zip(AXES, self.sizes_m, strict=True)):
            bad = (points_m[:, axis] < -ROUNDING_M) | (points_m[:, axis] > size + ROUNDING_M)
            if bad.any():
                value = float(points_m[bad, axis][0])
                raise ArgumentError(f"points_m ({name})", value, f"within the room, 0 to {size:g} m")
        return points_m

    def _sent_back(self, leaving: FloatArray, points_m: FloatArray) -> FloatArray:
        if np.array_equal(points_m, self.points_m):
            return np.asarray(leaving @ self.transfer.T)
        self.check_points(points_m)
        sent = np.empty((leaving.shape[0], points_m.shape[0]))
        for start in range(0, points_m.shape[0], POINTS_AT_A_TIME):
            part = slice(start, start + POINTS_AT_A_TIME)
            sent[:, part] = leaving @ seen_shares(self.surfaces, points_m[part], upward=True).T
        return sent

    def _check_sources(self, sources: Sequence[LightSource]) -> None:
        for number, source in enumerate(sources):
            corners = source.corners()
            outside = (corners < -ROUNDING_M) | (corners > np.array(self.sizes_m) + ROUNDING_M)
            if outside.any():
                corner, axis = np.argwhere(outside)[0]
                allowed = f"the whole board within the room, 0 to {self.sizes_m[axis]:g} m"
                name = f"sources[{number}], an edge's {AXES[axis]},"
                raise ArgumentError(name, float(corners[corner, axis]), allowed)
            if source.z_m <= ROUNDING_M:
                raise ArgumentError(f"sources[{number}].z_m", source.z_m, "above the floor")


def prepared_room(
    sizes_m: tuple[float, float, float],
    reflectances: Mapping[str, float],
    openings: Rectangles,
    mirror_share: float,
    points_m: FloatArray,
    heights_m: FloatArray,
    refinement: float,
) -> PreparedRoom:
    """Solve the room: E = E0 + F rho E for the light E that arrives on each patch (radiosity), once for all layouts."""
    surfaces = room_surfaces(sizes_m, heights_m.tolist(), openings, refinement)
    areas = np.concatenate([surface.areas_m2() for surface in surfaces])
    reflecting = np.concatenate([_patch_reflectances(surface, reflectances, openings) for surface in surfaces])
    factors = exchange_areas(surfaces) / areas[:, None]
    room = PreparedRoom(
        sizes_m=sizes_m,
        mirror_share=mirror_share,
        surfaces=surfaces,
        areas_m2=areas,
        reflectances=reflecting,
        inverse=np.linalg.inv(np.eye(areas.size) - factors * reflecting),
        face_points=patch_points(surfaces),
        mirrors=mirror_room(sizes_m, _means(surfaces, areas, reflecting), points_m) if mirror_share > 0 else None,
        points_m=points_m,
        transfer=seen_shares(surfaces, points_m, upward=True),
    )
    room.check_points(points_m)
    return room


def _patch_reflectances(surface: Surface, reflectances: Mapping[str, float], openings: Rectangles) -> FloatArray:
    shares = np.ones(surface.count)
    for low, high in openings.get(surface.name, ()):
        shares = np.minimum(shares, 1.0 - surface.share_within(low, high))
    return shares * reflectances[surface.name]


def _means(surfaces: Sequence[Surface], areas: FloatArray, reflecting: FloatArray) -> dict[str, float]:
    ends = np.cumsum([surface.count for surface in surfaces])[:-1]
    parts = zip(surfaces, np.split(areas, ends), np.split(reflecting, ends), strict=True)
    return {surface.name: float(own @ part / own.sum()) for surface, own, part in parts}
