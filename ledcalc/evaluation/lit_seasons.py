"""When the light is on in a year: the seasons, each with the power that it draws and the light that it gives."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from ledcalc.cost.tariff import ALL_MONTHS, DAYS_IN_MONTH
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.fixture import Fixture, Season
from ledcalc.owning import months_between

__all__ = ["Lit", "lit_parts_of_year"]

WHOLE_YEAR = "year"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lit:
    """Months lit alike, how much, and with which power from the mains and flux on the crop."""

    tag: str
    months: tuple[int, ...]
    days_count: float
    photoperiod_h: float
    mains_power_w: float
    canopy_flux_umol_s: float


def lit_parts_of_year(
    fixture: Fixture, *, mains_power_w: float, photon_flux_umol_s: float, canopy_flux_umol_s: float
) -> list[Lit]:
    """Return the seasons, or the whole year as the Site sheet has it.

    Raises
    ------
    NotSettledError: dimmed as a season wants it, currents and heat do not settle
    """
    site = fixture.site
    as_it_is = partial(Lit, mains_power_w=mains_power_w, canopy_flux_umol_s=canopy_flux_umol_s)
    if not fixture.seasons:
        days = float(site.days_lit_count)
        return [as_it_is(tag=WHOLE_YEAR, months=ALL_MONTHS, days_count=days, photoperiod_h=site.photoperiod_h)]
    dimmed = {fixture.dimming_fraction: (mains_power_w, 1.0)}
    found = []
    for season in fixture.seasons:
        level = fixture.dimming_fraction if season.dimming_fraction is None else season.dimming_fraction
        if level not in dimmed:
            dimmed[level] = _dimmed(fixture, level, photon_flux_umol_s)
        watts, share = dimmed[level]
        months = months_between(season.from_month, season.to_month)
        found.append(
            Lit(
                tag=season.tag,
                months=months,
                days_count=_days(season, months),
                photoperiod_h=site.photoperiod_h if season.photoperiod_h is None else season.photoperiod_h,
                mains_power_w=watts,
                # The field keeps its shape: all boards are dimmed alike.
                canopy_flux_umol_s=canopy_flux_umol_s * share,
            )
        )
    return found


def _days(season: Season, months: tuple[int, ...]) -> float:
    if season.days_lit_count is not None:
        return float(season.days_lit_count)
    return float(sum(DAYS_IN_MONTH[month - 1] for month in months))


def _dimmed(fixture: Fixture, level: float, photon_flux_umol_s: float) -> tuple[float, float]:
    """Return mains power and share of the light at another dimming level."""
    changed = replace(fixture, dimming_fraction=level)
    settled = settle(changed, boards_on(changed), driver_model(changed))
    flux = float(settled.photon_flux_umol_s.sum())
    return settled.draw.mains_power_w, flux / photon_flux_umol_s if photon_flux_umol_s > 0 else 0.0
