"""The joined evaluation: balances, both doors, assumptions, variants, errors."""

import dataclasses
import runpy
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import trapezoid

import ledcalc as lc
from ledcalc.heat import PlateFinSink, sink_power
from ledcalc.model_curves import photons_per_joule_of
from ledcalc.records import fixture_from_records, placed_boards, records_from_fixture, with_values
from ledcalc.variants import Variant, evaluate_variants

ROOT = Path(__file__).parents[1]


def test_power_and_photons_balance(bench_results):
    boards, wires, operating = bench_results.boards, bench_results.wires, bench_results.operating
    assert boards.power_w.sum() + wires.loss_w.sum() == pytest.approx(operating.power_w, rel=1e-9)
    assert boards.current_a.sum() == pytest.approx(operating.current_a, rel=1e-9)
    light = boards.power_w - boards.heat_w
    # The photons in a joule of the example's spectrum, 400 to 700 nm, by the trapezium rule on its own rows.
    fixture = bench_results.fixture
    nm = np.array([row.wavelength_nm for row in fixture.spectra])
    watts = np.array([row.value for row in fixture.spectra])
    counted = (nm >= 400) & (nm <= 700)
    photons = trapezoid((watts * nm)[counted], nm[counted]) / 119.6266
    assert photons / trapezoid(watts, nm) == pytest.approx(4.7056, abs=0.003)
    per_joule = photons_per_joule_of(fixture.boards[0], fixture.spectra)
    assert light * per_joule == pytest.approx(boards.photon_flux_umol_s, rel=1e-8)
    rise = boards.temperature_c - bench_results.fixture.site.air_temperature_c
    assert rise == pytest.approx(boards.heat_w * 4.0, rel=1e-8)
    assert bench_results.light.canopy_flux_umol_s < bench_results.light.photon_flux_umol_s


def test_wires_settle_with_the_currents(bench_results):
    """Each run's drop lifts its board's voltage to the driver's, with the wire as warm as its own current makes it."""
    boards, wires = bench_results.boards, bench_results.wires
    for n, board in enumerate(wires.to_node):
        index = boards.tag.index(board)
        assert boards.voltage_v[index] + wires.drop_v[n] == pytest.approx(bench_results.operating.voltage_v, rel=1e-9)
        warm = 20.0 + 30.0 * (wires.current_a[n] / 10.0) ** 2
        assert wires.conductor_temperature_c[n] == pytest.approx(warm, rel=1e-9)
        run = lc.wire_voltage_drop(
            wires.current_a[n], wires.one_way_length_m[n], "18 AWG", conductor_temperature_c=warm
        )
        assert wires.drop_v[n] == pytest.approx(run + 0.010 * wires.current_a[n], rel=1e-9)


def test_one_branch_lost_against_a_fixture_without_it(bench, bench_results):
    """The same figure the long way: eight fixtures of seven boards each, by positions and cables."""
    places, highest = placed_boards(bench), 0.0
    for lost in bench_results.boards.tag:
        fewer = dataclasses.replace(
            bench,
            positions=tuple(place for place in places if place.tag != lost),
            cables=tuple(cable for cable in bench.cables if cable.to_node != lost),
            current_log=(),
        )
        highest = max(highest, lc.evaluate(fewer).boards.current_a.max())
    # Light and wire warmth are worked out anew there, and kept in the quick figure: a second-order difference.
    assert bench_results.boards.one_lost_current_a.max() == pytest.approx(highest, rel=5e-4)


def test_example_built_in_python_is_the_example_of_the_workbook(bench_results):
    built = runpy.run_path(str(ROOT / "examples" / "seedling_bench.py"))["school_bench"]()
    evaluated = lc.evaluate(built)
    assert [found.code for found in evaluated.findings] == [found.code for found in bench_results.findings]
    ours = evaluated.summary()
    for name, value in bench_results.summary().items():
        assert ours[name] == (pytest.approx(value, rel=1e-12) if isinstance(value, float) else value)


def test_example_script_runs(capsys):
    runpy.run_path(str(ROOT / "examples" / "seedling_bench.py"), run_name="__main__")
    assert "umol/J at the mains" in capsys.readouterr().out


def test_a_fixture_survives_the_way_through_records(bench):
    assert fixture_from_records(records_from_fixture(bench)) == bench


