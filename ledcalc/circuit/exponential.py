"""A course over time, dy/dt = f(y), in steps that are exact where f is linear: few are needed for heat in circuits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray

__all__ = ["Course", "Piece", "System", "followed"]

MOST_STEPS = 4000
# A step's error grows with the cube of its length; part of what would just do; most growth and shrinking a step.
SAFETY, GROWTH, SHRINKING = 0.9, 5.0, 0.2
FIRST_FRACTION, LEAST_FRACTION = 1e-3, 1e-12
# Below this z the closed forms of phi lose digits: their series is better there.
NEAR_ZERO, SERIES_TERMS = 0.5, 18

Complex = NDArray[np.complex128]
Tangent = tuple[FloatArray, FloatArray, Complex, Complex]


class System(Protocol):
    """What is followed."""

    def rates(self, states: FloatArray) -> FloatArray:
        """Return dy/dt of states, a column each; NaN where there is none."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One step of a course, ``length`` long from ``start`` and ``state``: ``slope`` is the rate there, ``matrix`` its
    derivatives with their ``modes`` and ``growths``, ``bend`` what the rate at the end has beyond these."""

    start: float
    length: float
    state: FloatArray
    slope: FloatArray
    bend: FloatArray
    matrix: FloatArray
    modes: Complex
    growths: Complex

    def at(self, moments: FloatArray) -> FloatArray:
        """Return the states at moments within the step, a column each."""
        after = moments - self.start
        slope, bend = np.linalg.solve(self.modes, np.column_stack([self.slope, self.bend])).T
        z = self.growths[:, None] * after
        first, third = _phi(z)
        moved = first * after * slope[:, None] + 2.0 * third * after**3 / self.length**2 * bend[:, None]
        return np.asarray(self.state[:, None] + (self.modes @ moved).real)

    def rates_at(self, moments: FloatArray) -> FloatArray:
        """Return the rates of change at moments within the step, a column each."""
        part = (moments - self.start) / self.length
        moved = self.at(moments) - self.state[:, None]
        return np.asarray(self.slope[:, None] + self.matrix @ moved + self.bend[:, None] * part**2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Steps one after another; ``is_whole``: whether they reach the end, or what ends them."""

    pieces: tuple[Piece, ...]
    is_whole: bool

    def at(self, moments: FloatArray) -> FloatArray:
        """Return the states at moments, a column each; NaN beyond the last step."""
        starts = np.array([piece.start for piece in self.pieces])
        which = np.searchsorted(starts, moments, side="right") - 1
        last = self.pieces[-1].start + self.pieces[-1].length
        states = np.full((self.pieces[0].state.size, moments.size), np.nan)
        for number in np.unique(which):
            inside = (which == number) & (moments <= last * (1.0 + 1e-12))
            states[:, inside] = self.pieces[number].at(moments[inside])
        return states


def followed(
    system: System,
    state: FloatArray,
    end: float,
    *,
    tolerance: float,
    nudge: float,
    until: Callable[[Piece], bool] | None = None,
) -> Course | None:
    """Return the course from a state at 0 to an end, or to the step that ``until`` is true of; None where none starts.

    Each step solves the system linearised at its start exactly, and adds what the rate at its end deviates from that,
    taken to grow with the square of time. ``tolerance``: what that addition may move any state by in a step.
    ``nudge``: by how much each state is moved for the derivatives.

    References
    ----------
    Hochbruck, Ostermann & Schweitzer 2009, SIAM J. Numer. Anal. 47(1):786-803 (exponential Rosenbrock methods; this is
    their third-order scheme with two stages and the second-order one embedded).
    """
    now, length, pieces = 0.0, FIRST_FRACTION * end, list[Piece]()
    tangent: Tangent | None = _tangent(system, state, nudge)
    for _ in range(MOST_STEPS):
        if tangent is None or length < LEAST_FRACTION * end:
            break
        piece, error = _tried(system, now, min(length, end - now), state, tangent)
        factor = SAFETY * (tolerance / max(error, 1e-300)) ** (1.0 / 3.0)
        ahead = piece.at(np.array([now + piece.length]))[:, 0] if error <= tolerance else None
        following = None if ahead is None else _tangent(system, ahead, nudge)
        if ahead is not None and following is not None:
            pieces.append(piece)
            now, state, tangent = now + piece.length, ahead, following
            if now >= end * (1.0 - 1e-14) or (until is not None and until(piece)):
                return Course(pieces=tuple(pieces), is_whole=True)
        else:
            factor = min(factor, 0.5)
        length = piece.length * min(max(factor, SHRINKING), GROWTH)
    return Course(pieces=tuple(pieces), is_whole=False) if pieces else None


def _tangent(system: System, state: FloatArray, nudge: float) -> Tangent | None:
    """Return the rate at a state, its derivatives, and their modes and growth rates; None where there is no rate."""
    states = np.column_stack([state, state[:, None] + nudge * np.eye(state.size)])
    rates = system.rates(states)
    if not np.isfinite(rates).all():
        return None
    matrix = (rates[:, 1:] - rates[:, :1]) / nudge
    growths, modes = np.linalg.eig(matrix)
    return rates[:, 0], matrix, modes.astype(complex), growths.astype(complex)


def _tried(system: System, now: float, length: float, state: FloatArray, tangent: Tangent) -> tuple[Piece, float]:
    """Return a step and by how much what bends it moves any state."""
    slope, matrix, modes, growths = tangent
    end = np.array([now + length])
    straight = Piece(
        start=now,
        length=length,
        state=state,
        slope=slope,
        bend=np.zeros(state.shape),
        matrix=matrix,
        modes=modes,
        growths=growths,
    )
    reached = straight.at(end)
    if not np.isfinite(reached).all():
        return straight, np.inf
    bend = system.rates(reached)[:, 0] - straight.rates_at(end)[:, 0]
    piece = replace(straight, bend=bend)
    return piece, float(np.abs(piece.at(end) - reached).max()) if np.isfinite(bend).all() else np.inf


def _phi(z: Complex) -> tuple[Complex, Complex]:
    """Return phi_1 = (e^z - 1) / z and phi_3 = (e^z - 1 - z - z^2/2) / z^3."""
    is_near = np.abs(z) < NEAR_ZERO
    near, far = np.where(is_near, z, 0.0), np.where(is_near, 1.0, z)
    series_first, series_third = np.zeros_like(z), np.zeros_like(z)
    for k in range(SERIES_TERMS, 0, -1):
        # Horner on sum z^(k-1)/k! and, twice, sum z^(k-1)/(k+2)!.
        series_first = (1.0 + near * series_first) / k
        series_third = (1.0 + near * series_third) / (k + 2.0)
    with np.errstate(over="ignore", invalid="ignore"):
        grown = np.exp(far) - 1.0
    first = np.where(is_near, series_first, grown / far)
    third = np.where(is_near, series_third / 2.0, (grown - far - far * far / 2.0) / far**3)
    return first, third
