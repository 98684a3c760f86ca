"""The page of advice on the layout: pitch, height, rails, how many boards, and the best share of each group."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ledcalc.group_shares import GroupShares, group_shares
from ledcalc.layout_views import Compared, LayoutViews, MovedRails, layout_views
from ledcalc.photons import CropLight, EvennessBound
from ledcalc.results import Evaluation, LayoutAdvice, LayoutFigures
from ledcalc.workbook.results.pages import Block, Facts, Lines, Page, Shown, Table, col, fact

__all__ = ["layout_page"]

PPFD_UNIT = "umol m-2 s-1"
NEXT_FEW = 4


def layout_page(results: Evaluation) -> Page | None:
    """Return the advice where it is switched on, and the groups' shares where groups are named; else None."""
    advice, shares = results.layout, group_shares(results)
    if advice is None and shares is None:
        return None
    blocks: list[Block] = []
    if advice is not None:
        views = layout_views(results)
        blocks += [Lines(lines=(f"No layout was looked for: {advice.reason}.",))] if views is None else []
        blocks += [] if views is None else _of_layout(results, advice, views)
    if shares is not None:
        blocks += _of_groups(shares)
    lead = "On the map's own points, walls and other fixtures counted as in the light field. Predicted, not measured."
    return Page(title="Layout advice", lead=lead, blocks=blocks)


def _of_layout(results: Evaluation, advice: LayoutAdvice, views: LayoutViews) -> list[Block]:
    said = [f"{advice.note}."] if advice.note else []
    return [
        Lines(lines=(*_words(results, advice), *said)),
        _layouts(advice),
        _rails(results, views),
        _bound(advice, views.bound),
        _arriving(views.compared),
        _rings(views.compared),
        _count(results, advice, views),
        *_course(advice, views),
    ]


def _words(results: Evaluation, advice: LayoutAdvice) -> list[str]:
    rows, columns, count = advice.rows_count, advice.columns_count, results.fixture.in_room_count
    boards = f"{rows} row{'s' * (rows > 1)} of {columns} board{'s' * (columns > 1)}"
    beside = f", and alike in all {count} fixtures" if count > 1 else ""
    return [
        f"{advice.layouts_count:,} layouts of {boards} about the crop's middle{beside}, each board with "
        f"{advice.board_photon_flux_umol_s:.1f} umol/s, the mean of today's; looked for: {advice.method}.",
        f"Wanted: a mean of at least {advice.target_umol_m2_s:.0f} {PPFD_UNIT} ({advice.target_basis}), and of all "
        "layouts that reach it the highest min/mean. Wider and higher costs mean; the dial changes the mean alone.",
    ]


def _layouts(advice: LayoutAdvice) -> Table:
    best, today = advice.ranked[0], advice.today
    rows: list[tuple[Shown, ...]] = [_row("today", today), _row("best found", best)]
    rows.append(("change", *_differences(_figures(today), _figures(best)), ""))
    rows += [_row(f"next best {n}", one) for n, one in enumerate(advice.ranked[1 : 1 + NEXT_FEW], start=1)]
    columns = (
        col("Layout", width=14),
        col("Row pitch", "m", 3, 11),
        col("Column pitch", "m", 3, 11),
        col("Height", "m", 3, 11),
        col("Mean PPFD", PPFD_UNIT, 0, 14),
        col("Lowest PPFD", PPFD_UNIT, 0, 14),
        col("min/mean", "", 3, 11),
        col("Utilisation", "%", 1, 12),
        col("Reaches the mean", width=12),
    )
    return Table(heading="Today's layout, and the best at each height", columns=columns, rows=tuple(rows))


def _figures(one: LayoutFigures) -> tuple[float, ...]:
    return (
        one.row_pitch_m,
        one.column_pitch_m,
        one.height_m,
        one.mean_umol_m2_s,
        one.minimum_umol_m2_s,
        one.min_over_mean_fraction,
        100.0 * one.utilisation_fraction,
    )


