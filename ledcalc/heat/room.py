"""How far a lamp warms the air of its room."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers
from ledcalc.errors import ArgumentError
from ledcalc.heat.air import air_at

__all__ = ["room_air_rise"]

SECONDS_PER_HOUR = 3600.0


@broadcasting
def room_air_rise(
    heat_w: ArrayLike,
    *,
    ventilation_m3_per_h: ArrayLike,
    envelope_w_per_k: ArrayLike = 0.0,
    air_temperature_c: ArrayLike = 20.0,
    altitude_m: ArrayLike = 0.0,
) -> Numbers:
    """Return how far a room's air stays above the air that comes in: heat / (rho c V + U A).

    Parameters
    ----------
    heat_w : W, at least 0: all that the lamp draws from the mains, as its light turns to heat in the room too
    ventilation_m3_per_h : m3/h, at least 0: air exchanged with outdoors or the next room
    envelope_w_per_k : W/K, at least 0: what walls, roof and panes pass per kelvin to air as cold as that coming in
    air_temperature_c : degC, -60 to 400, at which the air's flow is stated
    altitude_m : m over sea level, -500 to 5000

    Returns
    -------
    K, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or neither ventilation nor envelope: the air would warm on

    Validity
    --------
    Steady, room air well mixed, dry. Water that plants give off takes up heat, so that the rise is less among plants;
    sun, people and other machines come on top.

    References
    ----------
    Energy balance; ASHRAE Handbook, Fundamentals: 1.23 W per L/s and kelvin for moist air (1.21 dry), from memory;
    0.33 to 0.34 W per m3/h and kelvin, common practice.

    Examples
    --------
    >>> round(room_air_rise(600.0, ventilation_m3_per_h=300.0), 2)
    5.94
    """
    heat = numbers("heat_w", heat_w, at_least=0)
    flow = numbers("ventilation_m3_per_h", ventilation_m3_per_h, at_least=0) / SECONDS_PER_HOUR
    envelope = numbers("envelope_w_per_k", envelope_w_per_k, at_least=0)
    air = air_at(air_temperature_c, altitude_m=altitude_m)
    carried_w_per_k = flow * air.conductivity_w_per_m_k / air.diffusivity_m2_per_s + envelope
    if np.any(carried_w_per_k <= 0):
        raise ArgumentError("ventilation_m3_per_h", 0.0, "more than 0 where envelope_w_per_k is 0")
    return answer(heat / carried_w_per_k)
