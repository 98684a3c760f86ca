"""Wiring against published examples, and every table cell against a second source or formula where one is known."""

import math

import pint
import pytest

import ledcalc as lc
from ledcalc.tables import table, table_names
from ledcalc.units import UNITS, convert
from ledcalc.wiring import conductor_area_mm2, continuous_limit_a
from ledcalc.wiring.resistance import constant

FOOT_M = 0.3048

# Cells of the published tables with no second source or formula known to us: they stand on the copies named in the
# table.
CELLS_ON_ONE_SOURCE = {
    "nec_310_16": 41,
    "nec_400_5": 18,
    "nec_402_5": 5,
    "nec_bundling": 7,
    "iec_ampacity": 72,
    "iec_grouping": 12,
}


# FAA AC 43.13-1B, Tables 11-7 and 11-8: single-conductor runs (return through the airframe), tolerance of the print.
@pytest.mark.parametrize(
    ("ohm_per_ft", "length_ft", "printed_v"),
    [(0.00028, 90, 0.504), (0.00202, 88, 3.6), (0.00306, 100, 6.12), (0.00126, 156, 3.93), (0.00126, 273, 6.88)],
)
def test_voltage_drop_of_ac_43_13(ohm_per_ft, length_ft, printed_v):
    got = lc.voltage_drop_from_resistance(20.0, length_ft * FOOT_M, ohm_per_ft / FOOT_M, conductors=1)
    assert got == pytest.approx(printed_v, rel=0.015)


def test_ac_43_13_misprint_is_the_prints():
    """The row No. 10, 19.5 ft, prints 0.366 V; the same table's own ohm/ft gives 0.491 V."""
    got = lc.voltage_drop_from_resistance(20.0, 19.5 * FOOT_M, 0.00126 / FOOT_M, conductors=1)
    assert got == pytest.approx(0.4914, rel=1e-3)
    assert abs(got - 0.366) > 0.1


def test_two_wire_drop_of_a_handbook():
    """Handbook example: 10 AWG copper, 1.02 ohm/kft, 100 ft, 10 A: 2.04 V."""
    assert lc.voltage_drop_from_resistance(10.0, 100 * FOOT_M, 1.02e-3 / FOOT_M) == pytest.approx(2.04, rel=1e-3)


# Circular-mil form 2 K I L / cmil of two exercises, source not traced.
@pytest.mark.parametrize(
    ("k", "amps", "feet", "printed"), [(12.0, 20.0, 100.0, 0.06125 * 120), (12.9, 15.0, 100.0, 5.94)]
)
def test_circular_mil_exercises(k, amps, feet, printed):
    assert lc.voltage_drop_from_resistance(amps, feet * FOOT_M, k / 6530 / FOOT_M) == pytest.approx(printed, rel=3e-3)


def test_nec_ambient_example():
    """NEC ambient correction: 12 AWG, 75 degC, 25 A, at 40 degC: 22 A."""
    assert lc.conductor_ampacity("12 AWG", wire_kind="building wire", insulation_c=75, ambient_c=40) == pytest.approx(
        22.0
    )


# A machine manual that prints IEC 60364-5-52 values, method B2, three loaded, rounded to 1 A.
@pytest.mark.parametrize(
    ("size", "ambient", "printed"),
    [
        *(("4 mm2", t, a) for t, a in ((40, 23), (45, 21), (50, 19), (55, 16))),
        *(("16 mm2", t, a) for t, a in ((40, 54), (45, 49), (50, 44), (55, 38))),
    ],
)
def test_iec_ambient_derating(size, ambient, printed):
    got = lc.conductor_ampacity(size, installation_method="B2", loaded_conductors=3, ambient_c=ambient, rule_set="IEC")
    assert got == pytest.approx(printed, rel=0.035)


def test_nec_continuous_load():
    """NEC: a 20 A device carries 16 A continuously."""
    assert continuous_limit_a(20.0) == 16.0


