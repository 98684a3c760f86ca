"""A measured distribution of light by direction, unfolded by its symmetry and interpolated without overshoot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["BeamTable", "unfolded"]

# Exact to 1e-12 for a cubic times a sine over any one step of a table.
NODES, WEIGHTS = np.polynomial.legendre.leggauss(12)
TURN = 2.0 * np.pi
VANISHING = 1e-12
LARGEST_STEP_AT_360_FRACTION = 0.1
# Between half-planes the monotone slopes bend sharply, so the sum over angles takes steps no wider than this.
WIDEST_STEP_RAD = np.deg2rad(2.5)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeamTable:
    """Intensity a steradian over the angle from the axis and the azimuth, its flux over the sphere 1.

    Build it with ``from_angles``. Dark outside the angles of the table. Monotone cubic pieces along the angle from
    the axis, carried smoothly through the axis itself, then monotone cubic between the half-planes.

    ``theta_deg``, ``phi_deg``: the angles as given. ``planes_rad``: the half-planes of the whole circle. ``pieces``:
    cubic coefficients, highest power first, shape (planes, steps, 4). ``flux``: what the values given add up to over
    the sphere, in their own unit times a steradian.

    References
    ----------
    Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17(2):238-246 (monotone cubic interpolation), as SciPy has it.
    """

    theta_deg: FloatArray
    phi_deg: FloatArray
    planes_rad: FloatArray
    pieces: FloatArray
    flux: float

    @classmethod
    def from_angles(cls, theta_deg: ArrayLike, phi_deg: ArrayLike, intensity: ArrayLike) -> BeamTable:
        """Build the table; arguments and errors as ``Beam.tabulated``."""
        theta = np.atleast_1d(numbers("theta_deg", theta_deg, at_least=0, at_most=180))
        phi = np.atleast_1d(numbers("phi_deg", phi_deg, at_least=0, at_most=360))
        values = numbers("intensity", intensity, at_least=0)
        if theta.ndim != 1 or theta.size < 2 or (np.diff(theta) <= 0).any():
            raise ArgumentError("theta_deg", theta.tolist(), "two or more angles, each above the one before")
        if values.ndim == 1 and phi.size == 1:
            values = values[None, :]
        if values.shape != (phi.size, theta.size):
            raise ArgumentError(
                "intensity", values.shape, f"a row an azimuth, a column an angle: {phi.size, theta.size}"
            )
        planes_deg, whole = unfolded(phi, values)
        planes, peak = np.deg2rad(planes_deg), float(whole.max(initial=0.0))
        if peak <= 0:
            raise ArgumentError("intensity", 0.0, "some light: at least one value above 0")
        # What vanishes beside the peak would only overflow in quotients of slopes.
        shape = np.where(whole / peak < VANISHING, 0.0, whole / peak)
        pieces = _pieces(np.deg2rad(theta), planes, shape)
        raw = cls(theta_deg=theta, phi_deg=phi, planes_rad=planes, pieces=pieces, flux=1.0)
        flux = raw.between(0.0, np.pi)
        return cls(theta_deg=theta, phi_deg=phi, planes_rad=planes, pieces=pieces / flux, flux=flux * peak)

    @property
    def is_round(self) -> bool:
        """Whether the azimuth makes no difference."""
        return self.planes_rad.size == 1

    def intensity(self, theta_rad: FloatArray, phi_rad: FloatArray) -> FloatArray:
        """Return the intensity a steradian, for arrays of one shape."""
        piece, step, lit = self._place(theta_rad)
        if self.is_round:
            return np.where(lit, _cubic(self.pieces[0, piece], step), 0.0)
        knots, rows = self._circle()
        azimuth = np.mod(phi_rad, TURN)
        at = np.clip(np.searchsorted(knots, azimuth, side="right") - 1, 1, knots.size - 3)
        lines = [_cubic(self.pieces[rows[at + shift], piece], step) for shift in (-1, 0, 1, 2)]
        steps = [knots[at + shift + 1] - knots[at + shift] for shift in (-1, 0, 1)]
        return np.where(lit, _between_planes(lines, steps, (azimuth - knots[at]) / steps[1]), 0.0)

    def ring(self, theta_rad: FloatArray) -> FloatArray:
        """Return the intensity integrated over the azimuth, exact for the interpolation in use."""
        piece, step, lit = self._place(theta_rad)
        planes = self.planes_rad
        lines = np.stack([_cubic(self.pieces[row, piece], step) for row in range(planes.size)])
        if self.is_round:
            return np.where(lit, TURN * lines[0], 0.0)
        wide = np.append(np.diff(planes), planes[0] + TURN - planes[-1]).reshape(-1, *[1] * (lines.ndim - 1))
        rise = (np.roll(lines, -1, axis=0) - lines) / wide
        slope = _slope(np.roll(rise, 1, axis=0), rise, np.roll(wide, 1, axis=0), wide)
        halves = wide * (lines + np.roll(lines, -1, axis=0)) / 2.0
        bent = wide**2 * (slope - np.roll(slope, -1, axis=0)) / 12.0
        return np.where(lit, (halves + bent).sum(axis=0), 0.0)

    def between(self, from_rad: float, to_rad: float) -> float:
        """Return the flux between two angles from the axis."""
        knots = np.deg2rad(self.theta_deg)
        if not self.is_round:
            knots = np.union1d(knots, np.arange(0.0, np.pi, WIDEST_STEP_RAD))
        inside = knots[(knots > from_rad) & (knots < to_rad)]
        edges = np.concatenate([[from_rad], inside, [to_rad]])
        half = np.diff(edges)[:, None] / 2.0
        angle = edges[:-1, None] + half * (NODES + 1.0)
        return float((self.ring(angle) * np.sin(angle) * WEIGHTS * half).sum())

    def _place(self, theta_rad: FloatArray) -> tuple[NDArray[np.intp], FloatArray, NDArray[np.bool_]]:
        knots = np.deg2rad(self.theta_deg)
        inside = np.clip(theta_rad, knots[0], knots[-1])
        piece = np.clip(np.searchsorted(knots, inside, side="right") - 1, 0, knots.size - 2)
        # A hair of rounding at the rim (90 deg worked out as 90.00000000000001) stays inside.
        return piece, inside - knots[piece], np.abs(inside - theta_rad) < 1e-12

    def _circle(self) -> tuple[FloatArray, NDArray[np.intp]]:
        """Return the half-planes with two more on either side, and the row of each."""
        planes = self.planes_rad
        rows = np.arange(-2, planes.size + 2, dtype=np.intp) % planes.size
        return np.concatenate([planes[-2:] - TURN, planes, planes[:2] + TURN]), rows


def unfolded(phi_deg: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return azimuths of the whole circle (0 up to, not including, 360 deg) and their rows.

    The range of the azimuths says the symmetry: 0 alone, round; 0 to 90, four quadrants alike; 0 to 180, alike on both
    sides of the plane 0-180; 90 to 270, alike on both sides of the plane 90-270; 0 to 360, none (the row of 360
    stands for that of 0 and is left out).
    """
    ends = (float(phi_deg[0]), float(phi_deg[-1]))
    if phi_deg.ndim != 1 or (np.diff(phi_deg) <= 0).any():
        raise ArgumentError("phi_deg", phi_deg.tolist(), "azimuths that rise")
    if ends == (0.0, 0.0):
        return phi_deg, values
    if ends == (0.0, 360.0):
        step = float(np.abs(values[0] - values[-1]).max())
        if step > LARGEST_STEP_AT_360_FRACTION * values.max():
            apart = f"apart by {step / values.max():.0%} of the peak"
            raise ArgumentError("intensity", apart, "about the same values at 360 deg as at 0 deg")
        return phi_deg[:-1], values[:-1]
    if ends == (90.0, 270.0):
        mirrored = np.mod(540.0 - phi_deg[1:-1], 360.0)
    elif ends == (0.0, 180.0):
        mirrored = 360.0 - phi_deg[1:-1]
    elif ends == (0.0, 90.0):
        half = np.concatenate([phi_deg, 180.0 - phi_deg[-2::-1]])
        return unfolded(half, np.concatenate([values, values[-2::-1]]))
    else:
        raise ArgumentError("phi_deg", list(ends), "azimuths 0 alone, 0 to 90, 0 to 180, 90 to 270 or 0 to 360")
    circle = np.concatenate([phi_deg, mirrored])
    order = np.argsort(circle)
    return circle[order], np.concatenate([values, values[1:-1]])[order]


