"""How warm a surface may be before touching it burns the skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, choice, numbers
from ledcalc.errors import TableRangeError
from ledcalc.tables.loader import table

__all__ = ["TOUCH_MATERIALS", "BurnThreshold", "burn_threshold"]

TOUCH_MATERIALS = ("bare metal", "coated metal", "ceramic or glass", "plastic", "wood")
# How far the curves of the standard could be read amiss.
READING_UNCERTAINTY_K = 5.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BurnThreshold:
    """Surface temperatures in degC between which burns start, by surface and person.

    ``reading_uncertainty_k`` says how far either may be off, as they were read off curves: take it off before use.
    """

    low_c: Numbers
    high_c: Numbers
    reading_uncertainty_k: float


def burn_threshold(material: str, contact_s: ArrayLike) -> BurnThreshold:
    """Return the surface temperatures at which touching a surface for some time starts to burn the skin.

    Parameters
    ----------
    material : ``"bare metal"``, ``"coated metal"``, ``"ceramic or glass"``, ``"plastic"`` or ``"wood"``
    contact_s : s, 0.5 to 28 800 (8 h): 1 s is a touch by accident; 4 s and more where one holds on or is slow to let
        go (the standard's advice, from memory)

    Returns
    -------
    BurnThreshold, its temperatures in the shape of ``contact_s``

    Raises
    ------
    ArgumentError (a ValueError): an unknown material or no number
    TableRangeError (an ArgumentError): a contact shorter or longer than the table covers

    Validity
    --------
    Smooth, dry, thick material and healthy adult skin; children and old people burn sooner, and pain comes before.
    Between the contacts of the table by straight lines over the logarithm of time; from 10 s to 60 s, where the
    standard has nothing, that is a bridge of our own. Coated metal: a lacquer of about 50 um, whose 3 K fade from 1 s
    to 4 s, as no rise for longer contacts is known to us. An anodised sink counts as bare metal: the cautious reading.

    References
    ----------
    ISO 13732-1:2006, from memory (``ledcalc/tables/burn_thresholds.csv`` says what was read from where).

    Examples
    --------
    >>> burn_threshold("bare metal", 1.0)
    BurnThreshold(low_c=65.0, high_c=70.0, reading_uncertainty_k=5.0)
    """
    choice("material", material, TOUCH_MATERIALS)
    rows = [row for row in table("burn_thresholds") if row["material"] == material]
    times, low, high = (
        np.array([float(row[name]) for row in rows]) for name in ("contact_s", "threshold_low_c", "threshold_high_c")
    )
    contact = numbers("contact_s", contact_s, above=0)
    outside = contact[(contact < times[0]) | (contact > times[-1])]
    if outside.size:
        raise TableRangeError("contact_s", float(outside.flat[0]), f"{times[0]:g} to {times[-1]:g} s")
    at, known = np.log(contact), np.log(times)
    return BurnThreshold(
        low_c=answer(np.interp(at, known, low)),
        high_c=answer(np.interp(at, known, high)),
        reading_uncertainty_k=READING_UNCERTAINTY_K,
    )
