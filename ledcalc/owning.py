"""A fixture's own tariff and seasons as the cost formulas take them, and how many of each part it needs."""

from __future__ import annotations

from collections import Counter

import numpy as np

from ledcalc.cost import Tariff, TariffPeriod
from ledcalc.fabrication import cut_length
from ledcalc.fixture import Fixture, TariffHours
from ledcalc.records import placed_boards

__all__ = ["months_between", "needed_counts", "tariff_of", "tariff_period"]

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
DAYS = {
    "every day": (0, 1, 2, 3, 4, 5, 6),
    "Monday to Friday": (0, 1, 2, 3, 4),
    "Saturday and Sunday": (5, 6),
    **{name: (number,) for number, name in enumerate(WEEKDAYS)},
}
# A wire's cut length is rounded up to this: what a tape tells.
STEP_M = 0.005


def months_between(first: int, last: int) -> tuple[int, ...]:
    """Return the months from the first to the last, past the turn of the year where the last comes before.

    Examples
    --------
    >>> months_between(11, 2)
    (11, 12, 1, 2)
    """
    return tuple((first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1))


def tariff_period(row: TariffHours) -> TariffPeriod:
    """Return a row of the Tariff sheet as a period.

    Raises
    ------
    ArgumentError (a ValueError): it starts when it ends
    """
    return TariffPeriod(
        name=row.tag,
        price_per_kwh=row.price_per_kwh,
        from_h=row.from_h,
        to_h=row.to_h,
        days=DAYS[row.days],
        months=months_between(row.from_month, row.to_month),
    )


def tariff_of(fixture: Fixture) -> Tariff:
    """Return what energy costs the fixture at each hour: the site's price where no period of the tariff holds."""
    costs = fixture.costs
    return Tariff(
        other_price_per_kwh=fixture.site.price_per_kwh,
        periods=tuple(tariff_period(row) for row in fixture.tariff),
        standing_charge_per_day=costs.standing_charge_per_day or 0.0,
        demand_charge_per_kw_day=costs.demand_charge_per_kw_day or 0.0,
    )


def needed_counts(fixture: Fixture) -> dict[str, float]:
    """Return how many of each board, heat sink and driver the fixture needs, and how many metres of each wire size.

    Those of its sheets that it does not use count 0. A heat sink that boards share counts once; wire counts with its
    loops and spare length, as it is cut.
    """
    counts: Counter[str] = Counter()
    counts.update({model.tag: 0 for model in fixture.boards})
    counts.update({model.tag: 0 for model in fixture.heat_sinks})
    counts.update({model.tag: 0 for model in fixture.drivers})
    counts[fixture.driver] += 1
    shared = set[str]()
    for place in placed_boards(fixture):
        counts[str(place.board)] += 1
        counts[str(place.heat_sink)] += place.shared_sink not in shared
        shared |= {place.shared_sink} if place.shared_sink else set()
    needed = {tag: float(count) for tag, count in counts.items()}
    build = fixture.build
    lengths = cut_length(
        [cable.one_way_length_m for cable in fixture.cables],
        service_loops_m=2 * build.service_loop_m,
        strip_m=2 * build.strip_m,
        spare_fraction=build.cable_spare_fraction,
        step_m=STEP_M,
    )
    for cable, length in zip(fixture.cables, np.atleast_1d(lengths).tolist(), strict=True):
        needed[cable.size] = needed.get(cable.size, 0.0) + length
    return needed
