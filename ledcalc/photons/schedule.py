"""Dial levels over weeks and over the light's life."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.ageing import PhotonMaintenance
from ledcalc.ppfd.dose import daily_light_integral, ppfd_for_dose

__all__ = ["DialOverLife", "DimSchedule", "dial_over_life", "dim_schedule"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DimSchedule:
    """A dial level a week; arrays of one entry a week.

    ``dial_fraction`` is the share of the full-power PPFD, kept between the lowest dial and 1; ``dli_mol_m2_d`` and
    ``ppfd_umol_m2_s`` are what it gives; ``within_dial`` says whether that is the target.
    """

    week: FloatArray
    target_dli_mol_m2_d: FloatArray
    photoperiod_h: FloatArray
    dial_fraction: FloatArray
    ppfd_umol_m2_s: FloatArray
    dli_mol_m2_d: FloatArray
    within_dial: tuple[bool, ...]


def dim_schedule(
    target_weeks: ArrayLike,
    target_dli_mol_m2_d: ArrayLike,
    *,
    photoperiod_h: ArrayLike,
    full_power_ppfd_umol_m2_s: float,
    lowest_dial_fraction: float = 0.0,
) -> DimSchedule:
    """Return dial levels week by week along straight ramps between targets of the daily light integral.

    Parameters
    ----------
    target_weeks : whole numbers, rising: the weeks for which targets are set; the schedule runs from first to last
    target_dli_mol_m2_d : mol m-2 d-1, at least 0, one a target week
    photoperiod_h : h, above 0, at most 24: one for all, or one a week of the schedule
    full_power_ppfd_umol_m2_s : umol m-2 s-1, above 0: mean on the crop at full dial and the height in use
    lowest_dial_fraction : from 0 to below 1: the lowest level the driver holds

    Returns
    -------
    DimSchedule

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, weeks that do not rise, or lists of unlike length

    Validity
    --------
    The dial is a share of light, not of current: at part load LEDs give more light an ampere. The crop stays at the
    distance for which the full-power PPFD holds.

    References
    ----------
    Common practice, no source: straight ramp. DLI as in ANSI/ASABE S640 (public summaries).

    Examples
    --------
    >>> plan = dim_schedule([1, 3], [8.0, 14.0], photoperiod_h=16.0, full_power_ppfd_umol_m2_s=300.0)
    >>> [round(float(level), 3) for level in plan.dial_fraction]
    [0.463, 0.637, 0.81]
    """
    knots = np.atleast_1d(whole_numbers("target_weeks", target_weeks))
    doses = np.atleast_1d(numbers("target_dli_mol_m2_d", target_dli_mol_m2_d, at_least=0))
    if knots.size == 0 or knots.ndim != 1 or knots.shape != doses.shape:
        raise ArgumentError("target_dli_mol_m2_d", doses.shape, f"one a target week, at least one: {knots.shape}")
    if (np.diff(knots) <= 0).any():
        raise ArgumentError("target_weeks", knots.tolist(), "rising, each week once")
    week = np.arange(knots[0], knots[-1] + 1.0)
    hours = numbers("photoperiod_h", photoperiod_h, above=0, at_most=24)
    if hours.shape not in ((), week.shape):
        raise ArgumentError("photoperiod_h", hours.shape, f"one for all, or one a week: {week.shape}")
    hours = np.broadcast_to(hours, week.shape).copy()
    full = float(numbers("full_power_ppfd_umol_m2_s", full_power_ppfd_umol_m2_s, above=0))
    lowest = float(numbers("lowest_dial_fraction", lowest_dial_fraction, at_least=0, below=1))
    target = np.interp(week, knots, doses)
    wanted = np.asarray(ppfd_for_dose(target, hours)) / full
    # 0 means off, whatever the driver's lowest level.
    dial = np.where(wanted > 0, np.clip(wanted, lowest, 1.0), 0.0)
    return DimSchedule(
        week=week,
        target_dli_mol_m2_d=target,
        photoperiod_h=hours,
        dial_fraction=dial,
        ppfd_umol_m2_s=dial * full,
        dli_mol_m2_d=np.asarray(daily_light_integral(dial * full, hours)),
        within_dial=tuple(bool(same) for same in np.isclose(dial, wanted, rtol=1e-12, atol=0.0)),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DialOverLife:
    """The dial that holds a PPFD while the LEDs age; arrays of one entry a time.

    ``dial_fraction`` is at most 1; ``ppfd_umol_m2_s`` is what it gives; ``beyond_limit`` marks times later than the
    projection limit of the fit. ``held_until_h``: then the dial has no more to give (infinite: never), and PPFD falls.
    """

    hours_h: FloatArray
    maintenance_fraction: FloatArray
    dial_fraction: FloatArray
    ppfd_umol_m2_s: FloatArray
    beyond_limit: tuple[bool, ...]
    held_until_h: float


def dial_over_life(
    maintenance: PhotonMaintenance, hours_h: ArrayLike, *, target_ppfd_umol_m2_s: float, new_ppfd_umol_m2_s: float
) -> DialOverLife:
    """Return the dial needed at each age to hold a PPFD.

    Parameters
    ----------
    maintenance : fit of the LEDs' maintenance, at the temperature and current they run at
    hours_h : h lit, at least 0
    target_ppfd_umol_m2_s : umol m-2 s-1, above 0
    new_ppfd_umol_m2_s : umol m-2 s-1, above 0: at full dial with new LEDs

    Returns
    -------
    DialOverLife

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    LEDs only: dirt, optics, drivers and dead boards come on top. The dial is a share of light. Running dimmed ages
    less than the test's current, which is not counted. A fit that does not fall counts as level: no gain is promised.

    References
    ----------
    ANSI/IES TM-21 (public summaries) for the fit; the dial by proportion.

    Examples
    --------
    >>> from ledcalc.photons.ageing import tm21_fit
    >>> fit = tm21_fit([0, 1000, 2000, 3000, 4000, 5000, 6000], [1, 0.99, 0.98, 0.97, 0.96, 0.95, 0.94], unit_count=20)
    >>> plan = dial_over_life(fit, [0.0, 20_000.0], target_ppfd_umol_m2_s=240.0, new_ppfd_umol_m2_s=300.0)
    >>> [round(float(level), 2) for level in plan.dial_fraction], round(plan.held_until_h, -2)
    ([0.8, 0.98], 21600.0)
    """
    hours = np.atleast_1d(numbers("hours_h", hours_h, at_least=0))
    target = float(numbers("target_ppfd_umol_m2_s", target_ppfd_umol_m2_s, above=0))
    new = float(numbers("new_ppfd_umol_m2_s", new_ppfd_umol_m2_s, above=0))
    fall_per_h = max(maintenance.decay_per_h, 0.0)
    kept = np.asarray(maintenance.kept_fraction(hours))
    dial = np.minimum(target / (new * kept), 1.0)
    reserve = float(np.log(maintenance.initial_fraction * new / target))
    held_until = reserve / fall_per_h if fall_per_h > 0 else float("inf")
    if target > new or reserve < 0:
        held_until = 0.0
    return DialOverLife(
        hours_h=hours,
        maintenance_fraction=kept,
        dial_fraction=dial,
        ppfd_umol_m2_s=dial * new * kept,
        beyond_limit=tuple(bool(late) for late in hours > maintenance.limit_h),
        held_until_h=held_until,
    )
