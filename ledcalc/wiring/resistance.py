"""Conductor resistance and the voltage that a run drops."""

from __future__ import annotations

from functools import cache

from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, choice, numbers, whole_numbers
from ledcalc.tables import table
from ledcalc.wiring.sizes import RULE_SETS, awg_area_mm2, for_each_size

__all__ = ["conductor_resistance", "voltage_drop_from_resistance", "wire_voltage_drop"]

STRANDINGS = ("solid", "stranded", "flexible")
METRES_PER_KFT = 304.8
COLDEST_C, HOTTEST_C = -100.0, 300.0


def conductor_resistance(
    size: ArrayLike,
    length_m: ArrayLike,
    *,
    conductor_temperature_c: ArrayLike = 20.0,
    stranding: str = "stranded",
    rule_set: str = "NEC",
) -> Numbers:
    """Return the dc resistance of one copper conductor in ohm.

    Parameters
    ----------
    size : ``"18 AWG"`` (NEC) or ``"1.5 mm2"`` (IEC), text or array of texts
    length_m : m, at least 0, any shape; length of the one conductor
    conductor_temperature_c : degC, -100 to 300
    stranding : ``"solid"``, ``"stranded"`` or ``"flexible"``; the NEC table knows no fine-stranded class, so there
        ``"flexible"`` takes the stranded figures
    rule_set : ``"NEC"`` or ``"IEC"``

    Returns
    -------
    ohm, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): unknown size, stranding or rule set, or a number out of its range

    Validity
    --------
    Uncoated (plain) copper, direct current. NEC sizes without a row in the table (finer than 18 AWG, odd gauges,
    solid from
    6 AWG up) by the ASTM diameter and annealed copper, without the lay of strands: about 2 % below a table value.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 8, 75 degC, with its note R2 = R1 (1 + 0.00323 (T2 - 75)). ASTM B258 diameters; IACS
    annealed copper, 1/58 ohm mm2/m at 20 degC, 0.00393 1/K. IEC 60228 Tables 1 to 3, maxima at 20 degC, and its Annex:
    R2 = R1 (234.5 + T2)/(234.5 + T1). As read in public copies.

    Examples
    --------
    >>> round(conductor_resistance("18 AWG", 304.8, conductor_temperature_c=75.0), 6)
    7.95
    """
    choice("stranding", stranding, STRANDINGS)
    choice("rule_set", rule_set, RULE_SETS)
    length = numbers("length_m", length_m, at_least=0)
    temperature = numbers("conductor_temperature_c", conductor_temperature_c, at_least=COLDEST_C, at_most=HOTTEST_C)
    if rule_set == "IEC":
        cold = for_each_size(size, lambda name: _iec_ohm_per_m(name, stranding), rule_set=rule_set)
        zero = constant("copper_inferred_zero")
        return answer(cold * length * (zero + temperature) / (zero + 20.0))
    from_table = for_each_size(size, lambda name: float(name in _nec_rows(_construction(stranding))), rule_set=rule_set)
    reference = for_each_size(size, lambda name: _nec_ohm_per_m(name, stranding), rule_set=rule_set)
    return answer(reference * length * _nec_temperature_factor(from_table, temperature))


def wire_voltage_drop(
    current_a: ArrayLike,
    one_way_length_m: ArrayLike,
    size: ArrayLike,
    *,
    conductor_temperature_c: ArrayLike = 20.0,
    stranding: str = "stranded",
    conductors: ArrayLike = 2,
    rule_set: str = "NEC",
) -> Numbers:
    """Return the voltage that a dc run drops, out and back unless told otherwise.

    Parameters
    ----------
    current_a : A, at least 0
    one_way_length_m : m, at least 0: path length from end to end
    size : as in ``conductor_resistance``
    conductor_temperature_c : degC
    stranding, rule_set : as in ``conductor_resistance``
    conductors : how many lengths the current passes in series: 2 out and back, 1 where the return is something else

    Returns
    -------
    V, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): as ``conductor_resistance``, or a number out of its range

    References
    ----------
    Ohm's law; resistances as in ``conductor_resistance``.

    Examples
    --------
    >>> round(wire_voltage_drop(10.0, 30.48, "10 AWG", conductor_temperature_c=75.0, stranding="solid"), 3)
    2.42
    """
    resistance = conductor_resistance(
        size,
        one_way_length_m,
        conductor_temperature_c=conductor_temperature_c,
        stranding=stranding,
        rule_set=rule_set,
    )
    current = numbers("current_a", current_a, at_least=0)
    return answer(current * resistance * whole_numbers("conductors", conductors, at_least=1))


def voltage_drop_from_resistance(
    current_a: ArrayLike, one_way_length_m: ArrayLike, ohm_per_m: ArrayLike, *, conductors: ArrayLike = 2
) -> Numbers:
    """Return the voltage that a dc run drops when the conductor's resistance a metre is known.

    Parameters
    ----------
    current_a : A, at least 0
    one_way_length_m : m, at least 0
    ohm_per_m : ohm/m of one conductor, at least 0
    conductors : lengths in series, as in ``wire_voltage_drop``

    Returns
    -------
    V, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Ohm's law.

    Examples
    --------
    >>> round(voltage_drop_from_resistance(2.0, 3.0, 0.021), 3)
    0.252
    """
    current = numbers("current_a", current_a, at_least=0)
    length = numbers("one_way_length_m", one_way_length_m, at_least=0)
    resistance = numbers("ohm_per_m", ohm_per_m, at_least=0)
    return answer(current * length * resistance * whole_numbers("conductors", conductors, at_least=1))


@cache
def constant(name: str) -> float:
    """Return a constant of the table ``wire_constants``."""
    return next(float(row["value"]) for row in table("wire_constants") if row["name"] == name)


def _construction(stranding: str) -> str:
    return "solid" if stranding == "solid" else "stranded"


@cache
def _nec_rows(construction: str) -> dict[str, float]:
    return {
        row["size"]: float(row["uncoated_ohm_per_kft"]) / METRES_PER_KFT
        for row in table("nec_chapter9_table8")
        if row["construction"] == construction
    }


def _nec_ohm_per_m(size: str, stranding: str) -> float:
    rows = _nec_rows(_construction(stranding))
    return rows[size] if size in rows else constant("copper_resistivity_20c") / awg_area_mm2(size)


def _nec_temperature_factor(from_table: FloatArray, temperature_c: FloatArray) -> FloatArray:
    by_table = 1.0 + constant("nec_temperature_coefficient_at_75c") * (temperature_c - 75.0)
    by_formula = 1.0 + constant("copper_temperature_coefficient_at_20c") * (temperature_c - 20.0)
    return from_table * by_table + (1.0 - from_table) * by_formula


@cache
def _iec_ohm_per_m(size: str, stranding: str) -> float:
    column = "class_5_plain_ohm_per_km" if stranding == "flexible" else "class_1_2_plain_ohm_per_km"
    return next(float(row[column]) for row in table("iec_60228") if row["size"] == size) / 1000.0
