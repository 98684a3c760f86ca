"""Several boards on one heat sink: each warms the others by the sink's resistance."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError

__all__ = ["shared_sink_matrix"]


def shared_sink_matrix(
    sink_of_board: Sequence[Hashable], sink_resistance_k_per_w: ArrayLike, interface_resistance_k_per_w: ArrayLike
) -> FloatArray:
    """Return the matrix that turns the boards' heats into their temperature rises, with boards sharing heat sinks.

    Parameters
    ----------
    sink_of_board : a label a board; boards of one label sit on one sink
    sink_resistance_k_per_w : K/W, at least 0, sink to air: one for all, or one a board, the same on one sink; variants
        on a second axis
    interface_resistance_k_per_w : K/W, at least 0, board to sink: one for all, or one a board; variants as there

    Returns
    -------
    K/W, (boards, boards), variants on the last axis: the rise of the board of the row by a watt of heat in the board of
    the column

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, no board, not one value a board, or two resistances stated
        for one sink

    Validity
    --------
    A sink of one temperature: thick, or with boards evenly spread; on a long thin channel a board is warmed less by a
    far one and more by itself. Resistances that hold at the sink's temperature with all its boards lit.

    References
    ----------
    Superposition of temperature rises in a linear thermal network.

    Examples
    --------
    >>> shared_sink_matrix(["left", "left", "right"], 1.5, 0.25).tolist()
    [[1.75, 1.5, 0.0], [1.5, 1.75, 0.0], [0.0, 0.0, 1.75]]
    """
    if isinstance(sink_of_board, str) or not len(sink_of_board):
        raise ArgumentError("sink_of_board", sink_of_board, "a list with the label of each board's sink")
    index = {label: number for number, label in enumerate(dict.fromkeys(sink_of_board))}
    of_board = np.array([index[label] for label in sink_of_board])
    sink = _per_board("sink_resistance_k_per_w", sink_resistance_k_per_w, of_board.size)
    interface = _per_board("interface_resistance_k_per_w", interface_resistance_k_per_w, of_board.size)
    together = of_board[:, None] == of_board
    differ = (sink[:, None] != sink).reshape(*together.shape, -1).any(axis=2)
    row, column = np.nonzero(together & differ)
    if row.size:
        values, label = (float(sink[row[0]].flat[0]), float(sink[column[0]].flat[0])), sink_of_board[int(row[0])]
        raise ArgumentError("sink_resistance_k_per_w", values, f"one resistance for the sink {label!r}")
    whole = np.where(together[:, :, None], sink.reshape(of_board.size, 1, -1), 0.0)
    whole = whole + np.eye(of_board.size)[:, :, None] * interface.reshape(of_board.size, 1, -1)
    return np.asarray(whole[:, :, 0] if sink.ndim == interface.ndim == 1 else whole)


def _per_board(argument: str, value: ArrayLike, boards_count: int) -> FloatArray:
    array = numbers(argument, value, at_least=0)
    if array.ndim > 2 or array.shape[:1] not in {(), (1,), (boards_count,)}:
        raise ArgumentError(argument, array.shape, f"one number, or one for each of {boards_count} boards")
    return np.broadcast_to(array, (boards_count, *array.shape[1:]))
