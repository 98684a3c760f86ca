"""Ampacity: the current that a conductor may carry for good, by the published tables and their correction factors."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, broadcasting, choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.sizes import RULE_SETS, for_each_size

__all__ = ["WIRE_KINDS", "AmpacitySteps", "ampacity_steps", "conductor_ampacity", "conductor_temperature"]

WIRE_KINDS = ("building wire", "flexible cord", "fixture wire")
NEC_INSULATIONS_C = (60.0, 75.0, 90.0)
TABLE_AMBIENT_C = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AmpacitySteps:
    """How an ampacity came about: table value, ambient factor, bundle factor, their product, and the tables."""

    table_ampacity_a: Numbers
    ambient_factor: Numbers
    grouping_factor: Numbers
    ampacity_a: Numbers
    source: str


@broadcasting
def conductor_ampacity(
    size: ArrayLike,
    *,
    wire_kind: str | None = None,
    insulation_c: float | None = None,
    ambient_c: ArrayLike = TABLE_AMBIENT_C,
    loaded_conductors: ArrayLike = 2,
    installation_method: str | None = None,
    grouped_circuits: ArrayLike = 1,
    rule_set: str = "NEC",
) -> Numbers:
    """Return the corrected table ampacity of a copper conductor in A.

    Parameters
    ----------
    size : ``"18 AWG"`` (NEC) or ``"1.5 mm2"`` (IEC), text or array of texts
    wire_kind : NEC: ``"building wire"``, ``"flexible cord"`` or ``"fixture wire"``; IEC: None
    insulation_c : degC rating; NEC 60, 75 or 90 (needed for building wire, and for any ambient above 30 degC); IEC 70
    ambient_c : degC, air around the conductor; between two rows of a table the warmer row counts
    loaded_conductors : current-carrying conductors in the cable or cord; IEC: 2 or 3
    installation_method : IEC: ``"A1"``, ``"A2"``, ``"B1"``, ``"B2"``, ``"C"`` or ``"E"``; NEC: None
    grouped_circuits : cables in one bundle, this one included; NEC counts conductors: loaded x grouped
    rule_set : ``"NEC"`` or ``"IEC"``

    Returns
    -------
    A, in the shape that size, ambient, loaded and grouped broadcast to

    Raises
    ------
    TableRangeError (an ArgumentError, a ValueError): no table covers the combination
    ArgumentError: an argument that the rule set does not take, or a number out of its range

    Validity
    --------
    The corrected table value only: limits of small conductors and of terminals belong to protection. Cords take the
    two-conductor column up to two loaded conductors, else the three-conductor one. The fixture-wire article gives no
    ambient or bundle factors: those of building wire are applied to be cautious, and never above 1.

    References
    ----------
    NFPA 70 (NEC) Tables 310.16, 400.5(A)(1), 402.5, 310.15(B)(1)(1), 310.15(C)(1) and 400.5(A)(3); IEC 60364-5-52
    Tables
    B.52.2, B.52.4, B.52.10, B.52.14, B.52.17 (bunched row). As read in public copies, marked in the tables.

    Examples
    --------
    >>> conductor_ampacity("12 AWG", wire_kind="building wire", insulation_c=75, ambient_c=40)
    22.0
    """
    return ampacity_steps(
        size,
        wire_kind=wire_kind,
        insulation_c=insulation_c,
        ambient_c=ambient_c,
        loaded_conductors=loaded_conductors,
        installation_method=installation_method,
        grouped_circuits=grouped_circuits,
        rule_set=rule_set,
    ).ampacity_a


def ampacity_steps(
    size: ArrayLike,
    *,
    wire_kind: str | None = None,
    insulation_c: float | None = None,
    ambient_c: ArrayLike = TABLE_AMBIENT_C,
    loaded_conductors: ArrayLike = 2,
    installation_method: str | None = None,
    grouped_circuits: ArrayLike = 1,
    rule_set: str = "NEC",
) -> AmpacitySteps:
    """Return an ampacity with the steps it came by; parameters, errors and sources as ``conductor_ampacity``.

    Examples
    --------
    >>> steps = ampacity_steps("18 AWG", wire_kind="flexible cord", insulation_c=60, grouped_circuits=4)
    >>> steps.table_ampacity_a, steps.grouping_factor, steps.ampacity_a
    (10.0, 0.7, 7.0)
    """
    choice("rule_set", rule_set, RULE_SETS)
    ambient = numbers("ambient_c", ambient_c, at_least=-60, at_most=200)
    loaded = whole_numbers("loaded_conductors", loaded_conductors, at_least=1)
    grouped = whole_numbers("grouped_circuits", grouped_circuits, at_least=1)
    if rule_set == "IEC":
        _refuse_given("wire_kind", wire_kind, "None with the IEC rule set, which goes by installation method")
        return _iec_steps(size, installation_method, insulation_c, ambient, loaded, grouped)
    _refuse_given("installation_method", installation_method, "None with the NEC rule set, which goes by wire kind")
    return _nec_steps(size, choice("wire_kind", wire_kind, WIRE_KINDS), insulation_c, ambient, loaded, grouped)


@broadcasting
def conductor_temperature(
    current_a: ArrayLike, *, ambient_c: ArrayLike, insulation_c: ArrayLike, table_ampacity_a: ArrayLike
) -> Numbers:
    """Return a conductor's own temperature under load.

    Parameters
    ----------
    current_a : A, at least 0
    ambient_c : degC, air around it
    insulation_c : degC, above 30: the rating that the table's ampacity brings it to in air of 30 degC
    table_ampacity_a : A, above 0: the table's value, before correction

    Returns
    -------
    degC, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The rise over the air goes with the square of the current; the tables' own basis. Bundled cables run warmer than
    this.

    References
    ----------
    Neher & McGrath 1957, AIEE Trans. 76(3):752-764 (rise proportional to I2R), taken at the table's reference state.

    Examples
    --------
    >>> conductor_temperature(5.0, ambient_c=20.0, insulation_c=60.0, table_ampacity_a=10.0)
    27.5
    """
    ratio = numbers("current_a", current_a, at_least=0) / numbers("table_ampacity_a", table_ampacity_a, above=0)
    rise_at_table = numbers("insulation_c", insulation_c, above=TABLE_AMBIENT_C) - TABLE_AMBIENT_C
    return answer(numbers("ambient_c", ambient_c) + rise_at_table * ratio**2)


def _nec_steps(
    size: ArrayLike,
    wire_kind: str,
    insulation_c: float | None,
    ambient: FloatArray,
    loaded: FloatArray,
    grouped: FloatArray,
) -> AmpacitySteps:
    insulation = _nec_insulation(insulation_c, wire_kind, ambient)
    if wire_kind == "building wire":
        base = for_each_size(
            size, lambda name: _table_value("nec_310_16", name, f"ampacity_{insulation:g}c_a"), rule_set="NEC"
        )
        source = "NEC Table 310.16, factors 310.15(B)(1)(1) and 310.15(C)(1)"
    elif wire_kind == "flexible cord":
        two = for_each_size(size, lambda name: _table_value("nec_400_5", name, "two_loaded_a"), rule_set="NEC")
        three = for_each_size(size, lambda name: _table_value("nec_400_5", name, "three_loaded_a"), rule_set="NEC")
        base = np.where(loaded <= 2, two, three)
        source = "NEC Table 400.5(A)(1), factors 310.15(B)(1)(1) and 400.5(A)(3)"
    else:
        base = for_each_size(size, lambda name: _table_value("nec_402_5", name, "ampacity_a"), rule_set="NEC")
        source = "NEC Table 402.5; factors of building wire applied to be cautious"
    factor = np.ones_like(ambient) if insulation is None else _nec_ambient_factor(ambient, insulation)
    if wire_kind == "fixture wire":
        factor = np.minimum(factor, 1.0)
    return _steps(base, factor, _step_up("nec_bundling", "up_to_count", "factor", loaded * grouped), source)


def _nec_insulation(insulation_c: float | None, wire_kind: str, ambient: FloatArray) -> float | None:
    if insulation_c is None:
        if wire_kind == "building wire" or (ambient > TABLE_AMBIENT_C).any():
            raise ArgumentError("insulation_c", None, "60, 75 or 90 degC")
        return None
    if float(insulation_c) not in NEC_INSULATIONS_C:
        raise TableRangeError("insulation_c", insulation_c, "60, 75 or 90 degC, the columns of the NEC tables")
    return float(insulation_c)


def _nec_ambient_factor(ambient: FloatArray, insulation: float) -> FloatArray:
    return _step_up("nec_ambient", "up_to_c", f"factor_{insulation:g}c", ambient, "ambient_c")


def _iec_steps(
    size: ArrayLike,
    installation_method: str | None,
    insulation_c: float | None,
    ambient: FloatArray,
    loaded: FloatArray,
    grouped: FloatArray,
) -> AmpacitySteps:
    methods = tuple(dict.fromkeys(row["installation_method"] for row in table("iec_ampacity")))
    method = choice("installation_method", installation_method, methods)
    if insulation_c is not None and float(insulation_c) != 70.0:
        raise TableRangeError("insulation_c", insulation_c, "70 degC (PVC); no sourced IEC table for other insulation")
    if not np.isin(loaded, (2.0, 3.0)).all():
        raise TableRangeError("loaded_conductors", float(loaded.max()), "2 or 3, the columns of the IEC tables")
    two = for_each_size(size, lambda name: _iec_value(name, method, "2"), rule_set="IEC")
    three = for_each_size(size, lambda name: _iec_value(name, method, "3"), rule_set="IEC")
    factor = _step_up("iec_ambient", "ambient_c", "pvc_70c_factor", ambient, "ambient_c")
    grouping = _step_up("iec_grouping", "up_to_count", "factor", grouped, "grouped_circuits")
    source = f"IEC 60364-5-52 {_iec_table(method)} (method {method}), factors B.52.14 and B.52.17"
    return _steps(np.where(loaded <= 2, two, three), factor, grouping, source)


def _iec_table(method: str) -> str:
    return "/".join(
        dict.fromkeys(row["table"] for row in table("iec_ampacity") if row["installation_method"] == method)
    )


def _steps(base: FloatArray, ambient: FloatArray, grouping: FloatArray, source: str) -> AmpacitySteps:
    return AmpacitySteps(
        table_ampacity_a=answer(base),
        ambient_factor=answer(ambient),
        grouping_factor=answer(grouping),
        ampacity_a=answer(base * ambient * grouping),
        source=source,
    )


@cache
def _table_value(name: str, size: str, column: str) -> float:
    for row in table(name):
        if row["size"] == size:
            if row[column]:
                return float(row[column])
            columns = [key for key in row if key.startswith("ampacity") and row[key]]
            raise TableRangeError("size", size, f"{size} stands only under {', '.join(columns)} of {_title(name)}")
    sizes = [row["size"] for row in table(name)]
    raise TableRangeError("size", size, f"{sizes[0]} to {sizes[-1]}, the rows of {_title(name)}")


def _title(name: str) -> str:
    return table(name)[0]["source"].split(":")[0]


@cache
def _iec_value(size: str, method: str, loaded: str) -> float:
    rows = [
        row for row in table("iec_ampacity") if (row["installation_method"], row["loaded_count"]) == (method, loaded)
    ]
    for row in rows:
        if row["size"] == size:
            return float(row["ampacity_a"])
    raise TableRangeError(
        "size", size, f"{rows[0]['size']} to {rows[-1]['size']}: the published table has no other row"
    )


@cache
def _factor_columns(name: str, end_column: str, factor_column: str) -> tuple[FloatArray, FloatArray]:
    rows = [row for row in table(name) if row[factor_column]]
    ends = np.array([float(row[end_column]) if row[end_column] else np.inf for row in rows])
    return ends, np.array([float(row[factor_column]) for row in rows])


def _step_up(
    name: str, end_column: str, factor_column: str, value: FloatArray, argument: str = "conductors"
) -> FloatArray:
    """Return the factor of the first row whose end is at or above each value."""
    ends, factors = _factor_columns(name, end_column, factor_column)
    if (value > ends[-1]).any():
        raise TableRangeError(argument, float(value.max()), f"at most {ends[-1]:g}, the last row of {_title(name)}")
    return factors[np.searchsorted(ends, value, side="left")]


def _refuse_given(argument: str, value: object, allowed: str) -> None:
    if value is not None:
        raise ArgumentError(argument, value, allowed)
