"""Conductor sizes, resistance, drop, ampacity: behaviour, errors, properties."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.wiring import (
    ampacity_steps,
    conductor_area_mm2,
    conductor_temperature,
    continuous_limit_a,
    known_sizes,
    mains_current,
    parse_size,
    touch_voltage_limit_v,
)

SIZES = st.sampled_from(["22 AWG", "18 AWG", "16 AWG", "14 AWG", "10 AWG", "6 AWG", "2/0 AWG"])
METRIC = st.sampled_from(known_sizes("IEC"))


@pytest.mark.parametrize("typed", ["18 AWG", "18awg", " AWG 18", "#18", "18 awg", "18"])
def test_awg_sizes_are_understood_as_the_trade_writes_them(typed):
    assert parse_size(typed, rule_set="NEC") == "18 AWG"


@pytest.mark.parametrize("typed", ["1.5 mm2", "1.5mm²", "1.50 mm2", "1.5 sq mm"])
def test_metric_sizes_are_understood_as_the_trade_writes_them(typed):
    assert parse_size(typed, rule_set="IEC") == "1.5 mm2"


@pytest.mark.parametrize(
    ("size", "rule_set", "words"),
    [
        ("1.5 mm2", "NEC", "belongs to IEC"),
        ("18 AWG", "IEC", "belongs to NEC"),
        ("1.6 mm2", "IEC", "nearest"),
        ("x", "NEC", "40 AWG"),
    ],
)
def test_an_unknown_size_says_what_is_known(size, rule_set, words):
    with pytest.raises(ArgumentError, match="size") as caught:
        parse_size(size, rule_set=rule_set)
    assert words in str(caught.value)


def test_resistance_takes_arrays_of_sizes_and_lengths():
    got = lc.conductor_resistance(["18 AWG", "16 AWG"], pd.Series([1.0, 2.0]))
    expected = [lc.conductor_resistance("18 AWG", 1.0), lc.conductor_resistance("16 AWG", 2.0)]
    assert got == pytest.approx(expected, rel=1e-15)
    assert isinstance(lc.conductor_resistance("18 AWG", 1), float)


@given(SIZES, st.floats(0, 100), st.floats(0, 100), st.floats(-20, 90))
def test_longer_never_drops_less_and_warmer_never_less(size, length, more, temperature):
    drop = lc.wire_voltage_drop(2.0, length, size, conductor_temperature_c=temperature)
    assert lc.wire_voltage_drop(2.0, length + more, size, conductor_temperature_c=temperature) >= drop
    assert lc.wire_voltage_drop(2.0, length, size, conductor_temperature_c=temperature + 5) >= drop


@given(METRIC, METRIC)
def test_thicker_never_drops_more(one, other):
    thin, thick = sorted((one, other), key=lambda size: float(size.split()[0]))
    for stranding in ("solid", "stranded", "flexible"):
        drops = [lc.wire_voltage_drop(1.0, 1.0, size, stranding=stranding, rule_set="IEC") for size in (thin, thick)]
        assert drops[1] <= drops[0]


@given(st.lists(st.tuples(SIZES, st.floats(0, 50), st.floats(-40, 150)), min_size=1, max_size=6))
def test_vector_equals_scalar(rows):
    sizes, lengths, temperatures = (list(column) for column in zip(*rows, strict=True))
    together = lc.conductor_resistance(sizes, lengths, conductor_temperature_c=temperatures)
    alone = [lc.conductor_resistance(s, n, conductor_temperature_c=t) for s, n, t in rows]
    assert np.array_equal(together, alone)


def test_drop_is_out_and_back_unless_told_otherwise():
    one_way = lc.wire_voltage_drop(3.0, 2.0, "16 AWG", conductors=1)
    assert lc.wire_voltage_drop(3.0, 2.0, "16 AWG") == pytest.approx(2 * one_way, rel=1e-15)
    assert lc.voltage_drop_from_resistance(3.0, 2.0, 0.01) == pytest.approx(0.12)


def test_odd_gauges_lie_between_their_neighbours():
    for gauge in (17, 15, 13, 11):
        thinner, own, thicker = (lc.conductor_resistance(f"{n} AWG", 1.0) for n in (gauge + 1, gauge, gauge - 1))
        assert thicker < own < thinner


def test_stranding_counts_without_a_row_as_it_does_with_one():
    """NEC Chapter 9 Table 8, stranded over solid: 1.018 to 1.026 from 18 to 8 AWG; without a row 2 %."""
    for gauge in (8, 10, 12, 14, 16, 18, *(9, 11, 13, 15, 17, 20, 24)):
        solid, stranded, flexible = (
            lc.conductor_resistance(f"{gauge} AWG", 1.0, stranding=word) for word in ("solid", "stranded", "flexible")
        )
        assert stranded / solid == pytest.approx(1.022, abs=0.0045), gauge
        assert flexible == stranded
    tinned = [lc.conductor_resistance("17 AWG", 1.0, stranding=s, coating="tinned") for s in ("solid", "stranded")]
    assert tinned[1] / tinned[0] > 1.0199


@pytest.mark.parametrize(
    "arguments",
    [
        {"length_m": -1},
        {"length_m": float("nan")},
        {"length_m": "long"},
        {"conductor_temperature_c": 400},
        {"stranding": "woven"},
        {"rule_set": "BS"},
    ],
)
def test_bad_arguments_are_named(arguments):
    name = next(iter(arguments))
    with pytest.raises(ValueError, match=name):
        lc.conductor_resistance(**({"size": "18 AWG", "length_m": 1.0} | arguments))


def test_ampacity_steps_multiply_up():
    steps = ampacity_steps("14 AWG", wire_kind="building wire", insulation_c=75, ambient_c=38, loaded_conductors=4)
    assert (steps.table_ampacity_a, steps.ambient_factor, steps.grouping_factor) == (20.0, 0.88, 0.8)
    assert steps.ampacity_a == pytest.approx(20.0 * 0.88 * 0.8)


def test_between_two_table_rows_the_warmer_counts():
    def at(ambient):
        return lc.conductor_ampacity("14 AWG", wire_kind="building wire", insulation_c=75, ambient_c=ambient)

    assert at(30.5) == at(35.0) < at(30.0)
    iec = [lc.conductor_ampacity("2.5 mm2", installation_method="C", ambient_c=t, rule_set="IEC") for t in (30.5, 35.0)]
    assert iec[0] == iec[1]


def test_cord_goes_by_its_own_conductors_and_the_bundle_counts_all():
    cord = {"wire_kind": "flexible cord", "insulation_c": 60}
    assert lc.conductor_ampacity("18 AWG", **cord, loaded_conductors=2) == 10.0
    assert lc.conductor_ampacity("18 AWG", **cord, loaded_conductors=3) == 7.0
    assert lc.conductor_ampacity("18 AWG", **cord, loaded_conductors=2, grouped_circuits=2) == pytest.approx(8.0)
    assert lc.conductor_ampacity("18 AWG", **cord, loaded_conductors=4) == pytest.approx(7.0 * 0.8)


def test_fixture_wire_is_never_rated_up_for_cool_air():
    wire = {"wire_kind": "fixture wire", "insulation_c": 90}
    assert lc.conductor_ampacity("18 AWG", **wire, ambient_c=10) == 6.0
    assert lc.conductor_ampacity("18 AWG", **wire, ambient_c=50) == pytest.approx(6.0 * 0.82)


@pytest.mark.parametrize(
    "arguments",
    [
        {"size": "18 AWG", "wire_kind": "building wire", "insulation_c": 75},
        {"size": "20 AWG", "wire_kind": "flexible cord", "insulation_c": 60},
        {"size": "18 AWG", "wire_kind": "flexible cord", "insulation_c": 60, "ambient_c": 56},
        {"size": "14 AWG", "wire_kind": "building wire", "insulation_c": 105},
        {"size": "1.5 mm2", "installation_method": "C", "insulation_c": 90, "rule_set": "IEC"},
        {"size": "1 mm2", "installation_method": "C", "rule_set": "IEC"},
        {"size": "1.5 mm2", "installation_method": "C", "ambient_c": 61, "rule_set": "IEC"},
        {"size": "1.5 mm2", "installation_method": "C", "loaded_conductors": 4, "rule_set": "IEC"},
        {"size": "1.5 mm2", "installation_method": "C", "grouped_circuits": 21, "rule_set": "IEC"},
    ],
)
def test_outside_the_tables_there_is_no_answer(arguments):
    with pytest.raises(TableRangeError):
        lc.conductor_ampacity(**arguments)


@pytest.mark.parametrize(
    "arguments",
    [
        {"size": "14 AWG"},
        {"size": "14 AWG", "wire_kind": "building wire"},
        {"size": "14 AWG", "wire_kind": "flexible cord", "ambient_c": 35},
        {"size": "14 AWG", "wire_kind": "flexible cord", "installation_method": "C"},
        {"size": "1.5 mm2", "wire_kind": "flexible cord", "installation_method": "C", "rule_set": "IEC"},
        {"size": "1.5 mm2", "rule_set": "IEC"},
        {"size": "14 AWG", "wire_kind": "flexible cord", "loaded_conductors": 0},
        {"size": "14 AWG", "wire_kind": "flexible cord", "loaded_conductors": 2.5},
    ],
)
def test_arguments_that_do_not_go_together_are_refused(arguments):
    with pytest.raises(ArgumentError):
        lc.conductor_ampacity(**arguments)


@given(st.floats(-20, 60), st.floats(0, 10), st.integers(1, 10))
def test_warmer_air_and_larger_bundles_never_carry_more(ambient, more, grouped):
    cable = {"installation_method": "C", "rule_set": "IEC"}
    warm = min(ambient + more, 60)
    base = lc.conductor_ampacity("2.5 mm2", **cable, ambient_c=ambient, grouped_circuits=grouped)
    assert lc.conductor_ampacity("2.5 mm2", **cable, ambient_c=warm, grouped_circuits=grouped) <= base
    assert lc.conductor_ampacity("2.5 mm2", **cable, ambient_c=ambient, grouped_circuits=grouped + 1) <= base


def test_ampacity_takes_arrays():
    got = lc.conductor_ampacity(
        ["18 AWG", "16 AWG"], wire_kind="flexible cord", insulation_c=60, grouped_circuits=[1, 4]
    )
    assert got == pytest.approx([10.0, 13.0 * 0.7])


def test_a_conductor_at_its_table_ampacity_reaches_its_insulation_rating():
    assert conductor_temperature(10.0, ambient_c=30.0, insulation_c=60.0, table_ampacity_a=10.0) == 60.0


def test_mains_side():
    assert mains_current(114.0, 120.0, 1.0) == pytest.approx(0.95)
    assert continuous_limit_a(20.0) == 16.0
    assert continuous_limit_a(16.0, rule_set="IEC") == 16.0
    limits = {
        (rules, place): touch_voltage_limit_v(place, rule_set=rules)
        for rules in ("NEC", "IEC")
        for place in ("dry", "damp", "wet")
    }
    assert all(limit == (60.0 if place == "dry" else 30.0) for (_, place), limit in limits.items())
    with pytest.raises(ArgumentError, match="location"):
        touch_voltage_limit_v("moist")


def test_area_of_a_metric_size_is_its_name():
    assert conductor_area_mm2("0.75 mm2", rule_set="IEC") == 0.75
