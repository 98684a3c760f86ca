"""The price of a parts list: packs, spares, shipping, duty and tax."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, numbers
from ledcalc.errors import ArgumentError

__all__ = ["PartsBill", "packs_to_buy", "parts_bill", "parts_cost"]

# A quantity that is a whole number of packs but for the dust of floating-point arithmetic takes no pack more.
DUST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartsBill:
    """What a parts list costs; arrays have an entry a part, or a row a part and a column a variant.

    ``packs``: to be bought, as ``packs_to_buy``; ``bought`` and ``left_over``: pieces, spares counted as left over.
    Money in one currency: ``line_cost`` a part; ``goods_cost``, ``shipping_cost``, ``duty_cost`` and ``tax_cost`` add
    up to ``total_cost``.
    """

    packs: FloatArray
    bought: FloatArray
    left_over: FloatArray
    line_cost: FloatArray
    goods_cost: Numbers
    shipping_cost: Numbers
    duty_cost: Numbers
    tax_cost: Numbers
    total_cost: Numbers


@broadcasting
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


@broadcasting
def packs_to_buy(quantity: ArrayLike, *, pack_size: ArrayLike = 1.0, spares: ArrayLike = 0.0) -> Numbers:
    """Return how many packs cover what is needed and the spares, rounded up.

    Parameters
    ----------
    quantity : at least 0, pieces (or metres) needed
    pack_size : at least 0, pieces in a pack; 0: sold by measure, in any amount
    spares : at least 0, pieces more

    Returns
    -------
    whole packs, or the amount where it is sold by measure, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> packs_to_buy(8, pack_size=5, spares=1)
    2.0
    """
    needed = numbers("quantity", quantity, at_least=0) + numbers("spares", spares, at_least=0)
    size = numbers("pack_size", pack_size, at_least=0)
    packs = needed / np.where(size > 0, size, 1.0)
    return answer(np.where(size > 0, np.ceil(packs - DUST * np.maximum(packs, 1.0)), packs))


def parts_bill(
    quantity: ArrayLike,
    price: ArrayLike,
    *,
    pack_size: ArrayLike = 0.0,
    spares: ArrayLike = 0.0,
    shipping: ArrayLike = 0.0,
    duty_fraction: ArrayLike = 0.0,
    tax_fraction: ArrayLike = 0.0,
    duty_on_shipping: bool = True,
) -> PartsBill:
    """Return what a parts list costs to have in the workshop.

    Parameters
    ----------
    quantity : at least 0, an entry a part, or a row a part and a column a variant
    price : money a pack, at least 0; of one, where it is sold by measure
    pack_size : at least 0, pieces in a pack; 0: sold by measure, in any amount
    spares : at least 0, pieces beyond what is needed
    shipping : money, at least 0, of the whole order
    duty_fraction : at least 0, of the goods (and of shipping, where ``duty_on_shipping``)
    tax_fraction : at least 0, of goods, shipping and duty together
    duty_on_shipping : whether duty is taken on goods and their transport, or on the goods alone

    Returns
    -------
    PartsBill

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or arrays that do not fit each other

    Validity
    --------
    One rate for all goods. Whether transport counts for duty, and duty for tax, is the country's law: the two usual
    bases are landed value (transport included) and value at the port of export.

    References
    ----------
    Common practice, no source: the order goods, shipping, duty, tax.

    Examples
    --------
    >>> bill = parts_bill([8, 1], [11.5, 39.0], shipping=20.0, duty_fraction=0.04, tax_fraction=0.2)
    >>> round(bill.total_cost, 2)
    188.45
    """
    try:
        quantities, prices, sizes, more = np.broadcast_arrays(
            numbers("quantity", quantity, at_least=0),
            numbers("price", price, at_least=0),
            numbers("pack_size", pack_size, at_least=0),
            numbers("spares", spares, at_least=0),
        )
    except ValueError as trouble:
        if isinstance(trouble, ArgumentError):
            raise
        raise ArgumentError("quantity", np.shape(quantity), "as many entries as the other columns") from None
    packs = np.asarray(packs_to_buy(quantities, pack_size=sizes, spares=more))
    lines = np.atleast_1d(packs * prices)
    goods = lines.sum(axis=0)
    freight = numbers("shipping", shipping, at_least=0)
    dutiable = goods + (freight if duty_on_shipping else 0.0)
    duty = numbers("duty_fraction", duty_fraction, at_least=0) * dutiable
    tax = numbers("tax_fraction", tax_fraction, at_least=0) * (goods + freight + duty)
    bought = packs * np.where(sizes > 0, sizes, 1.0)
    return PartsBill(
        packs=packs,
        bought=bought,
        left_over=bought - quantities,
        line_cost=lines,
        goods_cost=answer(goods),
        shipping_cost=answer(freight),
        duty_cost=answer(duty),
        tax_cost=answer(tax),
        total_cost=answer(goods + freight + duty + tax),
    )
