"""The fixture as a predictor of its readings: what each meter should read, and how that changes with the unknowns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.board_state import Boards, boards_at
from ledcalc.calibrate.found import with_found
from ledcalc.calibrate.instruments import OUTPUT_KINDS, Instrument
from ledcalc.calibrate.light_factors import LightFactors
from ledcalc.calibrate.readings import Readings
from ledcalc.calibrate.slopes import slopes_of
from ledcalc.calibrate.unknowns import Unknowns
from ledcalc.evaluation.electrical import Settled, steady_state
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.fixture import Fixture

__all__ = ["BenchModel", "State"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """The fixture at values of the unknowns."""

    values: FloatArray
    fixture: Fixture
    settled: Settled
    boards: Boards


@dataclass(slots=True, kw_only=True, eq=False)
class BenchModel:
    """Predicts readings; keeps the last state, for values and slopes are asked for in turn."""

    fixture: Fixture
    unknowns: Unknowns
    instruments: tuple[Instrument, ...]
    light: LightFactors
    last: State | None = None

    def state(self, values: FloatArray) -> State | None:
        """Return the fixture at values of the unknowns, None where it would not settle."""
        if self.last is not None and np.array_equal(self.last.values, values):
            return self.last
        fixture = with_found(self.fixture, self.unknowns, values)
        placed = boards_on(fixture)
        settled = steady_state(fixture, placed, driver_model(fixture))
        if not isinstance(settled, Settled):
            return None
        self.last = State(values=values.copy(), fixture=fixture, settled=settled, boards=boards_at(placed, settled))
        return self.last

    def readings_at(self, state: State, readings: Readings, *, true: bool = False) -> FloatArray:
        """Return what the meters should read; ``true``: without the errors that they repeat."""
        found = np.empty(readings.size)
        for kind, column in (("current", state.boards.current_a), ("voltage", state.boards.voltage_v)):
            own = readings.kind == kind
            found[own] = column[readings.board[own]]
        for row, kind in enumerate(OUTPUT_KINDS):
            found[readings.kind == kind] = state.boards.output[row]
        warm = readings.kind == "temperature"
        air = readings.air_c[warm]
        found[warm] = np.where(np.isfinite(air), air, state.settled.air_c) + state.boards.rise_k[readings.board[warm]]
        lit = readings.kind == "PPFD"
        factors = self.light.at(*_reflectances(state.fixture))
        found[lit] = (state.boards.flux_umol_s @ factors)[readings.point[lit]]
        if true:
            return found
        factor, added = self._errors(state.values)
        return np.asarray(found * factor[readings.meter] + added[readings.meter])

    def slopes_at(self, state: State, readings: Readings) -> FloatArray:
        """Return how each reading changes with each unknown, (readings, unknowns)."""
        boards = slopes_of(self.fixture, self.unknowns, state.values, state.settled)
        found = np.zeros((readings.size, len(self.unknowns.entries)))
        columns = {"current": boards.current_a, "voltage": boards.voltage_v, "temperature": boards.rise_k}
        for kind, slope in columns.items():
            own = readings.kind == kind
            found[own] = slope[readings.board[own]]
        for row, kind in enumerate(OUTPUT_KINDS):
            found[readings.kind == kind] = boards.output[row]
        lit = readings.kind == "PPFD"
        if lit.any():
            found[lit] = self._light_slopes(state, boards)[readings.point[lit]]
        factor, _ = self._errors(state.values)
        found *= factor[readings.meter][:, None]
        true = self.readings_at(state, readings, true=True)
        for place in self.unknowns.numbers("meter"):
            meter = self.unknowns.entries[place].number
            own = readings.meter == meter
            found[own, place] = 1.0 if self.instruments[meter].adds else true[own]
        return found

    def meter_errors(self, slopes: FloatArray, readings: Readings) -> FloatArray:
        """Return each reading's standard deviation with what its meter repeats before that is known."""
        meters = self.unknowns.numbers("meter")
        repeated = slopes[:, meters] * np.sqrt(np.diag(self.unknowns.covariance))[meters]
        return np.asarray(np.sqrt(readings.sigma**2 + (repeated**2).sum(axis=1)))

    def _light_slopes(self, state: State, boards: Boards) -> FloatArray:
        reflectances = _reflectances(state.fixture)
        found = self.light.at(*reflectances).T @ boards.flux_umol_s
        for place in self.unknowns.numbers("wall", "canopy"):
            slope = self.light.slope(self.unknowns.entries[place].kind, *reflectances)
            found[:, place] += state.boards.flux_umol_s @ slope
        return found

    def _errors(self, values: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return what each meter multiplies by and adds."""
        factor, added = np.ones(len(self.instruments)), np.zeros(len(self.instruments))
        for place in self.unknowns.numbers("meter"):
            meter = self.unknowns.entries[place].number
            if self.instruments[meter].adds:
                added[meter] = values[place]
            else:
                factor[meter] += values[place]
        return factor, added


def _reflectances(fixture: Fixture) -> tuple[float, float]:
    return fixture.site.wall_reflectance_fraction, fixture.site.floor_reflectance_fraction
