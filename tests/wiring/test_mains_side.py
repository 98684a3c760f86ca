"""Circuits, breakers, connectors, residual-current devices, colours and earths: behaviour, errors, properties."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.wiring import conductor_area_mm2
from ledcalc.wiring.circuit_load import (
    circuit_load_share,
    circuit_rating_for,
    fixtures_on_circuit,
    standard_circuits_a,
)
from ledcalc.wiring.colours import COLOUR_REMINDER, colour_roles, conductor_colour
from ledcalc.wiring.connectors import connector_limit_a, connector_rating, known_connectors
from ledcalc.wiring.earthing import (
    equipment_earth_mm2,
    equipment_earth_size,
    metal_to_earth,
    protective_conductor_mm2,
)
from ledcalc.wiring.inrush import (
    BREAKER_CURVES,
    breaker_holds_a,
    drivers_on_breaker,
    inrush_share,
    inrush_total_a,
    short_pulse_factor,
)
from ledcalc.wiring.residual_current import drivers_on_residual_device, known_residual_devices_a, leakage_share

RULES = st.sampled_from(["NEC", "IEC"])
FIXTURES_A = st.floats(0.05, 20)
CIRCUITS_A = st.floats(5, 60)
PEAKS_A = st.floats(1, 200)
WIDTHS_S = st.floats(2e-5, 5e-3)
CURVES = st.sampled_from(BREAKER_CURVES)
LINES_OHM = st.one_of(st.just(0.0), st.floats(0.01, 3))
LEAKAGES_A = st.floats(1e-5, 5e-3)
NEAR = 1e-8


# ---- circuit load


@given(FIXTURES_A, CIRCUITS_A, st.integers(0, 40), st.floats(0, 10), RULES)
def test_one_more_fixture_never_loads_less(fixture, circuit, count, brief, rules):
    shares = [circuit_load_share(n * fixture, circuit, brief_load_a=brief, rule_set=rules) for n in (count, count + 1)]
    assert shares[0] < shares[1]


@given(FIXTURES_A, CIRCUITS_A, st.floats(0, 20), st.floats(0, 10), RULES)
def test_the_number_that_fits_fits_and_one_more_does_not(fixture, circuit, other, brief, rules):
    given_loads = {"brief_load_a": brief, "rule_set": rules}
    count = fixtures_on_circuit(fixture, circuit, other_load_a=other, **given_loads)
    assert count == int(count) >= 0
    over = circuit_load_share(other + (count + 1) * fixture, circuit, **given_loads)
    assert over > 1 - NEAR
    for fewer in range(int(min(count, 50)) + 1 if count else 0):
        assert circuit_load_share(other + fewer * fixture, circuit, **given_loads) <= 1 + NEAR


@given(FIXTURES_A, CIRCUITS_A, st.floats(0, 10), st.floats(0, 5))
def test_more_beside_them_never_leaves_room_for_more_fixtures(fixture, circuit, other, more):
    assert fixtures_on_circuit(fixture, circuit, other_load_a=other + more) <= fixtures_on_circuit(
        fixture, circuit, other_load_a=other
    )


@given(st.lists(st.tuples(FIXTURES_A, CIRCUITS_A, st.floats(0, 10)), min_size=1, max_size=5), RULES)
def test_circuit_vector_equals_scalar(rows, rules):
    fixtures, circuits, others = (list(column) for column in zip(*rows, strict=True))
    together = fixtures_on_circuit(fixtures, circuits, other_load_a=others, rule_set=rules)
    assert np.array_equal(together, [fixtures_on_circuit(f, c, other_load_a=o, rule_set=rules) for f, c, o in rows])
    shares = circuit_load_share(fixtures, circuits, rule_set=rules)
    assert np.array_equal(shares, [circuit_load_share(f, c, rule_set=rules) for f, c, _ in rows])
    ratings = circuit_rating_for(fixtures, rules)
    assert np.array_equal(ratings, [circuit_rating_for(f, rules) for f in fixtures])


@given(st.floats(0, 39), RULES)
def test_the_rating_found_is_the_smallest_that_carries(load, rules):
    rating = circuit_rating_for(load, rules)
    assert circuit_load_share(load, rating, rule_set=rules) <= 1 + NEAR
    for smaller in standard_circuits_a(rules)[standard_circuits_a(rules) < rating]:
        assert circuit_load_share(load, smaller, rule_set=rules) > 1 - NEAR


def test_loads_that_last_and_loads_that_do_not():
    assert circuit_load_share(8.0, 20.0, brief_load_a=10.0) == pytest.approx(1.0)
    assert circuit_load_share(8.0, 20.0, brief_load_a=10.0, rule_set="IEC") == pytest.approx(0.9)
    assert fixtures_on_circuit(1.0, 20.0, brief_load_a=10.0) == 8.0
    assert fixtures_on_circuit(5.0, 15.0, other_load_a=30.0) == 0.0


def test_rounding_costs_no_fixture():
    """Three times 0.1 A is a hair above 0.3 A in floating point."""
    assert fixtures_on_circuit(0.1, 0.3, rule_set="IEC") == 3.0
    assert circuit_rating_for(0.1 + 15.9, "IEC") == 16.0
    assert circuit_rating_for(12.0) == 15.0
    assert circuit_rating_for(12.0001) == 20.0


def test_no_standard_circuit_is_that_large():
    with pytest.raises(TableRangeError, match="at most 50 A"):
        circuit_rating_for(41.0)
    assert circuit_rating_for(41.0, "IEC") == 50.0


@pytest.mark.parametrize(
    "arguments",
    [{"fixture_a": 0}, {"circuit_a": 0}, {"other_load_a": -1}, {"brief_load_a": float("nan")}, {"rule_set": "BS"}],
)
def test_bad_circuit_arguments_are_named(arguments):
    name = next(iter(arguments))
    named = {"other_load_a": "load_a"}.get(name, name)
    with pytest.raises(ArgumentError, match=named):
        fixtures_on_circuit(**({"fixture_a": 1.0, "circuit_a": 15.0} | arguments))


# ---- inrush


@given(PEAKS_A, WIDTHS_S, st.floats(6, 63), CURVES, LINES_OHM)
def test_the_number_of_drivers_held_is_held_and_one_more_is_not(peak, width, breaker, curve, line):
    """The count is solved for; the share is summed up: two ways to one answer."""
    mains = {"mains_v": 230.0, "line_ohm": line}
    count = drivers_on_breaker(peak, width, breaker, curve, **mains).drivers_count

    def share(n):
        return inrush_share(peak, width, n, breaker, curve, **mains)

    if math.isinf(count):
        assert share(100_000) <= 1 + NEAR
        return
    assume(count < 1e6)
    assert share(count) <= 1 + NEAR
    assert share(count + 1) > 1 - NEAR
    if count >= 1:
        assert share(count - 1) <= share(count)


@given(PEAKS_A, st.integers(0, 50), LINES_OHM)
def test_one_more_driver_never_draws_less(peak, count, line):
    mains = {"mains_v": 120.0, "line_ohm": line}
    assert inrush_total_a(peak, count, **mains) < inrush_total_a(peak, count + 1, **mains)
    if line:
        assert inrush_total_a(peak, count, **mains) < math.sqrt(2) * 120.0 / line
    else:
        assert inrush_total_a(peak, count) == pytest.approx(peak * count)


@given(WIDTHS_S, WIDTHS_S, st.floats(6, 63), CURVES)
def test_a_longer_pulse_is_never_held_better(one, other, breaker, curve):
    short, long = sorted((one, other))
    assert breaker_holds_a(breaker, curve, long) <= breaker_holds_a(breaker, curve, short)


@given(PEAKS_A, WIDTHS_S, st.floats(0, 2))
def test_a_line_never_lets_fewer_drivers_on(peak, width, line):
    bare = drivers_on_breaker(peak, width, 16.0, "C").drivers_count
    assert drivers_on_breaker(peak, width, 16.0, "C", mains_v=230.0, line_ohm=line).drivers_count >= bare


@given(st.lists(st.tuples(PEAKS_A, WIDTHS_S, st.integers(0, 9), st.floats(6, 63)), min_size=1, max_size=5), CURVES)
def test_inrush_vector_equals_scalar(rows, curve):
    peaks, widths, counts, breakers = (list(column) for column in zip(*rows, strict=True))
    held = breaker_holds_a(breakers, curve, widths)
    assert np.array_equal(held, [breaker_holds_a(b, curve, w) for _, w, _, b in rows])
    total = inrush_total_a(peaks, counts, mains_v=230.0, line_ohm=0.3)
    assert np.array_equal(total, [inrush_total_a(p, n, mains_v=230.0, line_ohm=0.3) for p, _, n, _ in rows])
    assert np.array_equal(short_pulse_factor(widths), [short_pulse_factor(w) for w in widths])


def test_types_rank_and_an_unknown_one_counts_as_the_lowest():
    counts = [drivers_on_breaker(20.0, 0.0003, 16.0, curve).drivers_count for curve in ("B", "C", "D")]
    assert counts == sorted(set(counts))
    unknown = drivers_on_breaker(20.0, 0.0003, 16.0, "unknown")
    assert (unknown.drivers_count, unknown.is_assumed) == (counts[0], True)
    told = drivers_on_breaker(20.0, 0.0003, 16.0, "unknown", trip_multiple=5.0)
    assert (told.drivers_count, told.is_assumed) == (counts[1], False)


def test_what_limits_the_number_is_told():
    few = drivers_on_breaker(60.0, 0.0005, 16.0, "B", driver_a=1.3)
    assert (few.limited_by, few.by_inrush_count, few.by_load_count, few.holds_a) == ("inrush", 1.0, 12.0, 96.0)
    load = drivers_on_breaker(5.0, 0.0001, 16.0, "D", driver_a=4.0, other_load_a=5.0)
    assert (load.limited_by, load.drivers_count) == ("load", 2.0)
    assert drivers_on_breaker(5.0, 0.0001, 16.0, "D", driver_a=4.0, rule_set="NEC").drivers_count == 3.0
    # 0.4 ohm lets sqrt(2) 120 V draw 424 A at most; a D 63 A breaker holds 630 A of any width.
    endless = drivers_on_breaker(60.0, 0.0005, 63.0, "D", mains_v=120.0, line_ohm=0.4)
    assert (endless.limited_by, endless.drivers_count) == ("nothing", math.inf)


def test_drivers_of_several_models_add_up():
    alone = inrush_share(60.0, 0.0005, 2, 16.0, "C")
    mixed = inrush_share([60.0, 20.0], [0.0005, 0.0001], [2, 1], 16.0, "C")
    assert mixed == pytest.approx(alone * 140.0 / 120.0)


@pytest.mark.parametrize(
    "arguments",
    [
        {"inrush_peak_a": 0},
        {"half_value_time_s": 0},
        {"breaker_a": -1},
        {"curve": "A"},
        {"trip_multiple": 0},
        {"mains_v": 0, "line_ohm": 0.1},
        {"line_ohm": -0.1},
        {"driver_a": 0},
        {"rule_set": "BS", "driver_a": 1},
    ],
)
def test_bad_inrush_arguments_are_named(arguments):
    name = {"driver_a": "fixture_a"}.get(next(iter(arguments)), next(iter(arguments)))
    good = {"inrush_peak_a": 60.0, "half_value_time_s": 0.0005, "breaker_a": 16.0, "curve": "B"}
    with pytest.raises(ArgumentError, match=name):
        drivers_on_breaker(**(good | arguments))


def test_a_line_needs_a_mains_voltage():
    with pytest.raises(ArgumentError, match="mains_v"):
        inrush_total_a(60.0, 1, line_ohm=0.1)


# ---- connectors


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("c13", "C13"),
        ("IEC 60320 C13", "C13"),
        ("iec c19", "C19"),
        ("5-15P", "NEMA 5-15"),
        ("nema 6-20r", "NEMA 6-20"),
        (" bs  1363 ", "BS 1363"),
        ("cee 7/7", "CEE 7/7"),
    ],
)
def test_connectors_are_understood_as_the_trade_writes_them(typed, name):
    rules = "IEC" if name in known_connectors("IEC") else "NEC"
    assert connector_rating(typed, rules).connector == name


@pytest.mark.parametrize("rules", ["NEC", "IEC"])
def test_a_lasting_load_is_never_allowed_more(rules):
    for name in known_connectors(rules):
        lasting, brief = (connector_limit_a(name, rules, continuous=c) for c in (True, False))
        assert lasting == pytest.approx(brief * (0.8 if rules == "NEC" else 1.0))


def test_unknown_connectors_and_missing_ratings():
    with pytest.raises(ArgumentError, match="nearest: NEMA 5-15"):
        connector_limit_a("NEMO 5-15")
    with pytest.raises(TableRangeError, match="NEMA 5-15"):
        connector_limit_a("CEE 7/4", "NEC")
    with pytest.raises(TableRangeError, match="BS 1363"):
        connector_limit_a("NEMA 5-15", "IEC")
    with pytest.raises(ArgumentError, match="rule_set"):
        connector_limit_a("C13", "BS")
    assert set(known_connectors("NEC")) | set(known_connectors("IEC")) == set(known_connectors())


# ---- residual current


@given(LEAKAGES_A, st.sampled_from(known_residual_devices_a()), st.floats(0, 0.01))
def test_the_drivers_that_fit_a_residual_device_fit(each, device, other):
    found = drivers_on_residual_device(each, device, other_leakage_a=other)
    assert 0 <= found.drivers_count <= found.before_trip_count
    assert found.standing_limit_a < found.may_trip_a < found.trips_by_a
    for count, limit in (
        (found.drivers_count, found.standing_limit_a),
        (found.before_trip_count, found.may_trip_a),
    ):
        over = leakage_share(each, count + 1, device, other_leakage_a=other)
        assert over > limit / device - NEAR
        if count:
            assert leakage_share(each, count, device, other_leakage_a=other) <= limit / device + NEAR


@given(LEAKAGES_A, st.integers(0, 100), st.floats(0, 0.01))
def test_one_more_driver_never_leaks_less(each, count, other):
    shares = [leakage_share(each, n, 0.03, other_leakage_a=other) for n in (count, count + 1)]
    assert shares[0] < shares[1]


@given(st.lists(st.tuples(LEAKAGES_A, st.sampled_from(known_residual_devices_a())), min_size=1, max_size=5))
def test_leakage_vector_equals_scalar(rows):
    each, devices = (list(column) for column in zip(*rows, strict=True))
    together = drivers_on_residual_device(each, devices)
    alone = [drivers_on_residual_device(e, d) for e, d in rows]
    for name in ("drivers_count", "before_trip_count", "standing_limit_a", "may_trip_a", "trips_by_a"):
        assert np.array_equal(getattr(together, name), [getattr(one, name) for one in alone])
    assert np.array_equal(leakage_share(each, 3, devices), [leakage_share(e, 3, d) for e, d in rows])


def test_unknown_devices_and_bad_leakage():
    with pytest.raises(TableRangeError, match=r"0\.03"):
        drivers_on_residual_device(0.001, 30.0)
    with pytest.raises(ArgumentError, match="leakage_each_a"):
        drivers_on_residual_device(0.0, 0.03)
    with pytest.raises(ArgumentError, match="driver_count"):
        leakage_share(0.001, 1.5, 0.03)


# ---- colours


def test_every_colour_goes_with_the_reminder():
    for rules, where, role in (("NEC", "cord", "line"), ("IEC", "dc", "negative"), ("NEC", "fixed", "earth")):
        assert conductor_colour(role, rules, where).reminder == COLOUR_REMINDER
    assert "proves nothing" in COLOUR_REMINDER
    assert "by test" in COLOUR_REMINDER


def test_a_colour_warns_of_what_else_it_marks():
    assert "IEC fixed: line 2" in conductor_colour("negative", "NEC", "dc").also_means
    assert "NEC cord: neutral" in conductor_colour("negative", "IEC", "dc").also_means
    assert "NEC fixed: line 3" in conductor_colour("neutral", "IEC", "cord").also_means
    assert conductor_colour("earth", "IEC", "cord").also_means == ()


def test_spellings_of_colours():
    assert colour_roles("Gray") == colour_roles("grey")
    assert colour_roles("green/yellow") == colour_roles("green-yellow")
    with pytest.raises(ArgumentError, match="brown"):
        colour_roles("mauve")


@pytest.mark.parametrize(
    ("role", "rules", "where", "error"),
    [
        ("live", "NEC", "cord", ArgumentError),
        ("line", "BS", "cord", ArgumentError),
        ("line", "NEC", "air", ArgumentError),
        ("line", "IEC", "fixed 277/480 V", TableRangeError),
        ("positive", "NEC", "cord", TableRangeError),
    ],
)
def test_no_colour_for_what_is_not_there(role, rules, where, error):
    with pytest.raises(error):
        conductor_colour(role, rules, where)


# ---- earthing


@pytest.mark.parametrize(
    ("protection", "isolated", "output", "place", "mains", "driver", "metal"),
    [
        ("I", True, 54.0, "dry", False, True, False),
        ("I", True, 54.0, "damp", False, True, True),
        ("I", True, 54.0, "dry", True, True, True),
        ("I", False, 54.0, "dry", False, True, True),
        ("I", True, 150.0, "dry", False, True, True),
        ("II", True, 24.0, "wet", False, False, False),
        ("II", True, 24.0, "wet", True, False, True),
        ("II", False, 24.0, "dry", False, False, True),
        ("II", True, 60.1, "dry", False, False, True),
        ("II", True, 60.0, "dry", False, False, False),
        ("III", True, 24.0, "damp", True, False, False),
    ],
)
def test_which_metal_asks_for_earth(protection, isolated, output, place, mains, driver, metal):
    need = metal_to_earth(protection, is_isolated=isolated, output_v=output, location=place, mains_in_fixture=mains)
    assert (need.driver_case, need.fixture_metal) == (driver, metal)
    assert bool(need.reasons) == (driver or metal)


@given(st.sampled_from(["I", "II"]), st.booleans(), st.floats(0, 400), st.floats(0, 100), st.booleans())
def test_more_volts_never_ask_for_less_earth(protection, isolated, output, more, mains):
    one, other = (
        metal_to_earth(protection, is_isolated=isolated, output_v=v, mains_in_fixture=mains)
        for v in (output, output + more)
    )
    assert one.fixture_metal <= other.fixture_metal


def test_class_iii_is_always_isolated():
    with pytest.raises(ArgumentError, match="is_isolated"):
        metal_to_earth("III", is_isolated=False, output_v=24.0)
    with pytest.raises(ArgumentError, match="protection_class"):
        metal_to_earth("0", is_isolated=True, output_v=24.0)


@given(st.floats(0.5, 400), st.floats(0, 100), st.sampled_from(["in cable", "separate, unprotected"]))
def test_a_thicker_line_never_has_a_thinner_earth(line, more, run):
    least = protective_conductor_mm2(line, run=run)
    assert least <= protective_conductor_mm2(line + more, run=run)
    assert least >= protective_conductor_mm2(line)
    assert protective_conductor_mm2(line) <= line


@given(st.floats(1, 199), st.floats(0, 100))
def test_a_larger_circuit_never_has_a_thinner_earth(circuit, more):
    larger = min(circuit + more, 200.0)
    assert equipment_earth_mm2(circuit) <= equipment_earth_mm2(larger)
    assert equipment_earth_mm2(circuit) == conductor_area_mm2(equipment_earth_size(circuit))


def test_earth_vectors_and_errors():
    assert np.array_equal(equipment_earth_mm2([15, 60]), [equipment_earth_mm2(15), equipment_earth_mm2(60)])
    assert np.array_equal(
        protective_conductor_mm2([4, 35]), [protective_conductor_mm2(4), protective_conductor_mm2(35)]
    )
    with pytest.raises(TableRangeError, match="at most 200 A"):
        equipment_earth_size(201.0)
    with pytest.raises(ArgumentError, match="run"):
        protective_conductor_mm2(1.5, run="loose")
