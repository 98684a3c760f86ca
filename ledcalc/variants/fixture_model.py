"""A fixture as a function of a batch of its inputs, for everything that tries many."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Fixture
from ledcalc.records import records_from_fixture
from ledcalc.schema import Field, Value, sheet
from ledcalc.variants.rows import Variant, VariantRow, evaluate_variants
from ledcalc.variants.sensitivity import Factor

__all__ = ["Evaluate", "FixtureModel", "factor_of"]

# Works out variants of a fixture, in the order given.
Evaluate: TypeAlias = Callable[[Fixture, Sequence[Variant]], Iterable[VariantRow]]


def factor_of(
    fixture: Fixture, path: str, *, step: float | None = None, tolerance_fraction: float | None = None
) -> Factor:
    """Return an input of a fixture with ends a stated step, or a stated share, to both sides of its value.

    Parameters
    ----------
    fixture : the base
    path : ``sheet.field`` or ``sheet[row].field`` of a number; ``sheet.field`` of a table moves all rows by one share,
        and takes a tolerance only
    step, tolerance_fraction : one of the two, above 0: in the input's canonical unit, or as a share of its value

    Raises
    ------
    ArgumentError (a ValueError): an unknown path, a field that is no number or is blank, or both or neither of step and
    tolerance

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> round(factor_of(seedling_bench(), "fixture.height_m", step=0.02).high, 6)
    0.3
    """
    if (step is None) == (tolerance_fraction is None):
        raise ArgumentError("step, tolerance_fraction", (step, tolerance_fraction), "one of the two")
    values, _ = _numbers_at(fixture, path)
    table = len(values) > 1 or ("[" not in path and sheet(path.split(".")[0]).shape == "table")
    if table:
        if tolerance_fraction is None:
            raise ArgumentError("step", step, f"None for {path}, which is a column: state a tolerance_fraction")
        return Factor(path=path, base=1.0, low=1.0 - tolerance_fraction, high=1.0 + tolerance_fraction, relative=True)
    base = next(iter(values.values()))
    away = step if step is not None else abs(base) * float(tolerance_fraction or 0.0)
    return Factor(path=path, base=base, low=base - away, high=base + away)


@dataclass(frozen=True, slots=True, kw_only=True)
class FixtureModel:
    """Figures of a fixture by some of its inputs: call it with a row a variant and a column a factor.

    ``figures``: of ``Evaluation.summary``. ``evaluate``: what works the variants out. A variant that cannot be worked
    out, an input out of its range included, has NaN in all figures. Whole-number inputs are rounded.
    """

    fixture: Fixture
    factors: tuple[Factor, ...]
    figures: tuple[str, ...]
    evaluate: Evaluate = evaluate_variants

    def __call__(self, rows: FloatArray) -> FloatArray:
        """Return a row of figures a variant."""
        return np.array([self._figures_of(found) for found in self.evaluated(rows)], dtype=float)

    def evaluated(self, rows: FloatArray) -> list[VariantRow]:
        """Return the variants themselves, with findings and reasons."""
        changers = [_Changer(self.fixture, factor) for factor in self.factors]
        variants = [
            Variant(
                name=str(number),
                changes={
                    path: value
                    for changer, amount in zip(changers, row, strict=True)
                    for path, value in changer.changes(float(amount)).items()
                },
            )
            for number, row in enumerate(np.atleast_2d(rows))
        ]
        return list(self.evaluate(self.fixture, variants))

    def applied(self, number: int, amount: float) -> float:
        """Return what an amount of a factor comes to: the nearest whole number, where its field takes only these."""
        factor = self.factors[number]
        whole = not factor.relative and _numbers_at(self.fixture, factor.path)[1].kind == "whole"
        return float(round(amount)) if whole else amount

    def _figures_of(self, row: VariantRow) -> list[float]:
        unknown = [figure for figure in self.figures if row.figures and figure not in row.figures]
        if unknown:
            raise ArgumentError("figures", unknown[0], ", ".join(row.figures))
        return [float(row.figures.get(figure, float("nan"))) for figure in self.figures]


class _Changer:
    """Turns one factor's value into changes of the fixture."""

    def __init__(self, fixture: Fixture, factor: Factor) -> None:
        self.factor = factor
        self.values, self.field = _numbers_at(fixture, factor.path)

    def changes(self, amount: float) -> dict[str, Value | None]:
        whole = self.field.kind == "whole"
        changed = {path: value * amount if self.factor.relative else amount for path, value in self.values.items()}
        return {path: round(value) if whole else value for path, value in changed.items()}


def _numbers_at(fixture: Fixture, path: str) -> tuple[dict[str, float], Field]:
    """Return the numbers that a path stands for, each by the path of its own row, and their field."""
    key, _, name = path.partition(".")
    plain, _, row = key.partition("[")
    part = sheet(plain)
    field = part.field(name)
    if field.kind not in {"number", "whole"}:
        raise ArgumentError("path", path, "the path of a number")
    rows = records_from_fixture(fixture).get(plain, [])
    chosen = range(len(rows)) if not row else [int(row.rstrip("]"))]
    found: dict[str, float] = {}
    for place in chosen:
        if place >= len(rows):
            raise ArgumentError("path", path, f"a row of {plain}, which has {len(rows)}")
        value = rows[place][name]
        if value is not None:
            found[path if part.shape == "form" else f"{plain}[{place}].{name}"] = float(value)
    if not found:
        raise ArgumentError("path", path, "an input that is filled in: it is blank, or its sheet has no rows")
    return found, field
