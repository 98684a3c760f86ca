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
    assert lc.conductor_resistance("22 AWG", 1000.0, stranding="solid") == pytest.approx(52.96, rel=4e-4)
    assert lc.conductor_resistance("24 AWG", 1000.0, stranding="solid") == pytest.approx(84.22, rel=4e-4)


@pytest.mark.parametrize("row", table("iec_60228"), ids=lambda row: row["size"])
def test_iec_60228_against_copper(row):
    """Maximum resistances lie 2 to 18 % above nominal copper, flexible above stranded, tinned above plain."""
    nominal = 1000 / 58 / float(row["area_mm2"])
    rigid, flexible = float(row["class_1_2_plain_ohm_per_km"]), float(row["class_5_plain_ohm_per_km"])
    assert nominal < rigid < flexible < 1.19 * nominal
    assert rigid <= float(row["class_1_2_tinned_ohm_per_km"]) <= 1.03 * rigid
    assert flexible < float(row["class_5_tinned_ohm_per_km"]) <= 1.04 * flexible
    assert lc.conductor_resistance(row["size"], 1000.0, stranding="flexible", rule_set="IEC") == pytest.approx(flexible)


# ASTM B33, from memory: greatest resistivity of tinned wire in ohm lb/mile2 by diameter in inch; bare IACS 875.20.
@pytest.mark.parametrize(
    ("inch", "ohm_lb_per_mile2"),
    [(0.0030, 939.51), (0.0111, 929.52), (0.0201, 910.15), (0.103, 900.77), (0.290, 896.15)],
)
def test_tinned_wire_in_its_other_unit(inch, ohm_lb_per_mile2):
    shares = {float(row["from_diameter_mm"]): float(row["conductivity_fraction"]) for row in table("tinned_copper")}
    assert len(shares) == 5
    found = next(share for mm, share in shares.items() if mm == pytest.approx(inch * 25.4, rel=1e-3))
    assert found == pytest.approx(875.20 / ohm_lb_per_mile2, rel=1e-4)


@pytest.mark.parametrize("row", table("nec_chapter9_table8"), ids=lambda row: f"{row['size']} {row['construction']}")
def test_coated_column_of_nec_table_8_against_astm_b33(row):
    """Coated over uncoated is 1 over the conductivity that ASTM B33 leaves a wire of the strand's diameter.

    Tolerance: half the last printed digit of both cells, and 0.2 % for the step at a diameter between two ranges.
    """
    bare, coated = row["uncoated_ohm_per_kft"], row["coated_ohm_per_kft"]
    strand_in = math.sqrt(float(row["area_mm2"]) / int(row["strand_count"]) * 4 / math.pi) / 25.4
    share = next(s for least, s in ((0.103, 0.9716), (0.0201, 0.9616), (0.0111, 0.9416)) if strand_in >= least - 5e-5)
    digits = sum(0.5 * 10.0 ** -len(text.split(".")[1]) / float(text) for text in (bare, coated))
    assert float(coated) / float(bare) == pytest.approx(1 / share, rel=digits + 2e-3)
    got = lc.conductor_resistance(
        row["size"], 304.8, conductor_temperature_c=75, stranding=row["construction"], coating="tinned"
    )
    assert got == pytest.approx(float(coated), rel=1e-12)


@pytest.mark.parametrize("size", ["38 AWG", "30 AWG", "24 AWG", "22 AWG", "20 AWG"])
def test_tinned_hook_up_wire_by_formula(size):
    """Tinned wire finer than the NEC table: seven strands, each by ASTM B33 (0.9315 under 0.0111 in, else 0.9416)."""
    strand_in = math.sqrt(conductor_area_mm2(size) / 7 * 4 / math.pi) / 25.4
    ratio = lc.conductor_resistance(size, 1.0, coating="tinned") / lc.conductor_resistance(size, 1.0)
    assert ratio == pytest.approx(1 / (0.9315 if strand_in < 0.0111 else 0.9416), rel=1e-9)
    solid = lc.conductor_resistance(size, 1.0, coating="tinned", stranding="solid")
    assert lc.conductor_resistance(size, 1.0) < solid <= lc.conductor_resistance(size, 1.0, coating="tinned")


@pytest.mark.parametrize(
    ("size", "stranding", "ohm_per_km"),
    [
        ("0.5 mm2", "stranded", 36.7),
        ("1.5 mm2", "solid", 12.2),
        ("0.75 mm2", "flexible", 26.7),
        ("6 mm2", "flexible", 3.39),
    ],
)
def test_tinned_column_of_iec_60228(size, stranding, ohm_per_km):
    got = lc.conductor_resistance(size, 1000.0, stranding=stranding, coating="tinned", rule_set="IEC")
    assert got == pytest.approx(ohm_per_km, rel=1e-12)


ALUMINIUM = table("aluminium_conductors")