def _pieces(theta: FloatArray, planes: FloatArray, values: FloatArray) -> FloatArray:
    """Return the cubics along each half-plane; at the axis each looks across into the half-plane opposite."""
    from scipy.interpolate import PchipInterpolator

    knots, table = theta, values
    at_front, at_back = theta[0] == 0.0, theta[-1] == np.pi
    if at_front:
        knots, table = np.append(-theta[1], knots), np.column_stack([_opposite(planes, values[:, 1]), table])
    if at_back:
        ghost = _opposite(planes, values[:, -2])
        knots, table = np.append(knots, TURN - theta[-2]), np.column_stack([table, ghost])
    cubic = np.asarray(PchipInterpolator(knots, table, axis=1).c, dtype=float)
    kept = cubic[:, (1 if at_front else 0) : (cubic.shape[1] - 1 if at_back else None)]
    # SciPy gives (power, step, plane).
    return np.ascontiguousarray(np.transpose(kept, (2, 1, 0)))


def _opposite(planes: FloatArray, values: FloatArray) -> FloatArray:
    return np.asarray(np.interp(np.mod(planes + np.pi, TURN), planes, values, period=TURN))


def _cubic(pieces: FloatArray, step: FloatArray) -> FloatArray:
    return np.asarray(
        ((pieces[..., 0] * step + pieces[..., 1]) * step + pieces[..., 2]) * step + pieces[..., 3], dtype=float
    )


def _slope(before: FloatArray, after: FloatArray, step_before: FloatArray, step_after: FloatArray) -> FloatArray:
    """Return the monotone slope at a knot from the rises on either side (weighted harmonic mean)."""
    first, second = 2.0 * step_after + step_before, step_after + 2.0 * step_before
    below = first * after + second * before
    same_way = before * after > 0
    return np.where(same_way, (first + second) * before * after / np.where(same_way, below, 1.0), 0.0)


def _between_planes(lines: list[FloatArray], steps: list[FloatArray], share: FloatArray) -> FloatArray:
    rises = [(lines[k + 1] - lines[k]) / steps[k] for k in range(3)]
    start = _slope(rises[0], rises[1], steps[0], steps[1]) * steps[1]
    end = _slope(rises[1], rises[2], steps[1], steps[2]) * steps[1]
    gone, left = share, 1.0 - share
    curve = lines[1] * (1.0 + 2.0 * gone) * left**2 + lines[2] * (1.0 + 2.0 * left) * gone**2
    return np.maximum(curve + start * gone * left**2 - end * left * gone**2, 0.0)
