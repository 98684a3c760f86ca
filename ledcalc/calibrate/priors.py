"""What is known of a fixture before any reading: how far it may be off its datasheets."""

from __future__ import annotations

from dataclasses import dataclass, fields

from ledcalc.arguments import numbers
from ledcalc.tables import table

__all__ = ["Priors", "source_of", "usual_priors", "width"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """Standard deviations before any reading, as shares.

    Parameters
    ----------
    batch_voltage_fraction : above 0: mean board voltage of a delivery against its model's curve
    board_voltage_fraction : above 0: boards of a model against each other, where the Boards sheet states no spread
    sink_fraction : above 0: resistance from sink to air
    own_sink_fraction : above 0: sinks of a model against each other
    flux_fraction : above 0: photon flux against the model's points
    reflectance_fraction : above 0: of walls or canopy, not relative
    driver_fraction : above 0: limit, not deviation, of the driver's current or voltage where its sheet states none
    repeating_fraction : 0 to 1: share of a meter's stated limit that is the same in all its readings

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    batch_voltage_fraction: float
    board_voltage_fraction: float
    sink_fraction: float
    own_sink_fraction: float
    flux_fraction: float
    reflectance_fraction: float
    driver_fraction: float
    repeating_fraction: float

    def __post_init__(self) -> None:
        for entry in fields(self):
            numbers(entry.name, getattr(self, entry.name), at_least=0, at_most=1)
            if entry.name != "repeating_fraction":
                numbers(entry.name, getattr(self, entry.name), above=0)


def usual_priors() -> Priors:
    """Return the widths of the table ``calibration_widths``; change some of them with ``dataclasses.replace``.

    Examples
    --------
    >>> usual_priors().reflectance_fraction
    0.1
    """
    return Priors(**{entry.name: width(entry.name) for entry in fields(Priors)})


def width(name: str) -> float:
    """Return a width of the table ``calibration_widths``."""
    return float(_rows()[name]["value"])


def source_of(name: str) -> str:
    """Return where a width comes from."""
    return _rows()[name]["source"]


def _rows() -> dict[str, dict[str, str]]:
    return {row["name"]: dict(row) for row in table("calibration_widths")}
