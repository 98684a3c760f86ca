"""What a cell says when there is no answer: the cell's own names of arguments, and what to type instead."""

import re

import pytest

from ledcalc.cells import call_cell, cell_functions

ERROR = "LC error: "
POINTS = [[[0.1], [0.2]], [[21.0], [22.0]]]


@pytest.mark.parametrize(
    ("name", "arguments", "words"),
    [
        ("LC_WIRE_DROP", [-1.0, 1.0, "18 AWG"], "current is -1; allowed: a finite number, at least 0"),
        ("LC_WIRE_AMPACITY", ["18 AWG"], "give wire_kind (NEC: which table"),
        ("LC_WIRE_AMPACITY", ["12 AWG", "building wire"], "give insulation (Insulation rating, degC)"),
        ("LC_WIRE_AMPACITY", ["12 AWG", "building wire", 75.0, "C"], "method is 'C'; allowed: a blank with the NEC"),
        ("LC_WIRE_OHM", ["18 AWG", "18 in"], "length is '18 in', which is no number; write a plain number in metres"),
        ("LC_WIRE_OHM", [0.0, 1.0], "size is '0'; allowed: a size of the NEC rule set"),
        ("LC_WIRE_OHM", ["18 AWG", 1.0, 20.0, 0.0], "stranding is '0' (in Calc a blank cell arrives as 0); allowed"),
        ("LC_WIRE_DROP", [1.0, 1.0, "18 AWG", 20.0, 3.0], "conductors is 3; allowed: a finite number, at least 1 and"),
        ("LC_DROP_BY_OHM", [1.0, 1.0, 0.02, 3.0], "conductors is 3; allowed"),
        ("LC_AIR_RISE", [1.0, 0.0], "ventilation is 0; allowed: more than 0 where walls is 0"),
        ("LC_BOARD_VOLTS", [0.3, [[0.1], [0.2]], [[22.0], [21.0]]], "point_volts is [22.0, 21.0]"),
        ("LC_BOARD_VOLTS", [0.3, [[0.1], [-0.2]], [[21.0], [22.0]]], "point_amps is -0.2"),
        (
            "LC_BOARD_VOLTS",
            [0.3, [[0.1], [0.2]], [[21.0]]],
            "point_volts is 1; allowed: as many voltages as currents, 2",
        ),
        ("LC_BOARD_AMPS", [-22.0, *POINTS], "voltage is -22"),
        ("LC_PPFD", [0.1, 0.1, [[0.0, 0.0, 0.3, 0.1, 0.1, -5.0]]], "photon flux is -5"),
        ("LC_DLI", ["LC error: current is -1", 16.0], "ppfd comes from a cell that failed: current is -1"),
        ("LC_WIRE_OHM", ["LC error: no size carries it", 1.0], "size comes from a cell that failed: no size carries"),
    ],
)
def test_a_cell_speaks_of_its_own_arguments(name, arguments, words):
    assert call_cell(name, arguments).startswith(f"{ERROR}{words}")


@pytest.mark.parametrize("function", cell_functions(), ids=lambda function: function.name)
def test_no_error_uses_a_name_of_python(function):
    """Each argument in turn below every range: what comes back names the cell's argument, or nothing of Python's."""
    for place, argument in enumerate(function.arguments):
        if argument.kind not in {"number", "single"}:
            continue
        given = [2.0 if one.kind in {"number", "single"} else "18 AWG" for one in function.arguments]
        given[place] = -1e9
        for shown in str(call_cell(function.name, given)).split(ERROR)[1:]:
            foreign = set(re.findall(r"\bNone\b|\w+_(?:a|v|m|w|c|h|ohm|nm|count|fraction)\b", shown))
            assert foreign <= {one.name for one in function.arguments}, shown


def test_a_number_is_a_size_of_the_rule_set():
    assert call_cell("LC_WIRE_OHM", [18.0, 1.0]) == call_cell("LC_WIRE_OHM", ["18 AWG", 1.0])
    metric = call_cell("LC_WIRE_OHM", ["1.5 mm2", 1.0, None, None, "IEC"])
    assert call_cell("LC_WIRE_OHM", [1.5, 1.0, None, None, "IEC"]) == metric == pytest.approx(0.0121)
    column = call_cell("LC_WIRE_AREA", [[[18.0], ["16 AWG"], [0.0]]])
    assert column[:2] == call_cell("LC_WIRE_AREA", [[["18 AWG"], ["16 AWG"]]])
    assert column[2][0].startswith(f"{ERROR}size is '0'")
