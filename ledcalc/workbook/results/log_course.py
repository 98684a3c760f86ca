"""The page on the current log over time: the highest board within its meter's errors, and shares."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.bench import LogRounds, log_rounds
from ledcalc.bench.log_columns import IntArray
from ledcalc.evaluation.bench_log import JudgedLog, judged_log
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, CurveChart, Page, Table, col

__all__ = ["log_course_page"]

# A page holds two tables of so many rounds and their charts; more shares than this would not be told apart in one.
ROUNDS = 14
CURVES = 8


def log_course_page(results: Evaluation) -> Page | None:
    """Return how logged currents went; None without two rounds of a log whose meter is listed."""
    judged = judged_log(results.fixture, results.boards)
    if judged is None or results.log_verdict is None:
        return None
    rounds = log_rounds(judged.judgement.log)
    read = np.flatnonzero(~np.isnan(rounds.current_a).all(axis=1))
    if read.size < 2:
        return None
    blocks = [*_highest(results, judged, rounds), *_shares(rounds)]
    return Page(title="Log over time", lead="As read, round by round; of long logs some rounds.", blocks=blocks)


def _picked(read: IntArray) -> IntArray:
    places = np.unique(np.linspace(0, read.size - 1, ROUNDS).round().astype(np.int64))
    return np.asarray(read[places], dtype=np.int64)


def _highest(results: Evaluation, judged: JudgedLog, rounds: LogRounds) -> list[Block]:
    found = judged.judgement
    top = max(found.boards, key=lambda each: each.level.current_a).board
    column = rounds.boards.index(top)
    read = _picked(np.flatnonzero(~np.isnan(rounds.current_a[:, column])))
    rated = float(results.boards.rated_current_a[results.boards.tag.index(top)])
    rows = []
    for n in read:
        current = float(rounds.current_a[n, column])
        half = float(judged.noise[rounds.meters[int(rounds.meter[n, column])]].half_width(current))
        rows.append((float(rounds.elapsed_h[n]), current, current - half, current + half, rated))
    columns = (
        col("Since switch-on", "h", 2, 18),
        col(f"{top} read", "A", 3),
        col("At least", "A", 3),
        col("At most", "A", 3),
        col("Rated", "A", 3),
    )
    chart = CurveChart(
        title=f"Current of {top}, the highest board, and how far its meter may be off",
        across="time since switch-on in h",
        up="current in A",
        curves=(1, 2, 3),
    )
    return [Table(heading="Highest board", columns=columns, rows=tuple(rows)), chart]


def _shares(rounds: LogRounds) -> list[Block]:
    lit = rounds.complete[rounds.current_a[rounds.complete].sum(axis=1) > 0]
    if lit.size < 2:
        return []
    read = _picked(lit)
    shares: FloatArray = 100.0 * rounds.current_a[read] / rounds.current_a[read].sum(axis=1, keepdims=True)
    order = np.argsort(-shares.mean(axis=0))
    is_all = order.size <= CURVES
    shown = order if is_all else np.concatenate([order[: CURVES // 2], order[-CURVES // 2 :]])
    rows = tuple(
        (float(hours), *(float(share) for share in row))
        for hours, row in zip(rounds.elapsed_h[read], shares[:, shown], strict=True)
    )
    title = "Shares of the boards' current" if is_all else "Shares of the boards' current: highest and lowest boards"
    columns = (col("Since switch-on", "h", 2, 18), *(col(rounds.boards[n], "%", 2) for n in shown))
    chart = CurveChart(
        title=title,
        across="time since switch-on in h",
        up="share in %",
        curves=tuple(range(1, len(columns))),
    )
    return [Table(heading=title, columns=columns, rows=rows), chart]
