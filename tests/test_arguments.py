"""Numbers as formulas take them in: single ones are checked apart from arrays, and both alike."""

import math

import numpy as np
import pytest

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.errors import ArgumentError

BOUNDS = (
    {"at_least": 1.0},
    {"above": 1.0},
    {"at_most": 1.0},
    {"below": 1.0},
    {"above": 0.0, "at_most": 2.0},
)
VALUES = (-1e300, -1.0, 0.0, 0.999, 1.0, 1.001, 2.0, 2.001, 1e300, math.inf, -math.inf, math.nan)


@pytest.mark.parametrize("bounds", BOUNDS, ids=str)
@pytest.mark.parametrize("infinite", [False, True])
def test_a_single_number_is_refused_as_it_is_in_an_array(bounds, infinite):
    for value in VALUES:
        told = []
        for given in (value, np.float64(value), np.array(value), [value]):
            try:
                taken = numbers("current_a", given, infinite=infinite, **bounds)
                told.append(taken.ravel().tolist())
                assert taken.shape == np.shape(given)
            except ArgumentError as refused:
                told.append(str(refused))
        assert told[1:] == told[:-1]


def test_words_for_what_is_out_of_bounds():
    with pytest.raises(ArgumentError, match=r"current_a is -1\.0.* a finite number, at least 0 and below 5"):
        numbers("current_a", -1, at_least=0, below=5)
    with pytest.raises(ArgumentError, match="a number or an array of numbers, above 0"):
        numbers("current_a", "much", above=0)


@pytest.mark.parametrize("value", [10**400, [1.0, 10**400]])
def test_integer_too_large_for_a_float_is_refused(value):
    with pytest.raises(ArgumentError, match="a number or an array of numbers"):
        numbers("current_a", value)


def test_whole_numbers():
    assert whole_numbers("boards_count", 3).tolist() == 3.0
    assert whole_numbers("boards_count", [2, 3.0]).tolist() == [2.0, 3.0]
    for value in (2.5, [2.0, 2.5]):
        with pytest.raises(ArgumentError, match=r"2\.5.*a whole number of at least 1"):
            whole_numbers("boards_count", value, at_least=1)


def test_a_value_that_goes_on_and_on_is_cut():
    for value in (10**400, 10**5000, "x" * 100_000):
        with pytest.raises(ArgumentError) as refused:
            numbers("current_a", value)
        assert len(str(refused.value)) < 400