@pytest.mark.parametrize("row", [row for row in ALUMINIUM if row["rule_set"] == "NEC"], ids=lambda row: row["size"])
def test_nec_aluminium_against_the_metal(row):
    """NEC aluminium, from memory, against aluminium of 61 % IACS, 0.00403 1/K, over the area; lay up to 2.6 %."""
    solid = (1 / 58 / 0.61) * (1 + 0.00403 * 55) / conductor_area_mm2(row["size"]) * 304.8
    ohm = float(row["resistance_ohm"])
    digits = 0.5 * 10.0 ** -len(row["resistance_ohm"].split(".")[1]) if "." in row["resistance_ohm"] else 0.005
    assert 0.995 * solid - digits <= ohm <= (1.006 if row["construction"] == "solid" else 1.026) * solid + digits
    got = lc.conductor_resistance(
        row["size"], 304.8, conductor_temperature_c=75, stranding=row["construction"], material="aluminium"
    )
    assert got == pytest.approx(ohm, rel=1e-12)
    copper = lc.conductor_resistance(row["size"], 304.8, conductor_temperature_c=75, stranding=row["construction"])
    # Both tables have one geometry, so their ratio is the metals' (1.639 at 75 degC), within the printed digits.
    assert ohm / copper == pytest.approx(1.639, rel=0.013)


@pytest.mark.parametrize("row", [row for row in ALUMINIUM if row["rule_set"] == "IEC"], ids=lambda row: row["size"])
def test_iec_aluminium_against_the_metal(row):
    """IEC 60228 aluminium, from memory: 5 to 10 % above the nominal metal, as copper is 5 to 7 %."""
    nominal = 28.264 / conductor_area_mm2(row["size"], rule_set="IEC")
    ohm = float(row["resistance_ohm"])
    assert 1.05 * nominal < ohm < 1.10 * nominal
    got = lc.conductor_resistance(
        row["size"], 1000.0, stranding=row["construction"], material="aluminium", rule_set="IEC"
    )
    assert got == pytest.approx(ohm, rel=1e-12)


def test_aluminium_temperature_laws_agree_with_each_other():
    """0.00330 at 75 degC, 0.00403 at 20 degC and 228 degC are one law; AC 43.13-1B prints 238.1, 4 % off in slope."""
    zero = constant("aluminium_inferred_zero")
    assert 1 / (zero + 75) == pytest.approx(constant("aluminium_nec_temperature_coefficient_at_75c"), rel=2e-3)
    assert 1 / (zero + 20) == pytest.approx(constant("aluminium_temperature_coefficient_at_20c"), rel=2e-3)
    assert constant("aluminium_resistivity_20c") == pytest.approx(1 / 58 / 0.61, rel=1e-4)
    warm, cold = (
        lc.conductor_resistance("16 mm2", 1.0, conductor_temperature_c=t, material="aluminium", rule_set="IEC")
        for t in (75, 20)
    )
    assert warm / cold == pytest.approx(1 + 0.00403 * 55, rel=1e-3)
    assert warm / cold == pytest.approx((238.1 + 75) / (238.1 + 20), rel=0.01)


@pytest.mark.parametrize("size", ["12 AWG", "13 AWG", "22 AWG"])
def test_nec_aluminium_at_temperatures(size):
    """With a row in the table (12 AWG) and without: 61 % IACS and its own 0.00403 1/K, lay of strands 2 %."""
    for warmth in (-20, 20, 50, 75, 110):
        metal = (1 / 58 / 0.61) * (1 + 0.00403 * (warmth - 20)) / conductor_area_mm2(size)
        got = lc.conductor_resistance(size, 1.0, conductor_temperature_c=warmth, material="aluminium")
        assert got / metal == pytest.approx(1.022 if size == "12 AWG" else 1.02, rel=2e-3)


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


# Photon counts and money are no units there.
NOT_IN_PINT = {"umol/s", "umol m-2 s-1", "mol m-2 d-1", "umol/J", "1", "%"}


@pytest.mark.parametrize("symbol", [s for s in UNITS if s not in NOT_IN_PINT and not s.startswith("per ")])
def test_unit_factors_against_pint(symbol):
    """pint, a general unit library, has every factor of ours that it knows a unit for."""
    registry = pint.UnitRegistry()
    cubes = {name: name.replace("3", "**3") for name in ("m3", "cm3", "in3", "m3/h", "ft3/min")}
    spellings = {"%/K": "percent/K", "mohm": "milliohm", **cubes}
    spelled = spellings.get(symbol, symbol)
    ours = next(unit for unit in UNITS.values() if unit.quantity == UNITS[symbol].quantity)
    target = spellings.get(ours.symbol, ours.symbol)
    value = registry.Quantity(7.0, spelled).to(target).magnitude
    assert convert(7.0, symbol, ours.symbol) == pytest.approx(float(value), rel=1e-12)
