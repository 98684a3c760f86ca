"""Steady temperatures through stated thermal resistances."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers, whole_numbers
from ledcalc.heat.air import KELVIN

__all__ = ["board_temperature", "driver_case_temperature", "junction_temperature"]


@broadcasting
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
    return answer(numbers("ambient_c", ambient_c, above=-KELVIN) + resistance * heat)


@broadcasting
def junction_temperature(
    board_temperature_c: ArrayLike,
    board_heat_w: ArrayLike,
    *,
    emitters_count: ArrayLike,
    junction_resistance_k_per_w: ArrayLike,
) -> Numbers:
    """Return the junction temperature of a board's LEDs, each with an equal share of its heat.

    Parameters
    ----------
    board_temperature_c : degC, where the LEDs are soldered
    board_heat_w : W, at least 0: electrical power of the board less the light that leaves it
    emitters_count : at least 1: LEDs on the board
    junction_resistance_k_per_w : K/W, at least 0: of one LED, junction to board

    Returns
    -------
    degC, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    LEDs alike, and a board at one temperature. Data sheets state either a resistance to heat ("real") or one to
    electrical power; with the latter, give the electrical power for the heat. A board's resistance between solder pads
    and sink belongs to the resistance of its interface.

    References
    ----------
    Thermal resistance by definition; JEDEC JESD51-51 tells the real from the electrical resistance, from memory.

    Examples
    --------
    >>> junction_temperature(60.0, 24.0, emitters_count=48, junction_resistance_k_per_w=5.0)
    62.5
    """
    heat = numbers("board_heat_w", board_heat_w, at_least=0)
    share = heat / whole_numbers("emitters_count", emitters_count, at_least=1)
    resistance = numbers("junction_resistance_k_per_w", junction_resistance_k_per_w, at_least=0)
    return answer(numbers("board_temperature_c", board_temperature_c, above=-KELVIN) + share * resistance)


@broadcasting
def driver_case_temperature(loss_w: ArrayLike, case_resistance_k_per_w: ArrayLike, *, ambient_c: ArrayLike) -> Numbers:
    """Return the steady temperature of a driver's case: T air + R x loss.

    Parameters
    ----------
    loss_w : W, at least 0: input less output power of the driver
    case_resistance_k_per_w : K/W, at least 0: the point of the case where the data sheet limits it, to air
    ambient_c : degC, air around the driver; within a housing, warmer than the room

    Returns
    -------
    degC, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Mounted as it was when the resistance was measured: upright or flat, on metal or on wood.

    References
    ----------
    Thermal resistance by definition; conservation of energy.

    Examples
    --------
    >>> driver_case_temperature(20.0, 1.5, ambient_c=35.0)
    65.0
    """
    resistance = numbers("case_resistance_k_per_w", case_resistance_k_per_w, at_least=0)
    return answer(numbers("ambient_c", ambient_c, above=-KELVIN) + resistance * numbers("loss_w", loss_w, at_least=0))
