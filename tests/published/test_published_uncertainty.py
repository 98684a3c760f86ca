"""Uncertainty against worked examples of the GUM (JCGM 100:2008) and its Supplement 1 (JCGM 101), from memory."""

import numpy as np
import pytest

from ledcalc.bench import (
    Estimate,
    UncertaintyPart,
    combined_uncertainty,
    coverage_factor,
    coverage_half_width,
    effective_degrees_of_freedom,
    figure_text,
    standard_uncertainty,
)

FOREVER = float("inf")


def test_end_gauge_of_annex_h_1():
    """JCGM 100, H.1: contributions 25, 9.7, 2.9 and 16.6 nm; u_c 32 nm, 16 degrees of freedom, U99 93 nm."""
    parts = (
        UncertaintyPart(name="standard", standard_uncertainty=25.0, degrees_of_freedom=18.0),
        UncertaintyPart(name="comparison", standard_uncertainty=9.7, degrees_of_freedom=25.6),
        UncertaintyPart(name="expansion", standard_uncertainty=2.9, degrees_of_freedom=50.0),
        UncertaintyPart(name="temperature", standard_uncertainty=16.6, degrees_of_freedom=2.0),
    )
    length = Estimate(value=50_000_838.0, parts=parts)
    assert length.standard_uncertainty == pytest.approx(32.0, abs=0.5)
    assert int(length.degrees_of_freedom) == 16
    # The annex cuts degrees of freedom to 16 and takes t = 2.92; its 93 nm is that times 32 rounded.
    assert length.expanded_uncertainty(0.99) == pytest.approx(93.0, abs=1.5)


def test_comparison_of_end_gauges_is_its_three_parts():
    """JCGM 100, H.1.3.2: 5.8, 3.9 and 6.7 nm make 9.7 nm."""
    assert combined_uncertainty([5.8, 3.9, 6.7]) == pytest.approx(9.7, abs=0.05)


def test_resistance_and_reactance_of_annex_h_2():
    """JCGM 100, H.2: five sets of V, I and phase; u(R) 0.071, u(X) 0.295, u(Z) 0.236 ohm with their correlations."""
    voltage, current, phase = 4.9990, 19.6610e-3, 1.04446
    sizes = [0.0032, 0.0095e-3, 0.00075]
    correlation = [[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]]
    impedance = voltage / current
    slopes = {
        "R": (np.cos(phase) / current, -impedance * np.cos(phase) / current, -impedance * np.sin(phase)),
        "X": (np.sin(phase) / current, -impedance * np.sin(phase) / current, impedance * np.cos(phase)),
        "Z": (1 / current, -impedance / current, 0.0),
    }
    printed = {"R": 0.071, "X": 0.295, "Z": 0.236}
    for name, slope in slopes.items():
        found = combined_uncertainty(sizes, sensitivities=slope, correlation=correlation)
        # The correlations are printed to two digits, which is worth some 2 %.
        assert found == pytest.approx(printed[name], rel=0.03)


def test_a_product_of_three_factors():
    """JCGM 100, G.4.1: relative uncertainties 0.25, 0.57, 0.82 % from 10, 5, 15 readings: 1.03 %, 19.0, U95 2.2 %."""
    parts = [0.25, 0.57, 0.82]
    assert combined_uncertainty(parts) == pytest.approx(1.03, abs=0.005)
    freedom = effective_degrees_of_freedom(parts, [9, 4, 14])
    assert freedom == pytest.approx(19.0, abs=0.05)
    assert coverage_factor(0.95, freedom) * combined_uncertainty(parts) == pytest.approx(2.2, abs=0.05)


@pytest.mark.parametrize(
    ("level", "freedom", "printed"),
    [(0.95, 1, 12.71), (0.95, 10, 2.23), (0.95, 20, 2.09), (0.95, FOREVER, 1.960), (0.99, 10, 3.17), (0.99, 16, 2.92)],
)
def test_student_factors_of_table_g_2(level, freedom, printed):
    assert coverage_factor(level, freedom) == pytest.approx(printed, abs=0.005)


