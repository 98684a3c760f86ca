"""Which input moves which result most: against a function whose indices are published, scipy, and by hand."""

import inspect
import json
import math

import numpy as np
import pytest

from ledcalc.cli import main
from ledcalc.errors import ArgumentError
from ledcalc.records import with_values
from ledcalc.variants import VariantRow
from ledcalc.variants.fixture_model import FixtureModel, factor_of
from ledcalc.variants.sensitivity import Factor, one_at_a_time
from ledcalc.variants.sobol import sobol_indices
from ledcalc.variants.verdict import verdict_tolerance
from ledcalc.workbook.template import write_inputs


def factors_of(*ends):
    return [Factor(path=f"x{n}", base=(low + high) / 2, low=low, high=high) for n, (low, high) in enumerate(ends, 1)]


ISHIGAMI = factors_of(*[(-math.pi, math.pi)] * 3)


def ishigami(rows):
    return np.sin(rows[:, 0]) + 7.0 * np.sin(rows[:, 1]) ** 2 + 0.1 * rows[:, 2] ** 4 * np.sin(rows[:, 0])


def test_ishigami_function():
    """Ishigami and Homma 1990, with a = 7, b = 0.1: indices in Saltelli et al., Global Sensitivity Analysis: The Primer
    (2008), section 4.6, from memory; they follow from the closed form of its variances too."""
    found = sobol_indices(ishigami, ISHIGAMI, sample_count=4096, seed=3)
    assert found.first.ravel() == pytest.approx([0.3139, 0.4424, 0.0], abs=0.01)
    assert found.total.ravel() == pytest.approx([0.5576, 0.4424, 0.2437], abs=0.01)
    a, b = 7.0, 0.1
    variance = a**2 / 8 + b * math.pi**4 / 5 + b**2 * math.pi**8 / 18 + 0.5
    assert found.variance[0] == pytest.approx(variance, rel=0.01)
    assert found.mean[0] == pytest.approx(a / 2, rel=0.01)
    assert 0.5 * (1 + b * math.pi**4 / 5) ** 2 / variance == pytest.approx(0.3139, abs=5e-5)


def test_limits_hold_the_true_index():
    found = sobol_indices(ishigami, ISHIGAMI, sample_count=256, seed=5)
    assert (found.first_low.ravel() <= [0.3139, 0.4424, 0.0]).all()
    assert (found.first_high.ravel() >= [0.3139, 0.4424, 0.0]).all()
    assert (found.total_low.ravel() <= [0.5576, 0.4424, 0.2437]).all()
    assert (found.total_high.ravel() >= [0.5576, 0.4424, 0.2437]).all()
    finer = sobol_indices(ishigami, ISHIGAMI, sample_count=4096, seed=5)
    assert ((finer.total_high - finer.total_low) < (found.total_high - found.total_low)).all()


def test_the_same_points_give_what_scipy_gives():
    from scipy import stats

    theirs = stats.sobol_indices
    word = "rng" if "rng" in inspect.signature(theirs).parameters else "random_state"
    dists = [stats.uniform(-math.pi, 2 * math.pi)] * 3
    expected = theirs(func=lambda x: ishigami(x.T), n=512, dists=dists, **{word: np.random.default_rng(11)})
    found = sobol_indices(ishigami, ISHIGAMI, sample_count=512, seed=11)
    assert found.first.ravel() == pytest.approx(np.ravel(expected.first_order), abs=1e-9)
    assert found.total.ravel() == pytest.approx(np.ravel(expected.total_order), abs=1e-9)


def test_a_sum_shares_its_variance_by_squares():
    """x1 + 2 x2 + 3 x3, all even over ranges alike: 1, 4 and 9 of 14 parts (hand calculation); a second figure does not
    vary at all."""
    model = lambda rows: np.stack([rows @ [1.0, 2.0, 3.0], np.full(len(rows), 5.0)], axis=1)  # noqa: E731
    found = sobol_indices(model, factors_of(*[(0.0, 1.0)] * 3), ("sum", "steady"), sample_count=2048, seed=1)
    assert found.first[:, 0] == pytest.approx(np.array([1, 4, 9]) / 14, abs=0.005)
    assert found.total[:, 0] == pytest.approx(np.array([1, 4, 9]) / 14, abs=0.005)
    assert np.isnan(found.first[:, 1]).all()
    assert np.isnan(found.total[:, 1]).all()


def test_one_seed_one_result():
    one, same, other = (sobol_indices(ishigami, ISHIGAMI, sample_count=64, seed=seed) for seed in (9, 9, 10))
    assert (one.first == same.first).all()
    assert (one.total_low == same.total_low).all()
    assert (one.first != other.first).all()
    assert one.evaluations_count == 64 * 5


