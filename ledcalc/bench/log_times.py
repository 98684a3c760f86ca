"""The time column of a log: out of order, minutes among hours, missing; told row by row."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.log_columns import Column, IntArray
from ledcalc.bench.log_remark import LogRemark, counted

__all__ = ["checked_times"]

MINUTES_PER_HOUR = 60.0
# A gap this many times all that went before is a change of unit, or a very patient builder.
JUMP = 30.0
# With more steps backward than this, rows are shuffled, not in another unit.
MOST_STEPS_BACK = 200
# Rows that changed places are within this factor of each other; minutes among hours stand out by more.
SWAPPED = 5.0


def checked_times(time: Column, group: IntArray, remarks: list[LogRemark]) -> FloatArray:
    """Return the times in h, NaN for rows that are left out; ``group``: rows of one group are expected in order."""
    hours = time.values.copy()
    missing, negative = np.isnan(hours), hours < 0
    remarks += _listed(time, missing, "no-time", "no elapsed time", "enter it; the row is not used", None)
    remarks += _listed(time, negative, "negative-time", "before switch-on", "count from switch-on", None)
    hours[negative] = np.nan
    order = np.argsort(group, kind="stable")
    order = order[~np.isnan(hours[order])]
    together = np.diff(group[order]) == 0
    minutes = _minutes(hours[order], together)
    suspect = np.zeros(hours.size, dtype=bool)
    suspect[order[minutes]] = True
    what, remedy = "later than the rows after it: minutes among hours?", "enter it in the column's unit"
    remarks += _listed(time, suspect, "mixed-time-units", what, remedy, hours / MINUTES_PER_HOUR)
    hours[suspect] = np.nan
    order = order[~minutes]
    if order.size > 1:
        remarks += _unsorted(time, hours, order, group)
        remarks += _jumps(time, hours, order, group)
    return hours


def _listed(
    time: Column, where: NDArray[np.bool_], code: str, what: str, remedy: str, likely: FloatArray | None
) -> list[LogRemark]:
    return counted(
        [
            LogRemark(
                code=code,
                row=int(index) + 1,
                field="elapsed_h",
                what=what,
                remedy=remedy,
                value=None if np.isnan(time.values[index]) else time.as_given(float(time.values[index])),
                likely=None if likely is None else time.as_given(float(likely[index])),
                left_out=True,
            )
            for index in np.flatnonzero(where)
        ]
    )


def _minutes(hours: FloatArray, together: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which rows fit between their neighbours only when read as minutes."""
    found = np.zeros(hours.size, dtype=bool)
    back = np.flatnonzero((np.diff(hours) < 0) & together)
    if back.size > MOST_STEPS_BACK:
        return found
    for end in back:
        after, first = hours[end + 1], int(end)
        while first > 0 and together[first - 1] and hours[first - 1] > after:
            first -= 1
        before = hours[first - 1] if first > 0 and together[first - 1] else 0.0
        run = hours[first : end + 1] / MINUTES_PER_HOUR
        far = hours[first : end + 1].min() > SWAPPED * after
        if far and (np.diff(run) >= 0).all() and run[0] >= before and run[-1] <= after:
            found[first : end + 1] = True
    return found


def _unsorted(time: Column, hours: FloatArray, order: IntArray, group: IntArray) -> list[LogRemark]:
    early = np.flatnonzero((np.diff(hours[order]) < 0) & (np.diff(group[order]) == 0)) + 1
    return counted(
        [
            LogRemark(
                code="time-order",
                row=int(order[place]) + 1,
                field="elapsed_h",
                what="earlier than the row before it",
                remedy="sorted by time for the judgement; check that no time is mistyped",
                value=time.as_given(float(hours[order[place]])),
            )
            for place in early
        ]
    )


def _jumps(time: Column, hours: FloatArray, order: IntArray, group: IntArray) -> list[LogRemark]:
    by_time = order[np.lexsort((hours[order], group[order]))]
    before, after = hours[by_time[:-1]], hours[by_time[1:]]
    same = np.diff(group[by_time]) == 0
    wide = same & (before > 0) & (after > JUMP * before) & (after / MINUTES_PER_HOUR > before)
    return counted(
        [
            LogRemark(
                code="time-jump",
                row=int(by_time[place + 1]) + 1,
                field="elapsed_h",
                what=f"{after[place] / before[place]:.0f} times as late as the reading before: minutes from here on?",
                remedy="enter all times in one unit; judged as it stands",
                value=time.as_given(float(after[place])),
                likely=time.as_given(float(after[place] / MINUTES_PER_HOUR)),
            )
            for place in np.flatnonzero(wide)
        ]
    )
