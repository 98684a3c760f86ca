"""Functions for cells where the library's own takes or returns more than numbers, texts and ranges."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.circuit import BoardCurve, Branch, Driver, current_split, trim_from_measured
from ledcalc.errors import ArgumentError
from ledcalc.fabrication import bundle_diameter
from ledcalc.heat import PlateFinSink, sink_state
from ledcalc.photons import LightSource, Spectrum, lux_from_ppfd, ppfd_grid_statistics, ppfd_map
from ledcalc.wiring import smallest_size

__all__ = [
    "board_amps",
    "board_volts",
    "branch_amps",
    "bundle_m",
    "fin_sink",
    "lux_per_ppfd",
    "map_mean",
    "min_over_mean",
    "ppfd_at",
    "smallest_wire",
    "trim_by_reading",
]

BOARD_COLUMNS = ("x", "y", "height", "width", "length", "photon flux")
ALUMINIUM_W_PER_M_K = 200.0
# More than any board takes: the source behind a held voltage.
MOST_A = 1e6


def smallest_wire(
    current_a: float,
    one_way_length_m: float,
    *,
    allowed_drop_v: float,
    insulation_c: float,
    ambient_c: float,
    rule_set: str,
    wire_kind: str | None = None,
    installation_method: str | None = None,
) -> str:
    """Return the smallest size that keeps the drop and carries the current; see ``wiring.smallest_size``."""
    found = smallest_size(
        current_a,
        one_way_length_m,
        allowed_drop_v=allowed_drop_v,
        insulation_c=insulation_c,
        ambient_c=ambient_c,
        rule_set=rule_set,
        wire_kind=wire_kind,
        installation_method=installation_method,
    )
    if found.size is None:
        raise ArgumentError(
            "current", current_a, f"one that a size carries within {allowed_drop_v:g} V; {found.governed_by} stops it"
        )
    return found.size


def bundle_m(diameters_m: ArrayLike) -> float:
    """Return the diameter of the smallest circle found round a bundle; see ``fabrication.bundle_diameter``."""
    return float(bundle_diameter(diameters_m).diameter_m)


def _curve(
    point_current_a: ArrayLike,
    point_voltage_v: ArrayLike,
    reference_temperature_c: float,
    voltage_coefficient_v_per_k: float,
) -> BoardCurve:
    amps, volts = np.size(point_current_a), np.size(point_voltage_v)
    if amps != volts:
        raise ArgumentError("point_voltage_v", volts, f"as many voltages as currents, {amps}")
    try:
        return BoardCurve.from_points(
            point_current_a,
            point_voltage_v,
            reference_temperature_c=reference_temperature_c,
            voltage_coefficient_v_per_k=voltage_coefficient_v_per_k,
        )
    except ArgumentError as refused:
        # The curve's own words for its points; here the same words are those of the current or voltage asked about.
        points = {"current_a": "point_current_a", "voltage_v": "point_voltage_v"}
        raise ArgumentError(points.get(refused.argument, refused.argument), refused.value, refused.allowed) from refused


def board_volts(
    current_a: ArrayLike,
    point_current_a: ArrayLike,
    point_voltage_v: ArrayLike,
    temperature_c: ArrayLike,
    reference_temperature_c: float,
    voltage_coefficient_v_per_k: float,
) -> Numbers:
    """Return a board's voltage at a current; see ``BoardCurve.voltage``."""
    curve = _curve(point_current_a, point_voltage_v, reference_temperature_c, voltage_coefficient_v_per_k)
    return curve.voltage(current_a, temperature_c)


def board_amps(
    voltage_v: ArrayLike,
    point_current_a: ArrayLike,
    point_voltage_v: ArrayLike,
    temperature_c: ArrayLike,
    reference_temperature_c: float,
    voltage_coefficient_v_per_k: float,
) -> Numbers:
    """Return a board's current at a voltage, held by a source that gives any current; see ``current_split``."""
    curve = _curve(point_current_a, point_voltage_v, reference_temperature_c, voltage_coefficient_v_per_k)
    volts, degrees = np.broadcast_arrays(
        numbers("voltage_v", voltage_v, above=0), np.asarray(temperature_c, dtype=float)
    )
    source = Driver(voltage_setting_v=volts.ravel(), current_setting_a=MOST_A)
    split = current_split([Branch(curve=curve)], driver=source, ambient_c=degrees.ravel())
    return answer(np.asarray(split.current_a, dtype=float).reshape(volts.shape))


