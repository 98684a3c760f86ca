"""Cell functions as a spreadsheet calls them: values, blanks, ranges, errors in words; the registry itself."""

import inspect
import io
import json
import math
import re
import sys
from pathlib import Path

import numpy as np
import pytest

from ledcalc.cells import call_cell, cell_function, cell_functions
from ledcalc.cells.registry import KINDS
from ledcalc.cells.worker import serve
from ledcalc.errors import ArgumentError

sys.path.insert(0, str(Path(__file__).parent))
from arguments import argument_sets

ERROR = "LC error: "
# Words of VBA that no argument of an Excel function may be called.
VBA_WORDS = set(
    """and as base binary byref byval call case const date debug declare dim do each else empty end enum erase error
    event exit false for friend function get goto if implements in input integer is len let like lock long loop mid
    mod new next not nothing null object on open option optional or paramarray position preserve print private
    property public put redim resume seek select set single static step stop string sub then time to true type until
    variant wend while width with write xor""".split()  # noqa: SIM905 (a list of words reads better as words)
)


def named(value):
    return value if isinstance(value, str) else ""


def test_there_are_functions_for_every_trade():
    trades = [function.trade for function in cell_functions()]
    assert len(trades) >= 20
    assert set(trades) >= {"wiring", "circuits", "heat", "light", "dose"}


@pytest.mark.parametrize("function", cell_functions(), ids=lambda function: function.name)
def test_registry_fits_what_it_calls(function):
    """Every keyword exists; what Python requires is required or defaulted here; a default here is Python's own."""
    parameters = inspect.signature(function.function()).parameters
    keywords = [argument.keyword for argument in function.arguments]
    assert set(keywords) <= set(parameters)
    for name, parameter in parameters.items():
        if parameter.default is inspect.Parameter.empty:
            assert name in keywords
    for argument in function.arguments:
        assert argument.kind in KINDS
        default = parameters[argument.keyword].default
        if argument.default is not None and default is not inspect.Parameter.empty and default is not None:
            assert argument.default == default, argument
        if argument.is_optional and argument.default is None:
            assert default is not inspect.Parameter.empty
        assert not re.fullmatch(r"[A-Za-z]{1,3}\d+", argument.name)
        assert argument.name not in VBA_WORDS


@pytest.mark.parametrize("function", cell_functions(), ids=lambda function: function.name)
def test_names_are_no_cell_references_and_help_fits_a_wizard(function):
    assert re.fullmatch(r"LC_[A-Z_]+", function.name)
    assert not re.fullmatch(r"[A-Z]{1,3}\d+", function.name)
    assert function.help
    for text in (function.description, *(argument.description for argument in function.arguments)):
        assert len(text) <= 255


def test_required_arguments_come_first():
    for function in cell_functions():
        optional = [argument.is_optional for argument in function.arguments]
        assert optional == sorted(optional), function.name


