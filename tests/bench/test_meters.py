"""Meter half widths."""

import pytest

from ledcalc.bench import meter_half_width
from ledcalc.errors import ArgumentError


def test_published_clamp_meter_example():
    """A meter maker's application note: 2 % + 2 counts at 100.0 A means 97.8 to 102.2 A."""
    assert meter_half_width(100.0, accuracy_fraction=0.02, counts=2, resolution=0.1) == pytest.approx(2.2)


def test_sign_does_not_matter_and_arrays_pass():
    got = meter_half_width([-1.0, 1.0], accuracy_fraction=0.02, counts=2, resolution=0.001)
    assert got == pytest.approx([0.022, 0.022])


def test_bad_accuracy_is_named():
    with pytest.raises(ArgumentError, match="accuracy_fraction"):
        meter_half_width(1.0, accuracy_fraction=-0.1)
