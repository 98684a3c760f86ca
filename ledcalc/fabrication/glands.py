"""Cable glands: what seals in which."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.tables import table

__all__ = ["SEVERAL_IN_ONE", "GlandFit", "gland_for", "gland_threads"]

SEVERAL_IN_ONE = "several cables in a round hole do not seal: use an insert"


@dataclass(frozen=True, slots=True, kw_only=True)
class GlandFit:
    """Cables in a gland: the word for the whole, and one a cable (``"seals"``, ``"too thin"``, ``"too thick"``)."""

    seals: bool
    status: str
    cable_status: tuple[str, ...]
    empty_hole_count: int


def gland_for(
    diameters_m: ArrayLike, clamping_low_m: float, clamping_high_m: float, *, holes_count: int = 1
) -> GlandFit:
    """Return whether a cable gland seals on its cables.

    Parameters
    ----------
    diameters_m : m, above 0, a cable an entry
    clamping_low_m, clamping_high_m : m, above 0: cable diameters a hole seals on, by its datasheet
    holes_count : at least 1: holes of the gland's insert; 1: the plain round gland

    Returns
    -------
    GlandFit; status ``"seals"``, ``"too thin"``, ``"too thick"``, ``"several cables in a round hole do not seal: use an
    insert"``, ``"more cables than holes"`` or ``"empty holes: plug them"``, the gravest first

    Raises
    ------
    ArgumentError (a ValueError): no cable, a number out of its range, or a range upside down

    Validity
    --------
    Round cables, one a hole. What a gland keeps out is its maker's word for one cable within the range.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> gland_for([0.0055, 0.0055, 0.0055], 0.006, 0.012).status
    'several cables in a round hole do not seal: use an insert'
    >>> gland_for([0.0055, 0.0055, 0.0055], 0.004, 0.006, holes_count=3).status
    'seals'
    """
    low = float(numbers("clamping_low_m", clamping_low_m, above=0))
    high = float(numbers("clamping_high_m", clamping_high_m, at_least=low))
    holes = int(whole_numbers("holes_count", holes_count, at_least=1))
    diameters = np.atleast_1d(numbers("diameters_m", diameters_m, above=0))
    if diameters.ndim != 1 or diameters.size == 0:
        raise ArgumentError("diameters_m", diameters.shape, "one diameter or more in a row")
    words = tuple(_word(diameter, low, high) for diameter in diameters.tolist())
    cables = len(words)
    if cables > holes:
        status = SEVERAL_IN_ONE if holes == 1 else "more cables than holes"
    elif "too thin" in words or "too thick" in words:
        status = "too thick" if "too thick" in words else "too thin"
    else:
        status = "empty holes: plug them" if cables < holes else "seals"
    return GlandFit(seals=status == "seals", status=status, cable_status=words, empty_hole_count=max(0, holes - cables))


def gland_threads(diameter_m: float) -> tuple[str, ...]:
    """Return the usual gland threads whose clamping range takes a cable, narrowest range first.

    Parameters
    ----------
    diameter_m : m, above 0: over the cable's sheath

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Usual ranges; makers differ by 1 to 2 mm, so the datasheet decides.

    References
    ----------
    Table ``glands``: common practice, no source.

    Examples
    --------
    >>> gland_threads(0.0055)
    ('M12', 'M16', 'NPT 3/8')
    """
    width_mm = 1000.0 * float(numbers("diameter_m", diameter_m, above=0))
    spans = [
        (float(row["clamping_high_mm"]) - float(row["clamping_low_mm"]), row["thread"])
        for row in table("glands")
        if float(row["clamping_low_mm"]) <= width_mm <= float(row["clamping_high_mm"])
    ]
    return tuple(thread for _, thread in sorted(spans, key=lambda span: span[0]))


def _word(diameter: float, low: float, high: float) -> str:
    if diameter < low:
        return "too thin"
    return "too thick" if diameter > high else "seals"
