"""What nobody looked at: for want of a rule, or of data that a rule needs."""

from __future__ import annotations

import numpy as np

from ledcalc.checks.sleeves import making_not_checked
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation

__all__ = ["not_checked"]

NEVER_CHECKED = (
    "breaking capacity of fuses and breakers, and discharge of the driver's capacitors into a fault",
    "eye exposure to bright light",
)


def not_checked(fixture: Fixture, results: Evaluation) -> tuple[str, ...]:
    """Return what nobody looked at, for want of a rule or of data."""
    missing = []
    site = fixture.site
    if results.what_if.trim is None:
        missing.append("single faults: the boards do not share or are dark, mend that first")
    if results.what_if.trim is not None and not results.what_if.faults:
        missing.append("single faults and spread: more than 20 boards on one network")
    if results.operating.mode in {"no load", "switched off"}:
        missing.append("everything that rests on currents: none flows")
    missing += list(results.mains.notes)
    missing += _heat_not_checked(fixture, results)
    missing += making_not_checked(fixture)
    if results.what_if.tolerance is None and results.what_if.trim is not None:
        missing.append(
            "spread between boards of one model, and of the driver's settings: no voltage spread is given"
            if all(model.voltage_spread_v is None for model in fixture.boards)
            else "spread between boards: too near the edge of stability"
        )
    if site.hottest_air_c is None:
        missing.append("the hottest day: the site names none")
    if site.coldest_air_c is None:
        missing.append("the cold start: the site names no coldest air")
    missing += _log_not_checked(results)
    if not results.surveys:
        missing.append("measured light: there are no light readings")
    unknown = [survey.survey for survey in results.surveys if not survey.sensor]
    if unknown:
        missing.append(
            f"measured light against predicted and wanted: no one sensor with its accuracy is given for {unknown[0]!r}"
        )
    missing += _light_not_checked(fixture, results)
    missing += _over_time_not_checked(fixture, results)
    return (*NEVER_CHECKED, *missing)


def _light_not_checked(fixture: Fixture, results: Evaluation) -> list[str]:
    missing, site = [], fixture.site
    if (
        site.target_ppfd_umol_m2_s is None
        and site.target_dli_low_mol_m2_d is None
        and site.target_dli_high_mol_m2_d is None
    ):
        missing.append("light against a target: the site names none")
    if site.target_min_over_mean_fraction is None:
        missing.append("evenness against a target: the site names none")
    spectra = {model.tag: model.spectrum for model in fixture.boards}
    bare = [tag for tag in dict.fromkeys(results.boards.model) if spectra[tag] is None]
    return [*missing, *(f"blue light and ultraviolet of {tag}: it names no spectrum" for tag in bare)]


def _over_time_not_checked(fixture: Fixture, results: Evaluation) -> list[str]:
    ageing, site = results.ageing, fixture.site
    if ageing is None:
        return ["light over the boards' life: no board names a maintenance table"]
    if ageing.reason:
        return [f"light over the boards' life: {ageing.reason}"]
    return [] if site.wanted_life_h is not None else ["light at the end of its life: the site names no life wanted"]


def _heat_not_checked(fixture: Fixture, results: Evaluation) -> list[str]:
    missing = []
    boards, operating = results.boards, results.operating
    model = next(entry for entry in fixture.drivers if entry.tag == fixture.driver)
    if np.isnan(boards.touch_limit_c).any():
        missing.append("touching hot metal: some sinks are said to be out of reach")
    if np.isnan(boards.junction_temperature_c - boards.rated_junction_temperature_c).any():
        missing.append("junction temperatures: no junction resistance or no rating is given")
    if np.isnan(operating.case_temperature_c) or model.rated_case_temperature_c is None:
        missing.append("the driver's case: no resistance or no rating is given")
    if fixture.site.ventilation_m3_per_h is None:
        missing.append("how far the fixture warms its room: no ventilation is given")
    if results.what_if.warm_up is None and results.what_if.trim is not None:
        missing.append("the warm-up over time: the sinks' heat capacity is not known")
    return missing


def _log_not_checked(results: Evaluation) -> list[str]:
    if results.logged is None:
        return ["measured branch currents: the current log is empty"]
    if results.log_verdict is None:
        return [
            "drift, settling and sharing in the current log: they take four readings of a board, or a supply log, and "
            "a current meter in each row"
        ]
    if np.isnan(results.log_verdict.mains_w):
        return ["mains power as measured: the supply log has none, so efficacy over it is predicted"]
    return []
