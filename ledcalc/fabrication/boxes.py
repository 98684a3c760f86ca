"""Box fill: the room that wires, devices and fittings are to have in a junction box."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.tables import table

__all__ = ["BoxFill", "box_fill"]

INCH3_M3 = 0.0254**3
# Up to so many equipment grounding conductors share one allowance; each further one takes a quarter.
GROUNDS_SHARING = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxFill:
    """Room needed in a box, m3, and what takes it; ``spare_m3`` is NaN where no box is given."""

    needed_m3: float
    conductors_m3: float
    devices_m3: float
    clamps_m3: float
    fittings_m3: float
    grounds_m3: float
    terminals_m3: float
    spare_m3: float
    fits: bool
    status: str


@cache
def _allowances() -> Mapping[str, float]:
    return {row["size"]: float(row["allowance_in3"]) * INCH3_M3 for row in table("box_fill")}


def box_fill(
    conductors: Mapping[str, int],
    *,
    devices: Sequence[str] = (),
    grounds: Mapping[str, int] | None = None,
    clamps: bool = False,
    fittings_count: int = 0,
    terminal_blocks: Sequence[str] = (),
    box_m3: float | None = None,
) -> BoxFill:
    """Return the volume a junction box is to have for what goes into it.

    Parameters
    ----------
    conductors : size to number: each wire that ends or is spliced in the box, or runs through it unbroken
    devices : for each yoke (for each gang of a wide one), the size of the largest wire on it
    grounds : size to number of equipment grounding conductors
    clamps : whether any clamp of a cable lies within the box
    fittings_count : at least 0: kinds of studs and hickeys within the box
    terminal_blocks : for each block of terminals, the size of the largest wire on it
    box_m3 : m3, above 0: the box's marked volume; None: none chosen yet

    Returns
    -------
    BoxFill, volumes in m3; status ``"within the box's volume"``, ``"over the box's volume"`` or ``"no box given"``

    Raises
    ------
    ArgumentError (a ValueError): a size that the table does not have, nothing in the box, or a number out of its range

    Validity
    --------
    Wires of 18 to 6 AWG. A loop of unbroken wire long enough to be cut into two ends counts twice: enter it so.
    Pigtails that begin and end in the box do not count: leave them out.

    References
    ----------
    NFPA 70 (NEC) 314.16(B), from memory: one allowance a wire, two a yoke, one for all clamps and one a kind of fitting
    by the largest wire in the box, one for up to four grounds and a quarter for each further one, one a terminal block.

    Examples
    --------
    >>> full = box_fill({"12 AWG": 4}, devices=["12 AWG"], grounds={"12 AWG": 2}, clamps=True)
    >>> round(full.needed_m3 / 0.0254**3, 2)
    18.0
    """
    wires, earths = _counted("conductors", conductors), _counted("grounds", grounds or {})
    fittings = int(whole_numbers("fittings_count", fittings_count))
    yokes, blocks = ([_allowance(name, one) for one in given] for name, given in _named(devices, terminal_blocks))
    sizes = [one for one, _ in (*wires, *earths)] + yokes + blocks
    if not sizes:
        raise ArgumentError("conductors", dict(conductors), "at least one wire in the box")
    largest, earth_count = max(sizes), sum(count for _, count in earths)
    shares = min(earth_count, 1) + max(0, earth_count - GROUNDS_SHARING) / 4.0
    parts = {
        "conductors_m3": sum(one * count for one, count in wires),
        "devices_m3": 2.0 * sum(yokes),
        "clamps_m3": largest if clamps else 0.0,
        "fittings_m3": largest * fittings,
        "grounds_m3": shares * max((one for one, _ in earths), default=0.0),
        "terminals_m3": sum(blocks),
    }
    needed = math.fsum(parts.values())
    if box_m3 is None:
        return BoxFill(needed_m3=needed, spare_m3=math.nan, fits=False, status="no box given", **parts)
    spare = float(numbers("box_m3", box_m3, above=0)) - needed
    fits = spare >= -1e-9 * needed
    status = "within the box's volume" if fits else "over the box's volume"
    return BoxFill(needed_m3=needed, spare_m3=spare, fits=fits, status=status, **parts)


def _named(devices: Sequence[str], blocks: Sequence[str]) -> tuple[tuple[str, Sequence[str]], ...]:
    return (("devices", devices), ("terminal_blocks", blocks))


def _allowance(argument: str, size: str) -> float:
    if size not in _allowances():
        raise ArgumentError(argument, size, ", ".join(_allowances()))
    return _allowances()[size]


def _counted(argument: str, given: Mapping[str, int]) -> list[tuple[float, int]]:
    """Allowance and number of each size that there is any of."""
    counts = [(_allowance(argument, size), int(whole_numbers(argument, count))) for size, count in given.items()]
    return [(one, count) for one, count in counts if count]
