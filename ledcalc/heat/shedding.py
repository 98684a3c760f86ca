"""What a sink gives off to air, still or blown, and to surroundings as warm as it; the resistance that makes."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError
from ledcalc.heat.air import HOTTEST_C, air_at
from ledcalc.heat.convection import radiated_power
from ledcalc.heat.films import convection_w_per_k, radiating_m2
from ledcalc.heat.forced import FASTEST_AIR_M_PER_S
from ledcalc.heat.sinks import Sink

__all__ = ["SinkState", "sink_power", "sink_resistance", "sink_state"]

HALVINGS = 60
LEAST_RISE_K = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SinkState:
    """A sink at work: its temperature, what leaves by convection and by radiation, and the resistance that makes."""

    temperature_c: float
    convection_w: float
    radiation_w: float
    thermal_resistance_k_per_w: float


def sink_state(
    sink: Sink, heat_w: float, *, ambient_c: float = 25.0, altitude_m: float = 0.0, air_speed_m_per_s: float = 0.0
) -> SinkState:
    """Return the temperature at which a sink gives off a heat, and the thermal resistance that makes.

    Parameters
    ----------
    sink : its dimensions and how it hangs
    heat_w : W, above 0
    ambient_c : degC: the air that comes to the sink, and surroundings as warm as it
    altitude_m : m over sea level
    air_speed_m_per_s : m/s, 0 to 100, along the sink's length and between its fins; 0 is still air

    Returns
    -------
    SinkState

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or more heat than the sink sheds below 400 degC film
        temperature

    Validity
    --------
    As for ``sink_power``; the resistance falls as the sink warms.

    References
    ----------
    As for ``sink_power``.

    Examples
    --------
    >>> from ledcalc.heat import BarePlate
    >>> plate = BarePlate(width_m=0.6, length_m=0.6, emissivity_fraction=0.0, orientation="face down")
    >>> round(sink_state(plate, 64.2, ambient_c=30.0).temperature_c)
    89
    >>> round(sink_state(plate, 64.2, ambient_c=30.0, air_speed_m_per_s=3.0).temperature_c)
    50
    """
    heat = float(numbers("heat_w", heat_w, above=0))

    def shed(surface_c: float) -> tuple[float, float]:
        return sink_power(
            sink, surface_c, ambient_c=ambient_c, altitude_m=altitude_m, air_speed_m_per_s=air_speed_m_per_s
        )

    low, high = ambient_c, 2.0 * HOTTEST_C - ambient_c - 1.0
    if sum(shed(high)) < heat:
        raise ArgumentError("heat_w", heat_w, "less heat: this sink would glow")
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if sum(shed(middle)) < heat else (low, middle)
    convection, radiation = shed(high)
    return SinkState(
        temperature_c=high,
        convection_w=convection,
        radiation_w=radiation,
        thermal_resistance_k_per_w=(high - ambient_c) / heat,
    )


def sink_resistance(
    sink: Sink, surface_c: float, *, ambient_c: float = 25.0, altitude_m: float = 0.0, air_speed_m_per_s: float = 0.0
) -> float:
    """Return the thermal resistance of a sink held at a temperature, in K/W; it falls as the sink warms.

    Between 1 K above the air and a film temperature of 400 degC; nearer and hotter, the resistance of that end.

    Parameters
    ----------
    sink : its dimensions and how it hangs
    surface_c : degC
    ambient_c, altitude_m, air_speed_m_per_s : as for ``sink_state``

    Returns
    -------
    K/W

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    As for ``sink_power``.

    Examples
    --------
    >>> from ledcalc.heat import BarePlate
    >>> plate = BarePlate(width_m=0.3, length_m=0.2, emissivity_fraction=0.8, orientation="face up")
    >>> round(sink_resistance(plate, 60.0, ambient_c=20.0), 2)
    1.32
    >>> round(sink_resistance(plate, 60.0, ambient_c=20.0, air_speed_m_per_s=2.0), 2)
    0.93
    """
    held = min(max(surface_c, ambient_c + LEAST_RISE_K), 2.0 * HOTTEST_C - ambient_c - LEAST_RISE_K)
    shed = sink_power(sink, held, ambient_c=ambient_c, altitude_m=altitude_m, air_speed_m_per_s=air_speed_m_per_s)
    return (held - ambient_c) / sum(shed)


def sink_power(
    sink: Sink, surface_c: float, *, ambient_c: float = 25.0, altitude_m: float = 0.0, air_speed_m_per_s: float = 0.0
) -> tuple[float, float]:
    """Return what a sink at a temperature gives off by convection and by radiation, in W.

    Parameters
    ----------
    sink : its dimensions and how it hangs
    surface_c : degC
    ambient_c, altitude_m, air_speed_m_per_s : as for ``sink_state``

    Returns
    -------
    convection and radiation, W

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The whole sink at one temperature; nothing below or around hinders the air. Good for about 15 % in still air and
    perhaps 25 % in a stream; measure one sink before relying on it. The speed is that between the fins, which is well
    below the free speed of a fan where air can pass beside the sink. On each surface the larger of draught and stream
    counts, so that a slow stream never cools less than still air; in truth the two help or hinder each other while
    they are alike.

    References
    ----------
    As the correlations name them (``ledcalc.heat.convection``, ``ledcalc.heat.forced``); properties at the film
    temperature, the mean of surface and air.

    Examples
    --------
    >>> from ledcalc.heat import BarePlate
    >>> plate = BarePlate(width_m=1.5, length_m=6.0, emissivity_fraction=0.0, orientation="face down")
    >>> round(sink_power(plate, 140.0, ambient_c=20.0, altitude_m=1610.0, air_speed_m_per_s=8.0)[0], -2)
    14600.0
    """
    speed = float(numbers("air_speed_m_per_s", air_speed_m_per_s, at_least=0, at_most=FASTEST_AIR_M_PER_S))
    air = air_at((surface_c + ambient_c) / 2.0, altitude_m=altitude_m)
    difference = surface_c - ambient_c
    convection = convection_w_per_k(sink, difference, air, speed) * difference
    return convection, float(radiated_power(radiating_m2(sink), surface_c, ambient_c, sink.emissivity_fraction))
