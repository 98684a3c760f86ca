"""Heat sinks by their dimensions: a bare plate, and a base with straight fins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from ledcalc.arguments import choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError

__all__ = ["FIN_ORIENTATIONS", "PLATE_ORIENTATIONS", "BarePlate", "PlateFinSink", "Sink"]

PLATE_ORIENTATIONS = ("vertical", "face up", "face down")
FIN_ORIENTATIONS = ("vertical", "fins up")


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
