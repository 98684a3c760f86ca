"""What a block comes to: operating point, boards, wires, light, mains and cost as arrays, named as in ``results``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray

__all__ = ["BlockBoards", "BlockCost", "BlockLight", "BlockOperating", "BlockStatistics", "BlockWhatIf", "BlockWires"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockOperating:
    """As ``OperatingPoint``, an entry a variant."""

    mode: NDArray[np.str_]
    voltage_v: FloatArray
    current_a: FloatArray
    power_w: FloatArray
    mains_power_w: FloatArray
    mains_current_a: FloatArray
    circuit_load_a: FloatArray
    circuit_limit_a: FloatArray
    loop_gain: FloatArray
    case_temperature_c: FloatArray
    air_temperature_c: FloatArray
    lead_set_current_a: Mapping[int, FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockBoards:
    """As ``BoardResults``, a row a board and a column a variant.

    ``grown``: each board's share of the current over the share it had when cold, 0 where none flows.
    """

    current_a: FloatArray
    cold_current_a: FloatArray
    grown: FloatArray
    rated_current_a: FloatArray
    temperature_c: FloatArray
    rated_temperature_c: FloatArray
    junction_temperature_c: FloatArray
    rated_junction_temperature_c: FloatArray
    sink_temperature_c: FloatArray
    touch_limit_c: FloatArray
    extrapolated: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockWires:
    """As ``WireResults``, a row a cable and a column a variant."""

    current_a: FloatArray
    ambient_c: FloatArray
    ampacity_a: FloatArray
    drop_fraction: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockWhatIf:
    """What else could happen. ``is_tried``: where the boards share, so that anything was tried at all.

    ``overloads``, ``switches_off``: kind of fault -> in which variants one of them does that.
    """

    is_tried: NDArray[np.bool_]
    overloads: Mapping[str, NDArray[np.bool_]]
    switches_off: Mapping[str, NDArray[np.bool_]]
    one_lost_current_a: FloatArray
    is_over_too_often: NDArray[np.bool_]
    cold_voltage_v: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockStatistics:
    """Of the light on the map, an entry a variant."""

    mean: FloatArray
    minimum: FloatArray
    maximum: FloatArray
    min_over_mean: FloatArray
    area_weighted_mean: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockLight:
    """As ``LightResults``, an entry a variant.

    ``ppfd_per_flux``: mean PPFD of a umol/s of each board, its likes in other fixtures included, m-2; a row a board.
    """

    statistics: BlockStatistics
    ppfd_per_flux: FloatArray
    photon_flux_umol_s: FloatArray
    canopy_flux_umol_s: FloatArray
    utilisation_fraction: FloatArray
    dli_mean_mol_m2_d: FloatArray
    dc_efficacy_umol_per_j: FloatArray
    ac_efficacy_umol_per_j: FloatArray
    canopy_efficacy_umol_per_j: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockCost:
    """What a summary has of ``CostResults``, an entry a variant."""

    energy_kwh: FloatArray
    energy_cost: FloatArray
