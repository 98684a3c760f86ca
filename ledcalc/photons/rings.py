"""Square rings about the middle of a crop: which sides they have, and points along them."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["ring_points", "ring_sides"]

QUARTERS = (0.25, 0.5, 0.75, 1.0)
# Corners and middles of the sides, where readings are taken, are always among the points.
FEWEST_A_SIDE, MOST_A_SIDE = 8, 200
ROUNDING_FRACTION = 1e-9


def ring_sides(shorter_side_m: float, step_m: float | None = None) -> FloatArray:
    """Return the full sides of square rings on a crop, rising; the last is the crop's shorter side.

    Parameters
    ----------
    shorter_side_m : m, above 0: of the crop
    step_m : m, above 0: from each ring's side to the next; None: a quarter of the shorter side

    Returns
    -------
    m

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> ring_sides(1.0, 0.3).round(9).tolist()
    [0.3, 0.6, 0.9, 1.0]
    """
    shorter = float(numbers("shorter_side_m", shorter_side_m, above=0))
    if step_m is None:
        return shorter * np.array(QUARTERS)
    step = float(numbers("step_m", step_m, above=0))
    inside = step * np.arange(1, int(shorter / step * (1.0 + ROUNDING_FRACTION)) + 1)
    return np.append(inside[inside < shorter * (1.0 - ROUNDING_FRACTION)], shorter)


def ring_points(side_m: float, centre_m: tuple[float, float], *, spacing_m: float) -> FloatArray:
    """Return points at even steps along a square ring, its corners and the middles of its sides among them.

    Parameters
    ----------
    side_m : m, above 0: full side
    centre_m : m: its centre
    spacing_m : m, above 0: steps no longer than this, as far as 8 to 200 steps a side go

    Returns
    -------
    m, shape (n, 2): counter-clockwise from the corner with the smallest x and y; their plain mean is the ring's mean

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The plain mean over them is the trapezoidal rule along each side: it errs as the square of the step.

    Examples
    --------
    >>> ring_points(2.0, (0.0, 0.0), spacing_m=1.0)[:3].tolist()
    [[-1.0, -1.0], [-0.75, -1.0], [-0.5, -1.0]]
    """
    side = float(numbers("side_m", side_m, above=0))
    spacing = float(numbers("spacing_m", spacing_m, above=0))
    centre = numbers("centre_m", centre_m)
    if centre.shape != (2,):
        raise ArgumentError("centre_m", centre_m, "two numbers: x and y")
    count = int(np.clip(2 * np.ceil(side / (2.0 * spacing) * (1.0 - ROUNDING_FRACTION)), FEWEST_A_SIDE, MOST_A_SIDE))
    along = np.arange(count) / count - 0.5
    low = np.full(count, -0.5)
    bottom = np.column_stack([along, low])
    turns = [bottom]
    for _ in range(3):
        # A quarter turn counter-clockwise.
        turns.append(np.column_stack([-turns[-1][:, 1], turns[-1][:, 0]]))
    return np.asarray(centre + side * np.concatenate(turns))
