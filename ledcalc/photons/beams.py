"""Beams: how a source's light spreads by direction, and the PPFD of a rectangle that shines with one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.beam_table import BeamTable

__all__ = ["Beam", "gauss_per_flux"]

GAUSS_POINTS = 6
LARGEST_SIDE_OVER_DISTANCE = 0.25
# Where a sensor's horizon crosses a piece its light bends sharply, and a rule made for smooth light needs smaller ones.
FINER_AT_THE_HORIZON = 8.0
NEAREST_OVER_LONGEST_SIDE = 1e-4
POINTS_AT_A_TIME = 1_000
PAIRS_AT_A_TIME = 10_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beam:
    """Photon intensity by direction, a steradian, relative to the whole flux: its integral over the sphere is 1.

    ``theta`` is the angle from the way the source faces; ``phi`` the azimuth about it, from the source's width axis
    towards its length axis: of a board that faces down, counter-clockwise seen from above. Build it with
    ``lambertian``, ``cosine`` or ``tabulated``.

    Parameters
    ----------
    exponent : at least 0: intensity as cos^m of theta, dark behind; 1 is Lambertian; not used with a table
    table : None, or the measured distribution
    """

    exponent: float = 1.0
    table: BeamTable | None = None

    def __post_init__(self) -> None:
        numbers("exponent", self.exponent, at_least=0)

    @classmethod
    def lambertian(cls) -> Beam:
        """Return the beam of an even, matt emitter: intensity as the cosine, 120 deg between half intensities."""
        return cls()

    @classmethod
    def cosine(cls, exponent: float) -> Beam:
        """Return the beam whose intensity goes as cos^m (``exponent``, at least 0).

        Examples
        --------
        >>> round(Beam.cosine(2.0).beam_angle_deg(), 6)
        90.0
        """
        return cls(exponent=float(exponent))

    @classmethod
    def tabulated(cls, theta_deg: ArrayLike, phi_deg: ArrayLike, intensity: ArrayLike) -> Beam:
        """Return a beam through measured intensities.

        Parameters
        ----------
        theta_deg : deg, 0 to 180, rising, two or more: from the axis; dark outside them
        phi_deg : deg, rising; their range says the symmetry: 0 alone (round), 0 to 90, 0 to 180, 90 to 270, 0 to 360
        intensity : any unit a steradian, at least 0, shape (azimuths, angles); for one azimuth also (angles,)

        Raises
        ------
        ArgumentError (a ValueError): angles out of order or range, shapes that differ, or no light at all

        Validity
        --------
        Monotone cubic interpolation: no overshoot, the values given are met exactly. A Lambertian table at every 5 deg
        is met within 0.03 % of its peak between its angles.

        Examples
        --------
        >>> beam = Beam.tabulated([0, 30, 60, 90], 0, [1000, 866, 500, 0])
        >>> round(beam.flux_fraction(0, 90), 6)
        1.0
        """
        return cls(table=BeamTable.from_angles(theta_deg, phi_deg, intensity))

    @property
    def is_round(self) -> bool:
        """Whether the azimuth makes no difference."""
        return self.table is None or self.table.is_round

    def intensity(self, theta_rad: ArrayLike, phi_rad: ArrayLike = 0.0) -> Numbers:
        """Return the intensity a steradian for a flux of 1.

        Parameters
        ----------
        theta_rad : rad, 0 to pi, any shape
        phi_rad : rad, any, broadcast with it

        Returns
        -------
        1/sr

        Examples
        --------
        >>> round(Beam.lambertian().intensity(0.0), 6)
        0.31831
        """
        theta = numbers("theta_rad", theta_rad, at_least=0, at_most=np.pi)
        theta, phi = np.broadcast_arrays(theta, numbers("phi_rad", phi_rad))
        if self.table is not None:
            return answer(self.table.intensity(theta, phi))
        return answer(self._cosine_law(np.cos(theta)))

    def towards(self, across: FloatArray, along: FloatArray, ahead: FloatArray) -> FloatArray:
        """Return the intensity in directions given as parts of unit vectors in the source's own axes."""
        if self.table is None:
            return self._cosine_law(ahead)
        theta = np.arctan2(np.hypot(across, along), ahead)
        return self.table.intensity(theta, theta if self.is_round else np.arctan2(along, across))

    def flux_fraction(self, from_deg: float, to_deg: float) -> float:
        """Return the share of the flux between two angles from the axis (deg, 0 to 180)."""
        limits = numbers("from_deg, to_deg", [from_deg, to_deg], at_least=0, at_most=180)
        if limits[0] > limits[1]:
            raise ArgumentError("to_deg", to_deg, f"at least from_deg, {from_deg}")
        start, end = (float(limit) for limit in np.deg2rad(limits))
        if self.table is not None:
            return self.table.between(start, end)
        outside = np.maximum(np.cos([start, end]), 0.0) ** (self.exponent + 1.0)
        return float(outside[0] - outside[1])

    @property
    def lower_half_fraction(self) -> float:
        """The share within 90 deg of the axis: what a source that faces straight down sends below itself."""
        return self.flux_fraction(0.0, 90.0)

    def half_angle_deg(self, phi_deg: float = 0.0) -> float:
        """Return the outermost angle from the axis, in one half-plane, at half the peak of that plane's both halves."""
        numbers("phi_deg", phi_deg)
        if self.table is None:
            return 90.0 if self.exponent == 0 else float(np.rad2deg(np.arccos(0.5 ** (1.0 / self.exponent))))
        fine = np.union1d(np.linspace(0.0, np.pi, 3601), np.deg2rad(self.table.theta_deg))
        phi = np.deg2rad(phi_deg)
        line = np.asarray(self.intensity(fine, phi))
        half = 0.5 * max(line.max(), np.asarray(self.intensity(fine, phi + np.pi)).max())
        above = np.flatnonzero(line >= half)
        if above.size == 0 or half == 0:
            return 0.0
        last = int(above[-1])
        if last == fine.size - 1:
            return 180.0
        share = (line[last] - half) / (line[last] - line[last + 1])
        return float(np.rad2deg(fine[last] + share * (fine[last + 1] - fine[last])))

    def beam_angle_deg(self, phi_deg: float = 0.0) -> float:
        """Return the angle between the two half intensities of one plane through the axis, in deg."""
        return self.half_angle_deg(phi_deg) + self.half_angle_deg(phi_deg + 180.0)

    def _cosine_law(self, cosine: FloatArray) -> FloatArray:
        # 0 ** 0 would let an exponent of 0 shine backwards.
        front = np.maximum(cosine, 0.0)
        lit = np.where(cosine > 0, _power(front, self.exponent), 0.0)
        return np.asarray(lit * (self.exponent + 1.0) / (2.0 * np.pi))


