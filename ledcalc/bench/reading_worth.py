"""Which next reading is worth taking, and when: by how much it would narrow the steady value or the drift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.bench.approach_fit import ApproachFit
from ledcalc.errors import ArgumentError

__all__ = ["NextReading", "next_reading"]

CANDIDATES = 241
# Waiting longer is not worth it once this share of what waiting could bring is reached.
WORTH_FRACTION = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """One further reading: when it is worth taking, and the standard error before and after.

    ``quantity`` is "steady value" or "drift"; ``least_error`` what the best time up to the horizon would leave.
    """

    quantity: str
    at_h: float
    error_now: float
    error_then: float
    least_error: float


def next_reading(
    elapsed_h: ArrayLike, *, standard_uncertainty: ArrayLike, horizon_h: float, fit: ApproachFit | None = None
) -> NextReading:
    """Return when one further reading narrows the steady value, or without a fit the drift, the most.

    Parameters
    ----------
    elapsed_h : h: of the readings taken, at least two different ones
    standard_uncertainty : above 0, in the reading's unit, one or one a reading: what each errs by itself
    horizon_h : h, after the last reading: until when one is ready to wait
    fit : the approach fitted to the readings; None: the rate of a straight line is what is wanted

    Returns
    -------
    NextReading: the earliest time that brings nine tenths of what waiting until the horizon can; errors of the steady
    value in the reading's unit, of a drift in that an hour

    Raises
    ------
    ArgumentError (a ValueError): too few readings, or a number out of its range

    Validity
    --------
    By the linearised fit: good where the fit is. The further reading is taken to be as good as the mean one.

    References
    ----------
    Sequential design for one parameter (c-optimality): Fedorov, Theory of Optimal Experiments (1972), from memory.

    Examples
    --------
    >>> worth = next_reading([0.0, 1.0, 2.0], standard_uncertainty=0.01, horizon_h=4.0)
    >>> round(worth.at_h, 2), round(worth.error_now / worth.error_then, 1)
    (4.98, 2.6)
    """
    time = np.ravel(numbers("elapsed_h", elapsed_h))
    if np.unique(time).size < 2:
        raise ArgumentError("elapsed_h", time.tolist()[:5], "at least two different times")
    own = np.broadcast_to(numbers("standard_uncertainty", standard_uncertainty, above=0), time.shape)
    last = float(time.max())
    numbers("horizon_h", horizon_h, above=0)
    places = np.linspace(last, last + horizon_h, CANDIDATES)
    one = float(np.sqrt(np.mean(own**2)))
    if fit is None:
        now, then = _of_drift(time, own, one, places)
    else:
        now, then = _of_steady(fit, one, places)
    gain = now - then
    at = int(np.argmax(gain >= WORTH_FRACTION * gain.max()))
    return NextReading(
        quantity="drift" if fit is None else "steady value",
        at_h=float(places[at]),
        error_now=now,
        error_then=float(then[at]),
        least_error=float(then.min()),
    )


def _of_drift(time: FloatArray, own: FloatArray, one: float, places: FloatArray) -> tuple[float, FloatArray]:
    weight = own**-2.0
    total, further = weight.sum(), one**-2.0
    middle = weight @ time / total
    spread = weight @ (time - middle) ** 2
    grown = spread + (places - middle) ** 2 * total * further / (total + further)
    return float(spread**-0.5), np.asarray(grown**-0.5)


def _of_steady(fit: ApproachFit, one: float, places: FloatArray) -> tuple[float, FloatArray]:
    gradient = fit.gradient(places)
    carried = fit.covariance @ gradient
    shrunk = carried[0] ** 2 / (one**2 + (gradient * carried).sum(axis=0))
    now = float(fit.covariance[0, 0])
    return now**0.5, np.sqrt(np.maximum(now - shrunk, 0.0))
