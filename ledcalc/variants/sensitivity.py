"""Which input moves which result most: one input at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.variants.figure_names import figure_name, figure_text

__all__ = ["Effect", "Factor", "Model", "OneAtATime", "one_at_a_time", "table_of_results"]

# A row of inputs a variant in, results out: one a variant, or a row of them. NaN where there is none.
Model: TypeAlias = Callable[[FloatArray], ArrayLike]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One input and how far it may lie from its base value; all in the input's own unit.

    ``relative``: base, low and high are shares of what each row has (1: as it is), which moves all rows of a table
    together.
    """

    path: str
    base: float
    low: float
    high: float
    relative: bool = False

    def __post_init__(self) -> None:
        """Refuse ends that do not hold the base between them."""
        ends = (self.low, self.base, self.high)
        if not np.isfinite(ends).all() or not self.low <= self.base <= self.high or self.low == self.high:
            raise ArgumentError(f"{self.path}: low, base, high", ends, "finite numbers, rising, not all the same")


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one input does to one figure between its two ends, all other inputs at their base.

    ``swing``: highest less lowest of the three values. ``elasticity``: per cent of the figure for one per cent of the
    input, over the whole range; NaN where base input or base figure is 0.
    """

    path: str
    figure: str
    at_low: float
    at_base: float
    at_high: float
    swing: float
    elasticity: float
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OneAtATime:
    """Effects of every input on every figure, those of one figure from the largest swing down; NaN ones last."""

    factors: tuple[Factor, ...]
    effects: tuple[Effect, ...]

    def on(self, figure: str) -> tuple[Effect, ...]:
        """Return the effects on one figure, the largest first."""
        return tuple(effect for effect in self.effects if effect.figure == figure)


def one_at_a_time(
    model: Model, factors: Sequence[Factor], figures: Sequence[str] = ("result",), *, currency: str = ""
) -> OneAtATime:
    """Move each input to its two ends, one after another, and say which moves which result most.

    Parameters
    ----------
    model : any function of a batch: an array with a row a variant and a column a factor in, a figure a variant (or a
        row of figures) out; ``fixture_model`` makes one of a fixture
    factors : inputs with their ends
    figures : what the model returns, in order
    currency : written behind money

    Returns
    -------
    OneAtATime

    Raises
    ------
    ArgumentError (a ValueError): no factor, or a model that returns something else

    Validity
    --------
    What two inputs do together does not show, nor does a hump between the ends: see ``sobol_indices`` for both.

    Examples
    --------
    >>> length, size = (Factor(path=name, base=2.0, low=1.0, high=3.0) for name in ("length", "size"))
    >>> found = one_at_a_time(lambda rows: rows[:, 0] + 10.0 * rows[:, 1], [length, size])
    >>> [(effect.path, effect.swing) for effect in found.effects]
    [('size', 20.0), ('length', 2.0)]
    """
    if not factors:
        raise ArgumentError("factors", 0, "at least one")
    count = len(factors)
    rows = np.tile([factor.base for factor in factors], (2 * count + 1, 1))
    for number, factor in enumerate(factors):
        rows[1 + number, number], rows[1 + count + number, number] = factor.low, factor.high
    results = table_of_results(model, rows, len(figures))
    effects = [
        _effect(factor, figure, results[[1 + number, 0, 1 + count + number], column].tolist(), currency)
        for column, figure in enumerate(figures)
        for number, factor in enumerate(factors)
    ]
    order = {figure: place for place, figure in enumerate(figures)}
    effects.sort(key=lambda one: (order[one.figure], -one.swing if one.swing == one.swing else np.inf))
    return OneAtATime(factors=tuple(factors), effects=tuple(effects))


def table_of_results(model: Model, rows: FloatArray, figures_count: int) -> FloatArray:
    """Return a model's results as a table, a row a variant, or say that they have another shape."""
    results = np.asarray(model(rows), dtype=float)
    if results.shape == (len(rows),) and figures_count == 1:
        return results[:, None]
    if results.shape != (len(rows), figures_count):
        raise ArgumentError(
            "model's results", results.shape, f"a row a variant, a column a figure: {(len(rows), figures_count)}"
        )
    return results


def _effect(factor: Factor, figure: str, values: Sequence[float], currency: str) -> Effect:
    low, base, high = values
    elasticity = float("nan")
    if factor.base != 0 and base != 0:
        elasticity = (high - low) / base / ((factor.high - factor.low) / factor.base)
    swing = float(np.max(values) - np.min(values))
    ends = f"{figure_text(figure, low, currency)} to {figure_text(figure, high, currency)}"
    span = f"{factor.low:.4g} to {factor.high:.4g}{' of its value' if factor.relative else ''}"
    line = f"{factor.path} from {span}: {figure_name(figure).label} from {ends}"
    if np.isnan(swing):
        line = f"{factor.path} from {span}: {figure_name(figure).label} cannot be worked out at an end"
    return Effect(
        path=factor.path,
        figure=figure,
        at_low=low,
        at_base=base,
        at_high=high,
        swing=swing,
        elasticity=elasticity,
        line=line,
    )
