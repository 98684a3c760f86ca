"""A fixture with the values of the unknowns put in: what predicts while they are looked for, and what comes out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.unknowns import Unknowns
from ledcalc.fixture import Fixture, HeatSink
from ledcalc.records import placed_boards

__all__ = ["WRITTEN", "in_air", "listed", "with_found", "with_own_sinks"]

# Decimals of what is written down: a tenth of a millivolt, a hundredth of a per cent; and of what is computed with.
WRITTEN, ALL = 4, 15


def listed(fixture: Fixture) -> Fixture:
    """Return the fixture with its boards listed one by one, so that each can have an offset of its own.

    What the Fixture sheet says of all boards stays there: model, sink, height.
    """
    if fixture.positions:
        return fixture
    places = (replace(place, board=None, heat_sink=None, height_m=None) for place in placed_boards(fixture))
    return replace(fixture, positions=tuple(places))


def with_own_sinks(fixture: Fixture) -> Fixture:
    """Return a fixture of listed boards on which every sink has a row of its own; shared ones stay shared."""
    rows = {sink.tag: sink for sink in fixture.heat_sinks}
    sinks: dict[str, HeatSink] = {}
    places = []
    for place in fixture.positions:
        model = place.heat_sink or fixture.heat_sink
        tag = f"{model} of {place.shared_sink or place.tag}"
        sinks.setdefault(tag, replace(rows[model], tag=tag))
        places.append(replace(place, heat_sink=tag))
    return replace(fixture, heat_sinks=(*fixture.heat_sinks, *sinks.values()), positions=tuple(places))


def in_air(fixture: Fixture, air_c: float) -> Fixture:
    """Return the fixture in the air that was read beside the log; NaN: as its site says."""
    if np.isnan(air_c):
        return fixture
    return replace(fixture, site=replace(fixture.site, air_temperature_c=air_c, ventilation_m3_per_h=None))


def with_found(fixture: Fixture, unknowns: Unknowns, values: FloatArray, *, decimals: int = ALL) -> Fixture:
    """Return a fixture of listed boards with the unknowns' values in place of its own, to so many decimals."""
    places, sinks, boards = list(fixture.positions), list(fixture.heat_sinks), list(fixture.boards)
    site: dict[str, Any] = {}
    settings: dict[str, Any] = {}
    for entry, number in zip(unknowns.entries, values, strict=True):
        value, row, name = float(number), entry.number, entry.path.rpartition(".")[2]
        if entry.kind == "voltage":
            places[row] = replace(places[row], offset_v=round(value, decimals))
        elif entry.kind == "sink":
            scaled: dict[str, Any] = {name: round(value * float(getattr(sinks[row], name)), decimals)}
            sinks[row] = replace(sinks[row], **scaled)
        elif entry.kind == "flux":
            boards[row] = replace(boards[row], flux_fraction=round(value, decimals))
        elif entry.kind in {"wall", "canopy"}:
            site[name] = round(value, decimals)
        elif entry.kind in {"driver current", "driver voltage"}:
            settings[name] = round(value * float(getattr(fixture, name)), decimals)
    return replace(
        fixture,
        site=replace(fixture.site, **site),
        positions=tuple(places),
        heat_sinks=tuple(sinks),
        boards=tuple(boards),
        **settings,
    )
