"""What a caller in Python is told: limits in the unit of the value, names of arguments, names that can be found."""

import importlib
import pkgutil
import re
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.arguments import broadcasting, shared_shape
from ledcalc.cost import CostOfOne, payback
from ledcalc.demo import seedling_bench
from ledcalc.docs.functions import functions_page
from ledcalc.schema import sheets
from ledcalc.variants import evaluate_variants, frontier
from ledcalc.workbook.results.reasons import variants_page

DRIVER = {"voltage_setting_v": 42.0, "current_setting_a": 3.0}
CURVE = lc.BoardCurve.from_points([0.35, 0.7, 1.4], [34.1, 35.6, 37.9])


@pytest.fixture(scope="module")
def bench():
    return seedling_bench()


def told(*args, **kwargs):
    call, *rest = args
    with pytest.raises(lc.ArgumentError) as problem:
        call(*rest, **kwargs)
    return str(problem.value)


@pytest.mark.parametrize(
    ("path", "value", "limits"),
    [
        ("site.wall_reflectance_fraction", 80, "from 0 up to 0.98 (on the Site sheet: from 0 up to 98 %)"),
        (
            "boards.voltage_coefficient_v_per_k",
            -18,
            "from -1 up to 0 V/K (on the Boards sheet: from -1000 up to 0 mV/K)",
        ),
        ("drivers.efficiency_fraction", 90, "above 0.3 below 1 (on the Drivers sheet: above 30 below 100 %)"),
        ("fixture.height_m", -1, "above 0 up to 10 m"),
    ],
)
def test_limits_stand_in_the_unit_of_the_value(bench, path, value, limits):
    said = told(lc.with_values, bench, {path: value})
    assert said == f"{path} is {value}; allowed: a number {limits}"


def test_no_refused_value_stands_inside_the_limits_told():
    for field in (entry for part in sheets() for entry in part.fields if entry.kind == "number" and entry.maximum):
        top = re.search(r"(?:below|up to) (\S+)", field.allowed_in_python)
        assert top is not None
        assert float(top.group(1)) == pytest.approx(field.maximum.value, rel=1e-5), field.path


def test_a_fixture_out_of_range_is_told_in_the_same_unit(bench):
    site = replace(bench.site, wall_reflectance_fraction=80)
    with pytest.raises(lc.InputErrors, match=r"too large: 80; allowed: a number from 0 up to 0\.98 \(on the Site"):
        lc.evaluate(replace(bench, site=site))


def test_what_was_not_computed_has_no_counts(bench):
    changes = {"bad": {"fixture.height_m": -1}, "good": {}}
    table = lc.evaluate_many(bench, changes)
    assert table[table["stop"] == 0]["variant"].tolist() == ["good"]
    assert table[["stop", "act", "note"]].isna().all(axis=1).tolist() == [True, False]
    assert [str(kind) for kind in table.dtypes[["stop", "act", "note"]]] == ["Int64"] * 3
    assert table.to_csv().splitlines()[1].count(",,,") >= 1
    rows = list(evaluate_variants(bench, [lc.Variant(name=name, changes=own) for name, own in changes.items()]))
    assert [dict(row.counts) for row in rows] == [{}, {"stop": 0, "act": 1, "note": 1}]
    ranked = frontier(table, {"energy_cost": "lowest"})
    assert ranked.best == frontier(rows, {"energy_cost": "lowest"}).best == ("good",)
    [block] = variants_page(rows, "EUR").blocks
    assert block.rows[0][-3:-1] == (None, None)


@pytest.mark.parametrize(
    ("call", "names"),
    [
        (lambda: lc.wire_voltage_drop([1, 2], [1, 2, 3], "18 AWG"), "current_a, one_way_length_m"),
        (lambda: lc.wire_voltage_drop([1, 2], 1.0, ["18 AWG"] * 3), "current_a, size"),
        (lambda: lc.daily_light_integral([1, 2], [1, 2, 3]), "ppfd, photoperiod_h"),
        (lambda: lc.photon_efficacy([1, 2], [1, 2, 3]), "photon_flux_umol_s, power_w"),
        (
            lambda: lc.Driver(voltage_setting_v=[40, 41], current_setting_a=[1, 2, 3]),
            "voltage_setting_v, current_setting_a",
        ),
        (
            lambda: lc.current_split(
                [lc.Branch(curve=CURVE, wire_resistance_ohm=[0.1, 0.2])],
                driver=lc.Driver(voltage_setting_v=42.0, current_setting_a=[1, 2, 3]),
            ),
            "driver.current_setting_a, wire_resistance_ohm",
        ),
    ],
)
def test_shapes_that_do_not_go_together_are_named(call, names):
    assert told(call).startswith(f"the shape of {names} is [")


def test_shapes_that_go_together_and_other_errors_pass():
    assert np.shape(lc.wire_voltage_drop([[1.0], [2.0]], [1.0, 2.0, 3.0], "18 AWG")) == (2, 3)
    assert shared_shape({"one": (3,), "other": (2, 1), "text": ()}) == (2, 3)

    @broadcasting
    def fails(*, one, other):
        raise ValueError(f"its own words on {one} and {other}")

    with pytest.raises(ValueError, match="its own words"):
        fails(one=1, other=[2, 3])


def test_what_is_no_fixture_driver_or_network_is_named(bench):
    assert "fixture is 5; allowed: a Fixture" in told(lc.evaluate, 5)
    branches = [lc.Branch(curve=CURVE)]
    assert "driver is 'DriverModel'" in told(lc.current_split, branches, driver=bench.drivers[0])
    assert "network is 5" in told(lc.current_split, 5, driver=lc.Driver(**DRIVER))


def test_costs_light_and_readings_that_cannot_be():
    fine = CostOfOne(name="fine", purchase_cost=3.0, yearly_cost=1.0, currency="EUR")
    assert told(payback, replace(fine, purchase_cost=-3.0), fine).startswith("one.purchase_cost is -3.0")
    assert told(payback, fine, replace(fine, yearly_cost=float("nan"))).startswith("other.yearly_cost is nan")
    assert told(lc.ppfd_map, [], [0.0, 0.0, 0.0]) == "sources is []; allowed: at least one LightSource"
    said = told(lc.ppfd_grid_statistics, [0, 1], [0], [1, 2])
    assert said.startswith("the count of x_m, y_m and ppfd is (2, 1, 2)")


def test_every_folder_is_an_attribute_of_the_package():
    """In a process of its own: here others have imported them."""
    folders = [entry.name for entry in pkgutil.iter_modules(lc.__path__) if entry.ispkg]
    code = f"import ledcalc; print([name for name in {folders} if not hasattr(ledcalc, name)])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


@pytest.mark.parametrize("name", ["frontier", "find_fixtures", "compare_fixtures", "one_at_a_time", "sobol_indices"])
def test_what_judges_variants_is_found(name):
    package = importlib.import_module("ledcalc.variants")
    assert name in package.__all__
    assert getattr(package, name).__name__ == name
    assert f"- **{name}**" in functions_page()


def test_the_page_of_functions_reads_as_it_should():
    page = functions_page()
    assert "`without(measured, *indexes) -> MeasuredMap`" in page
    assert "-> Hogging`" in page
    assert "-> LogJudgement`" in page
    assert '" "' not in page
    assert "- **write_inputs**" in page