def gauss_per_flux(
    beam: Beam,
    centre_m: ArrayLike,
    axes: ArrayLike,
    sides_m: tuple[float, float],
    points_m: ArrayLike,
    *,
    normal: ArrayLike = (0.0, 0.0, 1.0),
) -> FloatArray:
    """Return the PPFD at points for one umol/s of an even rectangle whose every part shines with a beam.

    Parameters
    ----------
    beam : the beam
    centre_m : m, shape (3,): centre of the face
    axes : shape (3, 3): unit vectors as rows: along the width, along the length, the way it faces
    sides_m : m, at least 0: width and length; 0 and 0: a point source
    points_m : m, shape (..., 3)
    normal : unit vector the sensors face along, shape (3,) or that of the points; upward by default

    Returns
    -------
    m-2 (umol m-2 s-1 for a umol/s), shape (...): one row of the field's matrix

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not end in 3, or a side below 0

    Validity
    --------
    The face is split, point by point, until no piece is longer than a quarter of its distance, and each piece takes
    6 x 6 Gauss points: 1e-8 for cos^m up to m = 40, 1e-5 for tables of 5 deg steps. Points nearer than
    1e-4 of the longest side are read as if at that distance.
    """
    points, facing = numbers("points_m", points_m), numbers("normal", normal)
    if points.shape[-1:] != (3,) or facing.shape[-1:] != (3,):
        raise ArgumentError("points_m", points.shape, "a shape that ends in 3, as that of normal: x, y, z of each")
    frame, centre = numbers("axes", axes), numbers("centre_m", centre_m)
    sides = numbers("sides_m", sides_m, at_least=0)
    if frame.shape != (3, 3) or centre.shape != (3,) or sides.shape != (2,):
        raise ArgumentError("axes", frame.shape, "axes (3, 3), centre_m (3,) and sides_m (2,)")
    local = ((points - centre) @ frame.T).reshape(-1, 3)
    horizon = np.broadcast_to(facing @ frame.T, points.shape).reshape(-1, 3)
    found = np.zeros(local.shape[0])
    dark_behind = beam.table is None or beam.table.theta_deg[-1] <= 90.0
    lit = np.flatnonzero(local[:, 2] > 0) if dark_behind else np.arange(local.shape[0])
    for start in range(0, lit.size, POINTS_AT_A_TIME):
        part = lit[start : start + POINTS_AT_A_TIME]
        found[part] = _over_the_face(beam, sides, local[part], horizon[part])
    return found.reshape(points.shape[:-1])


