"""Forced convection: Nusselt numbers of a plate along a stream, and of channels between fins that air runs through."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, numbers
from ledcalc.heat.air import Air

__all__ = ["FASTEST_AIR_M_PER_S", "nusselt_developing_channel", "nusselt_flat_plate", "reynolds"]

FASTEST_AIR_M_PER_S = 100.0
TURBULENT_FROM = 5e5
LAMINAR_FACTOR, TURBULENT_FACTOR = 0.664, 0.037
# So that both laws meet at the transition; textbooks print 871.
TURBULENT_OFFSET = TURBULENT_FACTOR * TURBULENT_FROM**0.8 - LAMINAR_FACTOR * TURBULENT_FROM**0.5


@broadcasting
def reynolds(speed_m_per_s: ArrayLike, length_m: ArrayLike, air: Air) -> FloatArray:
    """Return the Reynolds number U L / nu of a stream of air along a length.

    Parameters
    ----------
    speed_m_per_s : m/s, 0 to 100, where air may still be taken as of one density
    length_m : m, above 0
    air : properties at the film temperature

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Reynolds number by definition.

    Examples
    --------
    >>> from ledcalc.heat import air_at
    >>> round(float(reynolds(2.0, 0.1, air_at(26.85))), -2)
    12700.0
    """
    speed = numbers("speed_m_per_s", speed_m_per_s, at_least=0, at_most=FASTEST_AIR_M_PER_S)
    return np.asarray(speed * numbers("length_m", length_m, above=0) / air.viscosity_m2_per_s)


@broadcasting
def nusselt_flat_plate(reynolds_number: ArrayLike, prandtl: ArrayLike) -> Numbers:
    """Return the mean Nusselt number, over its length, of an isothermal plate along a stream.

    Parameters
    ----------
    reynolds_number : 0 to 1e8, over the plate's length
    prandtl : at least 0.6

    Returns
    -------
    Nusselt number, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    A smooth plate in a smooth stream. Laminar up to 5e5, turbulent behind that point of the plate; a fan's stream or a
    blunt front edge turns turbulent sooner and cools better. Prandtl number up to 60 in the turbulent part.

    References
    ----------
    Incropera, Fundamentals of Heat and Mass Transfer, 7th ed., eq. 7.30 (laminar: 0.664 Re^(1/2) Pr^(1/3)) and 7.38
    (mixed: (0.037 Re^(4/5) - 871) Pr^(1/3)); Cengel and Ghajar, chapter 7; numbers of the equations from memory.

    Examples
    --------
    >>> round(nusselt_flat_plate(9597.0, 0.687), 1)
    57.4
    """
    re = numbers("reynolds_number", reynolds_number, at_least=0, at_most=1e8)
    pr = numbers("prandtl", prandtl, at_least=0.6)
    laminar = LAMINAR_FACTOR * np.sqrt(re)
    mixed = TURBULENT_FACTOR * re**0.8 - TURBULENT_OFFSET
    return answer(np.where(re <= TURBULENT_FROM, laminar, mixed) * pr ** (1 / 3))


@broadcasting
def nusselt_developing_channel(channel_reynolds: ArrayLike, prandtl: ArrayLike) -> Numbers:
    """Return the Nusselt number, over the spacing, of air blown between two parallel isothermal plates or fins.

    It goes with the temperature difference to the air that enters, so that no outlet temperature is needed.

    Parameters
    ----------
    channel_reynolds : at least 0: (U b / nu) b / L, with the spacing b and the length L along the stream
    prandtl : above 0

    Returns
    -------
    Nusselt number h b / k, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Laminar flow between the plates: U b / nu below about 1000; carried on above, where turbulence cools better.
    For air within 7 % of Stephan's law for entering flow between plates (Shah & London 1978).

    References
    ----------
    Teertstra, Yovanovich & Culham 2000, J. Electronics Manufacturing 10(4):253-261, from memory: the air's heat
    capacity, Re* Pr/2, and the plate along a stream with 3.65 for the core that is sped up, joined by the power -3.

    Examples
    --------
    >>> round(nusselt_developing_channel(10.0, 0.71), 2)
    2.42
    """
    # Without a stream nothing is carried away; the floor only avoids a division by zero.
    re = np.maximum(numbers("channel_reynolds", channel_reynolds, at_least=0), 1e-12)
    pr = numbers("prandtl", prandtl, above=0)
    capacity = re * pr / 2.0
    entering = LAMINAR_FACTOR * np.sqrt(re) * pr ** (1 / 3) * np.sqrt(1.0 + 3.65 / np.sqrt(re))
    return answer((capacity**-3 + entering**-3) ** (-1 / 3))
