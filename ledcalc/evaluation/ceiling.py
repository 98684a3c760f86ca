"""A voltage ceiling held against the model: how high it may be before the boards as predicted pass their rating."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.evaluation.electrical import Settled, steady_state
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.results import Evaluation

__all__ = ["DIAL_STEP_V", "ceiling_within_rating"]

# What a voltage is shown and dialled to.
DIAL_STEP_V = 0.01
MOST_TRIES = 25
# Taken off where no steady state is found, of the ceiling.
UNSETTLED_STEP = 0.01


def ceiling_within_rating(results: Evaluation, ceiling_v: float, slope_ohm: float) -> float:
    """Return the highest ceiling, up to one wanted, under which no board as predicted passes its rating.

    Parameters
    ----------
    results : from ``evaluate``
    ceiling_v : V, above 0: the one wanted
    slope_ohm : ohm, above 0: by how much the voltage rises with the total current, per ampere

    Returns
    -------
    float: V, a multiple of the step that a voltage is dialled to

    Raises
    ------
    ArgumentError (a ValueError): none was found

    Validity
    --------
    The current dial at its high end, or where it is if that is more, so that the ceiling alone holds the boards back;
    warmed up, in the site's air.
    """
    fixture = results.fixture
    placed, model = boards_on(fixture), driver_model(fixture)
    up = replace(fixture, current_setting_a=max(fixture.current_setting_a, model.current_high_a))

    def currents_at(volts: float) -> FloatArray | None:
        found = steady_state(replace(up, voltage_setting_v=volts), placed, model)
        return found.split.current_a if isinstance(found, Settled) else None

    return _highest(currents_at, results.boards.rated_current_a, ceiling_v, slope_ohm)


def _highest(
    currents_at: Callable[[float], FloatArray | None], rated_a: FloatArray, ceiling_v: float, slope_ohm: float
) -> float:
    """Step down by the slope until the currents are within their rating, then halve back towards what was too high."""
    volts, over, held = _dialled(ceiling_v), math.inf, 0.0
    for _ in range(MOST_TRIES):
        if volts <= 0 or volts <= held:
            break
        amps = currents_at(volts)
        use = math.inf if amps is None else float((amps / rated_a).max())
        if use <= 1.0:
            held = volts
        else:
            over = volts
        if held:
            volts = _dialled((held + over) / 2.0) if math.isfinite(over) else held
        elif amps is None:
            volts = _dialled(volts * (1.0 - UNSETTLED_STEP))
        else:
            volts = _dialled(volts - max(slope_ohm * float(amps.sum()) * (1.0 - 1.0 / use), DIAL_STEP_V))
    if held:
        return held
    raise ArgumentError("ceiling_v", ceiling_v, "a ceiling under which the boards as predicted keep to their rating")


def _dialled(volts: float) -> float:
    return round(math.floor(volts / DIAL_STEP_V + 1e-6) * DIAL_STEP_V, 6)
