"""Energy and parts worked by hand."""

import numpy as np
import pytest

from ledcalc.cost import energy_cost, energy_kwh, parts_cost
from ledcalc.errors import ArgumentError


def test_a_season_by_hand():
    """109.2 W for 16 h on 150 days: 262.08 kWh; at 0.22 a kWh 57.66 (hand calculation)."""
    kwh = energy_kwh(109.2, 16 * 150)
    assert kwh == pytest.approx(262.08)
    assert energy_cost(kwh, 0.22) == pytest.approx(57.6576)


def test_arrays_pass_and_parts_sum():
    assert energy_kwh([100, 200], 10).tolist() == [1.0, 2.0]
    assert parts_cost([8, 8, 1], [11.5, 4.2, 39.0]) == pytest.approx(164.6)
    assert parts_cost(np.array([2]), 3) == 6.0


@pytest.mark.parametrize("call", [lambda: energy_kwh(-1, 1), lambda: energy_cost(1, -1), lambda: parts_cost([1], [-1])])
def test_negative_figures_are_refused(call):
    with pytest.raises(ArgumentError):
        call()
