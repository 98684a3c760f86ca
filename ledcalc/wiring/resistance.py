"""Conductor resistance and the voltage that a run drops."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, choice, numbers, whole_numbers
from ledcalc.wiring.reference_ohms import (
    constant,
    has_nec_row,
    iec_ohm_per_m,
    nec_ohm_per_m,
    refuse_what_is_not_made,
)
from ledcalc.wiring.sizes import RULE_SETS, for_each_size

__all__ = ["conductor_resistance", "voltage_drop_from_resistance", "wire_voltage_drop"]

STRANDINGS = ("solid", "stranded", "flexible")
COATINGS = ("bare", "tinned")
MATERIALS = ("copper", "aluminium")
COLDEST_C, HOTTEST_C = -100.0, 300.0


@broadcasting
def conductor_resistance(
    size: ArrayLike,
    length_m: ArrayLike,
    *,
    conductor_temperature_c: ArrayLike = 20.0,
    stranding: str = "stranded",
    rule_set: str = "NEC",
    coating: str = "bare",
    material: str = "copper",
) -> Numbers:
    """Return the dc resistance of one conductor in ohm.

    Parameters
    ----------
    size : ``"18 AWG"`` (NEC) or ``"1.5 mm2"`` (IEC), text or array of texts
    length_m : m, at least 0, any shape; length of the one conductor
    conductor_temperature_c : degC, -100 to 300
    stranding : ``"solid"``, ``"stranded"`` or ``"flexible"``; the NEC table knows no fine-stranded class, so there
        ``"flexible"`` takes the stranded figures
    rule_set : ``"NEC"`` or ``"IEC"``
    coating : ``"bare"`` or ``"tinned"`` (copper only): what each strand is coated with
    material : ``"copper"`` or ``"aluminium"`` (solid or stranded, bare; IEC from 10 mm2 up)

    Returns
    -------
    ohm, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): an unknown size or word, a number out of its range, tinned or flexible aluminium
    TableRangeError (an ArgumentError): a size of aluminium that IEC 60228 has no row for

    Validity
    --------
    Direct current. NEC sizes without a row in the table (finer than 18 AWG, odd gauges, solid from 6 AWG up) by the
    ASTM diameter and the annealed metal, 2 % more where stranded, as the table's neighbours have it (common practice,
    no source); tinned by the diameter of a strand, seven to a conductor.

    References
    ----------
    NFPA 70 (NEC) Chapter 9 Table 8, 75 degC, with its note R2 = R1 (1 + a (T2 - 75)), a = 0.00323 copper, 0.00330
    aluminium. ASTM B258 diameters; IACS annealed copper, 1/58 ohm mm2/m at 20 degC, 0.00393 1/K; ASTM B33 tinned wire,
    from memory. IEC 60228 Tables 1 to 3, maxima at 20 degC, and its Annex: R2 = R1 (234.5 + T2)/(234.5 + T1). As read
    in public copies; aluminium from memory: both tables, and IEC 60287-1-1, 0.028264 ohm mm2/m, 0.00403 1/K, 228 degC.

    Examples
    --------
    >>> round(conductor_resistance("18 AWG", 304.8, conductor_temperature_c=75.0), 6)
    7.95
    """
    choice("stranding", stranding, STRANDINGS)
    choice("rule_set", rule_set, RULE_SETS)
    choice("coating", coating, COATINGS)
    choice("material", material, MATERIALS)
    refuse_what_is_not_made(stranding=stranding, coating=coating, material=material)
    length = numbers("length_m", length_m, at_least=0)
    temperature = numbers("conductor_temperature_c", conductor_temperature_c, at_least=COLDEST_C, at_most=HOTTEST_C)
    kind = {"stranding": stranding, "coating": coating, "material": material}
    if rule_set == "IEC":
        cold = for_each_size(size, lambda name: iec_ohm_per_m(name, **kind), rule_set=rule_set)
        zero = constant(f"{material}_inferred_zero")
        return answer(cold * length * (zero + temperature) / (zero + 20.0))
    from_table = for_each_size(
        size, lambda name: float(has_nec_row(name, stranding=stranding, material=material)), rule_set=rule_set
    )
    reference = for_each_size(size, lambda name: nec_ohm_per_m(name, **kind), rule_set=rule_set)
    return answer(reference * length * _nec_temperature_factor(from_table, temperature, material))


@broadcasting
def wire_voltage_drop(
    current_a: ArrayLike,
    one_way_length_m: ArrayLike,
    size: ArrayLike,
    *,
    conductor_temperature_c: ArrayLike = 20.0,
    stranding: str = "stranded",
    conductors: ArrayLike = 2,
    rule_set: str = "NEC",
    coating: str = "bare",
    material: str = "copper",
) -> Numbers:
    """Return the voltage that a dc run drops, out and back unless told otherwise.

    Parameters
    ----------
    current_a : A, at least 0
    one_way_length_m : m, at least 0: path length from end to end
    size : as in ``conductor_resistance``
    conductor_temperature_c : degC
    stranding, rule_set, coating, material : as in ``conductor_resistance``
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
        numbers("one_way_length_m", one_way_length_m, at_least=0),
        conductor_temperature_c=conductor_temperature_c,
        stranding=stranding,
        rule_set=rule_set,
        coating=coating,
        material=material,
    )
    current = numbers("current_a", current_a, at_least=0)
    return answer(current * resistance * whole_numbers("conductors", conductors, at_least=1, at_most=2))


@broadcasting
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
    return answer(current * length * resistance * whole_numbers("conductors", conductors, at_least=1, at_most=2))


def _nec_temperature_factor(from_table: FloatArray, temperature_c: FloatArray, material: str) -> FloatArray:
    prefix = "" if material == "copper" else f"{material}_"
    by_table = 1.0 + constant(f"{prefix}nec_temperature_coefficient_at_75c") * (temperature_c - 75.0)
    by_formula = 1.0 + constant(f"{material}_temperature_coefficient_at_20c") * (temperature_c - 20.0)
    return from_table * by_table + (1.0 - from_table) * by_formula