def test_positions_replace_rows_and_columns(bench, bench_results):
    explicit = dataclasses.replace(bench, positions=placed_boards(bench), rows_count=1, columns_count=1)
    assert lc.evaluate(explicit).summary() == bench_results.summary()


def test_moving_crop_and_boards_together_changes_nothing(bench, bench_results):
    moved = with_values(bench, {"fixture.crop_x_m": 1.5, "fixture.crop_y_m": 0.7, "fixture.canopy_height_m": 0.9})
    assert lc.evaluate(moved).light.ppfd_umol_m2_s == pytest.approx(bench_results.light.ppfd_umol_m2_s, rel=1e-9)


def test_every_blank_with_a_default_is_listed(bench_results):
    paths = {entry.path for entry in bench_results.assumptions}
    assert {"boards[0].cosine_exponent", "cables[0].loaded_conductors_count", "cables[0].ambient_c"} <= paths
    assert "fixture.height_m" not in paths


def test_from_python_what_equals_its_default_is_listed(bench):
    built = dataclasses.replace(bench, origin=None)
    paths = {entry.path for entry in lc.evaluate(built).assumptions}
    assert "boards[0].cosine_exponent" in paths
    assert "site.air_temperature_c" not in paths


def test_readings_against_prediction(bench_results):
    logged, (survey,) = bench_results.logged, bench_results.surveys
    assert logged.tag == bench_results.boards.tag
    assert set(logged.elapsed_h) == {2.0}
    assert logged.half_width_a == pytest.approx(0.02 * logged.current_a + 0.002)
    assert logged.share_fraction.sum() == pytest.approx(1.0)
    assert survey.statistics.reading_count == 18
    assert survey.predicted_mean_umol_m2_s == pytest.approx(survey.statistics.mean, rel=0.05)


def test_a_survey_at_another_height_is_predicted_at_that_height(bench):
    lower = lc.evaluate(with_values(bench, {"light_readings.height_m": 0.40})).surveys[0]
    hung = lc.evaluate(with_values(bench, {"fixture.height_m": 0.40, "light_readings.height_m": None})).surveys[0]
    assert lower.predicted_umol_m2_s == pytest.approx(hung.predicted_umol_m2_s, rel=1e-12)


def test_extrapolation_is_marked(bench):
    results = lc.evaluate(
        with_values(
            bench, {"fixture.current_setting_a": 7.5, "drivers[0].current_high_a": 10, "drivers[0].power_limit_w": 300}
        )
    )
    assert all(results.boards.extrapolated)


def test_wire_without_a_table_is_blank_with_a_reason(bench):
    results = lc.evaluate(with_values(bench, {"cables[0].size": "22 AWG"}))
    assert np.isnan(results.wires.ampacity_a[0])
    assert "22 AWG" in results.wires.status[0]
    assert np.isfinite(results.wires.ampacity_a[1:]).all()


def test_iec_rules(bench):
    cable = dict.fromkeys(("cables.size",), "1.5 mm2") | {
        "cables.wire_kind": None,
        "cables.installation_method": "E",
        "cables.insulation_c": 70.0,
    }
    results = lc.evaluate(with_values(bench, {**cable, "site.rule_set": "IEC", "site.mains_v": 230.0}))
    assert results.wires.ampacity_a == pytest.approx(np.full(8, 22 * 1.12 * 0.65))
    assert results.operating.circuit_limit_a == 15.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"cables": ()}, "no cable runs to board 'B1'"),
        ({"driver": "none"}, "there is no driver model 'none'"),
        ({"height_m": -1.0}, "too small"),
        ({"current_setting_a": float("nan")}, "not a finite number"),
        ({"rows_count": 3}, "no cable runs to board 'B9'"),
    ],
)
def test_a_fixture_that_contradicts_itself_is_refused(bench, changes, words):
    with pytest.raises(lc.InputErrors, match=words):
        lc.evaluate(dataclasses.replace(bench, **changes))


