"""Which metal asks for a protective earth, and how thick the protective conductor is at least."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, choice, numbers
from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.mains import touch_voltage_limit_v
from ledcalc.wiring.sizes import awg_area_mm2

__all__ = [
    "PROTECTION_CLASSES",
    "EarthingNeed",
    "equipment_earth_mm2",
    "equipment_earth_size",
    "metal_to_earth",
    "protective_conductor_mm2",
]

PROTECTION_CLASSES = ("I", "II", "III")
PROTECTIVE_RUNS = ("in cable", "separate, protected", "separate, unprotected")


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthingNeed:
    """Which metal asks for a protective earth: the driver's case, the fixture's metal; and the reasons, one a line."""

    driver_case: bool
    fixture_metal: bool
    reasons: tuple[str, ...]


def metal_to_earth(
    protection_class: str,
    *,
    is_isolated: bool,
    output_v: float,
    location: str = "damp",
    mains_in_fixture: bool = False,
    rule_set: str = "NEC",
) -> EarthingNeed:
    """Return which metal of a fixture asks for a protective earth.

    Parameters
    ----------
    protection_class : of the driver: ``"I"`` (earthed case), ``"II"`` (doubly insulated) or ``"III"`` (fed by extra-low
        voltage)
    is_isolated : whether the driver's output is separated from the mains, as its datasheet says
    output_v : V dc, at least 0: the highest its output can reach, without load too
    location : ``"dry"``, ``"damp"`` or ``"wet"``
    mains_in_fixture : whether mains conductors run inside or along the fixture's metal (driver on the frame: yes)
    rule_set : ``"NEC"`` or ``"IEC"``, for the touch limit

    Returns
    -------
    EarthingNeed

    Raises
    ------
    ArgumentError (a ValueError): an unknown class, location or rule set; a class III driver without isolation

    Validity
    --------
    Asks for earth where in doubt: insulation between LEDs and sink counts for nothing, and neither does the second
    insulation that may lie between mains conductors and metal. A driver's own instructions go before this, and local
    codes and a licensed electrician before both. An earth does not make bare live parts touchable.

    References
    ----------
    IEC 61140 (classes of protection) and ``touch_voltage_limit_v``, from memory; where the output is above the limit,
    common practice, no source.

    Examples
    --------
    >>> need = metal_to_earth("I", is_isolated=True, output_v=54.0, location="dry")
    >>> need.driver_case, need.fixture_metal
    (True, False)
    """
    choice("protection_class", protection_class, PROTECTION_CLASSES)
    if protection_class == "III" and not is_isolated:
        raise ArgumentError("is_isolated", is_isolated, "True with class III, which is fed apart from the mains")
    limit = touch_voltage_limit_v(location, rule_set=rule_set)
    output = float(numbers("output_v", output_v, at_least=0))
    mains_near = mains_in_fixture and protection_class != "III"
    reasons = {
        "driver case: a class I driver relies on its earth": protection_class == "I",
        "fixture metal: mains conductors run inside or along it": mains_near,
        "fixture metal: the output is not separated from the mains": not is_isolated,
        f"fixture metal: the output reaches {output:g} V, above {limit:g} V ({location})": output > limit,
    }
    given = tuple(text for text, applies in reasons.items() if applies)
    return EarthingNeed(
        driver_case=protection_class == "I",
        fixture_metal=any(text.startswith("fixture metal") for text in given),
        reasons=given,
    )


def protective_conductor_mm2(line_mm2: ArrayLike, *, run: str = "in cable") -> Numbers:
    """Return the smallest protective conductor by area of the line conductor, as the IEC world counts.

    Parameters
    ----------
    line_mm2 : mm2, above 0: copper line conductor of the circuit
    run : ``"in cable"`` (with the line conductor), ``"separate, protected"`` or ``"separate, unprotected"`` (against
        mechanical damage)

    Returns
    -------
    mm2, before rounding up to a size that is made, in the argument's shape

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or an unknown run

    Validity
    --------
    Copper for both. Fault current and disconnection time can allow less, or ask for more.

    References
    ----------
    IEC 60364-5-54 Table 54.2 and clause 543.1.3, from memory.

    Examples
    --------
    >>> protective_conductor_mm2([1.5, 25.0, 50.0]).tolist()
    [1.5, 16.0, 25.0]
    """
    choice("run", run, PROTECTIVE_RUNS)
    line = numbers("line_mm2", line_mm2, above=0)
    whole, level = (float(row["high"]) for row in _rows("earthing conductor", "IEC") if row["high"])
    least = np.where(line <= whole, line, np.where(line <= level, whole, line / 2.0))
    if run != "in cable":
        rows = _rows("least earthing conductor", "IEC")
        least = np.maximum(least, next(float(row["high"]) for row in rows if row["name"] == run))
    return answer(least)


def equipment_earth_size(circuit_a: float) -> str:
    """Return the smallest equipment grounding conductor by rating of the device ahead, as the NEC world counts.

    Parameters
    ----------
    circuit_a : A, above 0, at most 200: rating of the protective device

    Returns
    -------
    AWG size, copper

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    TableRangeError (an ArgumentError): above the last row

    Validity
    --------
    Copper; never need be thicker than the circuit's own conductors (250.122(A)); where these are made thicker for
    voltage drop, it grows with them (250.122(B)). Cords go by the cord.

    References
    ----------
    NFPA 70 (NEC) Table 250.122, from memory.

    Examples
    --------
    >>> equipment_earth_size(20.0)
    '12 AWG'
    """
    rating = float(numbers("circuit_a", circuit_a, above=0))
    rows = _rows("earthing conductor", "NEC")
    for row in rows:
        if rating <= float(row["high"]):
            return row["name"]
    raise TableRangeError("circuit_a", rating, f"at most {rows[-1]['high']} A, the last row carried of Table 250.122")


def equipment_earth_mm2(circuit_a: ArrayLike) -> Numbers:
    """Return the area of ``equipment_earth_size`` in mm2, in the argument's shape; errors and sources as there.

    Examples
    --------
    >>> round(equipment_earth_mm2(15.0), 2)
    2.08
    """
    ratings = numbers("circuit_a", circuit_a, above=0)
    areas = [awg_area_mm2(equipment_earth_size(float(rating))) for rating in ratings.flat]
    return answer(np.array(areas).reshape(ratings.shape))


def _rows(kind: str, rule_set: str) -> list[dict[str, str]]:
    rows = table("breaker_curves")
    return [dict(row) for row in rows if (row["kind"], row["rule_set"]) == (kind, rule_set)]
