"""Heat against textbook tables and worked examples, limiting cases, and hand-worked balances."""

import csv
from pathlib import Path

import numpy as np
import pytest

from ledcalc.heat import BarePlate, PlateFinSink, air_at, board_temperature, sink_power, sink_state
from ledcalc.heat.air import Air
from ledcalc.heat.convection import (
    fin_efficiency,
    nusselt_fins_up,
    nusselt_hot_side_down,
    nusselt_hot_side_up,
    nusselt_parallel_plates,
    nusselt_vertical_plate,
    nusselt_vertical_plate_laminar,
    optimum_fin_spacing,
    radiated_power,
    rayleigh,
)

with (Path(__file__).parent / "air_properties.csv").open(newline="") as stream:
    AIR = list(csv.DictReader(stream))
FINS = {
    "width_m": 0.12,
    "length_m": 0.18,
    "base_thickness_m": 0.004,
    "fin_count": 14,
    "fin_height_m": 0.024,
    "fin_thickness_m": 0.001,
    "conductivity_w_per_m_k": 200.0,
    "emissivity_fraction": 0.0,
}


def air(k, nu, alpha, pr, beta):
    numbers = (np.asarray(value) for value in (k, nu, alpha, pr, beta))
    names = ("conductivity_w_per_m_k", "viscosity_m2_per_s", "diffusivity_m2_per_s", "prandtl", "expansion_per_k")
    return Air(**dict(zip(names, numbers, strict=True)))


@pytest.mark.parametrize("row", AIR, ids=lambda row: f"{row['table']} {row['temperature_c']}")
def test_air_against_two_textbooks(row):
    """Cengel & Ghajar Table A-15 and Incropera Table A.4 (rows from memory where their read_from says so).

    The two differ from each other by up to 3 % in conductivity; ours lies within 3.5 % of either.
    """
    got = air_at(float(row["temperature_c"]))
    assert got.conductivity_w_per_m_k == pytest.approx(float(row["conductivity_w_m_k"]), rel=0.035)
    assert got.viscosity_m2_per_s == pytest.approx(float(row["viscosity_m2_s"]), rel=0.02)
    assert got.prandtl == pytest.approx(float(row["prandtl"]), rel=0.035)


def test_thin_air_cools_less():
    """At 2,000 m the pressure is 79.5 kPa (U.S. Standard Atmosphere 1976), and nu, a go with its inverse."""
    low, high = air_at(40.0), air_at(40.0, altitude_m=2000.0)
    assert high.viscosity_m2_per_s / low.viscosity_m2_per_s == pytest.approx(101.325 / 79.495, rel=1e-3)
    sink = PlateFinSink(**FINS, orientation="vertical")
    assert sink_state(sink, 20.0, altitude_m=2000.0).temperature_c > sink_state(sink, 20.0).temperature_c


def test_vertical_plate_of_incropera():
    """Incropera, Example 9.2: Ra 1.813e9, Pr 0.690 gives Nu 147; 0.71 m by 1.02 m, 232 degC in 23 degC, k "
    "0.0338: 1060 W."""
    nusselt = nusselt_vertical_plate(1.813e9, 0.690)
    assert nusselt == pytest.approx(147, rel=0.005)
    assert nusselt * 0.0338 / 0.71 * 0.71 * 1.02 * (232 - 23) == pytest.approx(1060, rel=0.005)


def test_radiation_of_incropera():
    """The same example: a black 0.7242 m2 at 505 K to 296 K radiates 2355 W."""
    assert radiated_power(0.7242, 505 - 273.15, 296 - 273.15, 1.0) == pytest.approx(2355, rel=0.005)


def test_rectangular_duct_of_incropera():
    """Incropera, Example 9.3: 0.75 m by 0.3 m duct at 45 degC in 15 degC air loses 246 W a metre by its four faces."""
    hot = air(0.0265, 16.2e-6, 22.9e-6, 0.71, 0.0033)
    sides = 2 * nusselt_vertical_plate_laminar(rayleigh(30, 0.3, hot), 0.71) * 0.0265 / 0.3 * 0.3
    across = rayleigh(30, 0.375, hot)
    top = nusselt_hot_side_up(across) * 0.0265 / 0.375 * 0.75
    bottom = nusselt_hot_side_down(across) * 0.0265 / 0.375 * 0.75
    assert (sides + top + bottom) * 30 == pytest.approx(246, rel=0.01)