def _over_the_face(beam: Beam, sides: FloatArray, local: FloatArray, horizon: FloatArray) -> FloatArray:
    """Return the sum over the face; pairs of a point and a piece of the face are split until they are far enough."""
    nearest = NEAREST_OVER_LONGEST_SIDE * max(float(sides.max()), 1e-9)
    total = np.zeros(local.shape[0])
    owner, middle = np.arange(local.shape[0]), np.zeros((local.shape[0], 2))
    half, share = np.tile(sides / 2.0, (local.shape[0], 1)), np.ones(local.shape[0])
    while owner.size:
        place, up = local[owner], horizon[owner]
        gap = np.maximum(np.abs(place[:, :2] - middle) - half, 0.0)
        limit = LARGEST_SIDE_OVER_DISTANCE * np.maximum(np.sqrt((gap**2).sum(axis=1) + place[:, 2] ** 2), nearest)
        height = ((middle - place[:, :2]) * up[:, :2]).sum(axis=1) - place[:, 2] * up[:, 2]
        reach = (np.abs(up[:, :2]) * half).sum(axis=1)
        limit = np.where(np.abs(height) < reach, limit / FINER_AT_THE_HORIZON, limit)
        seen = height + reach > 0
        long = 2.0 * half > limit[:, None]
        ready = np.flatnonzero(seen & ~long.any(axis=1))
        for start in range(0, ready.size, PAIRS_AT_A_TIME):
            part = ready[start : start + PAIRS_AT_A_TIME]
            light = _of_pieces(beam, place[part], up[part], middle[part], half[part]) * share[part]
            total += np.bincount(owner[part], weights=light, minlength=total.size)
        left = seen & long.any(axis=1)
        owner, middle, half, share, long = owner[left], middle[left], half[left], share[left], long[left]
        for side in (0, 1):
            split = long[:, side]
            half, share = half.copy(), np.where(split, share / 2.0, share)
            half[split, side] /= 2.0
            shift = np.zeros_like(middle)
            shift[split, side] = half[split, side]
            owner, half = np.concatenate([owner, owner[split]]), np.concatenate([half, half[split]])
            middle = np.concatenate([middle - shift, (middle + shift)[split]])
            share, long = np.concatenate([share, share[split]]), np.concatenate([long, long[split]])
    return total


def _of_pieces(beam: Beam, place: FloatArray, up: FloatArray, middle: FloatArray, half: FloatArray) -> FloatArray:
    """Return the mean over each piece of intensity times the sensor's cosine over the distance squared."""
    (node_u, weight_u), (node_v, weight_v) = (_rule(bool((half[:, side] == 0).all())) for side in (0, 1))
    grid_u, grid_v = (grid.ravel() for grid in np.meshgrid(node_u, node_v, indexing="ij"))
    across = place[:, :1] - middle[:, :1] - half[:, :1] * grid_u
    along = place[:, 1:2] - middle[:, 1:] - half[:, 1:] * grid_v
    ahead = np.broadcast_to(place[:, 2:], across.shape)
    square = across**2 + along**2 + ahead**2
    distance = np.sqrt(np.where(square > 0, square, np.inf))
    arriving = -(across * up[:, :1] + along * up[:, 1:2] + ahead * up[:, 2:]) / distance
    intensity = beam.towards(across / distance, along / distance, ahead / distance)
    light = intensity * np.maximum(arriving, 0.0) / distance**2
    return np.asarray(light @ np.outer(weight_u, weight_v).ravel())


@cache
def _rule(is_a_point: bool) -> tuple[FloatArray, FloatArray]:
    if is_a_point:
        return np.zeros(1), np.ones(1)
    node, weight = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    return node, weight / 2.0


def _power(base: FloatArray, exponent: float) -> FloatArray:
    """Return base^exponent; whole exponents by squaring, some ten times as fast."""
    if exponent != int(exponent) or exponent > 256:
        return np.asarray(base**exponent)
    left, square, result = int(exponent), base, np.ones_like(base)
    while left:
        if left & 1:
            result = result * square
        square, left = square * square, left >> 1
    return result
