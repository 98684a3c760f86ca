"""Forced convection against textbook examples, an independent law, and a numerical solution of the channel."""

import numpy as np
import pytest

from ledcalc.heat import (
    BarePlate,
    PlateFinSink,
    air_at,
    nusselt_developing_channel,
    nusselt_flat_plate,
    reynolds,
    sink_power,
)

AIR_PRANDTL = 0.71
CHANNELS = [0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0]
THIN = {
    "width_m": 0.12,
    "length_m": 0.18,
    "base_thickness_m": 0.004,
    "fin_height_m": 0.024,
    "fin_thickness_m": 0.0005,
    "conductivity_w_per_m_k": 1e6,
    "emissivity_fraction": 0.0,
    "orientation": "vertical",
}


def test_laminar_plate_of_incropera():
    """Incropera, Example 7.1 (from memory): air at 6 kPa, 10 m/s along 0.5 m, 300 to 27 degC: 570 W a metre of width.

    Its k 0.0364, Pr 0.687, nu 5.21e-4 m2/s; Re 9597, Nu 57.4, h 4.18.
    """
    nusselt = nusselt_flat_plate(9597.0, 0.687)
    assert nusselt == pytest.approx(57.4, rel=0.001)
    assert nusselt * 0.0364 / 0.5 == pytest.approx(4.18, rel=0.002)
    assert nusselt * 0.0364 * (300 - 27) == pytest.approx(570, rel=0.002)


def test_mixed_plate_of_incropera():
    """Incropera's heater strips (Example 7.2 or 7.3 by edition, from memory): 60 m/s, 25 degC, strips of 50 mm at 230.

    nu 26.41e-6, k 0.0338, Pr 0.690. Mean film of 1 strip 134, of 4 67, of 5 74, of 6 85 W/(m2 K); strips 1, 5 and 6
    take 1370, 1050 and 1440 W a metre of width. The film coefficients are printed as whole watts.
    """

    def film(strips):
        length = 0.05 * strips
        return nusselt_flat_plate(60 * length / 26.41e-6, 0.690) * 0.0338 / length

    for strips, printed in ((1, 134), (4, 67), (5, 74), (6, 85)):
        assert film(strips) == pytest.approx(printed, abs=1.0)
    heat = [film(n) * 0.05 * n * 205 for n in range(7)[1:]]
    assert heat[0] == pytest.approx(1370, rel=0.005)
    # The difference of two sums of about 3 kW, each rounded to 0.5 W/(m2 K): up to 4 %.
    assert heat[4] - heat[3] == pytest.approx(1050, rel=0.04)
    assert heat[5] - heat[4] == pytest.approx(1440, rel=0.04)


def test_oil_over_a_plate_of_cengel():
    """Cengel, Example 7-1 (from memory): Re 4.024e4, Pr 2962: Nu 1913; k 0.1444 over 5 m, 40 K: 11 050 W a metre."""
    nusselt = nusselt_flat_plate(4.024e4, 2962)
    assert nusselt == pytest.approx(1913, rel=0.001)
    assert nusselt * 0.1444 * 40 == pytest.approx(11050, rel=0.001)


@pytest.mark.parametrize(("width", "length", "nusselt", "heat"), [(1.5, 6.0, 2687, 14300), (6.0, 1.5, 408, 8670)])
def test_plate_in_thin_air_of_cengel(width, length, nusselt, heat):
    """Cengel, Example 7-2 (from memory): 1.5 m by 6 m at 140 degC, air of 83.4 kPa and 20 degC at 8 m/s.

    Along 6 m Nu 2687 and 14.3 kW, along 1.5 m Nu 408 and 8.67 kW. 83.4 kPa is 1610 m; our air conducts 2.5 % better.
    """
    assert nusselt_flat_plate(8 * length / 2.548e-5, 0.7154) == pytest.approx(nusselt, rel=0.002)
    plate = BarePlate(width_m=width, length_m=length, emissivity_fraction=0.0, orientation="face down")
    got = sink_power(plate, 140.0, ambient_c=20.0, altitude_m=1610.0, air_speed_m_per_s=8.0)
    assert got[0] == pytest.approx(heat, rel=0.02)
    assert got[1] == 0.0


def test_the_mixed_law_prints_871():
    """Textbooks subtract 871 for a transition at Re 5e5; ours is exact, so that both laws meet."""
    assert nusselt_flat_plate(1e6, 1.0) == pytest.approx(0.037 * 1e6**0.8 - 871, rel=1e-3)
    below, above = nusselt_flat_plate([5e5, 5e5 * (1 + 1e-12)], 1.0)
    assert above == pytest.approx(below, rel=1e-9)


def by_inlet(nusselt, channel_reynolds):
    """From the logarithmic mean difference to that at the inlet: what a stream of one temperature could carry is c."""
    carried = channel_reynolds * AIR_PRANDTL / 2
    return carried * (1 - np.exp(-nusselt / carried))


