"""Each board on the fixture together with its model, points and sink."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.fixture import BoardModel, BoardPoint, DriverModel, Fixture, HeatSink, Position
from ledcalc.records import placed_boards

__all__ = ["PlacedBoard", "boards_on", "driver_model"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedBoard:
    """One board on the fixture: where it is, and what it is."""

    place: Position
    model: BoardModel
    points: tuple[BoardPoint, ...]
    sink: HeatSink


def boards_on(fixture: Fixture) -> tuple[PlacedBoard, ...]:
    """Return every board on the fixture with what its tags refer to; the inputs have been checked before."""
    models = {model.tag: model for model in fixture.boards}
    sinks = {sink.tag: sink for sink in fixture.heat_sinks}
    points = {tag: tuple(point for point in fixture.board_points if point.board == tag) for tag in models}
    return tuple(
        PlacedBoard(
            place=place,
            model=models[str(place.board)],
            points=points[str(place.board)],
            sink=sinks[str(place.heat_sink)],
        )
        for place in placed_boards(fixture)
    )


def driver_model(fixture: Fixture) -> DriverModel:
    """Return the model of the fixture's driver."""
    return next(model for model in fixture.drivers if model.tag == fixture.driver)
