"""The price of a parts list."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, numbers

__all__ = ["parts_cost"]


def parts_cost(quantity: ArrayLike, price: ArrayLike) -> Numbers:
    """Return the sum of quantity x price over a parts list.

    Parameters
    ----------
    quantity : at least 0, an entry a part
    price : money each, at least 0, an entry a part

    Returns
    -------
    money

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> parts_cost([8, 1], [11.5, 39.0])
    131.0
    """
    return answer(np.sum(numbers("quantity", quantity, at_least=0) * numbers("price", price, at_least=0)))
