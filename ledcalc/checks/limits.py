"""The limits and margins that rules judge by, from their table, and small arithmetic that remedies share."""

from __future__ import annotations

import math
from functools import cache

from ledcalc.fixture import DriverModel, Fixture
from ledcalc.schema import Value
from ledcalc.tables import table

__all__ = ["OVER", "apart", "dial_down", "driver_of", "in_each", "limit", "limit_source", "turn_down"]

# A value counts as over its limit when it lies above it by more than the dust of floating-point arithmetic.
OVER = 1.0 + 1e-9
# So many digits more tell apart what the dust of arithmetic does not.
MORE_DIGITS = 9


@cache
def limit(name: str) -> float:
    """Return a limit or margin of the table ``check_limits``."""
    return float(_row(name)["value"])


def limit_source(name: str) -> str:
    """Return where a limit comes from."""
    return _row(name)["source"]


def dial_down(current_a: float) -> float:
    """Return the dial position at or below a current, a little inside it."""
    step = limit("dial_step_a")
    inside = current_a * (1.0 - limit("remedy_reserve_fraction"))
    return round(math.floor(inside / step + 1e-9) * step, 6)


def apart(value: float, limit_value: float, form: str = ".3g", limit_form: str = "") -> tuple[str, str]:
    """Return a value and its limit with digits enough that the two do not read alike.

    ``form`` and ``limit_form`` are how they are written where that tells them apart; the limit's, unless named, is the
    value's. Two equal numbers stay as they are.

    Examples
    --------
    >>> apart(2.1017, 2.1)
    ('2.102', '2.1')
    >>> apart(75.04, 75.0, ".1f", ".0f")
    ('75.04', '75')
    """
    last = format(limit_value, limit_form or form)
    if value == limit_value:
        return format(value, form), last
    for more in range(MORE_DIGITS):
        wider = [f".{int(own[1:-1]) + more}{own[-1]}" for own in (form, limit_form or form)]
        first, second = format(value, wider[0]), format(limit_value, wider[1])
        if float(first) != float(second):
            # The limit keeps its few digits where these are enough.
            short = float(first) != float(last) and (float(first) > float(last)) == (value > limit_value)
            return first, last if short else second
    return format(value, form), last


def driver_of(fixture: Fixture) -> tuple[int, DriverModel]:
    """Return the fixture's driver model and its row."""
    return next((row, model) for row, model in enumerate(fixture.drivers) if model.tag == fixture.driver)


def turn_down(fixture: Fixture, target_a: float) -> tuple[str, dict[str, Value]]:
    """Return the remedy of turning the current dial down until the driver gives a current, if the dial goes that low.

    ``target_a``: of the driver, or of a lead set that it limits separately; what the dimmer takes off is added.
    """
    _, model = driver_of(fixture)
    setting = dial_down(target_a / fixture.dimming_fraction)
    if setting < model.current_low_a:
        return (
            f"the current would have to be {setting:.2f} A, below this driver's dial ({model.current_low_a:.3g} A): "
            f"add boards, or take a smaller driver"
        ), {}
    return f"set the driver's current to {setting:.2f} A", {"fixture.current_setting_a": setting}


def in_each(fixture: Fixture) -> str:
    """Return words behind a number of boards where several fixtures hang: it is each one's."""
    return "" if fixture.in_room_count == 1 else f" in each of the {fixture.in_room_count} fixtures"


def _row(name: str) -> dict[str, str]:
    return next(dict(row) for row in table("check_limits") if row["name"] == name)
