"""Burn thresholds: order, shapes, and what is refused."""

from itertools import pairwise

import numpy as np
import pytest

from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.heat import TOUCH_MATERIALS, burn_threshold
from ledcalc.tables.loader import table

TIMES = np.geomspace(0.5, 28800.0, 200)


@pytest.mark.parametrize("material", TOUCH_MATERIALS)
def test_longer_contact_burns_at_lower_temperatures(material):
    got = burn_threshold(material, np.clip(TIMES, 0.5, 28800.0))
    assert (np.diff(got.low_c) < 0).all()
    assert (np.diff(got.high_c) < 0).all()
    assert (got.low_c <= got.high_c).all()


def test_what_conducts_better_burns_sooner():
    bands = [burn_threshold(material, np.clip(TIMES, 0.5, 28800.0)) for material in TOUCH_MATERIALS]
    for better, worse in pairwise(bands):
        assert (better.low_c <= worse.low_c).all()
        assert (better.high_c <= worse.high_c).all()


@pytest.mark.parametrize("row", table("burn_thresholds"), ids=lambda row: f"{row['material']} {row['contact_s']}")
def test_the_table_comes_back(row):
    got = burn_threshold(row["material"], float(row["contact_s"]))
    assert (got.low_c, got.high_c) == (float(row["threshold_low_c"]), float(row["threshold_high_c"]))


def test_halfway_in_the_logarithm_of_time():
    """By hand: 10 s and 60 s have their middle at sqrt(600) s; bare metal (55 + 51)/2 and (57 + 51)/2."""
    got = burn_threshold("bare metal", 600**0.5)
    assert (got.low_c, got.high_c) == (pytest.approx(53.0), pytest.approx(54.0))


def test_scalars_and_arrays():
    assert isinstance(burn_threshold("wood", 1).low_c, float)
    got = burn_threshold("wood", [[0.5, 1.0], [4.0, 10.0]])
    assert got.low_c.tolist() == [[128, 115], [93, 89]]
    assert got.reading_uncertainty_k == 5.0


@pytest.mark.parametrize("contact_s", [0.49, 28801.0, [1.0, 0.1]])
def test_contact_outside_the_table_is_refused(contact_s):
    with pytest.raises(TableRangeError, match=r"contact_s is .*0\.5 to 28800 s"):
        burn_threshold("wood", contact_s)


@pytest.mark.parametrize("contact_s", [0.0, -1.0, float("nan"), "long"])
def test_no_contact_is_refused(contact_s):
    with pytest.raises(ArgumentError, match="contact_s"):
        burn_threshold("wood", contact_s)


def test_unknown_material_is_refused():
    with pytest.raises(ArgumentError, match="'bare metal' or"):
        burn_threshold("marble", 1.0)
