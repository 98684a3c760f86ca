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

HALVINGS = 42
# So few are quicker by a dense solver, on the symmetric matrix with the same eigenvalues.
FEW_VARIANTS = 50


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
    the two largest d (interlacing); by bisection, for the sum rises from minus to plus infinity between them.

    References
    ----------
    Golub 1973, SIAM Review 15(2):318-334 (rank-one modification of the eigenproblem).
    """
    largest = diagonal.max(axis=0)
    if diagonal.shape[0] == 1:
        return np.asarray(np.maximum(largest - product[0], 0.0))
    if diagonal.shape[1] <= FEW_VARIANTS:
        root = np.sqrt(product).T
        alike = np.eye(diagonal.shape[0]) * diagonal.T[:, None, :] - root[:, :, None] * root[:, None, :]
        return np.asarray(np.maximum(np.linalg.eigvalsh(alike)[:, -1], 0.0))
    low, high = np.partition(diagonal, -2, axis=0)[-2], largest.copy()
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            is_beyond = (product / (diagonal - middle)).sum(axis=0) > 1.0
            high, low = np.where(is_beyond, middle, high), np.where(is_beyond, low, middle)
    # Nothing taken off at all: the largest entry itself (constant voltage).
    found = np.where((product > 0).any(axis=0), 0.5 * (low + high), largest)
    return np.asarray(np.maximum(found, 0.0))
