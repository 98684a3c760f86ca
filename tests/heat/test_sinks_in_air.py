"""Sinks in still and blown air: what must hold whatever the numbers."""

from dataclasses import replace
from math import exp, tanh

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.heat import (
    BarePlate,
    PlateFinSink,
    air_at,
    nusselt_developing_channel,
    sink_power,
    sink_resistance,
    sink_state,
)

PLATE = BarePlate(width_m=0.2, length_m=0.3, emissivity_fraction=0.8, orientation="vertical")
FINS = PlateFinSink(
    width_m=0.12,
    length_m=0.18,
    base_thickness_m=0.004,
    fin_count=14,
    fin_height_m=0.024,
    fin_thickness_m=0.001,
    conductivity_w_per_m_k=200.0,
    emissivity_fraction=0.8,
    orientation="vertical",
)
SINKS = [
    *(replace(PLATE, orientation=hangs) for hangs in ("vertical", "face up", "face down")),
    *(replace(FINS, orientation=hangs, fin_count=count) for hangs in ("vertical", "fins up") for count in (2, 14, 60)),
]
RISES = st.floats(0.1, 300.0)
SPEEDS = st.floats(0.0, 30.0)
ANY_SINK = st.sampled_from(SINKS)


@given(sink=ANY_SINK, rise=RISES, speed=SPEEDS, more=st.floats(0.01, 2.0))
@settings(max_examples=200, deadline=None)
def test_a_hotter_sink_sheds_more(sink, rise, speed, more):
    cooler, hotter = (
        sink_power(sink, 25.0 + warm, air_speed_m_per_s=speed) for warm in (rise, min(rise * (1 + more), 300.0 + more))
    )
    assert hotter[0] > cooler[0]
    assert hotter[1] > cooler[1]


@given(sink=ANY_SINK, rise=RISES, speeds=st.tuples(SPEEDS, SPEEDS))
@settings(max_examples=200, deadline=None)
def test_more_speed_never_sheds_less(sink, rise, speeds):
    slow, fast = (sink_power(sink, 25.0 + rise, air_speed_m_per_s=speed)[0] for speed in sorted(speeds))
    still = sink_power(sink, 25.0 + rise)[0]
    assert still <= slow * (1 + 1e-12)
    assert slow <= fast * (1 + 1e-12)


@given(sink=ANY_SINK, heat=st.floats(0.5, 60.0), speed=SPEEDS)
@settings(max_examples=60, deadline=None)
def test_state_power_and_resistance_are_one(sink, heat, speed):
    state = sink_state(sink, heat, air_speed_m_per_s=speed)
    assert state.convection_w + state.radiation_w == pytest.approx(heat, rel=1e-7)
    if state.temperature_c > 26.0:
        resistance = sink_resistance(sink, state.temperature_c, air_speed_m_per_s=speed)
        assert resistance == pytest.approx(state.thermal_resistance_k_per_w, rel=1e-7)


@pytest.mark.parametrize("sink", SINKS, ids=lambda sink: f"{type(sink).__name__} {sink.orientation}")
def test_a_breath_of_air_changes_nothing_and_a_fan_does(sink):
    still = sink_power(sink, 60.0)
    assert sink_power(sink, 60.0, air_speed_m_per_s=0.0) == still
    assert sink_power(sink, 60.0, air_speed_m_per_s=1e-4) == still
    blown = sink_power(sink, 60.0, air_speed_m_per_s=3.0)
    assert blown[0] > 1.3 * still[0]
    assert blown[1] == still[1]