def _row(name: str, one: LayoutFigures) -> tuple[Shown, ...]:
    return name, *_figures(one), "yes" if one.reaches_target else "no"


def _differences(before: Iterable[float], after: Iterable[float]) -> list[float]:
    return [new - old for old, new in zip(before, after, strict=True)]


def _rings(compared: Compared) -> Table:
    columns = (
        col("Ring, side of its square", "m", 2, 14),
        col("Today", PPFD_UNIT, 0, 14),
        col("Best found", PPFD_UNIT, 0, 14),
        col("Change", "%", 1, 11),
    )
    rings = zip(compared.ring_sides_m, compared.today_ring_umol_m2_s, compared.best_ring_umol_m2_s, strict=True)
    rows = tuple((float(side), float(old), float(new), _per_cent(old, new)) for side, old, new in rings)
    return Table(heading="Mean PPFD in square rings about the crop's middle", columns=columns, rows=rows)


def _per_cent(old: float, new: float) -> float:
    return float(100.0 * (new / old - 1.0)) if old > 0 else math.nan


def _arriving(compared: Compared) -> Facts:
    facts = [
        fact(
            f"Photon flux on the crop, {word}",
            lit.canopy_flux_umol_s,
            "umol/s",
            1,
            f"{lit.utilisation_fraction:.1%} used",
        )
        for word, lit in (("today", compared.today), ("best found", compared.best))
    ]
    return Facts(heading="The light that arrives, integrated over the crop", facts=tuple(facts))


def _course(advice: LayoutAdvice, views: LayoutViews) -> list[Block]:
    if not views.course:
        return []
    columns = (
        col("Pitch", "m", 3, 14),
        col("Row pitch: min/mean", "", 3, 11),
        col("Row pitch: mean", PPFD_UNIT, 0, 14),
        col("Column pitch: min/mean", "", 3, 11),
        col("Column pitch: mean", PPFD_UNIT, 0, 14),
    )
    rows = tuple(
        (
            one.pitch_m,
            one.by_rows_fraction,
            one.by_rows_umol_m2_s,
            one.by_columns_fraction,
            one.by_columns_umol_m2_s,
        )
        for one in views.course
    )
    kept = f"{advice.ranked[0].height_m:.2f} m over the canopy, the other pitch as in the best layout"
    return [Table(heading=f"min/mean over the pitch, {kept}", columns=columns, rows=rows)]


def _rails(results: Evaluation, views: LayoutViews) -> Block:
    if views.today_light is None:
        reason = views.rails_reason or "no move that was tried is possible"
        return Lines(heading="Rails moved in or out", lines=(f"Not worked out: {reason}.",))
    columns = (
        col("Each rail moved out by", "mm", 0, 14),
        col("Mean PPFD", PPFD_UNIT, 0, 14),
        col("Change of the mean", "%", 1, 11),
        col("min/mean", "", 3, 11),
        col("Middle", PPFD_UNIT, 0, 14),
        col("Rim", PPFD_UNIT, 0, 14),
        col("", width=24),
    )
    now = views.today_light
    moves = [*views.rails, MovedRails(move_m=0.0, after=now, reason="as they are")]
    rows = tuple(_moved(move, now) for move in sorted(moves, key=lambda move: move.move_m))
    by = results.fixture.rail_move_m
    steps = "the drilling step and by two" if by is None else f"{1000 * by:g} mm"
    return Table(heading=f"Today's rails moved in or out by {steps}", columns=columns, rows=rows)


def _moved(move: MovedRails, now: CropLight) -> tuple[Shown, ...]:
    after = move.after
    if after is None:
        return 1000.0 * move.move_m, None, None, None, None, None, move.reason
    change = _per_cent(now.mean, after.mean)
    return 1000.0 * move.move_m, after.mean, change, after.min_over_mean, after.centre, after.edge, move.reason


