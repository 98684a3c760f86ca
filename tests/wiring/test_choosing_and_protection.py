"""Coatings and metals, the smallest wire, protection, Class 2: behaviour, errors, properties, brute force."""

import pytest

import ledcalc as lc
from ledcalc.errors import ArgumentError, TableRangeError


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


def test_a_size_without_an_aluminium_row_is_outside_the_table():
    with pytest.raises(TableRangeError):
        lc.conductor_resistance("6 mm2", 1.0, material="aluminium", rule_set="IEC")