def test_hot_plate_facing_down_of_cengel():
    """Cengel, Example 9-2c: 0.6 m square at 90 degC in 30 degC air, hot side down: 64.2 W (0.27 Ra^(1/4))."""
    film = air(0.02808, 1.896e-5, 1.896e-5 / 0.7202, 0.7202, 1 / 333)
    got = nusselt_hot_side_down(rayleigh(60, 0.15, film)) * 0.02808 / 0.15 * 0.36 * 60
    assert got == pytest.approx(64.2, rel=0.005)
    plate = BarePlate(width_m=0.6, length_m=0.6, emissivity_fraction=0.0, orientation="face down")
    assert sink_power(plate, 90.0, ambient_c=30.0)[0] == pytest.approx(64.2, rel=0.025)


def test_optimum_spacing_of_cengel():
    """Cengel, Example 9-3: L 0.18 m, 80 degC in 30 degC, k 0.02772, Pr 0.7215, nu 1.847e-5: S = 7.45 mm."""
    film = air(0.02772, 1.847e-5, 1.847e-5 / 0.7215, 0.7215, 1 / 328)
    ra = rayleigh(50, 0.18, film)
    spacing = optimum_fin_spacing(0.18, ra)
    assert spacing * 1000 == pytest.approx(7.45, rel=0.002)
    # At the optimum the channel's Nusselt number is 1.307 (Cengel 9-33).
    assert nusselt_parallel_plates(ra * (spacing / 0.18) ** 3, spacing / 0.18) == pytest.approx(1.307, rel=0.005)


def test_wide_channels_become_plates_and_narrow_ones_fill():
    """Bar-Cohen's limits: far apart the isolated plate's 0.59 Ra^(1/4) law, close together Ra S/L / 24."""
    assert nusselt_parallel_plates(1e9, 1.0) == pytest.approx(1e9**0.25 / 2.873**0.5, rel=1e-3)
    assert nusselt_parallel_plates(1e-2, 1.0) == pytest.approx(1e-2 / 24, rel=1e-3)


def test_fins_up_become_a_plate_facing_up():
    """Jones & Smith's law (from memory) towards wide spacing against the plate with its hot side up, 0.54 Ra^(1/4)."""
    assert nusselt_fins_up(1e9) == pytest.approx(0.54 * 1e9**0.25, rel=0.05)


def test_fin_efficiency_limits():
    assert fin_efficiency(0.02, 0.001, 0.0, 200.0) == 1.0
    # A long fin: tanh -> 1, so 1/(m Lc).
    assert fin_efficiency(2.0, 0.001, 50.0, 1.0) == pytest.approx(1 / (np.sqrt(2 * 50 / 0.001) * 2.0005), rel=1e-9)


@pytest.mark.parametrize("orientation", ["vertical", "fins up"])
def test_a_finned_sink_is_in_the_bench_range(orientation):
    """Common practice, no source: 12 cm by 18 cm with 24 mm fins, black, holds 1 to 2.5 K/W at 20 W in still air."""
    sink = PlateFinSink(**(FINS | {"emissivity_fraction": 0.85}), orientation=orientation)
    state = sink_state(sink, 20.0)
    assert 1.0 < state.thermal_resistance_k_per_w < 2.5
    assert state.convection_w + state.radiation_w == pytest.approx(20.0, rel=1e-9)


def test_the_resistance_falls_as_the_sink_warms():
    sink = PlateFinSink(**FINS, orientation="vertical")
    resistance = [sink_state(sink, heat).thermal_resistance_k_per_w for heat in (5, 10, 20, 40)]
    assert resistance == sorted(resistance, reverse=True)


def test_the_optimum_spacing_is_the_best_of_all_counts():
    """Brute force over fin counts at one base: the most heat comes near the published optimum (thin fins)."""
    thin = FINS | {"fin_thickness_m": 0.0002, "conductivity_w_per_m_k": 1e5}
    power = {
        n: sink_power(PlateFinSink(**(thin | {"fin_count": n}), orientation="vertical"), 80.0, ambient_c=30.0)[0]
        for n in range(6, 30)
    }
    best = max(power, key=power.get)
    spacing = PlateFinSink(**(thin | {"fin_count": best}), orientation="vertical").spacing_m
    assert spacing == pytest.approx(0.00745, rel=0.12)


def test_board_temperature_by_hand():
    """20 degC + 4 K/W x 12 W x (1 - 0.5) = 44 degC."""
    assert board_temperature(12.0, 4.0, ambient_c=20.0, radiant_fraction=0.5) == 44.0