@pytest.mark.parametrize(
    ("name", "arguments"), argument_sets(5), ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_cell_shows_what_python_returns(name, arguments):
    function = cell_function(name)
    given = {}
    for argument, value in zip(function.arguments, arguments, strict=False):
        if value is None:
            continue
        flat = (
            [cell for row in value for cell in row] if argument.kind == "numbers" and isinstance(value, list) else value
        )
        given[argument.keyword] = [flat] if argument.kind == "numbers" and not isinstance(flat, list) else flat
    given |= {
        argument.keyword: argument.default
        for argument in function.arguments
        if argument.keyword not in given and argument.default is not None
    }
    expected = function.function()(**given)
    shown = call_cell(name, arguments)
    if isinstance(expected, np.ndarray):
        assert shown == [[value] for value in expected.tolist()]
    else:
        assert shown == expected
        assert isinstance(shown, float | str)


@pytest.mark.parametrize(
    ("name", "arguments"), argument_sets(2), ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_range_is_worked_out_cell_by_cell(name, arguments):
    """The first argument that may be a range, given three times over, gives the single answer three times."""
    function = cell_function(name)
    spread = [n for n, argument in enumerate(function.arguments) if argument.kind in {"number", "text"}]
    if not spread or spread[0] >= len(arguments):
        pytest.skip("takes no range cell by cell")
    single = call_cell(name, arguments)
    many = list(arguments)
    many[spread[0]] = [[arguments[spread[0]]] for _ in range(3)]
    assert call_cell(name, many) == [[single]] * 3


def test_a_row_and_a_column_make_a_table():
    table = call_cell("LC_DLI", [[[100.0], [200.0]], [[12.0, 16.0, 18.0]]])
    assert table == [[call_cell("LC_DLI", [p, h]) for h in (12.0, 16.0, 18.0)] for p in (100.0, 200.0)]


def test_a_bad_cell_in_a_range_speaks_for_itself_alone():
    shown = call_cell("LC_WIRE_DROP", [[[1.0], [""], ["many"], [-1.0]], 3.0, "18 AWG"])
    assert shown[0][0] == call_cell("LC_WIRE_DROP", [1.0, 3.0, "18 AWG"])
    assert shown[1][0] == f"{ERROR}current holds a blank cell"
    assert shown[2][0] == f"{ERROR}current is 'many', which is no number; write a plain number in amperes"
    assert shown[3][0].startswith(ERROR)


@pytest.mark.parametrize(
    ("name", "arguments", "words"),
    [
        ("LC_DLI", [200.0], "give hours (Photoperiod, h)"),
        ("LC_DLI", [None, 16.0], "give ppfd (PPFD, umol m-2 s-1)"),
        ("LC_DLI", [200.0, 16.0, 1.0], "LC_DLI takes 2 arguments, not 3"),
        ("LC_DLI", [math.nan, 16.0], "ppfd holds a blank cell"),
        ("LC_DLI", [math.inf, 16.0], "no finite number"),
        ("LC_DLI", [True, 16.0], "True, which is no number"),
        ("LC_DLI", ["#DIV/0!", 16.0], "'#DIV/0!', which is no number"),
        ("LC_DLI", [200.0, 25.0], "24"),
        ("LC_DLI", [[[1.0], [2.0]], [[1.0], [2.0], [3.0]]], "ranges of ppfd, hours differ in size"),
        ("LC_WIRE_DROP", [1.0, 2.0, "thick"], "a size of the NEC rule set"),
        ("LC_WIRE_AMPACITY", ["18 AWG", [["flexible cord"], ["building wire"]]], "wire_kind takes one cell"),
        ("LC_WIRE_SIZE", [900.0, 5.0, 0.1, "flexible cord"], "stops it"),
        ("LC_PPFD", [0.1, 0.1, [[0.1, 0.1]]], "rows of x, y, height"),
        ("LC_BRANCH_AMPS", [[[0.1], [0.1]], [[0.2], [0.5]], [[21], [22]], 1, 24, 0, 25, 0, 0, [[0.1]]], "one a branch"),
        ("LC_NONE", [1.0], "LC_NONE"),
    ],
)
def test_what_cannot_be_worked_out_says_why(name, arguments, words):
    shown = call_cell(name, arguments)
    assert isinstance(shown, str)
    assert shown.startswith(ERROR)
    assert words in shown
    assert "\n" not in shown


def test_no_figure_that_is_none_passes_for_one(monkeypatch):
    from ledcalc.cells import registry

    monkeypatch.setattr(registry, "_loaded", lambda _calls: lambda **_: float("nan"))
    assert call_cell("LC_DLI", [200.0, 16.0]) == f"{ERROR}no result for these values"


def test_arrays_count_as_ranges():
    assert call_cell("LC_DLI", [np.array([[100.0], [200.0]]), np.float64(16.0)]) == [[5.76], [11.52]]


def test_functions_are_found_whatever_their_case():
    assert cell_function("lc_dli") is cell_function("LC_DLI")
    with pytest.raises(ArgumentError, match="LC_DLJ"):
        cell_function("LC_DLJ")


def test_worker_answers_line_by_line():
    lines = [json.dumps(["LC_DLI", [200.0, 16.0]]), json.dumps(["LC_DLI", [[[100.0], [None]], 16.0]])]
    answers = io.StringIO()
    serve(io.StringIO("\n".join(lines) + "\n"), answers)
    first, second = [json.loads(line) for line in answers.getvalue().splitlines()]
    assert first == 11.52
    assert second == [[5.76], [f"{ERROR}ppfd holds a blank cell"]]
