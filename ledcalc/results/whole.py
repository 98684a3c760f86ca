"""The evaluation as a whole: cost, assumptions, workings, stamp."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ledcalc.arguments import answer
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results.bench import LoggedBoards, Selection
from ledcalc.results.bench_log import LogVerdict
from ledcalc.results.buying import LitSeason, PeriodUse, Purchase
from ledcalc.results.electrical import BoardResults, OperatingPoint, WhatIf, WireResults
from ledcalc.results.layout import LayoutAdvice
from ledcalc.results.light import LightResults, LightSurvey
from ledcalc.results.mains import MainsResults
from ledcalc.results.over_time import AgeingResults, DimmedLight, LightPlanResults
from ledcalc.results.protection import ProtectionResults

__all__ = ["SUMMARY_NAMES", "Assumption", "CostResults", "Evaluation", "Stamp", "Working", "summary_of"]

# What ``summary_of`` names, in its order: tables that are written as they come need it before the first result.
SUMMARY_NAMES = (
    "mode",
    "driver_voltage_v",
    "driver_current_a",
    "dc_power_w",
    "mains_power_w",
    "highest_board_current_a",
    "highest_board_temperature_c",
    "photon_flux_umol_s",
    "ppfd_mean_umol_m2_s",
    "min_over_mean_fraction",
    "dli_mean_mol_m2_d",
    "utilisation_fraction",
    "dc_efficacy_umol_per_j",
    "ac_efficacy_umol_per_j",
    "canopy_efficacy_umol_per_j",
    "energy_kwh",
    "energy_cost",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CostResults:
    """Parts once, energy a year. Money is in ``currency``; ``parts_cost`` is None where no part is listed.

    ``energy_cost`` is what energy alone costs a year, ``renewal_cost`` the mean of renewing worn parts;
    ``running_cost`` adds them up with the charges by the day. ``owning_cost`` is what buying, renewing and energy come
    to a year over the years of service: NaN where these or the parts are not given, as is what follows from it.
    ``periods``: empty without a tariff.
    """

    currency: str
    parts_cost: float | None
    energy_kwh: float
    energy_cost: float
    canopy_photons_mol: float
    energy_cost_per_mol: float
    energy_cost_per_day: float
    purchase: Purchase | None
    seasons: tuple[LitSeason, ...]
    periods: tuple[PeriodUse, ...]
    lit_h: float
    standing_cost: float
    demand_cost: float
    renewal_cost: float
    running_cost: float
    owning_cost: float
    purchase_cost_per_umol_s: float
    running_cost_per_mol: float
    owning_cost_per_mol: float
    owning_cost_per_dli_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value nobody gave and the tool assumed, or a simplification that the figures rest on."""

    path: str
    cell: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """One step of the calculation: what, by which formula, from which figures, from which source."""

    topic: str
    quantity: str
    formula: str
    figures: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What a result rests on: versions, and the input file with the hash of its bytes."""

    ledcalc_version: str
    schema_version: str
    input_file: str
    input_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """Everything worked out for one fixture.

    ``ageing`` is None where no board names a maintenance table, ``light_plan`` where there is no plan, ``dimmed`` where
    neither asks for it or the fixture is dark.
    """

    fixture: Fixture
    operating: OperatingPoint
    boards: BoardResults
    what_if: WhatIf
    wires: WireResults
    protection: ProtectionResults
    mains: MainsResults
    light: LightResults
    layout: LayoutAdvice | None
    ageing: AgeingResults | None
    dimmed: DimmedLight | None
    light_plan: LightPlanResults | None
    cost: CostResults
    selection: Selection | None
    logged: LoggedBoards | None
    log_verdict: LogVerdict | None
    surveys: tuple[LightSurvey, ...]
    findings: tuple[Finding, ...]
    not_checked: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    workings: tuple[Working, ...]
    stamp: Stamp

    @property
    def severity(self) -> str | None:
        """The worst severity found, None without findings."""
        return self.findings[0].severity if self.findings else None

    def summary(self) -> Mapping[str, float | str]:
        """Return the figures that versions are compared by, one name and one number each."""
        return summary_of(self)


def summary_of(results: Any) -> dict[str, Any]:
    """Return the figures of ``Evaluation.summary``; of a block of variants, with boards on the first axis, arrays."""
    boards, light, operating = results.boards, results.light, results.operating
    return {
        "mode": operating.mode,
        "driver_voltage_v": operating.voltage_v,
        "driver_current_a": operating.current_a,
        "dc_power_w": operating.power_w,
        "mains_power_w": operating.mains_power_w,
        "highest_board_current_a": answer(boards.current_a.max(axis=0)),
        "highest_board_temperature_c": answer(boards.temperature_c.max(axis=0)),
        "photon_flux_umol_s": light.photon_flux_umol_s,
        "ppfd_mean_umol_m2_s": light.statistics.mean,
        "min_over_mean_fraction": light.statistics.min_over_mean,
        "dli_mean_mol_m2_d": light.dli_mean_mol_m2_d,
        "utilisation_fraction": light.utilisation_fraction,
        "dc_efficacy_umol_per_j": light.dc_efficacy_umol_per_j,
        "ac_efficacy_umol_per_j": light.ac_efficacy_umol_per_j,
        "canopy_efficacy_umol_per_j": light.canopy_efficacy_umol_per_j,
        "energy_kwh": results.cost.energy_kwh,
        "energy_cost": results.cost.energy_cost,
    }