@pytest.mark.parametrize("row", table("nec_chapter9_table8"), ids=lambda row: f"{row['size']} {row['construction']}")
def test_nec_table_8_against_copper(row):
    """Each resistance against annealed copper at 75 degC over the row's own area; strands add up to 2.5 % of "
    "lay, coating more.

    Second path: IACS resistivity 1/58 ohm mm2/m at 20 degC, 0.00393 1/K.
    """
    area, ohm = float(row["area_mm2"]), float(row["uncoated_ohm_per_kft"])
    solid = (1 / 58) * (1 + 0.00393 * 55) / area * 304.8
    assert 0.995 * solid <= ohm <= (1.006 if row["construction"] == "solid" else 1.026) * solid
    assert ohm <= float(row["coated_ohm_per_kft"]) <= 1.07 * ohm
    assert area == pytest.approx(conductor_area_mm2(row["size"]), rel=2.5e-3)
    got = lc.conductor_resistance(row["size"], 304.8, conductor_temperature_c=75, stranding=row["construction"])
    assert got == pytest.approx(ohm, rel=1e-12)


def test_awg_by_formula_against_published_ohms():
    """22 and 24 AWG at 20 degC: 52.96 and 84.22 ohm/km, ASTM B258 diameters with IACS copper (published "
    "figures within 0.04 %)."""
    assert lc.conductor_resistance("22 AWG", 1000.0) == pytest.approx(52.96, rel=4e-4)
    assert lc.conductor_resistance("24 AWG", 1000.0) == pytest.approx(84.22, rel=4e-4)


@pytest.mark.parametrize("row", table("iec_60228"), ids=lambda row: row["size"])
def test_iec_60228_against_copper(row):
    """Maximum resistances lie 2 to 18 % above nominal copper, flexible above stranded, tinned above plain."""
    nominal = 1000 / 58 / float(row["area_mm2"])
    rigid, flexible = float(row["class_1_2_plain_ohm_per_km"]), float(row["class_5_plain_ohm_per_km"])
    assert nominal < rigid < flexible < 1.19 * nominal
    assert rigid <= float(row["class_1_2_tinned_ohm_per_km"]) <= 1.03 * rigid
    assert flexible < float(row["class_5_tinned_ohm_per_km"]) <= 1.04 * flexible
    assert lc.conductor_resistance(row["size"], 1000.0, stranding="flexible", rule_set="IEC") == pytest.approx(flexible)


# IEC 60228 Annex prints kt with R20 = Rt kt, rounded to three digits.
@pytest.mark.parametrize(
    ("temperature", "kt"),
    [
        (5, 1.064),
        (10, 1.042),
        (15, 1.020),
        (20, 1.0),
        (25, 0.980),
        (30, 0.962),
        (40, 0.926),
        (50, 0.893),
        (60, 0.862),
        (75, 0.820),
        (90, 0.781),
        (100, 0.758),
    ],
)
def test_iec_temperature_factors(temperature, kt):
    cold, warm = (
        lc.conductor_resistance("1.5 mm2", 1.0, conductor_temperature_c=t, rule_set="IEC") for t in (20, temperature)
    )
    # The Annex rounds the law itself, 254.5/(234.5 + t), to 250/(230 + t): up to 0.43 % apart at 100 degC.
    assert cold / warm == pytest.approx(kt, rel=4.5e-3)
    assert kt == pytest.approx(250 / (230 + temperature), abs=5.1e-4)


def test_temperature_laws_agree_with_each_other():
    """0.00323 at 75 degC (NEC), 0.00393 at 20 degC (IACS) and 234.5 degC (IEC 60287) are one law, within their "
    "digits."""
    assert 1 / (constant("copper_inferred_zero") + 75) == pytest.approx(
        constant("nec_temperature_coefficient_at_75c"), rel=2e-3
    )
    assert 1 / (constant("copper_inferred_zero") + 20) == pytest.approx(
        constant("copper_temperature_coefficient_at_20c"), rel=2e-3
    )