def test_samples_that_cannot_be_worked_out_are_left_out_and_counted():
    def broken(rows):
        return np.where(rows[:, 0] > 3.0, np.nan, ishigami(rows))

    found = sobol_indices(broken, ISHIGAMI, sample_count=1024, seed=3)
    # x1 lies above 3 in (pi - 3) / 2 pi of each half: 46 of 1024 samples.
    assert 40 < found.dropped_count < 52
    assert np.isfinite(found.total).all()
    with pytest.raises(ArgumentError, match="0 of 64 samples"):
        sobol_indices(lambda rows: np.full(len(rows), np.nan), ISHIGAMI, sample_count=64, seed=3)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"sample_count": 100}, "a power of 2"),
        ({"sample_count": 1}, "at least 2"),
        ({"seed": -1}, "seed"),
        ({"confidence_fraction": 1.0}, "below 1"),
        ({"resamples_count": 1}, "resamples_count"),
    ],
)
def test_wrong_counts_are_named(options, said):
    with pytest.raises(ArgumentError, match=said):
        sobol_indices(ishigami, ISHIGAMI, **{"seed": 1, **options})


def test_models_and_factors_that_do_not_fit_are_named():
    with pytest.raises(ArgumentError, match="a row a variant"):
        sobol_indices(lambda rows: rows, ISHIGAMI, sample_count=4, seed=1)
    with pytest.raises(ArgumentError, match="at least one"):
        sobol_indices(ishigami, [], seed=1)
    with pytest.raises(ArgumentError, match="rising"):
        Factor(path="a", base=3.0, low=1.0, high=2.0)
    with pytest.raises(ArgumentError, match="rising"):
        Factor(path="a", base=1.0, low=1.0, high=1.0)
    with pytest.raises(ArgumentError, match="finite"):
        Factor(path="a", base=1.0, low=0.0, high=math.inf)


def test_one_at_a_time_by_hand():
    """y = x1 x2^2 about (2, 3), base 18: x1 from 1 to 3 gives 9 to 27, x2 from 2 to 4 gives 8 to 32; elasticities
    (27 - 9) / 18 / (2 / 2) = 1 and (32 - 8) / 18 / (2 / 3) = 2 (hand calculation)."""
    found = one_at_a_time(lambda rows: rows[:, 0] * rows[:, 1] ** 2, factors_of((1, 3), (2, 4)))
    first, second = found.effects
    assert (first.path, first.at_low, first.at_base, first.at_high, first.swing) == ("x2", 8, 18, 32, 24)
    assert (second.path, second.swing) == ("x1", 18)
    assert (first.elasticity, second.elasticity) == pytest.approx((2.0, 1.0))
    assert first.line == "x2 from 2 to 4: result from 8 to 32"


def test_a_hump_counts_as_a_swing_and_what_fails_comes_last():
    model = lambda rows: np.where(rows[:, 1] > 0.9, np.nan, -((rows[:, 0] - 0.5) ** 2))  # noqa: E731
    found = one_at_a_time(model, factors_of((0, 1), (0, 1)))
    assert [effect.path for effect in found.effects] == ["x1", "x2"]
    assert found.effects[0].swing == 0.25
    assert "cannot be worked out at an end" in found.effects[1].line


FIGURES = ("ppfd_mean_umol_m2_s", "energy_cost")


def test_inputs_of_the_example(bench):
    factors = (
        factor_of(bench, "fixture.current_setting_a", tolerance_fraction=0.05),
        factor_of(bench, "site.price_per_kwh", step=0.02),
        factor_of(bench, "board_points.photon_flux_umol_s", tolerance_fraction=0.05),
    )
    found = one_at_a_time(
        FixtureModel(fixture=bench, factors=factors, figures=FIGURES), factors, FIGURES, currency="USD"
    )
    on_light = {effect.path: effect for effect in found.on("ppfd_mean_umol_m2_s")}
    on_money = {effect.path: effect for effect in found.on("energy_cost")}
    # More light is less heat: it goes a little more than one to one. Money goes with the price, light does not.
    assert 1.0 < on_light["board_points.photon_flux_umol_s"].elasticity < 1.05
    assert on_light["site.price_per_kwh"].swing == 0.0
    assert on_money["site.price_per_kwh"].elasticity == pytest.approx(1.0)
    # Cooler boards take a little more voltage, at the same current.
    assert 0.0 < on_money["board_points.photon_flux_umol_s"].elasticity < 0.05
    assert 0.9 < on_light["fixture.current_setting_a"].elasticity < 1.0
    assert "USD" in on_money["site.price_per_kwh"].line


