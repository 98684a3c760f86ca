"""Bundles, conduits, boxes, sleeves and cutting against published values, and each table against a second way."""

import itertools
import math

import pytest

from ledcalc.fabrication import Stock, box_fill, bundle_diameter, conduit_count, conduit_fill, cut_plan, wire_diameter
from ledcalc.fabrication.packing_bounds import equal_centres, equal_ratio
from ledcalc.tables import table

INCH = 0.0254

# Cells of the tables with no second source or formula known to us: they stand on memory alone, as the tables say.
CELLS_FROM_MEMORY_ALONE = {"box_fill": 7, "conduit_fill": 8, "ferrules": 33, "glands": 20}


@pytest.mark.parametrize("name", CELLS_FROM_MEMORY_ALONE)
def test_cells_from_memory_are_marked(name):
    rows = table(name)
    own = [key for key in rows[0] if key not in {"name", "size", "unit", "thread", "area_mm2", "source", "read_from"}]
    assert len(own) * len(rows) == CELLS_FROM_MEMORY_ALONE[name]
    assert all("from memory" in row["read_from"] for row in rows)


# Closed forms of the best packings of n equal circles in a circle (Graham, Lubachevsky, Nurmela and Ostergard 1998;
# from memory).
CLOSED_FORMS = {
    1: 1.0,
    2: 2.0,
    3: 1.0 + 2.0 / math.sqrt(3.0),
    4: 1.0 + math.sqrt(2.0),
    5: 1.0 + math.sqrt(2.0 * (1.0 + 1.0 / math.sqrt(5.0))),
    6: 3.0,
    7: 3.0,
    8: 1.0 + 1.0 / math.sin(math.pi / 7.0),
    9: 1.0 + math.sqrt(2.0 * (2.0 + math.sqrt(2.0))),
    11: 1.0 + 1.0 / math.sin(math.pi / 9.0),
    13: 2.0 + math.sqrt(5.0),
    15: 1.0 + math.sqrt(6.0 + 2.0 / math.sqrt(5.0) + 4.0 * math.sqrt(1.0 + 2.0 / math.sqrt(5.0))),
    18: 1.0 + math.sqrt(2.0) + math.sqrt(6.0),
    19: 1.0 + math.sqrt(2.0) + math.sqrt(6.0),
}
# The others as printed to three decimals in public lists (from memory).
PRINTED = {10: 3.813, 12: 4.029, 14: 4.328, 16: 4.615, 17: 4.792, 20: 5.122}


@pytest.mark.parametrize("count", CLOSED_FORMS)
def test_equal_circles_have_their_closed_forms(count):
    assert equal_ratio(count) == pytest.approx(CLOSED_FORMS[count], abs=1e-9)
    assert bundle_diameter([0.0055] * count).diameter_m == pytest.approx(0.0055 * CLOSED_FORMS[count], rel=1e-8)


@pytest.mark.parametrize("count", PRINTED)
def test_equal_circles_as_printed(count):
    """The print cuts off after the third decimal."""
    assert math.floor(equal_ratio(count) * 1000) / 1000 == pytest.approx(PRINTED[count])


@pytest.mark.parametrize("count", range(1, 21))
def test_centres_attain_the_tables_ratio(count):
    centres = equal_centres(count)
    assert all(math.dist(one, other) >= 2.0 - 1e-10 for one, other in itertools.combinations(centres, 2))
    assert 1.0 + max(math.hypot(*one) for one in centres) == pytest.approx(equal_ratio(count), abs=1e-9)


@pytest.mark.parametrize("row", table("awg_wire_diameters"), ids=lambda row: row["size"])
def test_diameters_and_areas_of_wires_agree(row):
    """NEC Chapter 9 Table 5 prints both: the area to four decimals of a square inch."""
    inches = float(row["diameter_in"])
    assert math.pi / 4.0 * inches**2 == pytest.approx(float(row["area_in2"]), abs=0.5e-4)
    assert wire_diameter(row["size"]) == pytest.approx(inches * INCH)


# NEC Annex C Table C.1 (from memory): THHN in electrical metallic tubing of 1/2, 3/4 and 1 in; the inner diameters are
# those of Chapter 9 Table 4 (from memory).
TUBING_IN = (0.622, 0.824, 1.049)


@pytest.mark.parametrize(
    ("size", "printed"),
    [
        ("14 AWG", (12, 22, 35)),
        ("12 AWG", (9, 16, 26)),
        ("10 AWG", (5, 10, 16)),
        ("8 AWG", (3, 6, 9)),
        ("6 AWG", (2, 4, 7)),
        ("4 AWG", (1, 2, 4)),
    ],
)
def test_wires_in_tubing_as_annex_c_counts_them(size, printed):
    assert tuple(conduit_count(wire_diameter(size), inner * INCH) for inner in TUBING_IN) == printed


def test_fill_limits_by_geometry():
    """The limits of NEC Chapter 9 Table 1 lie below what round wires can fill at all: 1, 1/2 and 2/3 of the area."""
    for count, room in ((1, 1.0), (2, 0.5), (3, 3.0 / CLOSED_FORMS[3] ** 2)):
        bundle = bundle_diameter([0.003] * count).diameter_m
        just = conduit_fill([0.003] * count, bundle)
        assert just.fill_fraction == pytest.approx(room, rel=1e-6)
        assert just.limit_fraction < room
        assert not just.fits


def test_three_wires_jam_where_they_can_lie_in_a_row():
    """Three equal wires lie in a row across a tube three times as wide: within the span of the NEC note."""
    assert conduit_fill([0.003] * 3, 0.009).may_jam


def test_box_of_a_textbook():
    """Two cables of two 12 AWG with ground, a receptacle, clamps: 8 allowances of 2.25 = 18.0 in3 (from memory)."""
    found = box_fill({"12 AWG": 4}, devices=["12 AWG"], grounds={"12 AWG": 2}, clamps=True)
    assert found.needed_m3 / INCH**3 == pytest.approx(18.0)


def test_shrink_tubes_are_fractions_of_an_inch():
    """The 2:1 series in 64ths of an inch, printed to 0.1 mm; each shrinks to its ratio."""
    whole = (3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128)
    rows = [row for row in table("heat_shrink") if row["ratio"] == "2:1"]
    for row, parts in zip(rows, whole, strict=True):
        assert float(row["supplied_mm"]) == pytest.approx(parts * 25.4 / 64.0, abs=0.051)
    for row in table("heat_shrink"):
        times = float(row["ratio"].split(":")[0])
        assert float(row["recovered_mm"]) == pytest.approx(float(row["supplied_mm"]) / times, abs=0.051)


def test_cutting_example_of_chvatal():
    """V. Chvatal, Linear Programming, 1983, chapter 13 (from memory): raws of 100 in, 453 of them at least."""
    orders = {45: 97, 36: 610, 31: 395, 14: 211}
    pieces = [width * INCH for width, count in orders.items() for _ in range(count)]
    plan = cut_plan(pieces, [Stock(length_m=100 * INCH)])
    assert plan.stock_used_count == 453
    assert plan.is_proven


def test_cutting_example_of_paper_rolls():
    """Rolls of 5600 mm into 13 widths, a common example of encyclopaedias (from memory): 73 rolls at least."""
    widths = (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200)
    orders = (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20)
    pieces = [width / 1000 for width, count in zip(widths, orders, strict=True) for _ in range(count)]
    plan = cut_plan(pieces, [Stock(length_m=5.6)])
    assert plan.stock_used_count == 73
    assert plan.is_proven
    assert plan.baseline_count > 73
