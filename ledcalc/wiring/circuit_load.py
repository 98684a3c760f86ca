"""How much of a mains circuit loads take, how many fixtures it carries, and which circuit a load asks for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, choice, numbers
from ledcalc.errors import TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.mains import continuous_limit_a
from ledcalc.wiring.sizes import RULE_SETS

__all__ = ["circuit_load_share", "circuit_rating_for", "fixtures_on_circuit", "standard_circuits_a"]

# Sums of decimal currents miss their limit by rounding alone.
ROUNDING_FRACTION = 1e-9


@broadcasting
def circuit_load_share(
    load_a: ArrayLike, circuit_a: ArrayLike, *, brief_load_a: ArrayLike = 0.0, rule_set: str = "NEC"
) -> Numbers:
    """Return the share that loads take of what a circuit may carry; above 1 it is overloaded.

    Parameters
    ----------
    load_a : A rms, at least 0: everything that runs for hours (NEC: 3 h or more), fixtures and all else
    circuit_a : A, above 0: rating of the protective device
    brief_load_a : A rms, at least 0: what runs for less
    rule_set : ``"NEC"`` (loads that last count 125 %) or ``"IEC"`` (all count 100 %)

    Returns
    -------
    share, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown rule set

    Validity
    --------
    Currents added as if of one phase angle, the cautious reading. The device counts: conductors, receptacles and plugs
    can be the lower limit. Local codes and a licensed electrician decide.

    References
    ----------
    NFPA 70 (NEC) 210.19, 210.20 as summarised in public; IEC 60364-4-43, from memory.

    Examples
    --------
    >>> round(circuit_load_share(9.5, 15.0), 3)
    0.792
    """
    lasting = numbers("load_a", load_a, at_least=0) / continuous_limit_a(circuit_a, rule_set=rule_set)
    brief = numbers("brief_load_a", brief_load_a, at_least=0) / numbers("circuit_a", circuit_a, above=0)
    return answer(lasting + brief)


@broadcasting
def fixtures_on_circuit(
    fixture_a: ArrayLike,
    circuit_a: ArrayLike,
    *,
    other_load_a: ArrayLike = 0.0,
    brief_load_a: ArrayLike = 0.0,
    rule_set: str = "NEC",
) -> Numbers:
    """Return how many fixtures fit a circuit beside what already hangs on it.

    Parameters
    ----------
    fixture_a : A rms, above 0: what one fixture draws at the mains voltage
    circuit_a : A, above 0: rating of the protective device
    other_load_a : A rms, at least 0: other loads that run for hours
    brief_load_a : A rms, at least 0: other loads that run for less than 3 h
    rule_set : ``"NEC"`` or ``"IEC"``

    Returns
    -------
    whole number, 0 where none fits, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown rule set

    Validity
    --------
    As ``circuit_load_share``, running currents only: inrush and leakage set limits of their own
    (``drivers_on_breaker``, ``drivers_on_residual_device``).

    References
    ----------
    As ``circuit_load_share``.

    Examples
    --------
    >>> fixtures_on_circuit(4.75, 15.0)
    2.0
    """
    taken = circuit_load_share(other_load_a, circuit_a, brief_load_a=brief_load_a, rule_set=rule_set)
    room = (1.0 - np.asarray(taken)) * continuous_limit_a(circuit_a, rule_set=rule_set)
    count = np.floor(room / numbers("fixture_a", fixture_a, above=0) + ROUNDING_FRACTION)
    return answer(np.maximum(count, 0.0))


@broadcasting
def circuit_rating_for(load_a: ArrayLike, rule_set: str = "NEC", *, brief_load_a: ArrayLike = 0.0) -> Numbers:
    """Return the smallest standard circuit that carries a load.

    Parameters
    ----------
    load_a : A rms, at least 0: what runs for hours
    rule_set : ``"NEC"`` (branch circuits of several outlets) or ``"IEC"``
    brief_load_a : A rms, at least 0: what runs for less than 3 h

    Returns
    -------
    A, rating of the protective device, in the shape that the loads broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown rule set
    TableRangeError (an ArgumentError): more than the largest standard circuit carries

    Validity
    --------
    As ``circuit_load_share``. Ratings above 20 A call for outlets and wiring of their own kind (NEC 210.21, 210.23).

    References
    ----------
    NFPA 70 (NEC) 210.18, 210.20; IEC 60898-1 and 60364-4-43; ratings from memory.

    Examples
    --------
    >>> circuit_rating_for(12.5)
    20.0
    """
    ratings = standard_circuits_a(rule_set)
    needed = np.asarray(circuit_load_share(load_a, 1.0, brief_load_a=brief_load_a, rule_set=rule_set))
    if (needed * (1.0 - ROUNDING_FRACTION) > ratings[-1]).any():
        raise TableRangeError("load_a", float(needed.max()), f"at most {ratings[-1]:g} A after the rule set's factor")
    return answer(ratings[np.searchsorted(ratings, needed * (1.0 - ROUNDING_FRACTION), side="left")])


def standard_circuits_a(rule_set: str = "NEC") -> FloatArray:
    """Return the standard ratings of circuits in A, small to large.

    Raises
    ------
    ArgumentError (a ValueError): an unknown rule set

    Examples
    --------
    >>> standard_circuits_a("NEC").tolist()
    [15.0, 20.0, 30.0, 40.0, 50.0]
    """
    choice("rule_set", rule_set, RULE_SETS)
    rows = table("breaker_curves")
    return np.array(
        [float(row["high"]) for row in rows if (row["kind"], row["rule_set"]) == ("rated current", rule_set)]
    )