def test_factors_of_a_fixture(bench):
    lengths = factor_of(bench, "cables.one_way_length_m", tolerance_fraction=0.1)
    assert (lengths.relative, lengths.base, lengths.high) == (True, 1.0, 1.1)
    model = FixtureModel(fixture=bench, factors=(lengths, factor_of(bench, "fixture.rows_count", step=1)), figures=())
    assert model.applied(1, 2.4) == 2.0
    one = factor_of(bench, "cables[1].one_way_length_m", step=0.2)
    assert (one.low, one.high) == pytest.approx((0.9, 1.3))
    for path, said in (
        ("fixture.name", "the path of a number"),
        ("site.target_ppfd_umol_m2_s", "filled in"),
        ("cables[99].one_way_length_m", "which has 8"),
        ("fixture.hight_m", "a field of"),
        ("sight.mains_v", "sheet"),
    ):
        with pytest.raises(ArgumentError, match=said):
            factor_of(bench, path, step=1)
    with pytest.raises(ArgumentError, match="one of the two"):
        factor_of(bench, "fixture.height_m")
    with pytest.raises(ArgumentError, match="state a tolerance_fraction"):
        factor_of(bench, "cables.one_way_length_m", step=0.1)


def test_relative_factors_move_every_row_by_its_own_share(bench):
    seen = []

    def spy(_, variants):
        seen.extend(variants)
        return [VariantRow(name="", changes={}, reason="", figures={}, counts={}, codes=()) for _ in variants]

    lengths = factor_of(bench, "cables.one_way_length_m", tolerance_fraction=0.5)
    FixtureModel(fixture=bench, factors=(lengths,), figures=(), evaluate=spy)(np.array([[1.5]]))
    assert seen[0].changes["cables[0].one_way_length_m"] == pytest.approx(2.1)
    assert seen[0].changes["cables[3].one_way_length_m"] == pytest.approx(0.75)


def test_an_unknown_figure_is_named(bench):
    factor = factor_of(bench, "fixture.height_m", step=0.01)
    model = FixtureModel(fixture=bench, factors=(factor,), figures=("brightness",))
    with pytest.raises(ArgumentError, match="'brightness'"):
        model(np.array([[0.28]]))


def test_other_load_flips_the_circuit_where_ohms_law_says(bench, bench_results):
    """The circuit takes so much more current: limit less load, times the mains voltage (hand calculation)."""
    operating = bench_results.operating
    spare_w = (operating.circuit_limit_a - operating.circuit_load_a) * bench.site.mains_v
    factor = factor_of(bench, "site.circuit_other_load_w", step=300.0)
    wide = Factor(path=factor.path, base=factor.base, low=0.0, high=factor.base + 2 * spare_w)
    down, up = verdict_tolerance(bench, [wide], codes=["circuit-overloaded"], steps_count=2, precision_fraction=0.001)
    assert math.isnan(down.value)
    assert down.holds_to == 0.0
    assert up.brings == ("circuit-overloaded",)
    assert up.holds_to <= factor.base + spare_w <= up.value
    assert up.value - up.holds_to <= 0.001 * 2 * spare_w * 1.01
    assert "brings circuit-overloaded" in up.line
    assert "the verdict holds from 300 to 0" in down.line


def test_a_change_that_clears_a_finding_and_one_that_cannot_be_worked_out(bench):
    height = Factor(path="fixture.height_m", base=0.28, low=-0.10, high=0.9)
    down, up = verdict_tolerance(bench, [height], codes=["light-uneven"], steps_count=2, precision_fraction=0.05)
    assert up.clears == ("light-uneven",)
    assert "allowed: a number above 0" in down.reason
    assert down.holds_to > 0 >= down.value


def test_unknown_codes_and_broken_bases_are_named(bench):
    factor = factor_of(bench, "fixture.height_m", step=0.01)
    with pytest.raises(ArgumentError, match="no-such-rule"):
        verdict_tolerance(bench, [factor], codes=["no-such-rule"])
    broken = with_values(bench, {"drivers[0].voltage_low_v": 27})
    with pytest.raises(ArgumentError, match="a base that can be worked out"):
        verdict_tolerance(broken, [factor])


def test_the_command_names_what_moves_what(bench, tmp_path, capsys):
    write_inputs(bench, tmp_path / "bench.xlsx")
    asked = ["sway", str(tmp_path / "bench.xlsx"), "--inputs", "fixture.height_m", "cables.one_way_length_m"]
    assert main([*asked, "--json", "--figures", "ppfd_mean_umol_m2_s"]) == 0
    height, wires = json.loads(capsys.readouterr().out)["found"]
    assert height["path"] == "fixture.height_m"
    assert height["swing"] > 10 * wires["swing"]
    assert main([*asked, "--shares", "4", "--seed", "3", "--figures", "ppfd_mean_umol_m2_s"]) == 0
    assert capsys.readouterr().out.startswith("seed 3, 16 variants")
    assert main([*asked[:4], "--verdict"]) == 0
    assert "fixture.height_m" in capsys.readouterr().out
    assert main([*asked, "--figures", "brightness"]) == 2
