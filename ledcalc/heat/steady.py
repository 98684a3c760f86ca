"""Steady temperatures through stated thermal resistances."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, numbers

__all__ = ["board_temperature"]


def board_temperature(
    power_w: ArrayLike,
    thermal_resistance_k_per_w: ArrayLike,
    *,
    ambient_c: ArrayLike = 25.0,
    radiant_fraction: ArrayLike = 0.0,
) -> Numbers:
    """Return the steady temperature of a board on its heat sink: T = T air + R P (1 - radiant share).

    Parameters
    ----------
    power_w : W, at least 0: electrical power of the board
    thermal_resistance_k_per_w : K/W, at least 0: board to air, interface included
    ambient_c : degC, air around the sink
    radiant_fraction : at least 0, below 1: share of the power that leaves as light

    Returns
    -------
    degC, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Thermal resistance by definition; conservation of energy.

    Examples
    --------
    >>> board_temperature(12.0, 4.0, ambient_c=20.0, radiant_fraction=0.5)
    44.0
    """
    heat = numbers("power_w", power_w, at_least=0) * (
        1.0 - numbers("radiant_fraction", radiant_fraction, at_least=0, below=1)
    )
    resistance = numbers("thermal_resistance_k_per_w", thermal_resistance_k_per_w, at_least=0)
    return answer(numbers("ambient_c", ambient_c, above=-273.15) + resistance * heat)