@pytest.mark.parametrize("channel_reynolds", CHANNELS)
def test_channel_against_stephan(channel_reynolds):
    """Stephan 1959 as Shah & London 1978 print it (from memory): flow and heat both entering between isothermal plates.

    Nu (over 2 b) = 7.55 + 0.024 X^-1.14 / (1 + 0.0358 Pr^0.17 X^-0.64), X = L / (2 b Re Pr).
    """
    x = 1 / (4 * channel_reynolds * AIR_PRANDTL)
    stephan = 7.55 + 0.024 * x**-1.14 / (1 + 0.0358 * AIR_PRANDTL**0.17 * x**-0.64)
    got = nusselt_developing_channel(channel_reynolds, AIR_PRANDTL)
    assert got == pytest.approx(by_inlet(stephan / 2, channel_reynolds), rel=0.075)


def graetz_by_inlet(channel_reynolds, cells=300):
    """Solve u dT/dx = a d2T/dy2 with the parabola of full flow over half a channel, by its eigenvalues."""
    y = (np.arange(cells) + 0.5) / cells / 2
    speed = 6 * y * (1 - y)
    curvature = -2 * np.eye(cells) + np.eye(cells, k=1) + np.eye(cells, k=-1)
    curvature[0, 0], curvature[-1, -1] = -3, -1
    root = np.sqrt(speed)
    rates, shapes = np.linalg.eigh(curvature * (2 * cells) ** 2 / np.outer(root, root))
    decay = np.exp(rates / (channel_reynolds * AIR_PRANDTL))
    left = (shapes @ (decay * (shapes.T @ root))) / root
    return channel_reynolds * AIR_PRANDTL / 2 * (1 - np.average(left, weights=speed))


@pytest.mark.parametrize("channel_reynolds", [0.1, 0.3, 1.0, 3.0, 10.0])
def test_channel_against_a_numerical_solution(channel_reynolds):
    """While the flow is full-grown over most of the length: the Graetz problem between plates, solved by cells."""
    got = nusselt_developing_channel(channel_reynolds, AIR_PRANDTL)
    assert got == pytest.approx(graetz_by_inlet(channel_reynolds), rel=0.04)


def test_entering_flow_beats_full_grown_flow():
    """In a short channel the wall layers are thin: more than the full-grown parabola gives."""
    assert nusselt_developing_channel(100.0, AIR_PRANDTL) > 1.1 * graetz_by_inlet(100.0)


def test_wide_channels_are_plates():
    """Far apart, the fins are plates along a stream: Nu over b = Nu over L times b/L, Re* = Re b^2/L^2."""
    length, spacing, re = 0.1, 0.1, 4e5
    channel = nusselt_developing_channel(re * (spacing / length) ** 2, AIR_PRANDTL)
    assert channel == pytest.approx(nusselt_flat_plate(re, AIR_PRANDTL) * spacing / length, rel=0.005)


def test_narrow_channels_warm_the_air_to_the_sink():
    """Energy balance: rho c U b H dT a channel leaves through close fins, and never more, base included."""
    sink = PlateFinSink(**THIN, fin_count=100)
    speed, rise = 0.5, 30.0
    air = air_at(25.0 + rise / 2)
    section = 99 * sink.spacing_m * sink.fin_height_m
    carried = float(air.conductivity_w_per_m_k / air.diffusivity_m2_per_s) * speed * section * rise
    film = float(nusselt_flat_plate(reynolds(speed, 0.18, air), air.prandtl) * air.conductivity_w_per_m_k / 0.18)
    sides = film * 2 * 0.024 * 0.18 * rise
    got = sink_power(sink, 25.0 + rise, air_speed_m_per_s=speed)[0]
    assert got == pytest.approx(carried + sides, rel=1e-3)


def test_a_fin_sink_by_hand():
    """Two channels of 1 cm, 10 cm long, 3 cm high, 2 m/s: film, efficiency and areas put together by hand."""
    sink = PlateFinSink(
        width_m=0.023,
        length_m=0.1,
        base_thickness_m=0.003,
        fin_count=3,
        fin_height_m=0.03,
        fin_thickness_m=0.001,
        conductivity_w_per_m_k=200.0,
        emissivity_fraction=0.0,
        orientation="vertical",
    )
    k, nu, pr = (
        float(getattr(air_at(40.0), name)) for name in ("conductivity_w_per_m_k", "viscosity_m2_per_s", "prandtl")
    )
    group = 2.0 * 0.01 / nu * 0.01 / 0.1
    inner = (
        ((group * pr / 2) ** -3 + (0.664 * group**0.5 * pr ** (1 / 3) * (1 + 3.65 / group**0.5) ** 0.5) ** -3)
        ** (-1 / 3)
        * k
        / 0.01
    )
    outer = 0.664 * (2.0 * 0.1 / nu) ** 0.5 * pr ** (1 / 3) * k / 0.1

    def efficiency(film):
        reach = (2 * film / (200.0 * 0.001)) ** 0.5 * 0.0305
        return np.tanh(reach) / reach

    by_hand = inner * (4 * 0.003 * efficiency(inner) + 2 * 0.001) + outer * 2 * 0.003 * efficiency(outer)
    assert sink_power(sink, 55.0, ambient_c=25.0, air_speed_m_per_s=2.0)[0] == pytest.approx(30 * by_hand, rel=1e-9)
