"""Rules about boards: current, temperature, data they rest on, stability."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.checks.limits import OVER, apart, driver_of, limit, limit_source, turn_down
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.model_curves import curve_of, flux_of, photons_per_joule_of
from ledcalc.results import BoardResults, Evaluation
from ledcalc.schema import Value

__all__ = [
    "board_over_current",
    "board_over_temperature",
    "curve_extrapolated",
    "one_board_hogs",
    "one_lost_over_current",
    "thermal_margin_thin",
]

SETTING = "fixture.current_setting_a"
# Solder melts below this: what stands above is no state that a board reaches.
FAILS_C = 250.0
RATING = "the board's datasheet rating"


def board_over_current(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board takes more than its rated current."""
    boards = results.boards
    ratio = boards.current_a / boards.rated_current_a
    top = int(np.nanargmax(ratio))
    if ratio[top] > OVER and not _is_hogged(results):
        count = int((ratio > OVER).sum())
        remedy, changes = turn_down(fixture, results.operating.set_current_a / float(ratio[top]))
        takes, rated = apart(float(boards.current_a[top]), float(boards.rated_current_a[top]))
        yield Finding(
            code="board-over-current",
            severity="stop",
            path=SETTING,
            message=f"{_how_many(count)} over the rated current; {boards.tag[top]} takes {takes} A, rated {rated} A.",
            value=float(boards.current_a[top]),
            limit=float(boards.rated_current_a[top]),
            unit="A",
            remedy=remedy,
            basis=RATING,
            changes=changes,
        )


