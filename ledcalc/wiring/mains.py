"""What a fixture draws from the mains, and two limits: of the circuit, and of voltage within reach."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, choice, numbers
from ledcalc.tables import table
from ledcalc.wiring.sizes import RULE_SETS

__all__ = ["continuous_limit_a", "mains_current", "touch_voltage_limit_v"]

LOCATIONS = ("dry", "damp", "wet")


@broadcasting
def mains_current(power_w: ArrayLike, mains_v: ArrayLike, power_factor_fraction: ArrayLike) -> Numbers:
    """Return the rms current that a load draws from a single-phase supply.

    Parameters
    ----------
    power_w : W, at least 0
    mains_v : V rms, above 0
    power_factor_fraction : above 0, at most 1

    Returns
    -------
    A rms, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Definition of the power factor.

    Examples
    --------
    >>> mains_current(114.0, 120.0, 0.95)
    1.0
    """
    power = numbers("power_w", power_w, at_least=0)
    factor = numbers("power_factor_fraction", power_factor_fraction, above=0, at_most=1)
    return answer(power / (numbers("mains_v", mains_v, above=0) * factor))


def continuous_limit_a(circuit_a: ArrayLike, *, rule_set: str = "NEC") -> Numbers:
    """Return the load that a circuit may carry for hours on end.

    Parameters
    ----------
    circuit_a : A, above 0: rating of the protective device
    rule_set : ``"NEC"`` (80 % of a standard device) or ``"IEC"`` (its rated current)

    Returns
    -------
    A, in the shape of ``circuit_a``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown rule set

    References
    ----------
    NFPA 70 (NEC) 210.19, 210.20 as summarised in public; IEC 60364-4-43, from memory.

    Examples
    --------
    >>> continuous_limit_a(15.0)
    12.0
    """
    choice("rule_set", rule_set, RULE_SETS)
    share = next(float(row["continuous_fraction"]) for row in table("circuit_loading") if row["rule_set"] == rule_set)
    return answer(numbers("circuit_a", circuit_a, above=0) * share)


def touch_voltage_limit_v(location: str, *, rule_set: str = "NEC") -> float:
    """Return the dc voltage above which bare parts within reach count as a shock hazard.

    Parameters
    ----------
    location : ``"dry"``, ``"damp"`` or ``"wet"``
    rule_set : ``"NEC"`` or ``"IEC"``

    Returns
    -------
    V dc

    Raises
    ------
    ArgumentError (a ValueError): an unknown location or rule set

    Validity
    --------
    Ripple-free dc from a source separated from the mains; not for immersion. Damp counts as wet: the cautious reading.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 11 and notes, public copy; IEC 60364-4-41 clause 414.4.5, from memory.

    Examples
    --------
    >>> touch_voltage_limit_v("damp")
    30.0
    """
    choice("location", location, LOCATIONS)
    choice("rule_set", rule_set, RULE_SETS)
    rows = table("touch_voltage")
    return next(float(row["limit_v"]) for row in rows if (row["rule_set"], row["location"]) == (rule_set, location))
