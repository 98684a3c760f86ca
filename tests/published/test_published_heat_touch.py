"""Burn thresholds, each table cell against a second source where one is known, all from memory; the rest is counted."""

import pytest

from ledcalc.heat import TOUCH_MATERIALS, burn_threshold
from ledcalc.tables.loader import table

ROWS = table("burn_thresholds")
# Material, contact of the table that a second source bears on, the source's own contact, its degC, source.
IEC = "IEC 62368-1, touch temperature limits TS1"
TIMES = "hospitals' tables of the time to a serious burn (no single source)"
ASTM = "ASTM C1055: 60 degC for 5 s on metal"
SKIN = "Moritz & Henriques 1947, water on skin"
SECOND = [
    ("bare metal", 1, 1, 70, IEC),
    ("ceramic or glass", 1, 1, 85, IEC),
    ("plastic", 1, 1, 94, IEC),
    ("wood", 1, 1, 140, IEC),
    ("bare metal", 10, 10, 60, IEC),
    ("ceramic or glass", 10, 10, 71, IEC),
    ("plastic", 10, 10, 77, IEC),
    ("wood", 10, 10, 107, IEC),
    ("bare metal", 60, 60, 51, IEC),
    ("ceramic or glass", 60, 60, 56, IEC),
    *((material, 600, 600, 48, IEC) for material in TOUCH_MATERIALS),
    ("bare metal", 4, 5, 60, ASTM),
    ("bare metal", 1, 1, 68, TIMES),
    ("bare metal", 4, 3, 63, TIMES),
    ("bare metal", 4, 5, 60, TIMES),
    ("bare metal", 10, 10, 57, TIMES),
    ("bare metal", 60, 105, 52, TIMES),
    ("bare metal", 600, 301, 49, TIMES),
    ("ceramic or glass", 1, 1, 78, TIMES),
    ("ceramic or glass", 4, 3, 73, TIMES),
    ("ceramic or glass", 4, 5, 70, TIMES),
    ("ceramic or glass", 10, 10, 67, TIMES),
    ("plastic", 1, 1, 93, TIMES),
    ("plastic", 4, 5, 85, TIMES),
    # Long contact warms the skin to the surface's temperature, whatever it is made of.
    *((material, 600, 570, 49, SKIN) for material in TOUCH_MATERIALS),
    *((material, 28800, 21600, 44, SKIN) for material in TOUCH_MATERIALS),
]
# These allow more than ISO 13732-1 by more than it can be read amiss; the lower is carried.
LENIENT = [
    ("plastic", 60, 60, IEC),
    ("wood", 60, 60, IEC),
    ("ceramic or glass", 30, 65, TIMES),
    ("ceramic or glass", 105, 62, TIMES),
    ("ceramic or glass", 301, 59, TIMES),
    ("plastic", 10, 82, TIMES),
    ("plastic", 30, 80, TIMES),
    ("plastic", 105, 77, TIMES),
    ("plastic", 301, 74, TIMES),
]
# Rows of a material and a contact, each with two cells.
ON_ONE_SOURCE = {
    *((material, 0.5) for material in TOUCH_MATERIALS),
    ("coated metal", 1.0),
    ("coated metal", 4.0),
    ("coated metal", 10.0),
    ("coated metal", 60.0),
    ("wood", 4.0),
    ("plastic", 60.0),
    ("wood", 60.0),
}


@pytest.mark.parametrize(("material", "row_s", "contact_s", "printed_c", "source"), SECOND)
def test_against_a_second_source(material, row_s, contact_s, printed_c, source):
    """Within the band, or off it by no more than the curves may be read amiss."""
    assert source
    assert any(row["material"] == material and float(row["contact_s"]) == row_s for row in ROWS)
    got = burn_threshold(material, contact_s)
    assert got.low_c - got.reading_uncertainty_k <= printed_c <= got.high_c + got.reading_uncertainty_k


@pytest.mark.parametrize(
    ("material", "contact_s", "printed_c"),
    [
        ("bare metal", 1.5, 66),
        ("bare metal", 30, 55),
        ("ceramic or glass", 1.5, 76),
        ("plastic", 1.5, 91),
        ("plastic", 3, 88),
    ],
)
def test_between_the_rows_against_times_to_a_burn(material, contact_s, printed_c):
    """The same hospitals' tables between the rows of ours, so that the interpolation is checked as well."""
    got = burn_threshold(material, contact_s)
    assert got.low_c - 5 <= printed_c <= got.high_c + 5


@pytest.mark.parametrize(("material", "contact_s", "printed_c", "source"), LENIENT)
def test_where_sources_differ_the_lower_is_carried(material, contact_s, printed_c, source):
    assert source
    assert burn_threshold(material, contact_s).high_c < printed_c - 5


def test_rows_without_a_second_source_are_counted():
    rows = {(row["material"], float(row["contact_s"])) for row in ROWS}
    assert rows - {(material, float(row_s)) for material, row_s, *_ in SECOND} == ON_ONE_SOURCE
    assert len(rows) == len(ROWS) == 35


def test_coated_metal_is_bare_metal_and_a_little_more():
    """The annex's 3 K at 1 s for about 50 um of lacquer; never less than bare metal."""
    bare, coated = (burn_threshold(material, [0.5, 1.0, 4.0, 10.0]) for material in ("bare metal", "coated metal"))
    assert (coated.low_c - bare.low_c).tolist() == [3, 3, 0, 0]
    assert (coated.high_c - bare.high_c).tolist() == [3, 3, 0, 0]


def test_military_handbook_rules_lie_within():
    """MIL-HDBK-454, guideline 1 (from memory): 49 degC for controls held, 60 degC for parts exposed to contact."""
    assert burn_threshold("bare metal", 600.0).low_c == pytest.approx(49, abs=5)
    short = burn_threshold("bare metal", 5.0)
    assert short.low_c < 60 < short.high_c
