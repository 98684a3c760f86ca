"""Checks of heat sinks and conductors: only what the fixture has, and what exactly a resistance is of."""

import dataclasses

import pytest

import ledcalc as lc
from ledcalc.building import checklists
from ledcalc.demo import seedling_bench
from ledcalc.fixture import HeatSink

PLATE = {"orientation": "face down", "width_m": 0.3, "length_m": 0.4}
FINS = {"fin_count": 12, "base_thickness_m": 0.004, "fin_height_m": 0.03, "fin_thickness_m": 0.0015}


def with_sink(**sink):
    bench = seedling_bench()
    (old,) = bench.heat_sinks
    return dataclasses.replace(bench, heat_sinks=(HeatSink(tag=old.tag, **sink),))


def checks_of(fixture):
    return [check for section in checklists(lc.evaluate(fixture)) for check in section.checks]


@pytest.mark.parametrize(
    ("fixture", "fins", "fans"),
    [
        (with_sink(**PLATE), False, False),
        (with_sink(**PLATE, air_speed_m_per_s=1.0), False, True),
        (with_sink(**PLATE | {"orientation": "vertical"}, **FINS), True, False),
        (with_sink(sink_resistance_k_per_w=2.0), True, False),
    ],
)
def test_fins_and_fans_are_asked_for_where_they_are(fixture, fins, fans):
    words = " ".join(check.do for check in checks_of(fixture))
    assert ("Fins" in words) is fins
    assert ("Fans: dust out" in words) is fans


def test_the_continuity_check_says_what_its_resistance_is_of():
    """Of two conductors each has half, taken one way; of a single wire's run it is the wire's."""
    bench = seedling_bench()
    whole = float(lc.evaluate(bench).wires.resistance_ohm.max())
    (check,) = [check for check in checks_of(bench) if check.do.startswith("Continuity")]
    half, both = f"{750 * whole:.0f} mohm", f"{1500 * whole:.0f} mohm"
    assert check.expect.startswith(f"under {half} each conductor one way ({both} out and back)")
