"""A measured figure with what its uncertainty is made of."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import choice, numbers
from ledcalc.bench.coverage import SHAPES, coverage_half_width
from ledcalc.bench.figures import figure_text
from ledcalc.bench.uncertainty import combined_uncertainty, coverage_factor, effective_degrees_of_freedom

__all__ = ["Estimate", "UncertaintyPart"]


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyPart:
    """One independent part of a result's uncertainty, in the result's unit.

    Parameters
    ----------
    name : what it comes from, in words
    standard_uncertainty : at least 0
    shape : "normal" or "rectangular"
    degrees_of_freedom : above 0, may be infinite

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown shape
    """

    name: str
    standard_uncertainty: float
    shape: str = "normal"
    degrees_of_freedom: float = float("inf")

    def __post_init__(self) -> None:
        numbers("standard_uncertainty", self.standard_uncertainty, at_least=0)
        choice("shape", self.shape, SHAPES)
        numbers("degrees_of_freedom", self.degrees_of_freedom, above=0, infinite=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A figure and the parts of its uncertainty, independent of each other.

    Parameters
    ----------
    value : in its unit; NaN where nothing could be worked out
    parts : none for an exact figure
    missing : what belongs to the uncertainty and is not known, in words; the uncertainty is then NaN

    Examples
    --------
    >>> calibration = UncertaintyPart(name="calibration", standard_uncertainty=24.0, shape="rectangular")
    >>> noise = UncertaintyPart(name="reading noise", standard_uncertainty=3.0)
    >>> estimate = Estimate(value=850.0, parts=(calibration, noise))
    >>> estimate.text("umol m-2 s-1")
    '850 +- 40 umol m-2 s-1'
    >>> round(estimate.expanded_uncertainty(), 1)  # as if it were normal
    47.4
    """

    value: float
    parts: tuple[UncertaintyPart, ...]
    missing: str = ""

    @property
    def standard_uncertainty(self) -> float:
        """Combined standard uncertainty, in the value's unit (GUM 5.1.2)."""
        if self.missing:
            return float("nan")
        return combined_uncertainty([part.standard_uncertainty for part in self.parts])

    @property
    def degrees_of_freedom(self) -> float:
        """Effective degrees of freedom by Welch and Satterthwaite (GUM G.4.1)."""
        contributions = [part.standard_uncertainty for part in self.parts]
        return effective_degrees_of_freedom(contributions, [part.degrees_of_freedom for part in self.parts])

    def expanded_uncertainty(self, level_fraction: float = 0.95) -> float:
        """Return k u with k by the effective degrees of freedom (GUM G.3): the sum of the parts taken as normal."""
        return float(coverage_factor(level_fraction, self.degrees_of_freedom)) * self.standard_uncertainty

    def half_width(self, level_fraction: float = 0.95) -> float:
        """Return the half width that holds the true value with the given probability, by the parts' own shapes.

        Narrower than ``expanded_uncertainty`` where limits outweigh the rest: nothing lies beyond limits.
        """
        if self.missing:
            return float("nan")
        return coverage_half_width(
            [part.standard_uncertainty for part in self.parts],
            [part.shape for part in self.parts],
            [part.degrees_of_freedom for part in self.parts],
            level_fraction=level_fraction,
        )

    def part(self, name: str) -> float:
        """Return what a part adds, as a standard uncertainty; 0 where there is no such part."""
        return combined_uncertainty([part.standard_uncertainty for part in self.parts if part.name == name])

    def scaled(self, factor: float) -> Estimate:
        """Return the estimate in another unit, or of something in proportion to it; the factor is exact."""
        size = float(np.abs(numbers("factor", factor)))
        parts = tuple(replace(part, standard_uncertainty=part.standard_uncertainty * size) for part in self.parts)
        return Estimate(value=self.value * factor, parts=parts, missing=self.missing)

    def over(self, other: Estimate) -> Estimate:
        """Return the ratio to another estimate that shares no error with this one (GUM 5.1.2, first order)."""
        if other.value == 0 or np.isnan(other.value):
            return Estimate(value=float("nan"), parts=(), missing=other.missing or "nothing to divide by")
        ratio = self.value / other.value
        below = other.scaled(-ratio / other.value)
        missing = "; ".join(filter(None, (self.missing, other.missing)))
        return Estimate(value=ratio, parts=(*self.scaled(1.0 / other.value).parts, *below.parts), missing=missing)

    def text(self, unit: str = "", level_fraction: float = 0.95) -> str:
        """Return the figure with its half width, cut to meaningful digits."""
        return figure_text(self.value, self.half_width(level_fraction), unit)
