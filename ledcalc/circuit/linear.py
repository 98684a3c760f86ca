"""Linear systems, a matrix a variant: a singular one gives NaN for its own variant and leaves the others alone."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["solve_each"]


def solve_each(matrix: FloatArray, right: FloatArray) -> FloatArray:
    """Return x of matrix x = right; shapes (variants, n, n) and (variants, n, k)."""
    try:
        return np.asarray(np.linalg.solve(matrix, right), dtype=float)
    except np.linalg.LinAlgError:
        if len(matrix) == 1:
            return np.full(right.shape, np.nan)
        return np.concatenate([solve_each(matrix[n : n + 1], right[n : n + 1]) for n in range(len(matrix))])
