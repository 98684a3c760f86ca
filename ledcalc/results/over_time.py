"""Light over time: how it falls over the boards' life, what the dial makes of it, the plan from week to week."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons import MaintenanceAt, MaintenanceTest

__all__ = ["AgeingResults", "DimmedLight", "LightPlanResults"]

HALVINGS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DimmedLight:
    """What the fixture gives at other current limits: settled at ``current_a``, per ampere along lines between.

    ``ppfd_umol_m2_s``: mean PPFD, of all fixtures, whose dials turn together; powers are this fixture's. Where methods
    take a ``kept_fraction``, the boards give that share of their light new.

    Currents are those of the driver, or of each of its lead sets where it limits them separately. ``setting_a``: the
    current dial as it is, which the dimmer takes its share of, down to ``level_low_fraction``. ``least_a`` and
    ``most_a``: what dimmer and dial reach between them; ``least_by`` and ``most_by`` say what ends it.
    """

    current_a: FloatArray
    ppfd_umol_m2_s: FloatArray
    power_w: FloatArray
    setting_a: float
    level_low_fraction: float
    dial_low_a: float
    dial_high_a: float
    least_a: float
    least_by: str
    most_a: float
    most_by: str

    def ppfd_at(self, current_a: float, kept_fraction: float = 1.0) -> float:
        """Return the mean PPFD at a current, umol m-2 s-1."""
        new = float(np.interp(current_a, self.current_a, self.ppfd_umol_m2_s / self.current_a))
        return kept_fraction * current_a * new

    def kept_for(self, ppfd_umol_m2_s: float, current_a: float) -> float:
        """Return the share of their light that the boards must keep for a mean PPFD at a current."""
        return ppfd_umol_m2_s / self.ppfd_at(current_a)

    def power_at(self, current_a: float) -> float:
        """Return the driver's output power at a current, W."""
        return current_a * float(np.interp(current_a, self.current_a, self.power_w / self.current_a))

    def current_for(self, ppfd_umol_m2_s: float, kept_fraction: float = 1.0) -> float:
        """Return the current for a mean PPFD, A; NaN beyond what dimmer and dial reach."""
        # Dust of the ends must not put an end out of its own reach.
        wanted = ppfd_umol_m2_s * (1.0 - 1e-9)
        least, most = (self.ppfd_at(end_a, kept_fraction) for end_a in (self.least_a, self.most_a))
        if wanted > most or ppfd_umol_m2_s * (1.0 + 1e-9) < least:
            return float("nan")
        low, high = self.least_a, self.most_a
        for _ in range(HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.ppfd_at(middle, kept_fraction) < wanted else (low, middle)
        return high

    def level_at(self, current_a: float) -> float:
        """Return the dimming level that gives a current with the dial as it is; NaN where the dimmer does not."""
        level = current_a / self.setting_a
        return level if self.level_low_fraction * (1.0 - 1e-9) <= level <= 1.0 + 1e-9 else float("nan")

    def dial_at(self, current_a: float) -> float:
        """Return the current dial that gives a current undimmed, A; NaN where the dial does not."""
        on_dial = self.dial_low_a * (1.0 - 1e-9) <= current_a <= self.dial_high_a * (1.0 + 1e-9)
        return current_a if on_dial else float("nan")

    @property
    def undimmed_a(self) -> float:
        """The current with the dial as it is and the dimmer at 100 %."""
        return min(self.setting_a, self.most_a)

    @property
    def undimmed_ppfd_umol_m2_s(self) -> float:
        """The mean PPFD with the dial as it is and the dimmer at 100 %."""
        return self.ppfd_at(self.undimmed_a)

    @property
    def most_ppfd_umol_m2_s(self) -> float:
        """The mean PPFD at the most that dimmer and dial give."""
        return self.ppfd_at(self.most_a)

    @property
    def least_ppfd_umol_m2_s(self) -> float:
        """The mean PPFD at the least that dimmer and dial give."""
        return self.ppfd_at(self.least_a)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AgeingResults:
    """How the boards' light falls over the hours lit; one entry a board in ``boards`` and ``share_of_ppfd_fraction``.

    ``share_of_ppfd_fraction``: a board's part of the mean PPFD, its likes in other fixtures included: they age alike.
    ``tests``: the fits of each table that a board names. ``reason``: why the fixture as a whole is not projected, empty
    where it is, up to ``limit_h``. ``held_ppfd_umol_m2_s``: the mean PPFD that the dial is to hold, NaN without target.
    """

    tables: tuple[str | None, ...]
    tests: dict[str, tuple[MaintenanceTest, ...]]
    boards: tuple[MaintenanceAt, ...]
    share_of_ppfd_fraction: FloatArray
    limit_h: float
    held_ppfd_umol_m2_s: float
    reason: str

    def kept_fraction(self, hours_h: float) -> float:
        """Return the share of the boards' light on the crop that is left after hours lit; NaN where not projected."""
        fits = [at.fit for at in self.boards]
        kept = [float("nan") if fit is None else float(fit.kept_fraction(hours_h)) for fit in fits]
        return float(self.share_of_ppfd_fraction @ np.array(kept))

    def hours_until(self, kept_fraction: float) -> float:
        """Return the hours until a share of the boards' light is left; infinite where not within the limit."""
        if not self.kept_fraction(self.limit_h) < kept_fraction:
            return float("inf")
        low, high = 0.0, self.limit_h
        for _ in range(HALVINGS):
            middle = (low + high) / 2.0
            low, high = (low, middle) if self.kept_fraction(middle) < kept_fraction else (middle, high)
        return low


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightPlanResults:
    """The light plan, one entry a step, or a week of a ramp; ``row`` is the plan's row that it comes from.

    ``weeks_count``: weeks that the entry lasts; the last one, which has no end, counts one. ``current_a``, level and
    dial as in ``DimmedLight``: NaN where not to be had, 0 A for a dark week. PPFD and DLI are what is given: the
    nearest end of the reach where ``reach`` is not ``within`` but ``above`` or ``below``. Energy and cost: of a week,
    at ``price_per_kwh``, the mean of the hours lit over a year, as no week has a date.
    """

    row: tuple[int, ...]
    week: tuple[int, ...]
    weeks_count: tuple[int, ...]
    photoperiod_h: FloatArray
    wanted_dli_mol_m2_d: FloatArray
    wanted_ppfd_umol_m2_s: FloatArray
    current_a: FloatArray
    level_fraction: FloatArray
    dial_a: FloatArray
    ppfd_umol_m2_s: FloatArray
    dli_mol_m2_d: FloatArray
    energy_kwh: FloatArray
    price_per_kwh: FloatArray
    energy_cost: FloatArray
    reach: tuple[str, ...]
