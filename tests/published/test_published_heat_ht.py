"""Correlations against the general libraries ht and fluids: the same formula gives the same number."""

import pytest

from ledcalc.heat import air_at
from ledcalc.heat.convection import (
    fin_efficiency,
    nusselt_hot_side_down,
    nusselt_hot_side_up,
    nusselt_vertical_plate,
    nusselt_vertical_plate_laminar,
)
from ledcalc.heat.forced import nusselt_flat_plate

ht = pytest.importorskip("ht")
fluids = pytest.importorskip("fluids")

PRANDTL = 0.71
RAYLEIGH = [1e4, 1e5, 1e6, 9.99e6, 1.01e7, 1e8, 1e9, 9.9e9]


@pytest.mark.parametrize("ra", [*RAYLEIGH, 1e11])
def test_vertical_plate(ra):
    """Churchill & Chu 1975, all Rayleigh numbers."""
    assert nusselt_vertical_plate(ra, PRANDTL) == pytest.approx(
        ht.Nu_vertical_plate_Churchill(PRANDTL, ra / PRANDTL), rel=1e-12
    )


@pytest.mark.parametrize("ra", [1e4, 1e6, 1e8, 9e8])
def test_laminar_vertical_plate_beside_the_law_for_all(ra):
    """ht has no laminar law; Churchill & Chu's own two differ by +8 % at 1e4 to -25 % short of 1e9."""
    ratio = nusselt_vertical_plate_laminar(ra, PRANDTL) / ht.Nu_vertical_plate_Churchill(PRANDTL, ra / PRANDTL)
    assert 0.75 < ratio < 1.08


@pytest.mark.parametrize("ra", RAYLEIGH)
@pytest.mark.parametrize(("law", "up"), [(nusselt_hot_side_up, True), (nusselt_hot_side_down, False)])
def test_horizontal_plate(law, up, ra):
    """McAdams' laws, over area / perimeter."""
    assert law(ra) == pytest.approx(ht.Nu_horizontal_plate_McAdams(PRANDTL, ra / PRANDTL, buoyancy=up), rel=1e-12)


@pytest.mark.parametrize("ra", [1e4, 1e5, 1e6, 1e7, 1e8, 1e9])
def test_hot_side_up_beside_the_heat_atlas(ra):
    """VDI Heat Atlas (Stewartson), over the same length: other laws, up to 27 % more in turbulent air."""
    atlas = ht.Nu_horizontal_plate_VDI(PRANDTL, ra / PRANDTL, buoyancy=True)
    assert 0.73 < nusselt_hot_side_up(ra) / atlas < 1.03


@pytest.mark.parametrize("ra", [1e7, 1e8, 1e9])
def test_hot_side_up_beside_another_handbook(ra):
    """Rohsenow, Hartnett & Cho's handbook, turbulent: 0.14 for 0.15."""
    assert nusselt_hot_side_up(ra) == pytest.approx(
        ht.Nu_horizontal_plate_Rohsenow(PRANDTL, ra / PRANDTL, buoyancy=True), rel=0.07
    )


@pytest.mark.parametrize("ra", [1e5, 1e6])
def test_hot_side_down_beside_laws_of_the_fifth_root(ra):
    """The VDI Heat Atlas and Rohsenow have Ra^(1/5): within 14 % for boards' sinks, apart on large plates."""
    for other in (ht.Nu_horizontal_plate_VDI, ht.Nu_horizontal_plate_Rohsenow):
        assert nusselt_hot_side_down(ra) == pytest.approx(other(PRANDTL, ra / PRANDTL, buoyancy=False), rel=0.14)


@pytest.mark.parametrize("re", [1.0, 1e3, 1e5, 5e5])
@pytest.mark.parametrize("prandtl", [0.69, 0.73, 7.0])
def test_laminar_flat_plate(re, prandtl):
    """0.664 Re^(1/2) Pr^(1/3), as Baehr & Stephan and the VDI Heat Atlas have it."""
    assert nusselt_flat_plate(re, prandtl) == pytest.approx(
        ht.Nu_horizontal_plate_laminar_Baehr(re, prandtl), rel=1e-12
    )


@pytest.mark.parametrize("re", [1e6, 1e7, 1e8])
def test_mixed_flat_plate(re):
    """Kreith's law for a plate turbulent from its edge has 0.036 for 0.037; Schlichting's lies below both."""
    laminar_part = 871 * PRANDTL ** (1 / 3)
    kreith = ht.Nu_horizontal_plate_turbulent_Kreith(re, PRANDTL)
    ours = nusselt_flat_plate(re, PRANDTL)
    assert ours == pytest.approx(kreith * 37 / 36 - laminar_part, rel=1e-3)
    schlichting = ht.Nu_horizontal_plate_turbulent_Schlichting(re, PRANDTL)
    assert ours == pytest.approx(schlichting, rel=0.35 if re < 5e6 else 0.15)


def test_straight_fin_is_an_annular_fin_of_wide_radius():
    """Kern & Kraus' annular fin around 20 m: its tip is bare, so that ours is asked without the half thickness."""
    height, thickness, film, conductivity = 0.03, 0.001, 50.0, 200.0
    annular = ht.fin_efficiency_Kern_Kraus(20.0, 20.0 + 2 * height, thickness, conductivity, film)
    assert fin_efficiency(height - thickness / 2, thickness, film, conductivity) == pytest.approx(annular, rel=1e-3)


@pytest.mark.parametrize("temperature_c", [-20.0, 20.0, 60.0, 130.0])
def test_air_of_the_standard_atmosphere(temperature_c):
    """U.S. Standard Atmosphere 1976: viscosity and conductivity against temperature, at sea level."""
    atmosphere, kelvin = fluids.ATMOSPHERE_1976, temperature_c + 273.15
    air = air_at(temperature_c)
    density = 101325 / (287.05 * kelvin)
    assert air.viscosity_m2_per_s * density == pytest.approx(atmosphere.viscosity(kelvin), rel=1e-6)
    assert air.conductivity_w_per_m_k == pytest.approx(atmosphere.thermal_conductivity(kelvin), rel=1e-6)


@pytest.mark.parametrize("altitude_m", [0.0, 500.0, 1610.0, 3000.0, 5000.0])
def test_density_against_altitude(altitude_m):
    """The same atmosphere's density at its own temperature; it counts geopotential height, 0.08 % less at 5 km."""
    there = fluids.ATMOSPHERE_1976(altitude_m)
    air = air_at(there.T - 273.15, altitude_m=altitude_m)
    assert air.viscosity_m2_per_s == pytest.approx(there.mu / there.rho, rel=1e-3)
    assert air.conductivity_w_per_m_k / air.diffusivity_m2_per_s == pytest.approx(1006 * there.rho, rel=1e-3)