def test_rectangle_triangle_and_certificate():
    """JCGM 100, 4.3.7 note, 4.3.9, 4.3.3."""
    assert standard_uncertainty(1.0) == pytest.approx(0.5774, abs=5e-5)
    assert standard_uncertainty(1.0, distribution="triangular") == pytest.approx(0.4082, abs=5e-5)
    # 4.3.3, example: 240 ug at three standard deviations is 80 ug.
    assert standard_uncertainty(240.0, distribution="normal", coverage_factor=3.0) == pytest.approx(80.0)


@pytest.mark.parametrize(
    ("sizes", "shape", "printed"),
    [
        ([1, 1, 1, 1], "normal", 3.92),
        ([1, 1, 1, 1], "rectangular", 3.88),
        # One width that outweighs the rest: the rules of JCGM 100 alone say 19.9.
        ([1, 1, 1, 10], "rectangular", 17.0),
    ],
)
def test_additive_models_of_supplement_1(sizes, shape, printed):
    """JCGM 101, 9.2.2 to 9.2.4, tables 2 to 4: intervals of four independent quantities."""
    found = coverage_half_width(sizes, [shape] * 4, [FOREVER] * 4)
    assert found == pytest.approx(printed, abs=0.01 if printed < 10 else 0.05)


def test_the_plain_rules_are_too_wide_where_one_rectangle_rules():
    """JCGM 101, 9.2.4: the law of propagation says +-19.9 where the distributions say +-17.0."""
    parts = [UncertaintyPart(name=str(size), standard_uncertainty=size, shape="rectangular") for size in (1, 1, 1, 10)]
    estimate = Estimate(value=0.0, parts=tuple(parts))
    assert estimate.expanded_uncertainty() == pytest.approx(19.9, abs=0.05)
    assert estimate.half_width() == pytest.approx(17.0, abs=0.05)


@pytest.mark.parametrize("level", [0.683, 0.9, 0.95, 0.99])
def test_intervals_against_random_numbers(level):
    """Rectangles, normals and a mean of few readings put together by 400,000 draws each, as Supplement 1 does."""
    random = np.random.default_rng(20)
    sizes, shapes, freedoms = [2.0, 1.0, 0.8], ["rectangular", "normal", "normal"], [FOREVER, FOREVER, 6.0]
    draws = (
        random.uniform(-(3**0.5), 3**0.5, 400_000) * sizes[0]
        + random.normal(0, sizes[1], 400_000)
        + random.standard_t(6, 400_000) * sizes[2]
    )
    drawn = np.quantile(np.abs(draws), level)
    assert coverage_half_width(sizes, shapes, freedoms, level_fraction=level) == pytest.approx(drawn, rel=0.006)


def test_one_part_alone_is_its_own_distribution():
    """A rectangle holds its level's share of its width; a mean of few readings is Student's t (scipy)."""
    from scipy import stats

    assert coverage_half_width([1.0], ["rectangular"], [FOREVER], level_fraction=0.5) == pytest.approx(3**0.5 / 2)
    for freedom in (2.0, 5.0, 30.0):
        exact = stats.t.ppf(0.975, freedom)
        assert coverage_half_width([1.0], ["normal"], [freedom]) == pytest.approx(exact, rel=2e-4)


def test_printed_digits():
    """JCGM 100, 7.2.6: 10.057 62 ohm known to 27 mohm is 10.058 ohm; 28.05 kHz becomes 28 kHz."""
    assert figure_text(10.05762, 0.027, "ohm") == "10.058 +- 0.027 ohm"
    assert figure_text(12345.6, 28.05, "kHz") == "12346 +- 28 kHz"
    assert figure_text(0.0, 0.0996) == "0.00 +- 0.10"
    assert figure_text(float("nan"), 1.0) == "not known"
    assert "not known" in figure_text(850.0, float("nan"))
