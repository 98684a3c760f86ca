"""How currents, voltages, rises and light of the boards change with each unknown of the circuit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.board_state import Boards, boards_at, boards_of, interface_of, stacked
from ledcalc.calibrate.found import with_found
from ledcalc.calibrate.unknowns import Unknown, Unknowns
from ledcalc.circuit import current_split
from ledcalc.circuit.changed import with_boards
from ledcalc.evaluation.electrical import Settled, settle
from ledcalc.evaluation.parts import PlacedBoard, boards_on, driver_model
from ledcalc.evaluation.sinks import resistance_of
from ledcalc.fixture import Fixture
from ledcalc.model_curves import flux_of, photons_per_joule_of

__all__ = ["slopes_of"]

# Step of an unknown, in standard deviations of its prior.
STEP = 1e-3
MOST_RADIANT, NO_POWER_W, NO_CURRENT_A = 0.99, 1e-12, 1e-12
# Each round of radiant shares and sinks brings all but a tenth of what is left.
ROUNDS = 3
# Over how much a sink's resistance is looked at for its change with temperature.
BEND_K = 1.0
CIRCUIT_KINDS = ("voltage", "sink", "flux", "driver current", "driver voltage")


def slopes_of(fixture: Fixture, unknowns: Unknowns, values: FloatArray, settled: Settled) -> Boards:
    """Return the derivatives of the boards' state, a column an unknown; 0 for those that the circuit knows nothing of.

    The warmth of wires stays as it is in the steady state: it changes little. Where boards share sinks, the steady
    state is worked out anew for the sinks' columns.

    Parameters
    ----------
    fixture : of listed boards, before the unknowns' values are put in
    unknowns, values : what is looked for, and where it stands
    settled : the steady state there
    """
    placed = boards_on(with_found(fixture, unknowns, values))
    steps = STEP * np.array([entry.prior_error for entry in unknowns.entries])
    columns = np.zeros((4 * len(placed) + 2, len(unknowns.entries)))
    is_shared = any(board.place.shared_sink is not None for board in placed)
    anew = unknowns.numbers("sink") if is_shared else np.empty(0, dtype=np.intp)
    quick = np.setdiff1d(unknowns.numbers(*CIRCUIT_KINDS), anew)
    if quick.size:
        columns[:, quick] = _together(fixture, placed, unknowns, values, steps, quick, settled)
    for place in anew:
        columns[:, place] = _anew(fixture, unknowns, values, steps, place)
    return boards_of(columns)


def _together(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    unknowns: Unknowns,
    values: FloatArray,
    steps: FloatArray,
    columns: NDArray[np.intp],
    settled: Settled,
) -> FloatArray:
    """Return the derivatives by some unknowns from one solution of all of them a step up and a step down."""
    moved = _Moved.none(placed, settled, 2 * columns.size)
    for variant, place in enumerate(columns):
        entry, up = unknowns.entries[place], steps[place]
        for column, step in ((variant, up), (variant + columns.size, -up)):
            moved.move(fixture, placed, entry, column, step, float(values[place]))
    both = stacked(moved.solved(fixture, placed, settled))
    return np.asarray((both[:, : columns.size] - both[:, columns.size :]) / (2.0 * steps[columns]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Moved:
    """What the circuit is made of, a row a board and a column a variant."""

    offset_v: FloatArray
    sink_k_per_w: FloatArray
    light: FloatArray
    current: FloatArray
    voltage: FloatArray

    @classmethod
    def none(cls, placed: Sequence[PlacedBoard], settled: Settled, variants: int) -> _Moved:
        """Return so many variants with nothing moved yet; light, current and voltage as factors."""
        offset = np.array([board.place.offset_v for board in placed])
        return cls(
            offset_v=np.tile(offset[:, None], variants),
            sink_k_per_w=np.tile(settled.sink_k_per_w[:, None], variants),
            light=np.ones((len(placed), variants)),
            current=np.ones(variants),
            voltage=np.ones(variants),
        )

    def move(
        self, fixture: Fixture, placed: Sequence[PlacedBoard], entry: Unknown, column: int, step: float, value: float
    ) -> None:
        """Move one unknown of one variant by a step."""
        factor = 1.0 + step / value if value else 1.0
        if entry.kind == "voltage":
            self.offset_v[entry.number, column] += step
        elif entry.kind == "sink":
            own = [board.sink.tag == fixture.heat_sinks[entry.number].tag for board in placed]
            self.sink_k_per_w[own, column] *= factor
        elif entry.kind == "flux":
            own = [board.model.tag == fixture.boards[entry.number].tag for board in placed]
            self.light[own, column] *= factor
        else:
            (self.current if entry.kind == "driver current" else self.voltage)[column] *= factor

    def solved(self, fixture: Fixture, placed: Sequence[PlacedBoard], settled: Settled) -> Boards:
        """Return the boards of all variants; radiant shares and sinks by dimensions follow within a few rounds."""
        interface = interface_of(placed)[:, None]
        before = boards_at(placed, settled).rise_k[:, None]
        bend = _bends(fixture, placed, settled.air_c + before[:, 0], settled.air_c)[:, None]
        sink = self.sink_k_per_w
        radiant = np.tile(settled.radiant_fraction[:, None], self.current.size)
        per_joule = np.array([photons_per_joule_of(board.model, fixture.spectra) for board in placed])[:, None]
        for _ in range(ROUNDS):
            state, output = self._split(radiant, sink + interface, settled)
            flux = self.light * np.array(
                [
                    flux_of(board.model, board.points).flux(amps, warm)
                    for board, amps, warm in zip(placed, state[0], state[3], strict=True)
                ]
            )
            rise = state[3] - settled.air_c - interface * state[2] * (1.0 - radiant)
            sink = self.sink_k_per_w * (1.0 + bend * (rise - before))
            radiant = np.clip(flux / per_joule / np.maximum(state[2], NO_POWER_W), 0.0, MOST_RADIANT)
        return Boards(
            current_a=state[0],
            voltage_v=state[1],
            rise_k=rise,
            flux_umol_s=flux,
            output=output,
        )

    def _split(
        self, radiant: FloatArray, thermal_k_per_w: FloatArray, settled: Settled
    ) -> tuple[FloatArray, FloatArray]:
        """Return current, voltage, power and temperature, each a row a board and a column a variant; and the output."""
        driver = replace(
            settled.driver,
            current_setting_a=np.asarray(settled.driver.current_setting_a) * self.current,
            voltage_setting_v=np.asarray(settled.driver.voltage_setting_v) * self.voltage,
        )
        state = np.zeros((4, *self.light.shape))
        state[3] = settled.air_c
        whole, power = np.zeros(self.current.size), np.zeros(self.current.size)
        for part in settled.circuit.parts():
            changed = {
                place: {
                    "offset_v": self.offset_v[number],
                    "radiant_fraction": radiant[number],
                    "thermal_resistance_k_per_w": thermal_k_per_w[number],
                }
                for place, number in enumerate(part.boards)
            }
            network = with_boards(part.circuit.as_network(), changed)
            split = current_split(network, driver=driver, ambient_c=settled.air_c)
            state[:, list(part.boards)] = split.current_a, split.voltage_v, split.power_w, split.temperature_c
            whole += split.driver_current_a
            power += np.asarray(split.driver_current_a) * split.driver_voltage_v
        return state, np.array([whole, power / np.maximum(whole, NO_CURRENT_A)])


def _bends(fixture: Fixture, placed: Sequence[PlacedBoard], surface_c: FloatArray, air_c: float) -> FloatArray:
    """Return by how much of itself each sink's resistance changes a kelvin of its own."""
    altitude = fixture.site.altitude_m
    ends = [
        [resistance_of(board.sink, float(warm) + way * BEND_K, air_c, altitude) for way in (1.0, -1.0)]
        for board, warm in zip(placed, surface_c, strict=True)
    ]
    up, down = np.array(ends).T
    return np.asarray((up - down) / (up + down) / BEND_K)


def _anew(fixture: Fixture, unknowns: Unknowns, values: FloatArray, steps: FloatArray, place: int) -> FloatArray:
    ends = []
    for sign in (1.0, -1.0):
        moved = values.copy()
        moved[place] += sign * steps[place]
        changed = with_found(fixture, unknowns, moved)
        boards = boards_on(changed)
        ends.append(stacked(boards_at(boards, settle(changed, boards, driver_model(changed)))))
    return np.asarray((ends[0] - ends[1]) / (2.0 * steps[place]))
