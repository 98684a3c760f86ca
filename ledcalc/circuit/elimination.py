"""Linear systems of many variants at once: variants on the last axis, Gaussian steps over the rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.linear import solve_each

__all__ = ["FEW_VARIANTS", "largest_eigenvalue", "solve_general", "solve_symmetric"]

# So few are quicker one by one in LAPACK.
FEW_VARIANTS = 40
MOST_TRIALS = 100
ACCURACY_FRACTION = 4e-15


def solve_symmetric(matrix: FloatArray, diagonal: FloatArray, right: FloatArray) -> FloatArray:
    """Return x of (matrix + diag(d)) x = right for symmetric matrices; shapes (n, n, variants), (m, variants) with m at
    most n, and (m, k, variants): where d and right end, zeros follow. Answers as far as ``right``.

    Pivots stand on the diagonal as they come: right for positive definite matrices, and for those bordered by rows of
    constraints at their end (Vanderbei 1995, SIAM J. Optim. 5(1):100-113: quasidefinite ones need no pivoting).
    """
    count, border = len(matrix), len(matrix) - len(right)
    if border:
        diagonal, right = (np.concatenate([part, np.zeros((border, *part.shape[1:]))]) for part in (diagonal, right))
    if matrix.shape[2] <= FEW_VARIANTS:
        whole = matrix + np.eye(count)[:, :, None] * diagonal
        answers = solve_each(whole.transpose(2, 0, 1), right.transpose(2, 0, 1)).transpose(1, 2, 0)
        return answers[: count - border]
    # Each row from its diagonal on, with its right-hand sides: the rest follows by symmetry.
    rows = [np.concatenate([matrix[k, k:], right[k]]) for k in range(count)]
    for k, top in enumerate(rows):
        top[0] += diagonal[k]
        multiples = top[1 : count - k] / top[0]
        for below, multiple in enumerate(multiples, start=1):
            rows[k + below] -= multiple * top[below:]
    answers = np.empty(right.shape)
    for k in range(count - 1, -1, -1):
        left = rows[k][count - k :]
        for above in range(k + 1, count):
            left -= rows[k][above - k] * answers[above]
        np.divide(left, rows[k][0], out=answers[k])
    return answers[: count - border]


def solve_general(matrix: FloatArray, right: FloatArray) -> FloatArray:
    """Return x of matrix x = right for matrices of any kind, shapes (n, n, variants) and (n, k, variants).

    Many variants are eliminated together with the pivots as they come: for matrices not far from such as need no
    exchange of rows. A pivot of 0 gives numbers that are not finite, or of no use, in its own variant.
    """
    count = len(matrix)
    if matrix.shape[2] <= FEW_VARIANTS:
        return solve_each(matrix.transpose(2, 0, 1), right.transpose(2, 0, 1)).transpose(1, 2, 0)
    rows = [np.concatenate([matrix[k], right[k]]) for k in range(count)]
    for k, top in enumerate(rows):
        for below in rows[k + 1 :]:
            below[k + 1 :] -= below[k] / top[k] * top[k + 1 :]
    answers = np.empty(right.shape)
    for k in range(count - 1, -1, -1):
        left = rows[k][count:]
        for above in range(k + 1, count):
            left -= rows[k][above] * answers[above]
        np.divide(left, rows[k][k], out=answers[k])
    return answers


def largest_eigenvalue(matrix: FloatArray) -> FloatArray:
    """Return the largest eigenvalue of symmetric matrices, shape (n, n, variants); NaN where a number is not finite."""
    if matrix.shape[2] <= FEW_VARIANTS:
        finite = np.isfinite(matrix).all(axis=(0, 1))
        largest = np.full(matrix.shape[2], np.nan)
        if finite.any():
            largest[finite] = np.linalg.eigvalsh(matrix[:, :, finite].transpose(2, 0, 1))[:, -1]
        return largest
    # The row that most often has the largest diagonal goes first, hence is the last pivot: it has most of the wanted
    # eigenvector, which keeps the other pivots' poles well below the eigenvalue.
    number = np.arange(len(matrix))
    diagonal = matrix[number, number]
    first = int(np.bincount(diagonal.argmax(axis=0)).argmax())
    order = np.array([first, *number[number != first]])
    # In distances from the largest diagonal: eigenvalues that nearly coincide differ by little more than rounding.
    top = diagonal.max(axis=0)
    moved = matrix[order[:, None], order]
    moved[number, number] -= top
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.asarray(top + _largest_of_tridiagonal(*_tridiagonal(moved)))


def _tridiagonal(matrix: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return diagonal and squared off-diagonal of a tridiagonal matrix with the same eigenvalues.

    Householder's reflections, which overwrite the matrix (Golub & Van Loan, Matrix Computations, 4th ed., algorithm
    8.3.1).
    """
    rest, count = matrix, matrix.shape[0]
    off = np.empty((count - 1, matrix.shape[2]))
    for k in range(count - 2):
        mirror = rest[k + 1 :, k].copy()
        off[k] = (mirror * mirror).sum(axis=0)
        mirror[0] += np.copysign(np.sqrt(off[k]), mirror[0])
        size = (mirror * mirror).sum(axis=0)
        scale = np.where(size > 0.0, 2.0 / size, 0.0)
        inner = rest[k + 1 :, k + 1 :]
        pushed = scale * (inner * mirror).sum(axis=1)
        pushed -= 0.5 * scale * (pushed * mirror).sum(axis=0) * mirror
        cross = mirror[:, None] * pushed
        inner -= cross
        inner -= np.swapaxes(cross, 0, 1)
    if count > 1:
        off[-1] = rest[-1, -2] ** 2
    return rest[np.arange(count), np.arange(count)], off


