"""A board as a source of light: where it is, how it is turned, how its light spreads."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.beams import Beam

__all__ = ["LightSource", "point_rows", "several_sources"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSource:
    """A board as a source of light in room axes (origin in a floor corner, z up), facing down.

    Parameters
    ----------
    x_m, y_m, z_m : m: centre of the light-emitting face
    width_m, length_m : m, at least 0: along x and y before rotation; both 0: a point source
    photon_flux_umol_s : umol/s, at least 0
    rotation_deg : degrees, counter-clockwise seen from above
    tilt_deg : degrees, between -90 and 90, about the board's own length axis; positive turns the face towards the
        board's own +x side
    cosine_exponent : at least 0: intensity as cos^m of the angle from the board's axis; 1 is Lambertian
    beam : None, or a ``Beam`` that takes the place of the exponent

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    x_m: float
    y_m: float
    z_m: float
    width_m: float
    length_m: float
    photon_flux_umol_s: float
    rotation_deg: float = 0.0
    tilt_deg: float = 0.0
    cosine_exponent: float = 1.0
    beam: Beam | None = None

    def __post_init__(self) -> None:
        for name in ("x_m", "y_m", "z_m", "rotation_deg"):
            numbers(name, getattr(self, name))
        for name in ("width_m", "length_m", "photon_flux_umol_s", "cosine_exponent"):
            numbers(name, getattr(self, name), at_least=0)
        numbers("tilt_deg", self.tilt_deg, above=-90, below=90)
        if self.beam is not None and not isinstance(self.beam, Beam):
            raise ArgumentError("beam", self.beam, "None or a Beam")

    @property
    def spread(self) -> Beam:
        """Return how the light spreads: the beam given, or that of the exponent."""
        return Beam(exponent=self.cosine_exponent) if self.beam is None else self.beam

    @property
    def is_lambertian(self) -> bool:
        """Whether the closed forms for even, matt faces hold."""
        if self.beam is None:
            return self.cosine_exponent == 1.0
        return self.beam.table is None and self.beam.exponent == 1.0

    def centre(self) -> FloatArray:
        """Return the face's centre in m."""
        return np.array([self.x_m, self.y_m, self.z_m], dtype=float)

    def axes(self) -> FloatArray:
        """Return the board's unit vectors as rows: along its width, along its length, and the way it faces."""
        turn, tilt = np.deg2rad(self.rotation_deg), np.deg2rad(self.tilt_deg)
        outward = np.array([np.cos(turn), np.sin(turn), 0.0])
        along = np.array([-np.sin(turn), np.cos(turn), 0.0])
        up = np.array([0.0, 0.0, 1.0])
        return np.array([outward * np.cos(tilt) + up * np.sin(tilt), along, outward * np.sin(tilt) - up * np.cos(tilt)])

    def corners(self) -> FloatArray:
        """Return the four corners of the face in m, shape (4, 3)."""
        half = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]]) / 2
        return np.asarray(self.centre() + (half * [self.width_m, self.length_m]) @ self.axes()[:2])


def several_sources(sources: LightSource | Iterable[LightSource]) -> list[LightSource]:
    """Return one source or several as a list, or say which entry is none."""
    several = [sources] if isinstance(sources, LightSource) else list(sources)
    for source in several:
        if not isinstance(source, LightSource):
            raise ArgumentError("sources", source, "LightSource entries")
    return several


def point_rows(points_m: ArrayLike) -> FloatArray:
    """Return points of any shape (..., 3) as rows, or say that their last axis is not 3."""
    points = numbers("points_m", points_m)
    if points.shape[-1:] != (3,):
        raise ArgumentError("points_m", points.shape, "a shape that ends in 3: x, y, z of each point")
    return points.reshape(-1, 3)
