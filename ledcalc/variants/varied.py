"""Which inputs may be arrays within a block, putting them there, and which of their values contradict each other.

Any other input that varies makes structures of its own: blocks are of one structure each.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledcalc.checks import trade_problems
from ledcalc.fixture import Fixture
from ledcalc.records import records_from_fixture

__all__ = ["contradicting", "may_vary", "rows_at_a_time", "with_arrays"]

_CELL = re.compile(r"^(\w+)(?:\[(\d+)\])?\.(\w+)$")

VARIED: dict[str, str] = {
    "fixture": "voltage_setting_v current_setting_a dimming_fraction fixtures_count row_pitch_m column_pitch_m "
    "height_m rotation_deg",
    "site": "air_temperature_c hottest_air_c coldest_air_c altitude_m ventilation_m3_per_h envelope_w_per_k "
    "warmest_air_c mains_v circuit_a circuit_other_load_w other_leakage_a price_per_kwh photoperiod_h days_lit_count "
    "target_ppfd_umol_m2_s target_dli_low_mol_m2_d target_dli_high_mol_m2_d target_min_over_mean_fraction "
    "wanted_life_h maintained_share_fraction",
    "boards": "rated_current_a rated_temperature_c voltage_spread_v junction_resistance_k_per_w "
    "rated_junction_temperature_c",
    "heat_sinks": "sink_resistance_k_per_w interface_resistance_k_per_w fans_off_factor heat_capacity_j_per_k",
    "drivers": "voltage_low_v voltage_high_v current_low_a current_high_a power_limit_w window_min_v cut_off_v "
    "efficiency_fraction power_factor_fraction dimming_low_fraction lead_set_current_a case_resistance_k_per_w "
    "rated_case_temperature_c current_tolerance_fraction voltage_tolerance_fraction inrush_a inrush_ms leakage_a",
    "positions": "offset_v x_m y_m height_m rotation_deg tilt_deg",
    "cables": "one_way_length_m ambient_c contact_resistance_ohm size",
    "parts": "quantity price",
}
PATHS = frozenset(f"{sheet}.{name}" for sheet, names in VARIED.items() for name in names.split())
WORDS = ("cables.size",)
# Inputs that move boards: each layout has its own light field.
PLACES = frozenset(f"fixture.{name}" for name in ("row_pitch_m", "column_pitch_m", "height_m", "rotation_deg")) | {
    path for path in PATHS if path.startswith("positions.") and path != "positions.offset_v"
}
# Enough for arrays to be worth it, few enough that results come as they are ready.
MANY, FEW = 2048, 512
# Ends that must lie in order: sheet, low, high.
IN_ORDER = (
    ("site", "target_dli_low_mol_m2_d", "target_dli_high_mol_m2_d"),
    ("drivers", "voltage_low_v", "voltage_high_v"),
    ("drivers", "current_low_a", "current_high_a"),
    ("drivers", "window_min_v", "voltage_high_v"),
    ("drivers", "cut_off_v", "voltage_high_v"),
)


def may_vary(cell: str, values: NDArray[Any]) -> bool:
    """Return whether an input's values can stand in a block as an array: numbers, none of them blank, or wire sizes."""
    sheet, _, name = parts_of(cell)
    path = f"{sheet}.{name}"
    if path not in PATHS:
        return False
    return bool(values.dtype.kind == "f") or (path in WORDS and all(isinstance(value, str) for value in values))


def parts_of(cell: str) -> tuple[str, int, str]:
    """Return sheet, row (0 in a form) and field of a single input's path."""
    match = _CELL.match(cell)
    assert match is not None
    return match.group(1), int(match.group(2) or 0), match.group(3)


def with_arrays(fixture: Fixture, arrays: Mapping[str, NDArray[Any]]) -> Fixture:
    """Return a fixture with arrays of variants in place of some of its numbers."""
    changed: dict[str, dict[int, dict[str, Any]]] = {}
    for cell, values in arrays.items():
        sheet, row, name = parts_of(cell)
        changed.setdefault(sheet, {}).setdefault(row, {})[name] = values
    own: dict[str, Any] = changed.pop("fixture", {0: {}})[0]
    for sheet, rows in changed.items():
        present = getattr(fixture, sheet)
        own[sheet] = (
            tuple(replace(entry, **rows.get(number, {})) for number, entry in enumerate(present))
            if isinstance(present, tuple)
            else replace(present, **rows[0])
        )
    return replace(fixture, **own)


def contradicting(fixture: Fixture, arrays: Mapping[str, NDArray[Any]], count: int) -> NDArray[np.bool_]:
    """Return which variants have values that contradict each other or that no table knows."""
    bad = np.zeros(count, dtype=bool)
    varied = with_arrays(fixture, arrays)
    for sheet, low_name, high_name in IN_ORDER:
        entries = getattr(varied, sheet)
        for entry in entries if isinstance(entries, tuple) else (entries,):
            low, high = getattr(entry, low_name), getattr(entry, high_name)
            if low is not None and high is not None:
                bad |= np.asarray(low) > np.asarray(high)
    for cell, sizes in arrays.items():
        sheet, row, name = parts_of(cell)
        if f"{sheet}.{name}" in WORDS:
            bad |= np.isin(sizes, [size for size in set(sizes) if _is_unknown(fixture, row, size)])
    return bad


def _is_unknown(fixture: Fixture, row: int, size: str) -> bool:
    records = records_from_fixture(fixture)
    cable = {**records["cables"][row], "size": size}
    return bool(trade_problems({"site": records["site"], "cables": [cable]}))


def rows_at_a_time(paths: Iterable[str]) -> int:
    """Return how many variants with these inputs make a block: fewer where one takes long.

    Examples
    --------
    >>> rows_at_a_time(["fixture.current_setting_a"]), rows_at_a_time(["fixture.row_pitch_m"])
    (2048, 512)
    """
    names = [f"{sheet}.{name}" for sheet, _, name in map(parts_of, paths)]
    return MANY if all(name in PATHS and name not in PLACES for name in names) else FEW
