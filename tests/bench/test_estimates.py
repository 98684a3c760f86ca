"""Estimates: parts added, scaled, divided; bad figures named."""

import pytest

from ledcalc.bench import Estimate, UncertaintyPart, combined_uncertainty, coverage_half_width, last_digit
from ledcalc.errors import ArgumentError


def estimate(value, *sizes):
    return Estimate(
        value=value, parts=tuple(UncertaintyPart(name=f"part {n}", standard_uncertainty=s) for n, s in enumerate(sizes))
    )


def test_parts_by_squares_and_by_name():
    found = estimate(850.0, 3.0, 4.0)
    assert found.standard_uncertainty == pytest.approx(5.0)
    assert found.part("part 1") == pytest.approx(4.0)
    assert found.part("nothing of the kind") == 0.0
    assert found.half_width() == pytest.approx(1.96 * 5.0, rel=1e-3)


def test_another_unit_scales_all_of_it():
    found = estimate(850.0, 3.0, 4.0).scaled(-0.001)
    assert found.value == pytest.approx(-0.85)
    assert found.standard_uncertainty == pytest.approx(0.005)


def test_a_quotient_adds_shares_by_squares():
    """3 % and 4 % make 5 %."""
    ratio = estimate(200.0, 6.0).over(estimate(50.0, 2.0))
    assert ratio.value == pytest.approx(4.0)
    assert ratio.standard_uncertainty == pytest.approx(4.0 * 0.05)


def test_what_is_missing_stays_missing():
    unknown = Estimate(value=100.0, parts=(), missing="no sensor")
    assert unknown.half_width() != unknown.half_width()
    assert unknown.scaled(2.0).missing == "no sensor"
    assert estimate(50.0, 1.0).over(unknown).missing == "no sensor"
    assert estimate(50.0, 1.0).over(estimate(0.0)).missing == "nothing to divide by"
    assert "not known" in unknown.text()


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: UncertaintyPart(name="a", standard_uncertainty=-1.0), "standard_uncertainty"),
        (lambda: UncertaintyPart(name="a", standard_uncertainty=1.0, shape="round"), "shape"),
        (lambda: UncertaintyPart(name="a", standard_uncertainty=1.0, degrees_of_freedom=0.0), "degrees_of_freedom"),
        (lambda: combined_uncertainty([1, 1], sensitivities=[1, 2, 3]), "sensitivities"),
        (lambda: combined_uncertainty([1, 1], correlation=[[1, 0.5], [0.4, 1]]), "correlation"),
        (lambda: combined_uncertainty([1, 1, 1], correlation=[[1, 0.9, -0.9], [0.9, 1, 0.9], [-0.9, 0.9, 1]]), "corr"),
        (lambda: coverage_half_width([1.0], ["normal", "normal"], [5.0]), "shapes"),
        (lambda: coverage_half_width([1.0], ["normal"], [5.0], level_fraction=1.0), "level_fraction"),
        (lambda: last_digit(0.0), "uncertainty"),
    ],
)
def test_bad_arguments_are_named(call, named):
    with pytest.raises(ArgumentError, match=named):
        call()
