"""What there is to build with: boards, heat sinks and drivers of a fixture's sheets, and what bounds need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.circuit import BoardCurve
from ledcalc.fixture import BoardModel, BoardPoint, DriverModel, Fixture, HeatSink
from ledcalc.model_curves import curve_of, flux_of, photons_per_joule_of
from ledcalc.photons import BoardFlux

__all__ = ["BoardItem", "best_efficiency", "board_items", "least_resistance"]

HALVINGS = 50


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardItem:
    """A board model with its curves."""

    model: BoardModel
    points: tuple[BoardPoint, ...]
    curve: BoardCurve
    flux: BoardFlux
    photons_per_joule_umol_per_j: float

    def least_current_a(self, flux_umol_s: float, temperature_c: FloatArray) -> FloatArray:
        """Return the current that a flux takes at a temperature, NaN where the rated current does not reach it."""
        asked = np.full(np.shape(temperature_c), flux_umol_s)
        low, high = np.zeros_like(asked), np.full_like(asked, self.model.rated_current_a)
        reached = np.asarray(self.flux.flux(high, temperature_c)) >= asked
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            enough = np.asarray(self.flux.flux(middle, temperature_c)) >= asked
            low, high = np.where(enough, low, middle), np.where(enough, middle, high)
        # The lower end: a bound must not lie above the truth.
        return np.where(reached, low, np.nan)


def board_items(catalogue: Fixture) -> list[BoardItem]:
    """Return every board model of the catalogue."""
    found = []
    for model in catalogue.boards:
        points = tuple(point for point in catalogue.board_points if point.board == model.tag)
        found.append(
            BoardItem(
                model=model,
                points=points,
                curve=curve_of(model, points),
                flux=flux_of(model, points),
                photons_per_joule_umol_per_j=photons_per_joule_of(model, catalogue.spectra),
            )
        )
    return found


def least_resistance(sink: HeatSink) -> float:
    """Return the least resistance from board to air that a sink can have: what is stated; of dimensions nothing."""
    return sink.interface_resistance_k_per_w + (sink.sink_resistance_k_per_w or 0.0)


def best_efficiency(catalogue: Fixture, driver: DriverModel) -> float:
    """Return the highest efficiency that a driver has at any load."""
    own = [point.efficiency_fraction for point in catalogue.driver_points if point.driver == driver.tag]
    return max(own, default=driver.efficiency_fraction)
