"""What ``evaluate`` gives back: frozen numbers, findings, assumptions, workings.

Arrays have an entry a board, a cable, a reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.arguments import FloatArray
from ledcalc.circuit import FaultOutcome, ToleranceResult, Trim
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.photons import GridStatistics

__all__ = [
    "Assumption",
    "BoardResults",
    "CostResults",
    "Evaluation",
    "LightResults",
    "LightSurvey",
    "LoggedBoards",
    "OperatingPoint",
    "Stamp",
    "WhatIf",
    "WireResults",
    "Working",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """Where the driver runs. ``explanation`` says the mode in a sentence."""

    mode: str
    explanation: str
    voltage_v: float
    current_a: float
    power_w: float
    mains_power_w: float
    mains_current_a: float
    circuit_load_a: float
    circuit_limit_a: float
    loop_gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardResults:
    """One entry a board on the fixture. ``one_lost_current_a``: its highest current when any one other is lost."""

    tag: tuple[str, ...]
    model: tuple[str, ...]
    heat_sink: tuple[str, ...]
    x_m: FloatArray
    y_m: FloatArray
    z_m: FloatArray
    width_m: FloatArray
    length_m: FloatArray
    rotation_deg: FloatArray
    tilt_deg: FloatArray
    current_a: FloatArray
    share_fraction: FloatArray
    rated_current_a: FloatArray
    one_lost_current_a: FloatArray
    voltage_v: FloatArray
    power_w: FloatArray
    heat_w: FloatArray
    temperature_c: FloatArray
    sink_temperature_c: FloatArray
    sink_resistance_k_per_w: FloatArray
    rated_temperature_c: FloatArray
    photon_flux_umol_s: FloatArray
    extrapolated: tuple[bool, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What else could happen: each single fault, the spread of parts, and the settings that would suit best.

    ``cold_voltage_v``: what the driver's current setting needs at the coldest start, NaN where none is named.
    ``tolerance`` is None where no spread of the boards is given. ``load_current_a`` and ``load_voltage_v``: what the
    warm boards need at each current. Where the boards do not share nothing is tried at all.
    """

    faults: tuple[FaultOutcome, ...]
    tolerance: ToleranceResult | None
    trim: Trim | None
    cold_voltage_v: float
    load_current_a: FloatArray
    load_voltage_v: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class WireResults:
    """One entry a cable row. ``ampacity_a`` is NaN where no table covers the wire, and ``status`` says why."""

    tag: tuple[str, ...]
    board: tuple[str, ...]
    size: tuple[str, ...]
    one_way_length_m: FloatArray
    current_a: FloatArray
    resistance_ohm: FloatArray
    conductor_temperature_c: FloatArray
    drop_v: FloatArray
    drop_fraction: FloatArray
    loss_w: FloatArray
    table_ampacity_a: FloatArray
    ambient_factor: FloatArray
    grouping_factor: FloatArray
    ampacity_a: FloatArray
    ampacity_table: tuple[str, ...]
    status: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightResults:
    """The light field over the crop: ``ppfd_umol_m2_s`` has a row a map row (y) and a column a map column (x).

    ``x_m`` and ``y_m`` count from the crop area's corner; ``basis`` says what the field rests on.
    """

    x_m: FloatArray
    y_m: FloatArray
    ppfd_umol_m2_s: FloatArray
    statistics: GridStatistics
    basis: str
    photon_flux_umol_s: float
    canopy_flux_umol_s: float
    utilisation_fraction: float
    dli_mean_mol_m2_d: float
    dli_minimum_mol_m2_d: float
    dli_maximum_mol_m2_d: float
    dc_efficacy_umol_per_j: float
    ac_efficacy_umol_per_j: float
    canopy_efficacy_umol_per_j: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CostResults:
    """Parts once, energy a year. Money is in ``currency``; ``parts_cost`` is None where no part is listed."""

    currency: str
    parts_cost: float | None
    energy_kwh: float
    energy_cost: float
    canopy_photons_mol: float
    energy_cost_per_mol: float
    energy_cost_per_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedBoards:
    """The latest logged current of each board that has one, against prediction and rating."""

    tag: tuple[str, ...]
    elapsed_h: FloatArray
    current_a: FloatArray
    half_width_a: FloatArray
    share_fraction: FloatArray
    predicted_current_a: FloatArray
    rated_current_a: FloatArray
    temperature_c: FloatArray
    against_rating: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSurvey:
    """One set of light readings, its statistics, and what the model predicts at the same points."""

    survey: str
    height_m: float
    x_m: FloatArray
    y_m: FloatArray
    ppfd_umol_m2_s: FloatArray
    half_width_umol_m2_s: FloatArray
    predicted_umol_m2_s: FloatArray
    statistics: GridStatistics
    predicted_mean_umol_m2_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value nobody gave and the tool assumed, or a simplification that the figures rest on."""

    path: str
    cell: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """One step of the calculation: what, by which formula, from which figures, from which source."""

    topic: str
    quantity: str
    formula: str
    figures: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What a result rests on: versions, and the input file with the hash of its bytes."""

    ledcalc_version: str
    schema_version: str
    input_file: str
    input_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """Everything worked out for one fixture."""

    fixture: Fixture
    operating: OperatingPoint
    boards: BoardResults
    what_if: WhatIf
    wires: WireResults
    light: LightResults
    cost: CostResults
    logged: LoggedBoards | None
    surveys: tuple[LightSurvey, ...]
    findings: tuple[Finding, ...]
    not_checked: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    workings: tuple[Working, ...]
    stamp: Stamp

    @property
    def severity(self) -> str | None:
        """The worst severity found, None without findings."""
        return self.findings[0].severity if self.findings else None

    def summary(self) -> Mapping[str, float | str]:
        """Return the figures that versions are compared by, one name and one number each."""
        boards, light, operating = self.boards, self.light, self.operating
        return {
            "mode": operating.mode,
            "driver_voltage_v": operating.voltage_v,
            "driver_current_a": operating.current_a,
            "dc_power_w": operating.power_w,
            "mains_power_w": operating.mains_power_w,
            "highest_board_current_a": float(boards.current_a.max()),
            "highest_board_temperature_c": float(boards.temperature_c.max()),
            "photon_flux_umol_s": light.photon_flux_umol_s,
            "ppfd_mean_umol_m2_s": light.statistics.mean,
            "min_over_mean_fraction": light.statistics.min_over_mean,
            "dli_mean_mol_m2_d": light.dli_mean_mol_m2_d,
            "utilisation_fraction": light.utilisation_fraction,
            "dc_efficacy_umol_per_j": light.dc_efficacy_umol_per_j,
            "ac_efficacy_umol_per_j": light.ac_efficacy_umol_per_j,
            "canopy_efficacy_umol_per_j": light.canopy_efficacy_umol_per_j,
            "energy_kwh": self.cost.energy_kwh,
            "energy_cost": self.cost.energy_cost,
        }
