"""Photon flux of a board against its current and temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError

__all__ = ["BoardFlux"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardFlux:
    """A board's photon flux through its points and the origin, monotone; beyond the last point along the end slope.

    Build it with ``from_points``. ``knots_a`` are the currents including 0, ``coefficients`` the cubic pieces between
    them (highest power first, a column a piece).

    References
    ----------
    Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17(2):238-246 (monotone cubic interpolation), as SciPy has it.
    """

    knots_a: FloatArray
    coefficients: FloatArray
    end_slope_umol_s_per_a: float
    end_flux_umol_s: float
    reference_temperature_c: float
    flux_coefficient_fraction_per_k: float

    @classmethod
    def from_points(
        cls,
        current_a: ArrayLike,
        photon_flux_umol_s: ArrayLike,
        *,
        reference_temperature_c: float = 25.0,
        flux_coefficient_fraction_per_k: float = 0.0,
    ) -> BoardFlux:
        """Build the flux curve from measured or datasheet points.

        Parameters
        ----------
        current_a : A, one-dimensional, above 0, each once, any order
        photon_flux_umol_s : umol/s, same shape, rising with the current
        reference_temperature_c : degC, board temperature of the points
        flux_coefficient_fraction_per_k : 1/K, relative change a kelvin, at most 0

        Raises
        ------
        ArgumentError (a ValueError): shapes that differ, repeated currents, or a flux that does not rise

        Examples
        --------
        >>> curve = BoardFlux.from_points([0.5, 1.0], [30.0, 55.0])
        >>> curve.flux(0.5)
        30.0
        """
        from scipy.interpolate import PchipInterpolator

        current = np.atleast_1d(numbers("current_a", current_a, above=0))
        flux = np.atleast_1d(numbers("photon_flux_umol_s", photon_flux_umol_s, above=0))
        if current.shape != flux.shape or current.ndim != 1:
            raise ArgumentError("photon_flux_umol_s", flux.shape, f"one value a current, shape {current.shape}")
        order = np.argsort(current)
        knots, values = np.append(0.0, current[order]), np.append(0.0, flux[order])
        if (np.diff(knots) <= 0).any() or (np.diff(values) <= 0).any():
            raise ArgumentError(
                "photon_flux_umol_s", flux.tolist(), "a flux that rises with the current, each current once"
            )
        pieces = PchipInterpolator(knots, values)
        return cls(
            knots_a=knots,
            coefficients=np.asarray(pieces.c, dtype=float),
            end_slope_umol_s_per_a=float(pieces.derivative()(knots[-1])),
            end_flux_umol_s=float(values[-1]),
            reference_temperature_c=float(reference_temperature_c),
            flux_coefficient_fraction_per_k=float(
                numbers("flux_coefficient_fraction_per_k", flux_coefficient_fraction_per_k, at_most=0)
            ),
        )

    def flux(self, current_a: ArrayLike, temperature_c: ArrayLike | None = None) -> Numbers:
        """Return the photon flux in umol/s.

        Parameters
        ----------
        current_a : A, any shape, at least 0
        temperature_c : degC, broadcast with it; None: the reference temperature

        Validity
        --------
        Linear in temperature about the reference (common practice); never below 0.
        """
        current = numbers("current_a", current_a, at_least=0)
        temperature = numbers("temperature_c", self.reference_temperature_c if temperature_c is None else temperature_c)
        inside = np.minimum(current, self.knots_a[-1])
        piece = np.clip(np.searchsorted(self.knots_a, inside, side="right") - 1, 0, self.knots_a.size - 2)
        step = inside - self.knots_a[piece]
        c = self.coefficients[:, piece]
        base = ((c[0] * step + c[1]) * step + c[2]) * step + c[3]
        base = base + self.end_slope_umol_s_per_a * (current - inside)
        heated = 1.0 + self.flux_coefficient_fraction_per_k * (temperature - self.reference_temperature_c)
        return answer(base * np.maximum(heated, 0.0))