def _bound(advice: LayoutAdvice, bound: EvennessBound) -> Facts:
    boards = advice.rows_count * advice.columns_count
    facts = (
        fact("min/mean at most", bound.min_over_mean, "", 3, f"no layout of {boards} boards at this height has more"),
        fact(
            "min/mean of the best found", advice.ranked[0].min_over_mean_fraction, "", 3, "rows and columns, all alike"
        ),
    )
    said = "" if bound.reached else "; the target mean is left out of it, being out of reach"
    heading = (
        f"How even it could be at {advice.ranked[0].height_m:.2f} m, however the boards stand and are dimmed{said}"
    )
    return Facts(heading=heading, facts=facts)


def _count(results: Evaluation, advice: LayoutAdvice, views: LayoutViews) -> Block:
    site, height = results.fixture.site, advice.ranked[0].height_m
    heading = f"How many boards the target takes at {height:.2f} m"
    count = views.count
    if count is None:
        return Lines(heading=heading, lines=(f"Not worked out: {views.count_reason}.",))
    found, hours = count.arrangement, site.photoperiod_h
    dose = count.target_umol_m2_s * hours * 3600.0 / 1e6
    fixtures = results.fixture.in_room_count
    each = " of each fixture" if fixtures > 1 else ""
    least = site.target_min_over_mean_fraction
    wanted = f"{dose:.1f} mol m-2 d-1 in {hours:g} h" + (f", min/mean of {least:g}" if least else "")
    pitches = f"{found.rows} x {found.columns}, pitches {found.row_pitch_m:.3f} m x {found.column_pitch_m:.3f} m"
    return Facts(
        heading=heading,
        facts=(
            fact("Mean PPFD wanted", count.target_umol_m2_s, PPFD_UNIT, 0, wanted),
            fact(f"Boards{each}", found.board_count, "", 0, pitches),
            fact("Their mean PPFD as bright as today", found.mean, PPFD_UNIT, 0, count.note),
            fact("Their min/mean", found.min_over_mean, "", 3),
            fact("Utilisation", 100.0 * found.utilisation_fraction / fixtures, "%", 1, "worked out, not assumed"),
            fact(f"Photon flux needed{each}", found.flux_needed_umol_s, "umol/s", 0, "PPF of all its boards"),
            fact("Photon flux needed of a board", found.flux_needed_per_board_umol_s, "umol/s", 1),
            fact("That is, of today's flux of a board", 100.0 * found.level_fraction, "%", 0),
        ),
    )


def _of_groups(shares: GroupShares) -> list[Block]:
    columns = (
        col("Group", width=14),
        col("Boards", "", 0, 11),
        col("Best share of its rated light", "%", 0, 14),
        col("Current a board", "A", 3, 11),
        col("Today's share", "%", 0, 14),
        col("Today's current a board", "A", 3, 14),
    )
    rows = tuple(
        (
            one.group,
            one.boards_count,
            100.0 * one.level_fraction,
            one.current_a,
            100.0 * one.today_fraction,
            one.today_current_a,
        )
        for one in shares.groups
    )
    best = shares.best
    wanted = f"wanted: {shares.target_umol_m2_s:.0f}, {shares.target_basis}"
    words = [
        "Each group needs a driver channel or dimmer of its own for this; the rest of these results leave it out.",
        "Boards go up to their rated current at the most, at today's temperatures.",
    ]
    words += [f"{best.note}."] if best.note else []
    facts = (
        fact("min/mean today", shares.today_min_over_mean_fraction, "", 3),
        fact("min/mean with these shares", best.min_over_mean, "", 3),
        fact("Mean PPFD today", shares.today_mean_umol_m2_s, PPFD_UNIT, 0),
        fact("Mean PPFD with these shares", best.mean, PPFD_UNIT, 0, wanted),
    )
    return [
        Table(heading="Best share per group, for the most even light", columns=columns, rows=rows),
        Facts(heading="", facts=facts),
        Lines(lines=tuple(words)),
    ]
