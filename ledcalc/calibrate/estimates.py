"""Values as a bench builder asks for them: boards' voltages as their mean and each board's own beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.results import Estimate
from ledcalc.calibrate.solve import Solution
from ledcalc.calibrate.unknowns import Unknown, Unknowns
from ledcalc.evaluation.parts import PlacedBoard

__all__ = ["correlation_of", "estimates_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Asked:
    """A weighted sum of unknowns that is asked for."""

    name: str
    path: str
    entry: Unknown
    weights: FloatArray


def estimates_of(unknowns: Unknowns, placed: Sequence[PlacedBoard], solution: Solution) -> tuple[Estimate, ...]:
    """Return every value with its error before and after."""
    found = []
    for asked in _asked(unknowns, placed):
        weights = asked.weights
        before, after = (float(weights @ matrix @ weights) for matrix in (unknowns.covariance, solution.covariance))
        found.append(
            Estimate(
                name=asked.name,
                path=asked.path,
                unit=asked.entry.unit,
                prior_value=float(weights @ unknowns.prior),
                prior_error=before**0.5,
                value=float(weights @ solution.values),
                standard_error=after**0.5,
                told_fraction=float(np.clip(1.0 - after / before, 0.0, 1.0)),
                is_at_bound=bool(solution.at_bound[weights != 0].any()),
                basis=asked.entry.basis,
            )
        )
    return tuple(found)


def correlation_of(unknowns: Unknowns, placed: Sequence[PlacedBoard], solution: Solution) -> FloatArray:
    """Return the correlations of the values after the readings."""
    weights = np.array([asked.weights for asked in _asked(unknowns, placed)])
    covariance = weights @ solution.covariance @ weights.T
    errors = np.sqrt(np.diag(covariance))
    return np.asarray(covariance / np.outer(errors, errors))


def _asked(unknowns: Unknowns, placed: Sequence[PlacedBoard]) -> list[_Asked]:
    each = np.eye(len(unknowns.entries))
    found, seen = [], set[str]()
    for place, entry in enumerate(unknowns.entries):
        if entry.kind != "voltage":
            found.append(_Asked(name=entry.name, path=entry.path, entry=entry, weights=each[place]))
            continue
        model = placed[entry.number].model.tag
        own = [n for n in unknowns.numbers("voltage") if placed[unknowns.entries[n].number].model.tag == model]
        mean = each[own].mean(axis=0)
        if model not in seen:
            name = f"voltage of {model}, mean of its boards" if len(own) > 1 else entry.name
            found.append(_Asked(name=name, path="" if len(own) > 1 else entry.path, entry=entry, weights=mean))
            seen.add(model)
        if len(own) > 1:
            name = f"voltage of {placed[entry.number].place.tag} against that mean"
            found.append(_Asked(name=name, path=entry.path, entry=entry, weights=each[place] - mean))
    return found
