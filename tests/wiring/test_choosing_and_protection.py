"""Coatings and metals, the smallest wire, protection, Class 2: behaviour, errors, properties, brute force."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.wiring.choosing import smallest_size
from ledcalc.wiring.class_2 import TOUCH_CLASSES, class_2_limits, is_within_class_2, touch_voltage_class
from ledcalc.wiring.devices import (
    DEVICE_KINDS,
    device_kind,
    highest_rating_within,
    next_rating,
    small_conductor_limit,
)
from ledcalc.wiring.laying import buyable_sizes
from ledcalc.wiring.protection import PROTECTION_STATUSES, wire_protection


@pytest.mark.parametrize("rule_set", ["NEC", "IEC"])
@pytest.mark.parametrize("stranding", ["solid", "stranded", "flexible"])
def test_tin_costs_resistance(rule_set, stranding):
    for size in ("22 AWG", "18 AWG", "4 AWG") if rule_set == "NEC" else ("0.5 mm2", "2.5 mm2", "35 mm2"):
        bare, tinned = (
            lc.conductor_resistance(size, 1.0, stranding=stranding, coating=coating, rule_set=rule_set)
            for coating in ("bare", "tinned")
        )
        assert bare < tinned < 1.09 * bare


def test_a_drop_takes_coating_and_metal():
    run = {"current_a": 2.0, "one_way_length_m": 3.0, "size": "18 AWG"}
    plain = lc.wire_voltage_drop(**run)
    assert lc.wire_voltage_drop(**run, coating="bare", material="copper") == plain
    tinned = lc.conductor_resistance("18 AWG", 3.0, coating="tinned")
    assert lc.wire_voltage_drop(**run, coating="tinned") == pytest.approx(4.0 * tinned, rel=1e-15)
    assert lc.wire_voltage_drop(**run, material="aluminium") == pytest.approx(1.63 * plain, rel=0.02)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"coating": "silver"}, "coating"),
        ({"material": "steel"}, "material"),
        ({"material": "aluminium", "coating": "tinned"}, "bare"),
        ({"material": "aluminium", "stranding": "flexible"}, "no flexible class"),
        ({"size": "1.5 mm2", "rule_set": "IEC", "material": "aluminium"}, "10 mm2 to 35 mm2"),
    ],
)
def test_wire_that_is_not_made_is_refused(arguments, words):
    with pytest.raises(ArgumentError, match=words):
        lc.conductor_resistance(**({"size": "18 AWG", "length_m": 1.0} | arguments))


def test_a_bad_length_is_named_as_the_caller_wrote_it():
    with pytest.raises(ArgumentError, match="one_way_length_m"):
        lc.wire_voltage_drop(1.0, -1.0, "18 AWG")


def test_a_size_without_an_aluminium_row_is_outside_the_table():
    with pytest.raises(TableRangeError):
        lc.conductor_resistance("6 mm2", 1.0, material="aluminium", rule_set="IEC")


# ---- standard ratings ----


@given(st.floats(0, 400), st.sampled_from(DEVICE_KINDS))
def test_standard_ratings_enclose_a_current(current, kind):
    ratings = device_kind(kind).ratings_a
    if current <= ratings[-1]:
        assert next_rating(current, kind) == min(rating for rating in ratings if rating >= current * (1 - 1e-8))
    if current >= ratings[0]:
        assert highest_rating_within(current, kind) == max(
            rating for rating in ratings if rating <= current * (1 + 1e-8)
        )


def test_ratings_take_arrays_and_forgive_the_last_bit():
    assert next_rating([2.0, 3.0, 3.1], "NEC fuse") == pytest.approx([3.0, 3.0, 6.0])
    assert next_rating(3.0000000001, "NEC fuse") == highest_rating_within(2.9999999999, "NEC fuse") == 3.0
    assert isinstance(next_rating(2, "blade fuse"), float)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: next_rating(40.1, "blade fuse"), "largest blade fuse"),
        (lambda: highest_rating_within(5.9, "IEC breaker"), "smallest IEC breaker"),
        (lambda: next_rating(1.0, "wire"), "kind"),
        (lambda: next_rating(-1.0, "blade fuse"), "current_a"),
        (lambda: small_conductor_limit("20 AWG"), "18 AWG and thicker"),
        (lambda: small_conductor_limit("1.5 mm2"), "belongs to IEC"),
        (lambda: class_2_limits(150.1), "150"),
        (lambda: class_2_limits(60.1, inherently_limited=False), "60"),
        (lambda: class_2_limits(24.0, "three-phase"), "kind"),
        (lambda: is_within_class_2(24.0, 1.0, 20.0, kind="ac", location="wet"), "location"),
    ],
)
def test_what_no_table_covers_is_refused(call, words):
    with pytest.raises(ArgumentError, match=words):
        call()


def test_small_conductors_by_gauge():
    assert small_conductor_limit("17 AWG") == small_conductor_limit("18 AWG")
    assert small_conductor_limit("11 AWG").device_a == 20.0
    assert math.isinf(small_conductor_limit("8 AWG").device_a)
    assert math.isinf(small_conductor_limit("9 AWG").continuous_a)


# ---- the smallest wire ----

CORD = {"wire_kind": "flexible cord", "insulation_c": 60}
NEC_SIZES = [f"{gauge} AWG" for gauge in (24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2)] + [
    f"{n}/0 AWG" for n in range(1, 5)
]
IEC_SIZES = [f"{area} mm2" for area in ("0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35")]
SMALL_A = {"18 AWG": 7, "16 AWG": 10, "14 AWG": 15, "12 AWG": 20, "10 AWG": 30}


def random_run(generator):
    rules = str(generator.choice(["NEC", "IEC"]))
    run = {
        "current_a": float(generator.uniform(0.1, 30)),
        "one_way_length_m": float(generator.uniform(0.1, 25)),
        "allowed_drop_v": float(generator.uniform(0.05, 3)),
        "conductors": int(generator.choice([1, 2])),
        "stranding": str(generator.choice(["solid", "stranded", "flexible"])),
        "ambient_c": float(generator.uniform(15, 54)),
        "loaded_conductors": int(generator.choice([2, 3])),
        "grouped_circuits": int(generator.integers(1, 7)),
        "contact_resistance_ohm": float(generator.choice([0.0, 0.003])),
        "rule_set": rules,
        "protection_a": float(generator.uniform(1, 40)) if generator.random() < 0.6 else None,
    }
    if rules == "IEC":
        return run | {"installation_method": str(generator.choice(["A1", "B2", "C", "E"])), "insulation_c": 70}
    kind = str(generator.choice(["building wire", "flexible cord", "fixture wire"]))
    return run | {"wire_kind": kind, "insulation_c": int(generator.choice([60, 75, 90]))}


def meets_all(size, run):
    """The three conditions, each from the public formulas, for one size; None where no table has an ampacity."""
    laid = {
        key: run[key]
        for key in ("wire_kind", "insulation_c", "loaded_conductors", "installation_method", "rule_set")
        if key in run
    }
    try:
        table_a = lc.conductor_ampacity(size, **laid)
        ampacity = lc.conductor_ampacity(
            size, **laid, ambient_c=run["ambient_c"], grouped_circuits=run["grouped_circuits"]
        )
    except TableRangeError:
        return None
    warm = run["ambient_c"] + (run["insulation_c"] - 30.0) * (run["current_a"] / table_a) ** 2
    drop = lc.wire_voltage_drop(
        run["current_a"],
        run["one_way_length_m"],
        size,
        conductor_temperature_c=min(warm, 250.0),
        stranding=run["stranding"],
        conductors=run["conductors"],
        rule_set=run["rule_set"],
    )
    limit = min(ampacity, SMALL_A.get(size, math.inf)) if run.get("wire_kind") == "building wire" else ampacity
    return (
        drop + run["current_a"] * run["contact_resistance_ohm"] <= run["allowed_drop_v"]
        and run["current_a"] <= ampacity
        and (run["protection_a"] is None or run["protection_a"] <= limit)
    )


def test_the_smallest_size_by_brute_force_over_a_thousand_runs():
    generator = np.random.default_rng(20_240)
    governed = []
    for _ in range(1000):
        run = random_run(generator)
        found = smallest_size(**run)
        sizes = NEC_SIZES if run["rule_set"] == "NEC" else IEC_SIZES
        assert found.size == next((size for size in sizes if meets_all(size, run)), None), run
        governed.append(found.governed_by if found.size else "none")
    # Each way of coming out has its share of the thousand, or the brute force shows nothing.
    counts = {word: governed.count(word) for word in ("drop", "ampacity", "protection", "none")}
    assert all(count > 50 for count in counts.values()), counts
    assert sum(counts.values()) == 1000


@given(st.floats(0.1, 30), st.floats(0, 10), st.floats(0.1, 20), st.sampled_from(["NEC", "IEC"]))
def test_more_current_never_takes_a_smaller_wire(current, more, length, rules):
    sizes = buyable_sizes(rules)
    laid = CORD if rules == "NEC" else {"installation_method": "C"}
    ranks = [
        sizes.index(found.size) if found.size else len(sizes)
        for found in (
            smallest_size(amps, length, allowed_drop_v=1.5, rule_set=rules, **laid)
            for amps in (current, current + more)
        )
    ]
    assert ranks[0] <= ranks[1]


@given(st.floats(0.1, 20), st.floats(0.1, 20), st.floats(0.05, 2), st.floats(0, 1))
def test_more_drop_allowed_never_takes_a_larger_wire(current, length, allowed, more):
    sizes = buyable_sizes("NEC")
    tight, loose = (smallest_size(current, length, allowed_drop_v=v, **CORD) for v in (allowed, allowed + more))
    assert loose.by_drop is not None or tight.by_drop is None
    if tight.by_drop and loose.by_drop:
        assert sizes.index(loose.by_drop) <= sizes.index(tight.by_drop)
    assert loose.by_ampacity == tight.by_ampacity


def test_the_figures_are_those_of_the_size_chosen():
    run = {"current_a": 4.0, "one_way_length_m": 5.0, "allowed_drop_v": 0.8}
    found = smallest_size(**run, **CORD, ambient_c=25.0, contact_resistance_ohm=0.01, protection_a=9.0)
    # By hand: 18 AWG would warm to 25 + 30 (4/10)^2 = 29.8 degC and drop 4 (10 m 22.3 mohm/m + 10 mohm) = 0.93 V.
    assert (found.size, found.governed_by) == ("16 AWG", "drop")
    assert found.conductor_temperature_c == pytest.approx(25 + 30 * (4 / 13) ** 2)
    ohm = 10 * 4.99 / 304.8 * (1 + 0.00323 * (found.conductor_temperature_c - 75)) + 0.01
    assert found.resistance_ohm == pytest.approx(ohm)
    assert found.drop_v == pytest.approx(4.0 * ohm)
    assert (found.ampacity_a, found.wire_limit_a) == (pytest.approx(13 * 1.08), pytest.approx(13 * 1.08))
    assert (found.by_ampacity, found.by_protection) == ("18 AWG", "18 AWG")


def test_without_a_kind_of_wire_only_the_drop_is_asked():
    found = smallest_size(0.35, 1.0, allowed_drop_v=0.2, protection_a=5.0)
    assert (found.size, found.governed_by, found.by_ampacity, found.by_protection) == ("24 AWG", "drop", None, None)
    assert "no wire kind" in found.ampacity_reason
    assert "no wire kind" in found.protection_reason
    assert "installation method" in smallest_size(0.35, 1.0, allowed_drop_v=0.2, rule_set="IEC").ampacity_reason
    assert found.conductor_temperature_c == 30.0


@pytest.mark.parametrize(
    ("arguments", "governed_by", "field", "words"),
    [
        ({"contact_resistance_ohm": 1.0}, "drop", "drop_reason", "still drops"),
        ({"current_a": 60.0}, "ampacity", "ampacity_reason", "6 AWG, the thickest"),
        ({"protection_a": 100.0}, "protection", "protection_reason", "6 AWG, the thickest"),
        ({"ambient_c": 58.0}, "ampacity", "ampacity_reason", "ambient_c"),
        ({"one_way_length_m": 250.0}, "drop", "drop_reason", "drops"),
    ],
)
def test_where_no_size_does_the_reason_says_why(arguments, governed_by, field, words):
    run = {"current_a": 2.0, "one_way_length_m": 2.0, "allowed_drop_v": 1.0} | CORD | arguments
    if "current_a" in arguments:
        run["one_way_length_m"] = 0.1
    found = smallest_size(**run)
    assert (found.size, found.drop_v, found.governed_by) == (None, None, governed_by)
    assert words in getattr(found, field)


@pytest.mark.parametrize(
    ("run", "by_drop"),
    [
        # Overloaded, 18 AWG would reach 30 + 30 (20/10)^2 = 150 degC and drop 1.30 V; at 90 degC it would be 1.09 V.
        ({"current_a": 20.0, "one_way_length_m": 1.0, "allowed_drop_v": 1.2}, "16 AWG"),
        # 20 AWG has no row and goes by those 150 degC: 2.01 V; at 60 degC it would be 1.54 V.
        ({"current_a": 20.0, "one_way_length_m": 1.0, "allowed_drop_v": 1.8}, "18 AWG"),
        # Hardly loaded it goes by its insulation's 60 degC: 0.77 V; at the 30.3 degC of 18 AWG it would be 0.69 V.
        ({"current_a": 1.0, "one_way_length_m": 10.0, "allowed_drop_v": 0.72}, "18 AWG"),
        # 4 AWG has no row and goes by the 60 degC of 6 AWG at 55 A: 1.06 V; in the air's 30 degC it would be 0.95 V.
        ({"current_a": 55.0, "one_way_length_m": 10.0, "allowed_drop_v": 1.0}, "2 AWG"),
    ],
)
def test_own_heating_where_the_table_has_a_row_and_where_not(run, by_drop):
    assert smallest_size(**run, **CORD).by_drop == by_drop


@pytest.mark.parametrize(
    ("current", "laid", "warm_c"),
    [
        (5.0, {"wire_kind": "flexible cord"}, 30 + 30 * (5 / 10) ** 2),
        (3.0, {"wire_kind": "fixture wire"}, 30 + 60 * (3 / 6) ** 2),
        (9.75, {"installation_method": "C", "rule_set": "IEC"}, 30 + 40 * (9.75 / 19.5) ** 2),
    ],
)
def test_an_insulation_left_out_counts_as_usual(current, laid, warm_c):
    assert smallest_size(current, 1.0, allowed_drop_v=2.0, **laid).conductor_temperature_c == pytest.approx(warm_c)


def test_a_temperature_given_goes_before_own_heating():
    cool, hot = (smallest_size(9.0, 3.0, allowed_drop_v=3.0, conductor_temperature_c=t, **CORD) for t in (20, 60))
    assert cool.size == hot.size
    assert hot.drop_v / cool.drop_v == pytest.approx((1 + 0.00323 * -15) / (1 + 0.00323 * -55))


@pytest.mark.parametrize(
    "arguments",
    [
        {"current_a": -1},
        {"allowed_drop_v": 0},
        {"protection_a": 0},
        {"conductors": 1.5},
        {"contact_resistance_ohm": -1},
        {"one_way_length_m": float("nan")},
        {"rule_set": "BS"},
        {"wire_kind": "building wire"},
    ],
)
def test_choosing_names_bad_arguments(arguments):
    name = "insulation_c" if "wire_kind" in arguments else next(iter(arguments))
    with pytest.raises(ArgumentError, match=name):
        smallest_size(**({"current_a": 1.0, "one_way_length_m": 1.0, "allowed_drop_v": 1.0} | arguments))


# ---- protection ----


def protect(load, ampacity, source, **more):
    return wire_protection(load, ampacity, source, **({"source_voltage_v": 48.0, "size": "18 AWG"} | CORD | more))


@pytest.mark.parametrize(
    ("arguments", "status", "remedy"),
    [
        ((2.0, 10.0, 9.0, {}), "protected by the source's limit", None),
        ((2.0, 10.0, 10.0, {}), "protected by the source's limit", None),
        ((2.0, 10.0, 12.0, {}), "within ampacity, not protected by the source's limit", "16 AWG"),
        ((2.0, 10.0, math.inf, {}), "within ampacity, not protected by the source's limit", None),
        ((11.0, 10.0, 12.0, {}), "over its ampacity", "16 AWG"),
        ((11.0, 10.0, 40.0, {"fuse_a": 3.0}), "over its ampacity", None),
        ((2.0, 10.0, 12.0, {"fuse_a": 3.0}), "protected by its fuse", None),
        ((2.0, 10.0, 12.0, {"fuse_a": 15.0}), "fuse above the wire", "16 AWG"),
        ((2.0, 10.0, 40.0, {"fuse_a": 15.0}), "fuse above the wire", "14 AWG"),
        ((2.0, 10.0, 12.0, {"fuse_a": 2.4}), "fuse too small for its load", None),
        ((2.0, 10.0, 12.0, {"fuse_a": 2.4, "continuous": False}), "protected by its fuse", None),
        ((2.0, 10.0, 12.0, {"fuse_a": 10.0}), "limited electronically only", "16 AWG"),
        ((2.0, 10.0, 13.5, {"fuse_a": 10.0}), "protected by its fuse", None),
        ((2.0, 10.0, 9.0, {"fuse_a": 10.0}), "protected by the source's limit", None),
        ((2.0, 10.0, 12.0, {"fuse_a": 3.0, "fuse_kind": "blade fuse"}), "fuse's voltage too low (DC)", None),
        (
            (2.0, 10.0, 12.0, {"fuse_a": 3.0, "fuse_kind": "blade fuse", "source_voltage_v": 24.0}),
            "protected by its fuse",
            None,
        ),
        (
            (2.0, 10.0, 12.0, {"fuse_a": 3.0, "fuse_kind": "blade fuse", "fuse_voltage_v": 58.0}),
            "protected by its fuse",
            None,
        ),
        ((2.0, 10.0, 12.0, {"fuse_a": 3.0, "fuse_voltage_v": 32.0}), "fuse's voltage too low (DC)", None),
        # A 5 x 20 mm fuse of 8 A may carry 16.8 A for half an hour, more than 1.45 x 10 A.
        ((2.0, 10.0, 40.0, {"fuse_a": 8.0, "fuse_kind": "cartridge fuse"}), "fuse above the wire", "16 AWG"),
        ((2.0, 10.0, 40.0, {"fuse_a": 7.0, "fuse_kind": "cartridge fuse"}), "fuse above the wire", "16 AWG"),
        ((2.0, 10.0, 40.0, {"fuse_a": 6.3, "fuse_kind": "cartridge fuse"}), "protected by its fuse", None),
        # Own ampacity lower than the table's: the remedy is thicker all the same.
        ((2.0, 5.0, 8.0, {}), "within ampacity, not protected by the source's limit", "16 AWG"),
    ],
)
def test_the_status_of_a_wire(arguments, status, remedy):
    load, ampacity, source, more = arguments
    found = protect(load, ampacity, source, **more)
    assert (found.status, found.remedy_size) == (status, remedy)
    assert found.is_protected == (status.startswith("protected"))
    assert found.notes


def test_every_status_can_come_about():
    cases = test_the_status_of_a_wire.pytestmark[0].args[1]
    assert {status for _, status, _ in cases} == set(PROTECTION_STATUSES)


def test_building_wire_goes_by_the_small_conductor_limit():
    """NEC 240.4(D): 18 AWG of 14 A ampacity takes 7 A at most, and 5.6 A for hours."""
    wire = {"wire_kind": "building wire", "insulation_c": 90}
    found = protect(4.0, 14.0, 20.0, **wire)
    assert (found.wire_limit_a, found.highest_fuse_a, found.recommended_fuse_a) == (7.0, 6.0, 6.0)
    assert any("240.4(D)" in note for note in found.notes)
    assert protect(6.0, 14.0, 6.5, **wire).status == "over its ampacity"
    assert protect(6.0, 14.0, 6.5, **wire, continuous=False).status == "protected by the source's limit"
    assert protect(4.0, 14.0, 20.0, wire_kind=None, insulation_c=None).wire_limit_a == 7.0
    assert protect(4.0, 12.0, 20.0, wire_kind=None, insulation_c=None, size="22 AWG").wire_limit_a == 12.0


def test_iec_asks_for_no_margin_over_the_load():
    cable = {"size": "1.5 mm2", "rule_set": "IEC", "installation_method": "C", "wire_kind": None, "insulation_c": 70}
    found = protect(6.3, 19.5, 40.0, **cable)
    assert (found.fuse_kind, found.needed_fuse_a, found.highest_fuse_a) == ("cartridge fuse", 6.3, 10.0)
    assert protect(6.0, 19.5, 40.0, **cable, fuse_kind="IEC breaker").needed_fuse_a == 6.0
    assert protect(6.0, 19.5, 40.0, **cable, fuse_kind="IEC breaker").highest_fuse_a == 16.0
    # By Table B.52.2, method C: 6 mm2 carries 46 A, 4 mm2 36 A.
    assert found.remedy_size == "6 mm2"


def test_what_no_fuse_fits_is_said():
    heavy = protect(9.0, 10.0, 40.0)
    assert (heavy.needed_fuse_a, heavy.highest_fuse_a, heavy.recommended_fuse_a) == (15.0, 10.0, None)
    none_so_large = protect(12.0, 30.0, 40.0, fuse_kind="cartridge fuse", size="10 AWG")
    assert none_so_large.needed_fuse_a is None
    assert any("as large as" in note for note in none_so_large.notes)
    none_so_small = protect(0.1, 5.0, 40.0, fuse_kind="IEC breaker")
    assert none_so_small.highest_fuse_a is None
    assert any("as small as" in note for note in none_so_small.notes)
    assert protect(2.0, 10.0, 12.0, fuse_kind="blade fuse").recommended_fuse_a is None
    # 10 A for the load, but 13.5 A to open it.
    assert [protect(8.0, 10.0, source).recommended_fuse_a for source in (13.4, 13.5)] == [None, 10.0]
    unblown = protect(9.0, 20.0, 12.0, fuse_a=15.0, size="14 AWG")
    assert unblown.status == "protected by the source's limit"
    assert any("never blow" in note for note in unblown.notes)
    assert any("no standard rating" in note for note in protect(2.0, 10.0, 40.0, fuse_a=7.0).notes)
    assert any("not given" in note for note in protect(2.0, 10.0, 12.0, wire_kind=None, insulation_c=None).notes)
    assert any("insulation_c" in note for note in protect(2.0, 10.0, 12.0, ambient_c=40.0, insulation_c=None).notes)


AMPS = st.floats(0.1, 60)


@given(AMPS, AMPS, AMPS, st.sampled_from(DEVICE_KINDS), st.sampled_from(["NEC", "IEC"]), st.booleans())
def test_a_fuse_recommended_is_between_load_and_wire(load, ampacity, source, kind, rules, continuous):
    wire = {"rule_set": rules, "fuse_kind": kind, "source_voltage_v": 24.0, "continuous": continuous}
    wire |= {"size": "14 AWG"} if rules == "NEC" else {"size": "1.5 mm2"}
    found = wire_protection(load, ampacity, source, **wire)
    if found.recommended_fuse_a is None:
        return
    assert load <= found.recommended_fuse_a * (1 + 1e-8)
    assert found.recommended_fuse_a <= min(found.wire_limit_a, ampacity) * (1 + 1e-8)
    fitted = wire_protection(load, ampacity, source, **wire, fuse_a=found.recommended_fuse_a)
    assert fitted.status == "protected by its fuse"


@given(
    AMPS,
    AMPS,
    AMPS,
    st.none() | st.sampled_from([1.0, 3.0, 6.0, 10.0, 15.0, 20.0, 30.0]),
    st.sampled_from(DEVICE_KINDS),
)
def test_what_lasts_in_a_protected_wire_is_what_the_wire_stands(load, ampacity, source, fuse, kind):
    """Whatever the status says, a current that lasts is what the source gives and the fuse does not open."""
    found = protect(load, ampacity, source, fuse_a=fuse, fuse_kind=kind, source_voltage_v=12.0)
    lasting = source if fuse is None else min(source, device_kind(kind).opens_factor * fuse)
    if found.is_protected:
        assert load <= ampacity * (1 + 1e-8)
        assert lasting <= (ampacity if found.status.endswith("limit") else 1.45 * ampacity) * (1 + 1e-8)
    elif load < ampacity and fuse is None:
        assert lasting > ampacity * (1 - 1e-8)


@given(st.floats(0.5, 20), st.floats(5, 60), st.none() | st.sampled_from([3.0, 10.0, 15.0, 25.0]))
def test_the_remedy_is_the_next_size_that_would_be_protected(load, source, fuse):
    found = protect(load, 10.0, source, fuse_a=fuse)
    thicker = {"16 AWG": 13, "14 AWG": 18, "12 AWG": 25, "10 AWG": 30, "8 AWG": 40, "6 AWG": 55}
    good = [size for size, amps in thicker.items() if protect(load, amps, source, fuse_a=fuse, size=size).is_protected]
    assert found.remedy_size == (None if found.is_protected else next(iter(good), None))


@pytest.mark.parametrize(
    "arguments",
    [
        {"source_limit_a": 0},
        {"ampacity_a": 0},
        {"load_a": -1},
        {"fuse_a": 0},
        {"fuse_kind": "nail"},
        {"fuse_voltage_v": 0},
        {"wire_kind": "string"},
        {"size": "1.5 mm2"},
        {"rule_set": "BS"},
        {"source_voltage_v": -1},
    ],
)
def test_protection_names_bad_arguments(arguments):
    wire = {"load_a": 2.0, "ampacity_a": 10.0, "source_limit_a": 12.0, "source_voltage_v": 48.0, "size": "18 AWG"}
    with pytest.raises(ArgumentError, match=next(iter(arguments))):
        wire_protection(**(wire | arguments))


# ---- Class 2 and open-circuit voltage ----


@pytest.mark.parametrize(
    ("source", "more", "passed"),
    [
        ((24.0, 4.5, 96.0), {}, []),
        ((24.0, 8.1, 96.0), {}, ["current"]),
        ((24.0, 4.5, 120.0), {}, ["rated output"]),
        ((54.0, 12.5, 600.0), {}, ["current", "rated output"]),
        ((42.0, 2.5, 90.0), {"location": "wet"}, ["voltage"]),
        ((42.0, 2.5, 90.0), {"location": "damp"}, ["voltage"]),
        ((30.0, 2.5, 75.0), {"location": "wet"}, []),
        ((200.0, 0.3, 60.0), {}, ["voltage"]),
        ((96.0, 0.3, 28.0), {}, ["current", "rated output"]),
        ((12.0, 60.0, 60.0), {"inherently_limited": False}, []),
        ((24.0, 8.0, 100.0), {"kind": "ac"}, []),
    ],
)
def test_which_class_2_limit_is_passed(source, more, passed):
    found = is_within_class_2(*source, **more)
    assert found.is_within == (not passed)
    assert len(found.passed_limits) == len(passed)
    assert all(text.startswith(word) for text, word in zip(found.passed_limits, passed, strict=True))
    assert (found.limits is None) == (source[0] > 150)


@given(st.floats(0.5, 60), st.floats(0.5, 60))
def test_a_higher_voltage_never_allows_more_current(one, other):
    low, high = sorted((one, other))
    for kind, most in (("dc", 60.0), ("ac", 30.0)):
        if high <= most:
            for inherent in (True, False):
                limits = [class_2_limits(volts, kind, inherent) for volts in (low, high)]
                assert limits[1].current_a <= limits[0].current_a
                assert limits[1].nameplate_a <= limits[0].nameplate_a * (1 + 1e-12)


@pytest.mark.parametrize("rule_set", ["NEC", "IEC"])
def test_open_circuit_voltage_of_a_string(rule_set):
    places = [touch_voltage_class(volts, rule_set=rule_set) for volts in (0.0, 30.0, 30.1, 60.0, 60.1)]
    assert places == [TOUCH_CLASSES[0], TOUCH_CLASSES[0], TOUCH_CLASSES[1], TOUCH_CLASSES[1], TOUCH_CLASSES[2]]


def test_terminals_hold_a_wire_to_their_own_column():
    """NEC 310.16, 12 AWG copper: 20 A at 60 degC, 25 A at 75 degC, 30 A at 90 degC (table as read in public copies)."""
    from ledcalc.wiring import terminal_limit_a

    limits = [terminal_limit_a("12 AWG", warm, wire_kind="building wire") for warm in (60.0, 75.0, 90.0)]
    assert limits == [20.0, 25.0, 30.0]
    # What the table has no column for, it says nothing of.
    assert terminal_limit_a("18 AWG", 60.0, wire_kind="building wire") == float("inf")