@pytest.mark.parametrize("speed", [0.0, 0.5, 5.0])
@pytest.mark.parametrize("sink", SINKS, ids=lambda sink: f"{type(sink).__name__} {sink.orientation}")
def test_thin_air_sheds_less(sink, speed):
    """By its pressure at most in a stream, which is the air's mass; by its square where draught is throttled (Ra)."""
    powers = [sink_power(sink, 60.0, altitude_m=up, air_speed_m_per_s=speed)[0] for up in (0.0, 1000.0, 2500.0, 4000.0)]
    assert powers == sorted(powers, reverse=True)
    pressure = 61.64 / 101.325  # U.S. Standard Atmosphere 1976 at 4,000 m
    least = pressure**2 if speed == 0 else pressure
    assert least * 0.999 < powers[-1] / powers[0] < 0.9


def test_a_laminar_stream_follows_the_root_of_the_pressure():
    """0.664 Re^(1/2): at 2,000 m, 79.495 kPa (U.S. Standard Atmosphere 1976), (79.495/101.325)^(1/2) of the heat."""
    low, high = (sink_power(PLATE, 60.0, altitude_m=up, air_speed_m_per_s=4.0)[0] for up in (0.0, 2000.0))
    assert high / low == pytest.approx((79.495 / 101.325) ** 0.5, rel=1e-3)


def test_a_sink_colder_than_the_air_takes_heat_up():
    warm, cold = (sink_power(FINS, 25.0 + rise, air_speed_m_per_s=2.0)[0] for rise in (10.0, -10.0))
    assert cold < 0 < warm


@pytest.mark.parametrize("speed", [-0.1, 101.0, float("nan"), "fast"])
def test_bad_speed_is_named(speed):
    with pytest.raises(ArgumentError, match="air_speed_m_per_s"):
        sink_power(PLATE, 60.0, air_speed_m_per_s=speed)


def test_channel_law_takes_arrays_and_no_stream():
    """Scalars give a float, arrays their shape; without a stream nothing leaves."""
    assert isinstance(nusselt_developing_channel(10, 0.7), float)
    assert nusselt_developing_channel([[1.0], [10.0]], [0.7, 0.72, 7.0]).shape == (2, 3)
    assert nusselt_developing_channel(0.0, 0.7) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("orientation", ["vertical", "fins up"])
def test_a_fin_sink_in_still_air_by_hand(orientation):
    """Channel law on fin sides and base, laminar law on the outer sides, the outline radiating: by hand."""
    sink, air = replace(FINS, orientation=orientation), air_at(45.0)
    gap, high, long, rise = (0.12 - 14 * 0.001) / 13, 0.024, 0.18, 40.0
    k, nu, diffusivity, pr = (
        float(getattr(air, name))
        for name in ("conductivity_w_per_m_k", "viscosity_m2_per_s", "diffusivity_m2_per_s", "prandtl")
    )

    def ra(length):
        return 9.80665 / 318.15 * rise * length**3 / (nu * diffusivity)

    if orientation == "vertical":
        group, outer_length = ra(gap) * gap / long, long
        inner = (576 / group**2 + 2.873 / group**0.5) ** -0.5 * k / gap
    else:
        outer_length = high
        inner = 6.7e-4 * ra(gap) * (1 - exp(-((7460 / ra(gap)) ** 0.44))) ** 1.7 * k / gap
    outer = (0.68 + 0.67 * ra(outer_length) ** 0.25 / (1 + (0.492 / pr) ** (9 / 16)) ** (4 / 9)) * k / outer_length

    def efficiency(film):
        reach = (2 * film / (200.0 * 0.001)) ** 0.5 * (high + 0.0005)
        return tanh(reach) / reach

    by_hand = inner * 13 * long * (2 * high * efficiency(inner) + gap) + outer * 2 * high * long * efficiency(outer)
    outline_m2 = 0.12 * 0.18 + 2 * (0.024 + 0.004) * (0.12 + 0.18)
    convection, radiation = sink_power(sink, 65.0, ambient_c=25.0)
    assert convection == pytest.approx(rise * by_hand, rel=1e-9)
    assert radiation == pytest.approx(0.8 * outline_m2 * 5.670374e-8 * (338.15**4 - 298.15**4), rel=1e-6)
