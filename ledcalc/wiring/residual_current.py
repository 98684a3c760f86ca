"""Leakage of several drivers to earth, added up against a residual-current device (NEC: GFCI)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, broadcasting, numbers, whole_numbers
from ledcalc.errors import TableRangeError
from ledcalc.tables import table
from ledcalc.wiring.circuit_load import ROUNDING_FRACTION

__all__ = ["DriversOnResidualDevice", "drivers_on_residual_device", "known_residual_devices_a", "leakage_share"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriversOnResidualDevice:
    """How many drivers a residual-current device takes.

    ``drivers_count`` keeps to the standing leakage advised, ``standing_limit_a``. Above ``before_trip_count`` the
    device may trip by leakage alone, as ``may_trip_a`` is passed; by ``trips_by_a`` it does.
    """

    drivers_count: Numbers
    before_trip_count: Numbers
    standing_limit_a: Numbers
    may_trip_a: Numbers
    trips_by_a: Numbers


def known_residual_devices_a() -> tuple[float, ...]:
    """Return the rated residual currents of the table, in A.

    Examples
    --------
    >>> known_residual_devices_a()
    (0.005, 0.01, 0.03, 0.1, 0.3, 0.5)
    """
    return tuple(float(row["device_a"]) for row in table("leakage_limits"))


@broadcasting
def leakage_share(
    leakage_each_a: ArrayLike, driver_count: ArrayLike, device_a: ArrayLike, *, other_leakage_a: ArrayLike = 0.0
) -> Numbers:
    """Return the standing leakage of drivers over the rated residual current of the device ahead of them.

    Parameters
    ----------
    leakage_each_a : A rms, at least 0: protective-conductor current of one driver, from its datasheet (0.75 mA is a
        common upper figure), at this mains voltage
    driver_count : whole number, at least 0
    device_a : A, above 0: rated residual current, 0.03 for 30 mA
    other_leakage_a : A rms, at least 0: of all else behind the device

    Returns
    -------
    share, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Added as if of one phase angle: cautious, nearly so for filters of one kind on one line conductor. The brief surge
    at switching on, and residual dc, which can blind a device of the wrong type, are left out.

    References
    ----------
    Kirchhoff's current law; 0.75 mA common practice, no source.

    Examples
    --------
    >>> round(leakage_share(0.00075, 12, 0.03), 3)
    0.3
    """
    standing = numbers("leakage_each_a", leakage_each_a, at_least=0) * whole_numbers("driver_count", driver_count)
    standing = standing + numbers("other_leakage_a", other_leakage_a, at_least=0)
    return answer(standing / numbers("device_a", device_a, above=0))


@broadcasting
def drivers_on_residual_device(
    leakage_each_a: ArrayLike, device_a: ArrayLike, *, other_leakage_a: ArrayLike = 0.0
) -> DriversOnResidualDevice:
    """Return how many drivers may hang behind a residual-current device.

    Parameters
    ----------
    leakage_each_a : A rms, above 0: protective-conductor current of one driver
    device_a : A: rated residual current, one of ``known_residual_devices_a()``; 0.005 is the class A personnel device
        of the NEC world
    other_leakage_a : A rms, at least 0: of all else behind the device

    Returns
    -------
    DriversOnResidualDevice, its counts whole, in the shape that the arguments broadcast to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    TableRangeError (an ArgumentError): a device that the table has no row for

    Validity
    --------
    As ``leakage_share``. Whether a device is asked for, and of which type, local codes and a licensed electrician say.

    References
    ----------
    IEC 60364-5-53 531.3 (standing leakage at most 0.3), IEC 61008-1 (may trip above half), UL 943 class A (4 mA to 6
    mA), all from memory; 0.3 for the class A device is our own choice.

    Examples
    --------
    >>> found = drivers_on_residual_device(0.00075, 0.03)
    >>> found.drivers_count, found.before_trip_count
    (12.0, 20.0)
    """
    each = numbers("leakage_each_a", leakage_each_a, above=0)
    other = numbers("other_leakage_a", other_leakage_a, at_least=0)
    device = numbers("device_a", device_a, above=0)
    rows = {float(row["device_a"]): row for row in table("leakage_limits")}
    for rated in device.flat:
        if float(rated) not in rows:
            raise TableRangeError("device_a", float(rated), f"{', '.join(f'{known:g}' for known in rows)} A")
    holds, trips, standing = (
        np.array([float(rows[float(rated)][column]) for rated in device.flat]).reshape(device.shape)
        for column in ("holds_a", "trips_a", "standing_fraction")
    )
    standing = standing * device
    by_standing, by_trip = (
        np.maximum(np.floor((limit - other) / each + ROUNDING_FRACTION), 0.0) for limit in (standing, holds)
    )
    return DriversOnResidualDevice(
        drivers_count=answer(by_standing),
        before_trip_count=answer(by_trip),
        standing_limit_a=answer(standing),
        may_trip_a=answer(holds),
        trips_by_a=answer(trips),
    )