def test_no_steady_state_is_an_error_with_a_remedy(bench):
    hopeless = with_values(
        bench,
        {
            "heat_sinks[0].sink_resistance_k_per_w": 60.0,
            "fixture.voltage_setting_v": 22.5,
            "fixture.current_setting_a": 150.0,
            "drivers[0].current_high_a": 150.0,
            "drivers[0].power_limit_w": 20000.0,
        },
    )
    with pytest.raises(lc.LedcalcError, match="of these K/W"):
        lc.evaluate(hopeless)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("fixture.hight_m", 1),
        ("cables[99].size", "18 AWG"),
        ("height", 1),
        ("fixture.height_m", "1 kg"),
        ("fixture.height_m", -1),
        ("fixture.driver", None),
    ],
)
def test_a_change_that_cannot_be_made_is_named(bench, path, value):
    with pytest.raises(lc.ArgumentError):
        with_values(bench, {path: value})


def test_variants_equal_evaluations_one_by_one(bench):
    changes = {
        "low": {"fixture.current_setting_a": 3.0},
        "thick": {"cables.size": "16 AWG"},
        "bad": {"fixture.height_m": -1},
    }
    table = lc.evaluate_many(bench, changes)
    assert table["variant"].tolist() == list(changes)
    for n, name in enumerate(("low", "thick")):
        alone = lc.evaluate(with_values(bench, changes[name])).summary()
        for figure, value in alone.items():
            assert table.loc[n, figure] == value
    assert "too small" in table.loc[2, "reason"] or "above 0" in table.loc[2, "reason"]
    assert np.isnan(table.loc[2, "driver_current_a"])


def test_variants_from_a_table_with_blanks(bench):
    given = pd.DataFrame(
        {"variant": ["a", "b"], "fixture.current_setting_a": [3.0, None], "fixture.height_m": ["40 cm", None]}
    )
    table = lc.evaluate_many(bench, given)
    assert table["driver_current_a"].tolist() == pytest.approx([3.0, 4.4])
    with pytest.raises(lc.ArgumentError, match="variant"):
        lc.evaluate_many(bench, given.drop(columns="variant"))


def test_a_bad_variant_never_stops_the_rest(bench):
    rows = list(evaluate_variants(bench, [Variant(name="x", problem="unknown column"), Variant(name="y")]))
    assert rows[0].reason == "unknown column"
    assert rows[1].figures["driver_current_a"] == pytest.approx(4.4)


FINS = {
    "sink_resistance_k_per_w": None,
    "orientation": "fins up",
    "width_m": 0.08,
    "length_m": 0.30,
    "base_thickness_m": 0.003,
    "fin_count": 8,
    "fin_height_m": 0.02,
    "fin_thickness_m": 0.0015,
}


def with_fins(bench, **changes):
    sink = dataclasses.replace(bench.heat_sinks[0], **(FINS | changes))
    return dataclasses.replace(bench, heat_sinks=(sink,))


@pytest.mark.parametrize("orientation", ["fins up", "vertical"])
def test_sink_by_dimensions_settles_with_its_own_heat(bench, orientation):
    """At the end the sink sheds, at its temperature, the very heat of its board: the balance asked of the sink "
    "itself."""
    results = lc.evaluate(with_fins(bench, orientation=orientation))
    boards, sink = (
        results.boards,
        PlateFinSink(
            width_m=0.08,
            length_m=0.30,
            base_thickness_m=0.003,
            fin_count=8,
            fin_height_m=0.02,
            fin_thickness_m=0.0015,
            conductivity_w_per_m_k=200.0,
            emissivity_fraction=0.8,
            orientation=orientation,
        ),
    )
    for warm, heat, resistance in zip(
        boards.sink_temperature_c, boards.heat_w, boards.sink_resistance_k_per_w, strict=True
    ):
        assert sum(sink_power(sink, warm, ambient_c=20.0)) == pytest.approx(heat, rel=1e-7)
        assert (warm - 20.0) / heat == pytest.approx(resistance, rel=1e-7)


def test_thin_air_makes_warmer_boards(bench):
    low = lc.evaluate(with_fins(bench))
    high = lc.evaluate(with_values(with_fins(bench), {"site.altitude_m": 2000.0}))
    assert high.boards.temperature_c.max() > low.boards.temperature_c.max() + 0.5


