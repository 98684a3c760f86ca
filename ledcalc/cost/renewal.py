"""Parts that wear out: how many a year, what they cost in their year, and what that is worth today."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers

__all__ = ["NO_RATE", "annuity_fraction", "part_life_years", "present_value", "renewals_value"]

# Interest so small is none: rounding would be all that is left of it.
NO_RATE = 1e-12


@broadcasting
def part_life_years(
    *, lit_hours_a_year_h: ArrayLike, life_h: ArrayLike = np.inf, life_years: ArrayLike = np.inf
) -> Numbers:
    """Return how many years a part lasts: until its hours lit or its years are over, whichever comes first.

    Parameters
    ----------
    lit_hours_a_year_h : h lit in a year, at least 0
    life_h : h lit, above 0; infinite: not limited by hours
    life_years : years, above 0; infinite: not limited by years

    Returns
    -------
    years, infinite for a part that never wears out, in the shape that the arguments broadcast to; one over it is the
    mean number to renew a year

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Examples
    --------
    >>> part_life_years(lit_hours_a_year_h=2400.0, life_h=[12_000.0, 60_000.0], life_years=10.0).tolist()
    [5.0, 10.0]
    """
    hours = numbers("lit_hours_a_year_h", lit_hours_a_year_h, at_least=0)
    life = numbers("life_h", life_h, above=0, infinite=True)
    shape = np.broadcast_shapes(hours.shape, life.shape)
    by_hours = np.divide(life, hours, out=np.full(shape, np.inf), where=hours > 0)
    return answer(np.minimum(by_hours, numbers("life_years", life_years, above=0, infinite=True)))


@broadcasting
def present_value(cost: ArrayLike, after_years: ArrayLike, *, discount_fraction: ArrayLike = 0.0) -> Numbers:
    """Return what money due after some years is worth today.

    Parameters
    ----------
    cost : money
    after_years : years, at least 0
    discount_fraction : a year, above -1

    Returns
    -------
    money, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Compound interest by the year: cost / (1 + rate)^years.

    Examples
    --------
    >>> round(present_value(100.0, 10.0, discount_fraction=0.05), 2)
    61.39
    """
    rate = numbers("discount_fraction", discount_fraction, above=-1)
    return answer(numbers("cost", cost) / (1.0 + rate) ** numbers("after_years", after_years, at_least=0))


@broadcasting
def renewals_value(
    cost: ArrayLike, life_years: ArrayLike, *, service_years: float, discount_fraction: float = 0.0
) -> Numbers:
    """Return what renewing parts through years of service is worth today, each renewed when its life is over.

    Parameters
    ----------
    cost : money of a renewal, at least 0
    life_years : years a part lasts, above 0; infinite: never renewed
    service_years : years that the whole is to serve, above 0; what wears out with its end is not renewed
    discount_fraction : a year, above -1; 0: money of later years counts in full

    Returns
    -------
    money, in the shape that cost and life broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Sum of present values, a geometric series.

    Examples
    --------
    >>> renewals_value(40.0, [3.0, 5.0, 20.0], service_years=10.0).tolist()
    [120.0, 40.0, 0.0]
    """
    price, life = np.broadcast_arrays(
        numbers("cost", cost, at_least=0), numbers("life_years", life_years, above=0, infinite=True)
    )
    service = float(numbers("service_years", service_years, above=0))
    rate = float(numbers("discount_fraction", discount_fraction, above=-1))
    # A life that ends with the service, but for rounding, ends with it.
    count = np.maximum(np.ceil(service / life * (1.0 - 1e-12)) - 1.0, 0.0)
    with np.errstate(over="ignore"):
        growth = (1.0 + rate) ** np.where(count > 0, life, 0.0)
    steady = np.isclose(growth, 1.0, rtol=1e-12, atol=0.0)
    ratio = np.where(steady, 0.5, 1.0 / growth)
    return answer(price * np.where(steady, count, ratio * (1.0 - ratio**count) / (1.0 - ratio)))


@broadcasting
def annuity_fraction(service_years: ArrayLike, *, discount_fraction: ArrayLike = 0.0) -> Numbers:
    """Return the share of a sum that is due at the end of every year of service to pay for it with interest.

    Parameters
    ----------
    service_years : years, above 0
    discount_fraction : a year, at least 0; 0: one year's even share

    Returns
    -------
    share a year, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Annuity, rate / (1 - (1 + rate)^-years); the payment function of spreadsheets.

    Examples
    --------
    >>> annuity_fraction(10.0), round(annuity_fraction(10.0, discount_fraction=0.05), 4)
    (0.1, 0.1295)
    """
    years = numbers("service_years", service_years, above=0)
    rate = numbers("discount_fraction", discount_fraction, at_least=0)
    shape = np.broadcast_shapes(years.shape, rate.shape)
    # As a logarithm, so that a tiny rate loses no digits.
    repaid = -np.expm1(-years * np.log1p(rate))
    return answer(np.divide(rate, repaid, out=np.broadcast_to(1.0 / years, shape).copy(), where=rate > NO_RATE))
