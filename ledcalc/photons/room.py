"""A room that sends light back: walls, ceiling and floor that reflect diffusely, walls that are partly mirrors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, choice, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.mesh import SURFACES
from ledcalc.photons.prepared import PreparedRoom, prepared_room
from ledcalc.photons.source import point_rows

__all__ = ["Opening", "Room"]

WALLS = ("left", "right", "front", "back")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A rectangle of a surface that sends nothing back: a door, a vent, a zip left open.

    Parameters
    ----------
    surface : "floor", "ceiling", "left" (x = 0), "right", "front" (y = 0) or "back"
    low_m, high_m : m: two corners in the surface's own axes, in the order x, y, z without the one across the surface

    Raises
    ------
    ArgumentError (a ValueError): an unknown surface, or corners without area between them
    """

    surface: str
    low_m: tuple[float, float]
    high_m: tuple[float, float]

    def __post_init__(self) -> None:
        choice("surface", self.surface, SURFACES)
        low, high = numbers("low_m", self.low_m, at_least=0), numbers("high_m", self.high_m, at_least=0)
        if low.shape != (2,) or high.shape != (2,):
            raise ArgumentError("low_m", self.low_m, "two numbers, as high_m")
        if (high <= low).any():
            raise ArgumentError("high_m", self.high_m, "above low_m in both directions")


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A closed box about the boards; origin in a floor corner, z up. The sensor plane is transparent.

    Parameters
    ----------
    width_m, depth_m, height_m : m, above 0: along x, y, z
    wall_reflectance : from 0 to below 1: one number, or four: left (x = 0), right, front (y = 0), back
    ceiling_reflectance : from 0 to below 1
    floor_reflectance : from 0 to below 1: of what lies below the sensors, canopy or floor
    mirror_share : from 0 to 1: the part of what walls send back that goes as from a mirror, the rest diffusely
    wall_opening_fraction : from 0 to 1: part of the walls that sends nothing back, spread evenly; one number or four
    openings : rectangles that send nothing back, where they are known

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an opening that does not fit its surface

    Examples
    --------
    >>> tent = Room(width_m=1.2, depth_m=1.2, height_m=2.0, wall_reflectance=0.8, ceiling_reflectance=0.8,
    ...             floor_reflectance=0.1)
    >>> tent.prepare(fixture_height_m=1.0).patch_count
    512
    """

    width_m: float
    depth_m: float
    height_m: float
    wall_reflectance: float | Sequence[float]
    ceiling_reflectance: float
    floor_reflectance: float
    mirror_share: float = 0.0
    wall_opening_fraction: float | Sequence[float] = 0.0
    openings: Sequence[Opening] = ()

    def __post_init__(self) -> None:
        for name in ("width_m", "depth_m", "height_m"):
            _single(name, numbers(name, getattr(self, name), above=0))
        for name in ("ceiling_reflectance", "floor_reflectance"):
            _single(name, numbers(name, getattr(self, name), at_least=0, below=1))
        _single("mirror_share", numbers("mirror_share", self.mirror_share, at_least=0, at_most=1))
        _four("wall_reflectance", numbers("wall_reflectance", self.wall_reflectance, at_least=0, below=1))
        _four(
            "wall_opening_fraction", numbers("wall_opening_fraction", self.wall_opening_fraction, at_least=0, at_most=1)
        )
        for opening in self.openings:
            self._opening_fits(opening)

    @property
    def sizes_m(self) -> tuple[float, float, float]:
        """Return width, depth and height."""
        return self.width_m, self.depth_m, self.height_m

    def reflectances(self) -> dict[str, float]:
        """Return what each surface sends back, its evenly spread openings taken off."""
        walls = np.broadcast_to(self.wall_reflectance, 4) * (1.0 - np.broadcast_to(self.wall_opening_fraction, 4))
        ends = {"floor": float(self.floor_reflectance), "ceiling": float(self.ceiling_reflectance)}
        return ends | {name: float(value) for name, value in zip(WALLS, walls, strict=True)}

    def prepare(
        self, points_m: ArrayLike | None = None, *, fixture_height_m: ArrayLike, refinement: float = 1.0
    ) -> PreparedRoom:
        """Work out once what all layouts of boards in this room share.

        Parameters
        ----------
        points_m : m, shape (..., 3): the points that will be asked for; None: none yet
        fixture_height_m : m, within the room: height of the boards' faces, one or several; walls are split there
        refinement : above 0: 2 cuts each patch into 4

        Returns
        -------
        PreparedRoom: to be passed as ``room`` of ``ppfd_map`` and ``ppfd_per_flux``. Boards may stand elsewhere in it.
        """
        heights = numbers("fixture_height_m", fixture_height_m, at_least=0, at_most=self.height_m)
        points = np.empty((0, 3)) if points_m is None else point_rows(points_m)
        holes = {name: [(o.low_m, o.high_m) for o in self.openings if o.surface == name] for name in SURFACES}
        return prepared_room(
            self.sizes_m,
            self.reflectances(),
            holes,
            float(self.mirror_share),
            points,
            np.unique(heights),
            float(numbers("refinement", refinement, above=0)),
        )

    def _opening_fits(self, opening: Opening) -> None:
        axis = {"floor": 2, "ceiling": 2, "left": 0, "right": 0, "front": 1, "back": 1}[opening.surface]
        sides = [side for other, side in enumerate(self.sizes_m) if other != axis]
        if any(high > side * (1.0 + 1e-9) for high, side in zip(opening.high_m, sides, strict=True)):
            raise ArgumentError(
                "openings", opening, f"within the {opening.surface}: at most {sides[0]:g} x {sides[1]:g} m"
            )


def _single(name: str, value: FloatArray) -> None:
    if value.ndim:
        raise ArgumentError(name, value.tolist(), "one number")


def _four(name: str, value: FloatArray) -> None:
    if value.shape not in ((), (4,)):
        raise ArgumentError(name, value.tolist(), f"one number, or four: {', '.join(WALLS)}")