def branch_amps(
    wire_resistance_ohm: Sequence[float],
    point_current_a: ArrayLike,
    point_voltage_v: ArrayLike,
    *,
    current_setting_a: float,
    voltage_setting_v: float,
    thermal_resistance_k_per_w: float,
    ambient_c: float,
    voltage_coefficient_v_per_k: float,
    radiant_fraction: float,
    offset_v: Sequence[float] | None = None,
) -> FloatArray:
    """Return the currents of like boards in parallel; see ``current_split``. Points are taken as of 25 degC."""
    curve = _curve(point_current_a, point_voltage_v, 25.0, voltage_coefficient_v_per_k)
    offsets = [0.0] * len(wire_resistance_ohm) if offset_v is None else offset_v
    if len(offsets) != len(wire_resistance_ohm):
        raise ArgumentError("offsets", len(offsets), f"{len(wire_resistance_ohm)} of them, one a branch")
    branches = [
        Branch(
            curve=curve,
            wire_resistance_ohm=ohm,
            thermal_resistance_k_per_w=thermal_resistance_k_per_w,
            radiant_fraction=radiant_fraction,
            offset_v=offset,
        )
        for ohm, offset in zip(wire_resistance_ohm, offsets, strict=True)
    ]
    driver = Driver(voltage_setting_v=voltage_setting_v, current_setting_a=current_setting_a)
    return np.asarray(current_split(branches, driver=driver, ambient_c=ambient_c).current_a, dtype=float)


def trim_by_reading(current_a: Sequence[float], rated_current_a: Sequence[float]) -> float:
    """Return the factor on the driver's current; one rating stands for all; see ``trim_from_measured``."""
    return float(trim_from_measured(current_a, rated_current_a[0] if len(rated_current_a) == 1 else rated_current_a))


def fin_sink(
    heat_w: float,
    width_m: float,
    length_m: float,
    fin_count: float,
    fin_height_m: float,
    fin_thickness_m: float,
    base_thickness_m: float,
    ambient_c: float,
    emissivity_fraction: float,
) -> float:
    """Return the thermal resistance of upright fins of aluminium in still air; see ``heat.sink_state``."""
    sink = PlateFinSink(
        width_m=width_m,
        length_m=length_m,
        base_thickness_m=base_thickness_m,
        fin_count=round(fin_count),
        fin_height_m=fin_height_m,
        fin_thickness_m=fin_thickness_m,
        conductivity_w_per_m_k=ALUMINIUM_W_PER_M_K,
        emissivity_fraction=emissivity_fraction,
        orientation="vertical",
    )
    return float(sink_state(sink, heat_w, ambient_c=ambient_c).thermal_resistance_k_per_w)


def ppfd_at(x_m: ArrayLike, y_m: ArrayLike, boards: Sequence[Sequence[float]], cosine_exponent: float) -> Numbers:
    """Return the PPFD in the plane that the boards' heights count from, direct light only; see ``ppfd_map``."""
    if any(len(row) != len(BOARD_COLUMNS) for row in boards) or not boards:
        raise ArgumentError("boards", [len(row) for row in boards], f"rows of {', '.join(BOARD_COLUMNS)}")
    sources = [
        LightSource(
            x_m=x,
            y_m=y,
            z_m=height,
            width_m=width,
            length_m=length,
            photon_flux_umol_s=flux,
            cosine_exponent=cosine_exponent,
        )
        for x, y, height, width, length, flux in boards
    ]
    across, along = np.broadcast_arrays(np.asarray(x_m, dtype=float), np.asarray(y_m, dtype=float))
    return ppfd_map(sources, np.stack([across, along, np.zeros_like(across)], axis=-1))


def map_mean(x_m: ArrayLike, y_m: ArrayLike, ppfd: ArrayLike, width_m: float, depth_m: float) -> float:
    """Return the area-weighted mean of readings; see ``ppfd_grid_statistics``."""
    return float(ppfd_grid_statistics(x_m, y_m, ppfd, area_m=(width_m, depth_m)).area_weighted_mean)


def min_over_mean(ppfd: Sequence[float]) -> float:
    """Return the lowest reading over the plain mean of all."""
    if not ppfd or np.mean(ppfd) <= 0:
        raise ArgumentError("ppfd", list(ppfd), "readings with a mean above 0")
    return float(np.min(ppfd) / np.mean(ppfd))


def lux_per_ppfd(wavelength_nm: ArrayLike, values: ArrayLike) -> float:
    """Return the illuminance of 1 umol m-2 s-1 of a spectrum; see ``lux_from_ppfd``."""
    spectrum = Spectrum(
        wavelength_nm=np.asarray(wavelength_nm, dtype=float), radiant_w_per_nm=np.asarray(values, dtype=float)
    )
    return float(lux_from_ppfd(1.0, spectrum))
