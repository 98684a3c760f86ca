"""How bright the eye finds light of each wavelength: CIE V(lambda)."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.tables import table

__all__ = ["LUMENS_PER_WATT_AT_555_NM", "photopic_efficiency", "photopic_wavelengths"]

# Definition of the candela: 683 lm/W at 540 THz, which is 555 nm but for the air's refraction.
LUMENS_PER_WATT_AT_555_NM = 683.0


def photopic_efficiency(wavelength_nm: ArrayLike) -> Numbers:
    """Return the photopic luminous efficiency V(lambda), 1 at 555 nm.

    Parameters
    ----------
    wavelength_nm : nm, above 0, any shape

    Returns
    -------
    share of the brightness at 555 nm, in the shape of ``wavelength_nm``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    360 to 830 nm, between the table's steps of 1 nm along a line; 0 beyond.

    References
    ----------
    CIE 1924 photopic observer of 2 degrees, table ``cie_v_lambda``.

    Examples
    --------
    >>> photopic_efficiency([450.0, 555.0, 660.0]).tolist()
    [0.038, 1.0, 0.061]
    """
    wavelengths, values = _curve()
    asked = numbers("wavelength_nm", wavelength_nm, above=0)
    return answer(np.interp(asked, wavelengths, values, left=0.0, right=0.0))


def photopic_wavelengths() -> FloatArray:
    """Return the wavelengths in nm at which V(lambda) is tabled."""
    return _curve()[0]


@cache
def _curve() -> tuple[FloatArray, FloatArray]:
    rows = table("cie_v_lambda")
    columns = tuple(np.array([float(row[name]) for row in rows]) for name in ("wavelength_nm", "v_lambda"))
    for column in columns:
        column.setflags(write=False)
    return columns[0], columns[1]
