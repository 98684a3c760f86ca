"""What a fixture is: frozen inputs, named and defaulted as the input schema has them (a test holds the two together).

A ``Fixture`` carries the fields of the Fixture sheet itself, and one attribute for each further sheet: a ``Site``,
and tuples of rows. A field path such as ``cables[3].size`` names the same thing in Python, in a finding and
in a variant.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = [
    "BoardModel",
    "BoardPoint",
    "Cable",
    "CurrentReading",
    "DriverModel",
    "Fixture",
    "HeatSink",
    "LightReading",
    "Meter",
    "Origin",
    "Part",
    "Position",
    "Site",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the light hangs: room, air, mains, energy price, photoperiod, targets. Room sizes None: an open bench."""

    room_width_m: float | None = None
    room_depth_m: float | None = None
    room_height_m: float | None = None
    wall_reflectance_fraction: float = 0.5
    ceiling_reflectance_fraction: float = 0.7
    floor_reflectance_fraction: float = 0.2
    air_temperature_c: float = 25.0
    hottest_air_c: float | None = None
    coldest_air_c: float | None = None
    altitude_m: float = 0.0
    location: str = "dry"
    mains_v: float
    circuit_a: float
    circuit_other_load_w: float = 0.0
    price_per_kwh: float
    currency: str
    photoperiod_h: float
    days_lit_count: int = 365
    crop: str | None = None
    target_ppfd_umol_m2_s: float | None = None
    target_dli_low_mol_m2_d: float | None = None
    target_dli_high_mol_m2_d: float | None = None
    target_min_over_mean_fraction: float | None = None
    rule_set: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardModel:
    """A board model: ratings, size, temperature coefficients, beam."""

    tag: str
    rated_current_a: float
    rated_temperature_c: float
    width_m: float
    length_m: float
    reference_temperature_c: float = 25.0
    voltage_coefficient_v_per_k: float = 0.0
    flux_coefficient_fraction_per_k: float = 0.0
    photons_per_joule_umol_per_j: float = 4.6
    cosine_exponent: float = 1.0
    led_series_count: int | None = None
    led_parallel_count: int = 1
    led_layout: str = "strings"
    voltage_spread_v: float | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPoint:
    """One measured or datasheet point of a board model at its reference temperature."""

    board: str
    current_a: float
    voltage_v: float
    photon_flux_umol_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSink:
    """A heat sink by its thermal resistance, or by the dimensions that this is worked out from (fins None: a "
    "bare plate)."""

    tag: str
    sink_resistance_k_per_w: float | None = None
    interface_resistance_k_per_w: float = 0.0
    fans_off_factor: float = 1.0
    orientation: str | None = None
    width_m: float | None = None
    length_m: float | None = None
    base_thickness_m: float | None = None
    fin_count: int | None = None
    fin_height_m: float | None = None
    fin_thickness_m: float | None = None
    conductivity_w_per_m_k: float = 200.0
    emissivity_fraction: float = 0.8
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverModel:
    """A driver model: the ranges of its dials, its limits, its efficiency and power factor."""

    tag: str
    voltage_low_v: float
    voltage_high_v: float
    current_low_a: float
    current_high_a: float
    power_limit_w: float
    window_min_v: float = 0.0
    efficiency_fraction: float
    power_factor_fraction: float = 0.95
    current_tolerance_fraction: float = 0.0
    voltage_tolerance_fraction: float = 0.0
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """One board and where it is; blanks (None) stand for the fixture's own board, sink and height."""

    tag: str
    board: str | None = None
    heat_sink: str | None = None
    x_m: float
    y_m: float
    height_m: float | None = None
    rotation_deg: float = 0.0
    tilt_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """One run between the driver and a board; ambient None: the site's air."""

    tag: str
    from_node: str = "driver"
    to_node: str
    size: str
    wire_kind: str | None = None
    installation_method: str | None = None
    insulation_c: float
    stranding: str = "stranded"
    one_way_length_m: float
    ambient_c: float | None = None
    loaded_conductors_count: int = 2
    grouped_circuits_count: int = 1
    contact_resistance_ohm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """An instrument and its stated accuracy: share of reading plus digits of the resolution."""

    tag: str
    quantity: str
    accuracy_fraction: float
    accuracy_digits_count: int = 0
    resolution: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentReading:
    """One row of the current log."""

    elapsed_h: float
    board: str
    current_a: float
    voltage_v: float | None = None
    temperature_c: float | None = None
    air_temperature_c: float | None = None
    meter: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightReading:
    """One PPFD reading; x and y count from the crop area's corner."""

    survey: str
    height_m: float | None = None
    x_m: float
    y_m: float
    ppfd_umol_m2_s: float
    meter: str | None = None
    taken_on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One line of the parts list, priced in the site's currency."""

    tag: str
    quantity: float
    price: float
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where a fixture was read from: file, hash of its bytes, cell of each field path, paths left blank and assumed."""

    file: str
    sha256: str
    cells: Mapping[str, str]
    assumed: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixture:
    """A whole plant light at its site: everything ``evaluate`` needs, and the readings taken of it."""

    name: str
    driver: str
    voltage_setting_v: float
    current_setting_a: float
    arrangement: str = "home runs"
    board: str
    heat_sink: str
    rows_count: int = 1
    columns_count: int = 1
    row_pitch_m: float = 0.3
    column_pitch_m: float = 0.3
    height_m: float
    rotation_deg: float = 0.0
    crop_width_m: float
    crop_depth_m: float
    crop_x_m: float = 0.0
    crop_y_m: float = 0.0
    canopy_height_m: float = 0.0
    map_columns_count: int = 24
    map_rows_count: int = 12
    site: Site
    boards: tuple[BoardModel, ...]
    board_points: tuple[BoardPoint, ...]
    heat_sinks: tuple[HeatSink, ...]
    drivers: tuple[DriverModel, ...]
    positions: tuple[Position, ...] = ()
    cables: tuple[Cable, ...]
    meters: tuple[Meter, ...] = ()
    current_log: tuple[CurrentReading, ...] = ()
    light_readings: tuple[LightReading, ...] = ()
    parts: tuple[Part, ...] = ()
    origin: Origin | None = field(default=None, compare=False, repr=False)
