"""The fixture with the dial turned or the dimmer down: settled anew at a few currents, and how far they reach."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import NotSettledError
from ledcalc.evaluation.electrical import Settled, steady_state
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.results import DimmedLight

__all__ = ["DARK", "AtLimit", "dial_ends", "dimmed_light", "sampled_limits", "settled_anew", "settled_at_limit"]

# Light and voltage of an ampere bend little over the range: lines between so many currents keep them to a thousandth.
CURRENTS_COUNT = 5
# Where the driver dims to nothing, the first current that is worked out, as a part of the most.
FIRST_FRACTION = 0.1
DARK = ("no load", "switched off", "below window")
HELD_BY = {
    "constant voltage": "the voltage setting lets no more through",
    "power limit": "the driver's rated output is reached",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AtLimit:
    """The fixture settled at a current limit. ``current_a``: the current that the dial limits, 0 where it is dark."""

    current_a: float
    ppfd_umol_m2_s: float
    power_w: float
    load_fraction: float
    mode: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sampled:
    """What was worked out, an entry a current that can be had; what ends it below and above, empty for the dials."""

    current_a: FloatArray
    ppfd_umol_m2_s: FloatArray
    power_w: FloatArray
    load_fraction: FloatArray
    ends_below: str
    ends_above: str


def dial_ends(fixture: Fixture, model: DriverModel) -> tuple[FloatArray, FloatArray]:
    """Return the least and the most that dimmer and dial ask for between them, A; of numbers, or arrays of variants."""
    setting = fixture.current_setting_a
    low = np.minimum(np.multiply(setting, model.dimming_low_fraction), model.current_low_a)
    return np.asarray(low), np.asarray(np.maximum(setting, model.current_high_a))


def sampled_limits(fixture: Fixture, model: DriverModel) -> FloatArray:
    """Return the current limits that light and power are worked out at besides the present one, A, rising."""
    low, high = dial_ends(fixture, model)
    return np.linspace(np.maximum(low, FIRST_FRACTION * high), high, CURRENTS_COUNT)


def settled_anew(
    fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, settled: Settled, share_of_flux: FloatArray
) -> Iterator[tuple[float, AtLimit | None]]:
    """Yield current limits, the present one among them, rising, and the fixture at each; None where it won't settle.

    ``share_of_flux``: mean PPFD of a umol/s of each board, m-2.
    """
    present = fixture.current_setting_a * fixture.dimming_fraction
    for limit in sorted({present, *sampled_limits(fixture, model).tolist()}):
        at = settled if limit == present else _settled_at(fixture, placed, model, limit)
        yield limit, None if at is None else _at_limit(placed, at, share_of_flux)


def settled_at_limit(
    fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, share_of_flux: FloatArray, limit_a: float
) -> AtLimit | None:
    """Return the fixture at one current limit; None where it does not settle."""
    at = _settled_at(fixture, placed, model, limit_a)
    return None if at is None else _at_limit(placed, at, share_of_flux)


def dimmed_light(
    fixture: Fixture, model: DriverModel, points: Iterable[tuple[float, AtLimit | None]]
) -> DimmedLight | None:
    """Return light and power over the current; None where the fixture is dark or out of its driver's window.

    ``points``: as of ``settled_anew``, taken as far as the driver takes part.
    """
    level_low, setting = model.dimming_low_fraction, fixture.current_setting_a
    low, high = (float(end) for end in dial_ends(fixture, model))
    sampled = _sampled(points)
    if sampled is None:
        return None
    first, most = float(sampled.current_a[0]), min(float(sampled.current_a[-1]), high)
    most_by = "the current dial's high end" if high > setting else "the current setting"
    rated = _current_at_rating(sampled.current_a, sampled.load_fraction)
    least_by = "the dimmer's low end" if low < model.current_low_a else "the current dial's low end"
    return DimmedLight(
        current_a=sampled.current_a,
        ppfd_umol_m2_s=sampled.ppfd_umol_m2_s,
        power_w=sampled.power_w,
        setting_a=setting,
        level_low_fraction=level_low,
        dial_low_a=model.current_low_a,
        dial_high_a=model.current_high_a,
        least_a=min(first if sampled.ends_below else low, most, rated),
        least_by=sampled.ends_below or least_by,
        most_a=min(most, rated),
        most_by="a board is at its rated current" if rated < most else sampled.ends_above or most_by,
    )


def _sampled(points: Iterable[tuple[float, AtLimit | None]]) -> _Sampled | None:
    """Return the points up to the current that the driver ends at; None where it takes part in none."""
    rows: list[AtLimit] = []
    below = above = ""
    for limit, at in points:
        if at is None or at.current_a <= 0:
            if rows:
                above = "beyond it the boards do not settle"
                break
            below = "below it the driver is out of its window"
            continue
        rows.append(at)
        if at.current_a < limit * (1.0 - 1e-6):
            above = HELD_BY.get(at.mode, "")
            break
    if not rows:
        return None
    return _Sampled(
        current_a=np.array([row.current_a for row in rows]),
        ppfd_umol_m2_s=np.array([row.ppfd_umol_m2_s for row in rows]),
        power_w=np.array([row.power_w for row in rows]),
        load_fraction=np.array([row.load_fraction for row in rows]),
        ends_below=below,
        ends_above=above,
    )


def _at_limit(placed: Sequence[PlacedBoard], at: Settled, share_of_flux: FloatArray) -> AtLimit:
    mode, rated = str(at.split.mode), np.array([board.model.rated_current_a for board in placed])
    return AtLimit(
        current_a=0.0 if mode in DARK else _set_current(at),
        ppfd_umol_m2_s=float(share_of_flux @ at.photon_flux_umol_s),
        power_w=float(at.split.driver_voltage_v * at.split.driver_current_a),
        load_fraction=float((at.split.current_a / rated).max()),
        mode=mode,
    )


def _settled_at(fixture: Fixture, placed: Sequence[PlacedBoard], model: DriverModel, limit_a: float) -> Settled | None:
    """Return the steady state at a current limit; None where there is none, or the room would be an oven."""
    try:
        found = steady_state(replace(fixture, current_setting_a=limit_a, dimming_fraction=1.0), placed, model)
    except NotSettledError:
        return None
    return found if isinstance(found, Settled) else None


def _set_current(at: Settled) -> float:
    """Return the current that the dial limits: the driver's, or the greatest of its lead sets limited by themselves."""
    sets = at.circuit.lead_set_currents(at.split)
    return max(sets.values()) if at.circuit.are_sets_separate and sets else float(at.split.driver_current_a)


def _current_at_rating(current_a: FloatArray, load_fraction: FloatArray) -> float:
    """Return the current at which the most loaded board is at its rating, infinite where none comes to it."""
    over = np.flatnonzero(load_fraction > 1.0)
    if not over.size:
        return float("inf")
    first = int(over[0])
    if first == 0:
        return float(current_a[0] / load_fraction[0])
    return float(np.interp(1.0, load_fraction[[first - 1, first]], current_a[[first - 1, first]]))