def one_lost_over_current(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """When one branch opens, the others take its current and go over their rating."""
    boards = results.boards
    # What a held voltage gives anyway, lost branch or not, is the rule on rated current.
    rises = boards.one_lost_current_a > boards.current_a * (1.0 + 1e-3)
    ratio = np.where(rises, boards.one_lost_current_a / boards.rated_current_a, np.nan)
    if not np.isfinite(ratio).any() or np.nanmax(ratio) <= OVER or _is_hogged(results):
        return
    top = int(np.nanargmax(ratio))
    contained = [found.contained_by_a for found in results.what_if.faults if found.kind == "board open"]
    known = [setting for setting in contained if np.isfinite(setting)]
    by_share = results.operating.current_limit_a / float(ratio[top])
    takes, rated = apart(float(boards.one_lost_current_a[top]), float(boards.rated_current_a[top]))
    remedy, changes = turn_down(fixture, min(known) * fixture.dimming_fraction if known else by_share)
    yield Finding(
        code="one-lost-over-current",
        severity="act",
        path=SETTING,
        message=f"If one branch opens, {boards.tag[top]} takes {takes} A, rated {rated} A: "
        "the driver pushes the lost branch's current through the others.",
        value=float(boards.one_lost_current_a[top]),
        limit=float(boards.rated_current_a[top]),
        unit="A",
        remedy=remedy,
        basis=RATING,
        changes=changes,
    )


def board_over_temperature(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board is hotter than its rated temperature."""
    boards, air = results.boards, results.operating.air_temperature_c
    over = boards.temperature_c - boards.rated_temperature_c
    hot = int(np.nanargmax(over))
    if over[hot] <= 1e-9 * abs(float(boards.rated_temperature_c[hot])):
        return
    allowed, present = float(boards.rated_temperature_c[hot]) - air, float(boards.temperature_c[hot]) - air
    remedy, changes = "cool the room: the air alone is as warm as the board may be", dict[str, Value]()
    if allowed > 0:
        needed = allowed / float(boards.sink_heat_w[hot])
        remedy, changes = turn_down(fixture, results.operating.set_current_a * allowed / present)
        remedy += f"; or mount it on a sink of {needed:.2g} K/W or less, interface included"
    settles, rated = apart(float(boards.temperature_c[hot]), float(boards.rated_temperature_c[hot]), ".1f", ".0f")
    yield Finding(
        code="board-over-temperature",
        severity="stop",
        path=SETTING,
        message=f"{_how_many(int((over > 0).sum()))} hotter than rated; {boards.tag[hot]} "
        f"{_settles(boards, hot, settles)}, rated {rated} degC.",
        value=float(boards.temperature_c[hot]),
        limit=float(boards.rated_temperature_c[hot]),
        unit="degC",
        remedy=remedy,
        basis=RATING,
        changes=changes,
    )


def curve_extrapolated(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board runs outside the points that its curve is drawn through."""
    boards = results.boards
    for model in dict.fromkeys(boards.model):
        own = [number for number, name in enumerate(boards.model) if name == model and boards.extrapolated[number]]
        if not own:
            continue
        points = [point.current_a for point in fixture.board_points if point.board == model]
        amps = float(boards.current_a[own].max())
        above = amps > max(points)
        runs, end = apart(amps, max(points) if above else min(points))
        span = f"{min(points):.3g} to {end}" if above else f"{end} to {max(points):.3g}"
        yield Finding(
            code="curve-extrapolated",
            severity="act",
            path=f"boards[{[entry.tag for entry in fixture.boards].index(model)}].tag",
            message=f"{model} runs at {runs} A, {'above' if above else 'below'} its points "
            f"({span} A): voltage and light there are extrapolated.",
            value=amps,
            limit=max(points) if above else min(points),
            unit="A",
            remedy=f"add a row to the Board points sheet at {amps:.2g} A or {'more' if above else 'less'}, from "
            "the datasheet "
            f"or measured",
            basis="common practice: a curve holds between its points",
        )


def one_board_hogs(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board that warmed up a little more than the others draws most of the current."""
    boards = results.boards
    if not _is_hogged(results):
        return
    top = int(np.argmax(_grown(results)))
    row, sink = next((row, sink) for row, sink in enumerate(fixture.heat_sinks) if sink.tag == boards.heat_sink[top])
    # A shared sink carries the heat of all its boards.
    label = boards.shared_sink[top]
    sharing = boards.shared_sink.count(label) if label else 1
    needed = (_resistance_at_margin(fixture, results, top) - sink.interface_resistance_k_per_w) / sharing
    path = f"heat_sinks[{row}].sink_resistance_k_per_w"
    yield Finding(
        code="one-board-hogs",
        severity="stop",
        path=path,
        message=f"{boards.tag[top]} would heat up, draw more, and end at {boards.current_a[top]:.3g} A while "
        "the others "
        f"average {np.delete(boards.current_a, top).mean():.2g} A: with these sinks the boards do not share.",
        value=float(_grown(results)[top]),
        limit=limit("hogging_over_mean"),
        unit="times its cold share",
        remedy=f"use heat sinks of {needed:.2g} K/W or less; turning the current down alone does not make boards share",
        basis="bench form of the stability limit: R (1 - light) |coefficient| V below slope + wire",
        changes={path: round(needed, 3)} if needed > 0 and sink.sink_resistance_k_per_w is not None else {},
    )


def thermal_margin_thin(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Warming boards draw more current, nearly enough to run away."""
    gain, margin = results.operating.loop_gain, limit("loop_gain_margin")
    if not gain > margin * OVER:
        return
    hot = int(np.argmax(results.boards.temperature_c))
    row = [entry.tag for entry in fixture.heat_sinks].index(results.boards.heat_sink[hot])
    sink, present = fixture.heat_sinks[row], float(results.boards.sink_resistance_k_per_w[hot])
    whole = present + sink.interface_resistance_k_per_w
    # Gain goes with the thermal resistance, and a cooler board's share of it falls too.
    needed = round(
        whole * margin / gain * (1.0 - limit("remedy_reserve_fraction")) - sink.interface_resistance_k_per_w, 3
    )
    can_apply = needed > 0 and sink.sink_resistance_k_per_w is not None
    changes: dict[str, Value] = {f"heat_sinks[{row}].sink_resistance_k_per_w": needed} if can_apply else {}
    yield Finding(
        code="thermal-margin-thin",
        severity="act",
        path=f"heat_sinks[{row}].sink_resistance_k_per_w",
        message=f"A board that warms up draws more current and warms up further: loop gain {gain:.2f}; at 1 one "
        "board takes "
        f"all it can get.",
        value=gain,
        limit=margin,
        unit="",
        remedy=f"use heat sinks of {max(needed, 0.0):.2g} K/W or less, or run {driver_of(fixture)[1].tag} at a "
        "lower current",
        basis=limit_source("loop_gain_margin"),
        changes=changes,
    )


def _is_hogged(results: Evaluation) -> bool:
    """Return whether heat, not the wiring, drove the boards apart."""
    return bool(_grown(results).max() > limit("hogging_over_mean"))


def _grown(results: Evaluation) -> FloatArray:
    """Return each board's share of the current over the share it had when cold."""
    boards = results.boards
    warm, cold = boards.current_a.sum(), boards.cold_current_a.sum()
    if warm <= 0 or cold <= 0:
        return np.zeros(boards.current_a.size)
    before = np.maximum(boards.cold_current_a / cold, 1e-6)
    return np.asarray(boards.current_a / warm / before)


def _resistance_at_margin(fixture: Fixture, results: Evaluation, number: int) -> float:
    """Return the thermal resistance at which an evenly shared current has the margin's loop gain."""
    boards = results.boards
    model = next(entry for entry in fixture.boards if entry.tag == boards.model[number])
    points = tuple(point for point in fixture.board_points if point.board == model.tag)
    curve = curve_of(model, points)
    even = float(boards.current_a.mean())
    volts = float(curve.voltage(even))
    light_w = float(flux_of(model, points).flux(even)) / photons_per_joule_of(model, fixture.spectra)
    heat_share = 1.0 - light_w / (volts * even)
    feedback = -float(curve.coefficient(even)) * volts * heat_share
    return limit("loop_gain_margin") * float(curve.slope(even)) / feedback * (1.0 - limit("remedy_reserve_fraction"))


def _settles(boards: BoardResults, number: int, said: str) -> str:
    warm = float(boards.temperature_c[number])
    return f"settles at {said} degC" if warm <= FAILS_C else f"passes {FAILS_C:.0f} degC and fails on the way"


def _how_many(count: int) -> str:
    return "1 board is" if count == 1 else f"{count} boards are"
