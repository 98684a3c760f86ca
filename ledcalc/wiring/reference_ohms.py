"""Resistance of a metre of conductor at the temperature its table or formula is written for, by coating and metal."""

from __future__ import annotations

import math
from functools import cache

from ledcalc.errors import ArgumentError, TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.sizes import awg_area_mm2

__all__ = ["constant", "has_nec_row", "iec_ohm_per_m", "nec_ohm_per_m", "refuse_what_is_not_made"]

METRES_PER_KFT = 304.8
# Strands of every stranded row of the NEC table up to 2 AWG; sizes without a row are taken alike.
STRANDS_COUNT = 7


@cache
def constant(name: str) -> float:
    """Return a constant of the tables ``wire_constants`` and ``conductor_materials``."""
    rows = (*table("wire_constants"), *table("conductor_materials"))
    return next(float(row["value"]) for row in rows if row["name"] == name)


def refuse_what_is_not_made(*, stranding: str, coating: str, material: str) -> None:
    """Raise where no published figure exists: tinned or fine-stranded aluminium."""
    if material == "aluminium" and coating != "bare":
        raise ArgumentError("coating", coating, "'bare' with aluminium: no table or formula for another")
    if material == "aluminium" and stranding == "flexible":
        raise ArgumentError("stranding", stranding, "'solid' or 'stranded' with aluminium: it has no flexible class")


def has_nec_row(size: str, *, stranding: str, material: str) -> bool:
    """Whether the NEC table has a row, so that its temperature law applies; the coating changes nothing in that."""
    return size in _nec_rows(_construction(stranding), "bare", material)


def nec_ohm_per_m(size: str, *, stranding: str, coating: str, material: str) -> float:
    """Return ohm/m at 75 degC where the NEC table has a row, at 20 degC by formula where it has none."""
    rows = _nec_rows(_construction(stranding), coating, material)
    if size in rows:
        return rows[size]
    area = awg_area_mm2(size)
    lay = 1.0 if stranding == "solid" else constant("stranded_over_solid")
    resistivity = constant(f"{material}_resistivity_20c") * lay
    if coating == "bare":
        return resistivity / area
    strands = 1 if stranding == "solid" else STRANDS_COUNT
    return resistivity / area / _tinned_conductivity_fraction(math.sqrt(4.0 * area / strands / math.pi))


@cache
def iec_ohm_per_m(size: str, *, stranding: str, coating: str, material: str) -> float:
    """Return the maximum ohm/m at 20 degC."""
    if material == "aluminium":
        rows = [row for row in table("aluminium_conductors") if row["rule_set"] == "IEC"]
        for row in rows:
            if (row["size"], row["construction"]) == (size, stranding):
                return float(row["resistance_ohm"]) / float(row["length_m"])
        allowed = f"{rows[0]['size']} to {rows[-1]['size']}: IEC 60228 has no finer aluminium conductor"
        raise TableRangeError("size", size, allowed)
    finish = "plain" if coating == "bare" else "tinned"
    column = f"class_5_{finish}_ohm_per_km" if stranding == "flexible" else f"class_1_2_{finish}_ohm_per_km"
    return next(float(row[column]) for row in table("iec_60228") if row["size"] == size) / 1000.0


def _construction(stranding: str) -> str:
    return "solid" if stranding == "solid" else "stranded"


@cache
def _nec_rows(construction: str, coating: str, material: str) -> dict[str, float]:
    if material == "aluminium":
        return {
            row["size"]: float(row["resistance_ohm"]) / float(row["length_m"])
            for row in table("aluminium_conductors")
            if (row["rule_set"], row["construction"]) == ("NEC", construction)
        }
    column = "uncoated_ohm_per_kft" if coating == "bare" else "coated_ohm_per_kft"
    return {
        row["size"]: float(row[column]) / METRES_PER_KFT
        for row in table("nec_chapter9_table8")
        if row["construction"] == construction
    }


def _tinned_conductivity_fraction(diameter_mm: float) -> float:
    """Return the share of IACS that a tinned wire keeps; finer than the table by its finest row."""
    rows = table("tinned_copper")
    passed = [row for row in rows if float(row["from_diameter_mm"]) <= diameter_mm] or rows[:1]
    return float(passed[-1]["conductivity_fraction"])
