"""Whether a small warm-up of one board dies out or grows: the loop gain of circuit and heat.

The loop gain is the largest growth factor of a small warm-up round the loop temperature -> current -> heat ->
temperature: the largest eigenvalue of Theta dq/dT with dq/dT = h (V + r I) M beta - h I beta, M being the response of
the board currents to board voltages under the driver's regulation. A factor counts by its real part: one that only
swings the heat back does not grow. That light fades as boards warm (so that more becomes heat) is not in it.
"""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["largest_of_diagonal_less_outer", "largest_of_matrix"]

MOST_STEPS = 60
# Errors are squared in each step: after one that moves so little nothing is left.
SETTLED_FRACTION = 1e-8
# Entries that are nearer to each other than this part of what is taken off count as one.
LEAST_GAP_FRACTION = 1e-100


def largest_of_matrix(factor: FloatArray) -> FloatArray:
    """Return the largest real part of the eigenvalues, at least 0, of (variants, boards, boards) matrices."""
    finite = np.isfinite(factor).all(axis=(1, 2))
    largest = np.full(factor.shape[0], np.nan)
    if finite.any():
        largest[finite] = np.linalg.eigvals(factor[finite]).real.max(axis=1)
    return np.asarray(np.maximum(largest, 0.0))


def largest_of_diagonal_less_outer(diagonal: FloatArray, product: FloatArray) -> FloatArray:
    """Return the largest eigenvalue of diag(d) - u v', at least 0, from d and the products u_i v_i, none negative.

    Arrays have a row a board and a column a variant. The eigenvalue solves sum u_i v_i / (d_i - x) = 1 and lies between
    the two largest d (interlacing). Each step puts a + b / (d_2 - x), alike in value and slope, in place of all terms
    but that of the largest d, and solves for x: from one side, errors squared each time.

    References
    ----------
    Golub 1973, SIAM Review 15(2):318-334 (rank-one modification of the eigenproblem); Bunch, Nielsen & Sorensen 1978,
    Numerische Mathematik 31:31-48 (the steps).
    """
    largest = diagonal.max(axis=0)
    if diagonal.shape[0] == 1:
        return np.asarray(np.maximum(largest - product[0], 0.0))
    is_top = np.zeros(diagonal.shape, dtype=bool)
    np.put_along_axis(is_top, diagonal.argmax(axis=0)[None], True, axis=0)
    own = np.where(is_top, product, 0.0).sum(axis=0)
    others, rest = np.where(is_top, -np.inf, diagonal), np.where(is_top, 0.0, product)
    # All in distances from the largest entry: near it a difference of the two would be rounding.
    below = largest - others
    gap = below.min(axis=0)
    fallen = _fall(below, rest, own, gap)
    return np.asarray(np.maximum(largest - fallen, 0.0))


def _fall(below: FloatArray, rest: FloatArray, own: FloatArray, gap: FloatArray) -> FloatArray:
    """Return y, 0 to the gap, with own / y = 1 + sum rest / (below - y): how far the largest falls."""
    y, farthest = np.minimum(own, 0.5 * gap), gap * (1.0 - np.finfo(float).eps)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for _ in range(MOST_STEPS):
            away = below - y
            term = rest / away
            short = gap - y
            bent = (term / away).sum(axis=0) * short
            # own / y = c + b / (gap - y): c y^2 - (c gap + b + own) y + own gap = 0, the lesser root. The sum bends
            # less than what stands for it, so that no step passes the root after the first.
            b, c = bent * short, 1.0 + term.sum(axis=0) - bent
            half = 0.5 * (c * gap + b + own)
            following = own * gap / (half + np.sqrt(np.maximum(half * half - c * own * gap, 0.0)))
            # Where the next entry has nothing taken off, the root may lie beyond it: there it is the largest.
            following = np.minimum(following, farthest)
            moved, y = np.abs(following - y), following
            if not (moved > SETTLED_FRACTION * gap).any():
                break
    # Two alike at the top, or nothing taken off: the largest stays.
    return np.where((own > 0.0) & (gap > LEAST_GAP_FRACTION * own), y, 0.0)