def test_alike_boards_settle_too(bench):
    """With all runs alike the currents stay from the first round on; temperatures and light must settle all "
    "the same."""
    alike = with_values(bench, {"cables.one_way_length_m": 1.0})
    boards, per_joule = lc.evaluate(alike).boards, photons_per_joule_of(bench.boards[0], bench.spectra)
    assert np.ptp(boards.current_a) < 1e-12
    rise = boards.temperature_c - 20.0
    assert rise == pytest.approx(4.0 * boards.heat_w, rel=1e-9)
    assert (boards.power_w - boards.heat_w) * per_joule == pytest.approx(boards.photon_flux_umol_s, rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"sink_resistance_k_per_w": 2.0}, "both a thermal resistance and dimensions"),
        (dict.fromkeys(FINS), "neither a thermal resistance nor dimensions"),
        ({"fin_height_m": None}, "needed with the other dimensions"),
        ({"orientation": "face up"}, "does not go with this sink"),
        ({"fin_count": None, "orientation": "fins up"}, "does not go with this sink"),
    ],
)
def test_sinks_given_two_ways_or_none_are_refused(bench, changes, words):
    with pytest.raises(lc.InputErrors, match=words):
        lc.evaluate(with_fins(bench, **changes))


def on_a_trunk(bench, *fed):
    """The example's boards as two trunks of four: driver - B1 - B2 - B3 - B4, and driver - B5 - ...

    - B8; more feeds as told.
    """
    cable = bench.cables[0]
    ends = [("driver", "B1"), ("driver", "B5"), *((f"B{n}", f"B{n + 1}") for n in (1, 2, 3, 5, 6, 7)), *fed]
    cables = tuple(
        dataclasses.replace(
            cable, tag=f"T{n}", from_node=start, to_node=end, one_way_length_m=1.0, grouped_circuits_count=1
        )
        for n, (start, end) in enumerate(ends, start=1)
    )
    return dataclasses.replace(bench, arrangement="shared trunk", cables=cables)


def test_a_trunk_carries_the_sum_and_obeys_kirchhoff(bench):
    results = lc.evaluate(on_a_trunk(bench))
    boards, wires, operating = results.boards, results.wires, results.operating
    by_tag = dict(zip(boards.tag, boards.current_a, strict=True))
    carried = dict(zip(wires.tag, wires.current_a, strict=True))
    assert carried["T1"] == pytest.approx(sum(by_tag[f"B{n}"] for n in (1, 2, 3, 4)), rel=1e-9)
    assert carried["T5"] == pytest.approx(by_tag["B4"], rel=1e-9)
    assert carried["T1"] + carried["T2"] == pytest.approx(operating.current_a, rel=1e-9)
    drop = dict(zip(wires.tag, wires.drop_v, strict=True))
    far = boards.voltage_v[boards.tag.index("B4")]
    assert far + sum(drop[tag] for tag in ("T1", "T3", "T4", "T5")) == pytest.approx(operating.voltage_v, rel=1e-9)
    assert boards.power_w.sum() + wires.loss_w.sum() == pytest.approx(operating.power_w, rel=1e-8)
    assert np.isfinite(boards.one_lost_current_a).all()


def test_feeding_a_trunk_at_both_ends_evens_it(bench):
    one, both = lc.evaluate(on_a_trunk(bench)), lc.evaluate(on_a_trunk(bench, ("driver", "B4"), ("driver", "B8")))
    assert np.ptp(both.boards.current_a) < 0.5 * np.ptp(one.boards.current_a)


def test_home_runs_declared_as_a_trunk_are_the_same_circuit(bench, bench_results):
    same = lc.evaluate(dataclasses.replace(bench, arrangement="shared trunk"))
    assert same.boards.current_a == pytest.approx(bench_results.boards.current_a, rel=1e-9)
    assert same.wires.current_a == pytest.approx(bench_results.wires.current_a, rel=1e-9)


@pytest.mark.parametrize(
    ("ends", "words"),
    [
        (("driver", "B1", "B1"), "ends where it starts"),
        (("B9", "B2", "B3"), "there is no board 'B9'"),
        (("B2", "B2", "B2"), "no run leads from the driver to board"),
    ],
)
def test_trunks_that_cannot_be_wired_are_refused(bench, ends, words):
    trunk = on_a_trunk(bench)
    first, second, third = ends
    broken = (
        dataclasses.replace(trunk.cables[0], from_node=first, to_node=second),
        dataclasses.replace(trunk.cables[2], from_node=second, to_node=third),
        *trunk.cables[3:],
    )
    with pytest.raises(lc.InputErrors, match=words):
        lc.evaluate(dataclasses.replace(trunk, cables=broken))
