"""Heat sinks worked out from their dimensions: natural convection and radiation to still air and surroundings alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from ledcalc.arguments import choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.heat.air import HOTTEST_C, Air, air_at
from ledcalc.heat.convection import (
    fin_efficiency,
    nusselt_fins_up,
    nusselt_hot_side_down,
    nusselt_hot_side_up,
    nusselt_parallel_plates,
    nusselt_vertical_plate,
    nusselt_vertical_plate_laminar,
    radiated_power,
    rayleigh,
)

__all__ = [
    "FIN_ORIENTATIONS",
    "PLATE_ORIENTATIONS",
    "BarePlate",
    "PlateFinSink",
    "SinkState",
    "sink_power",
    "sink_state",
]

PLATE_ORIENTATIONS = ("vertical", "face up", "face down")
FIN_ORIENTATIONS = ("vertical", "fins up")
HALVINGS = 60
LAMINAR_BELOW = 1e9
LEAST_RISE_K = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BarePlate:
    """A plate that gives off heat on one face.

    Parameters
    ----------
    width_m, length_m : m, above 0; a vertical plate stands along its length
    emissivity_fraction : 0 to 1
    orientation : ``"vertical"``, ``"face up"`` or ``"face down"``: where the face that gives off heat looks
    """

    width_m: float
    length_m: float
    emissivity_fraction: float
    orientation: str

    def __post_init__(self) -> None:
        for name in ("width_m", "length_m"):
            numbers(name, getattr(self, name), above=0)
        numbers("emissivity_fraction", self.emissivity_fraction, at_least=0, at_most=1)
        choice("orientation", self.orientation, PLATE_ORIENTATIONS)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateFinSink:
    """A base with straight fins on one face, the board on the other.

    Parameters
    ----------
    width_m : m, above 0: across the fins
    length_m : m, above 0: along the fins; vertical channels stand along it
    base_thickness_m : m, above 0
    fin_count : at least 2
    fin_height_m, fin_thickness_m : m, above 0
    conductivity_w_per_m_k : W/(m K), above 0
    emissivity_fraction : 0 to 1
    orientation : ``"vertical"`` channels, or ``"fins up"`` from a level base

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or fins that leave no gap
    """

    width_m: float
    length_m: float
    base_thickness_m: float
    fin_count: int
    fin_height_m: float
    fin_thickness_m: float
    conductivity_w_per_m_k: float
    emissivity_fraction: float
    orientation: str

    def __post_init__(self) -> None:
        for name in (
            "width_m",
            "length_m",
            "base_thickness_m",
            "fin_height_m",
            "fin_thickness_m",
            "conductivity_w_per_m_k",
        ):
            numbers(name, getattr(self, name), above=0)
        whole_numbers("fin_count", self.fin_count, at_least=2)
        numbers("emissivity_fraction", self.emissivity_fraction, at_least=0, at_most=1)
        choice("orientation", self.orientation, FIN_ORIENTATIONS)
        if self.spacing_m <= 0:
            raise ArgumentError("fin_count", self.fin_count, f"fins that leave a gap within {self.width_m:g} m")

    @property
    def spacing_m(self) -> float:
        """Clear gap between two fins."""
        return (self.width_m - self.fin_count * self.fin_thickness_m) / (self.fin_count - 1)


Sink: TypeAlias = BarePlate | PlateFinSink


@dataclass(frozen=True, slots=True, kw_only=True)
class SinkState:
    """A sink at work: its temperature, what leaves by convection and by radiation, and the resistance that makes."""

    temperature_c: float
    convection_w: float
    radiation_w: float
    thermal_resistance_k_per_w: float


def sink_state(sink: Sink, heat_w: float, *, ambient_c: float = 25.0, altitude_m: float = 0.0) -> SinkState:
    """Return the temperature at which a sink gives off a heat, and the thermal resistance that makes.

    Parameters
    ----------
    sink : its dimensions and how it hangs
    heat_w : W, above 0
    ambient_c : degC: still air, and surroundings as warm as it
    altitude_m : m over sea level

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or more heat than the sink sheds below 400 degC film
        temperature

    Validity
    --------
    The whole sink at one temperature; the resistance falls as it warms. Nothing below or around hinders the air. Good
    for about 15 %; measure one sink before relying on it.

    References
    ----------
    As the correlations name them (``ledcalc.heat.convection``); properties at the film temperature.

    Examples
    --------
    >>> plate = BarePlate(width_m=0.6, length_m=0.6, emissivity_fraction=0.0, orientation="face down")
    >>> round(sink_state(plate, 64.2, ambient_c=30.0).temperature_c)
    89
    """
    heat = float(numbers("heat_w", heat_w, above=0))
    low, high = ambient_c, 2.0 * HOTTEST_C - ambient_c - 1.0
    if sum(sink_power(sink, high, ambient_c=ambient_c, altitude_m=altitude_m)) < heat:
        raise ArgumentError("heat_w", heat_w, "less heat: this sink would glow")
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        shed = sum(sink_power(sink, middle, ambient_c=ambient_c, altitude_m=altitude_m))
        low, high = (middle, high) if shed < heat else (low, middle)
    convection, radiation = sink_power(sink, high, ambient_c=ambient_c, altitude_m=altitude_m)
    return SinkState(
        temperature_c=high,
        convection_w=convection,
        radiation_w=radiation,
        thermal_resistance_k_per_w=(high - ambient_c) / heat,
    )


def sink_resistance(sink: Sink, surface_c: float, *, ambient_c: float = 25.0, altitude_m: float = 0.0) -> float:
    """Return the thermal resistance of a sink held at a temperature, in K/W; it falls as the sink warms.

    Between 1 K above the air and a film temperature of 400 degC; nearer and hotter, the resistance of that end.

    Examples
    --------
    >>> plate = BarePlate(width_m=0.3, length_m=0.2, emissivity_fraction=0.8, orientation="face up")
    >>> round(sink_resistance(plate, 60.0, ambient_c=20.0), 2)
    1.32
    """
    held = min(max(surface_c, ambient_c + LEAST_RISE_K), 2.0 * HOTTEST_C - ambient_c - LEAST_RISE_K)
    return (held - ambient_c) / sum(sink_power(sink, held, ambient_c=ambient_c, altitude_m=altitude_m))


def sink_power(
    sink: Sink, surface_c: float, *, ambient_c: float = 25.0, altitude_m: float = 0.0
) -> tuple[float, float]:
    """Return what a sink at a temperature gives off by convection and by radiation, in W."""
    air = air_at((surface_c + ambient_c) / 2.0, altitude_m=altitude_m)
    difference = surface_c - ambient_c
    if isinstance(sink, BarePlate):
        area = sink.width_m * sink.length_m
        convection, radiating = _plate_film(sink, difference, air) * area * difference, area
    else:
        convection, radiating = _fins_convection(sink, difference, air), _envelope_m2(sink)
    return convection, float(radiated_power(radiating, surface_c, ambient_c, sink.emissivity_fraction))


def _plate_film(plate: BarePlate, difference_k: float, air: Air) -> float:
    if plate.orientation == "vertical":
        length = plate.length_m
        nusselt = _upright(difference_k, length, air)
    else:
        length = plate.width_m * plate.length_m / (2.0 * (plate.width_m + plate.length_m))
        law = nusselt_hot_side_up if plate.orientation == "face up" else nusselt_hot_side_down
        nusselt = float(law(rayleigh(difference_k, length, air)))
    return float(nusselt * air.conductivity_w_per_m_k / length)


def _upright(difference_k: float, length_m: float, air: Air) -> float:
    """Return the Nusselt number of an upright face: the laminar law as far as it holds."""
    ra = rayleigh(difference_k, length_m, air)
    law = nusselt_vertical_plate_laminar if ra < LAMINAR_BELOW else nusselt_vertical_plate
    return float(law(ra, air.prandtl))


def _fins_convection(sink: PlateFinSink, difference_k: float, air: Air) -> float:
    """Return the convection of the channels between the fins and of the outer sides of the two outer fins."""
    spacing = sink.spacing_m
    by_spacing = rayleigh(difference_k, spacing, air)
    if sink.orientation == "vertical":
        nusselt = nusselt_parallel_plates(by_spacing, spacing / sink.length_m)
        outer_length = sink.length_m
    else:
        nusselt = nusselt_fins_up(by_spacing)
        outer_length = sink.fin_height_m
    film = float(nusselt * air.conductivity_w_per_m_k / spacing)
    outer = _upright(difference_k, outer_length, air)
    outer_film = float(outer * air.conductivity_w_per_m_k / outer_length)
    channels = sink.fin_count - 1
    inner_m2 = 2.0 * channels * sink.fin_height_m * sink.length_m
    outer_m2 = 2.0 * sink.fin_height_m * sink.length_m
    base_m2 = channels * spacing * sink.length_m
    effect = film * (inner_m2 * _efficiency(sink, film) + base_m2) + outer_film * outer_m2 * _efficiency(
        sink, outer_film
    )
    return effect * difference_k


def _efficiency(sink: PlateFinSink, film: float) -> float:
    return float(fin_efficiency(sink.fin_height_m, sink.fin_thickness_m, film, sink.conductivity_w_per_m_k))


def _envelope_m2(sink: PlateFinSink) -> float:
    """Return the area that a finned sink radiates through: its outline less the board side; channels see each other."""
    height = sink.fin_height_m + sink.base_thickness_m
    return sink.width_m * sink.length_m + 2.0 * height * (sink.width_m + sink.length_m)