@pytest.mark.parametrize("rating", [60, 75, 90])
def test_nec_ambient_factors_follow_the_square_root_law(rating):
    """NEC 310.15(B)(1): sqrt((rating - ambient)/(rating - 30)), rounded to two digits, reproduces every cell."""
    cells = [
        (float(row["up_to_c"]), float(row[f"factor_{rating}c"]))
        for row in table("nec_ambient")
        if row[f"factor_{rating}c"]
    ]
    for ambient, factor in cells:
        assert factor == pytest.approx(math.sqrt((rating - ambient) / (rating - 30)), abs=0.0051)


@pytest.mark.parametrize(("column", "rating"), [("pvc_70c_factor", 70), ("xlpe_90c_factor", 90)])
def test_iec_ambient_factors_follow_the_square_root_law(column, rating):
    """IEC 60364-5-52 B.52.14, the same law."""
    for row in table("iec_ambient"):
        if row[column]:
            ambient = float(row["ambient_c"])
            assert float(row[column]) == pytest.approx(math.sqrt((rating - ambient) / (rating - 30)), abs=0.0051)


def test_cells_without_a_second_source_are_counted():
    counted = {}
    for name in CELLS_ON_ONE_SOURCE:
        columns = [key for key in table(name)[0] if key.endswith("_a") or key == "factor"]
        counted[name] = sum(bool(row[key]) for row in table(name) for key in columns)
    assert counted == CELLS_ON_ONE_SOURCE


@pytest.mark.parametrize("name", ["nec_310_16", "nec_400_5", "nec_402_5"])
def test_nec_ampacities_rise_with_size_and_insulation(name):
    """A plausibility check of cells on one source: thicker carries more, hotter insulation carries more."""
    rows = table(name)
    columns = [key for key in rows[0] if key.endswith("_a")]
    for column in columns:
        values = [float(row[column]) for row in rows if row[column]]
        assert values == sorted(values)
        assert len(set(values)) == len(values)
    if name == "nec_310_16":
        for row in rows:
            values = [float(row[column]) for column in columns if row[column]]
            assert values == sorted(values)


def test_iec_ampacities_are_in_order():
    """Thicker carries more; two loaded carry more than three; methods rank A2 <= A1 <= B2 <= B1 <= C <= E."""
    cells = {
        (row["installation_method"], row["loaded_count"], row["size"]): float(row["ampacity_a"])
        for row in table("iec_ampacity")
    }
    sizes = ["1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2", "10 mm2", "16 mm2"]
    for method in ("A1", "A2", "B1", "B2", "C", "E"):
        for loaded in ("2", "3"):
            values = [cells[method, loaded, size] for size in sizes]
            assert values == sorted(values)
        assert all(cells[method, "2", size] > cells[method, "3", size] for size in sizes)
    for loaded in ("2", "3"):
        for size in sizes:
            ranked = [cells[method, loaded, size] for method in ("A2", "A1", "B2", "B1", "C", "E")]
            assert ranked == sorted(ranked)


@pytest.mark.parametrize("name", table_names())
def test_every_row_names_its_source(name):
    for row in table(name):
        assert row["source"].strip()
        assert row["read_from"].strip()


@pytest.mark.parametrize(
    "symbol", [s for s in UNITS if s not in {"umol/s", "umol m-2 s-1", "mol m-2 d-1", "umol/J", "per kWh", "1", "%"}]
)
def test_unit_factors_against_pint(symbol):
    """pint, a general unit library, has every factor of ours that it knows a unit for."""
    registry = pint.UnitRegistry()
    spelled = {"degC": "degC", "degF": "degF", "K/W": "K/W", "%/K": "percent/K"}.get(
        symbol, symbol.replace("mohm", "milliohm")
    )
    ours = next(unit for unit in UNITS.values() if unit.quantity == UNITS[symbol].quantity)
    target = ours.symbol.replace("mohm", "milliohm")
    value = registry.Quantity(7.0, spelled).to(target).magnitude
    assert convert(7.0, symbol, ours.symbol) == pytest.approx(float(value), rel=1e-12)