def _largest_of_tridiagonal(diagonal: FloatArray, off_squared: FloatArray) -> FloatArray:
    """Return the largest eigenvalue between brackets: pivots of x - T are all positive just above it.

    Right of the other pivots' poles the last pivot rises and bends down, so that its Newton step never passes the
    eigenvalue from below; where it cannot help, the bracket is halved.
    """
    reach = np.sqrt(off_squared)
    high = diagonal.copy()
    high[:-1] += reach
    high[1:] += reach
    low, high = diagonal.max(axis=0), high.max(axis=0)
    accuracy = ACCURACY_FRACTION * (np.abs(low) + np.abs(high)) + 1e-300
    trial = high + accuracy
    largest, going = trial.copy(), np.arange(trial.size)
    for _ in range(MOST_TRIALS):
        inside, pivot, newton = _last_pivot(diagonal, off_squared, trial)
        high = np.where(inside & (pivot > 0.0), np.minimum(high, trial), high)
        low = np.where(inside, np.maximum(low, newton), np.maximum(low, trial))
        following = np.where(inside & (newton >= low), low, 0.5 * (low + high))
        is_going = (high - low > accuracy) & (np.abs(following - trial) > accuracy)
        trial = np.where(is_going, following, trial)
        left = np.count_nonzero(is_going)
        if left <= 0.5 * going.size:
            largest[going] = trial
            if left == 0:
                break
            # Those that need more trials go on by themselves.
            going, diagonal, off_squared = going[is_going], diagonal[:, is_going], off_squared[:, is_going]
            low, high, trial, accuracy = (part[is_going] for part in (low, high, trial, accuracy))
    largest[going] = trial
    return np.asarray(largest)


def _last_pivot(
    diagonal: FloatArray, off_squared: FloatArray, trial: FloatArray
) -> tuple[NDArray[np.bool_], FloatArray, FloatArray]:
    """Return whether all pivots of x - T but the last are positive, the last, and its Newton step's end."""
    inside: NDArray[np.bool_] = np.ones(trial.shape, dtype=bool)
    pivot, slope = trial - diagonal[-1], np.ones_like(trial)
    for entry, square in zip(diagonal[-2::-1], off_squared[::-1], strict=True):
        inside = inside & (pivot > 0.0)
        taken = square / pivot
        slope = 1.0 + taken / pivot * slope
        pivot = trial - entry - taken
    return inside, pivot, trial - pivot / slope
