"""Which readings would tell what others left open."""

from __future__ import annotations

from collections.abc import Set

__all__ = ["remedy_for"]

SECOND_HEIGHT = "a map at a second height, or readings near a wall, would separate them"
SECOND_SENSOR = "a second light sensor, or a calibration of this one, would separate them"
ONE_VOLTAGE = "the voltage at one of the boards would separate them"
PAIRS: tuple[tuple[frozenset[str], str], ...] = (
    (frozenset({"voltage mean", "sink"}), ONE_VOLTAGE),
    (frozenset({"voltage mean", "sink mean"}), ONE_VOLTAGE),
    (frozenset({"flux", "wall"}), SECOND_HEIGHT),
    (frozenset({"flux", "canopy"}), SECOND_HEIGHT),
    (frozenset({"wall", "canopy"}), "readings near a wall and in the middle, at two heights, would separate them"),
    (frozenset({"flux", "meter PPFD"}), SECOND_SENSOR),
    (frozenset({"wall", "meter PPFD"}), SECOND_HEIGHT),
    (frozenset({"canopy", "meter PPFD"}), SECOND_HEIGHT),
    (
        frozenset({"voltage mean", "meter voltage"}),
        "a second voltmeter, or a calibration of this one, would separate them",
    ),
    (
        frozenset({"sink", "meter temperature"}),
        "a second thermometer, or this one read on cold sinks beside the air, would separate them",
    ),
    (
        frozenset({"sink mean", "meter temperature"}),
        "a second thermometer, or this one read on cold sinks beside the air, would separate them",
    ),
    (
        frozenset({"driver current", "meter current"}),
        "the whole current read with a second meter would separate them",
    ),
)
ALONE = {
    "voltage mean": "the voltage at one of the boards would tell it",
    "voltage each": "the current or voltage of these boards would tell it",
    "voltage": "the current or voltage of this board would tell it",
    "sink": "temperatures of the sinks, with the air's beside them, would tell it",
    "sink mean": "temperatures of the sinks, with the air's beside them, would tell it",
    "sink each": "temperatures of these sinks would tell it",
    "flux": "light readings under these boards would tell it",
    "wall": "light readings near a wall would tell it",
    "canopy": "light readings high over the canopy would tell it",
    "driver current": "the whole current would tell it",
    "driver voltage": "the driver's voltage would tell it",
    "meter current": "a second clamp beside this one would tell it",
    "meter voltage": "a second voltmeter beside this one would tell it",
    "meter temperature": "a second thermometer beside this one would tell it",
    "meter PPFD": "a second light sensor beside this one would tell it",
}


def remedy_for(sorts: Set[str]) -> str:
    """Return what readings would tell a combination of such values.

    Examples
    --------
    >>> remedy_for({"flux", "wall"})
    'a map at a second height, or readings near a wall, would separate them'
    """
    found = [text for pair, text in PAIRS if pair <= sorts]
    found = found or [ALONE[sort] for sort in sorted(sorts) if sort in ALONE]
    return "; ".join(dict.fromkeys(found))
