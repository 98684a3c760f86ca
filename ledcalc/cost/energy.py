"""Energy and its price at a flat tariff."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers

__all__ = ["energy_cost", "energy_kwh"]

WATTS_PER_KW = 1000.0


@broadcasting
def energy_kwh(power_w: ArrayLike, duration_h: ArrayLike) -> Numbers:
    """Return the energy that a steady power takes in a time.

    Parameters
    ----------
    power_w : W, at least 0
    duration_h : h, at least 0

    Returns
    -------
    kWh, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> energy_kwh(100.0, 24.0)
    2.4
    """
    return answer(
        numbers("power_w", power_w, at_least=0) * numbers("duration_h", duration_h, at_least=0) / WATTS_PER_KW
    )


@broadcasting
def energy_cost(energy_kwh: ArrayLike, price_per_kwh: ArrayLike) -> Numbers:
    """Return what energy costs, in the currency of the price.

    Parameters
    ----------
    energy_kwh : kWh, at least 0
    price_per_kwh : money a kWh, at least 0

    Returns
    -------
    money, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> energy_cost(100.0, 0.25)
    25.0
    """
    return answer(numbers("energy_kwh", energy_kwh, at_least=0) * numbers("price_per_kwh", price_per_kwh, at_least=0))
