"""A current log: what was read at which board when, in one form whichever way it was written down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray
from ledcalc.bench.log_build import log_parts, long_table, wide_table
from ledcalc.bench.log_columns import IntArray
from ledcalc.bench.log_remark import LogRemark
from ledcalc.bench.supply_readings import SupplyReadings

__all__ = ["CurrentLog"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurrentLog:
    """Readings of board currents over time, sorted by time; make it with ``from_long`` or ``from_wide``.

    Arrays have an entry a reading: ``row`` is its row in the table as given, from 1; ``board``, ``supply`` and
    ``meter`` are places in ``boards``, ``supplies`` and ``meters``; values are NaN where none was read, or where
    ``remarks`` say that one was left out. ``supply_readings`` holds what was read of a supply as a whole.
    """

    row: IntArray
    elapsed_h: FloatArray
    board: IntArray
    supply: IntArray
    meter: IntArray
    current_a: FloatArray
    voltage_v: FloatArray
    temperature_c: FloatArray
    air_temperature_c: FloatArray
    boards: tuple[str, ...]
    supplies: tuple[str, ...]
    meters: tuple[str, ...]
    supply_readings: SupplyReadings
    remarks: tuple[LogRemark, ...]

    @classmethod
    def from_long(
        cls,
        elapsed_h: ArrayLike,
        board: Sequence[str],
        current_a: ArrayLike,
        *,
        voltage_v: ArrayLike | None = None,
        temperature_c: ArrayLike | None = None,
        air_temperature_c: ArrayLike | None = None,
        total_current_a: ArrayLike | None = None,
        mains_w: ArrayLike | None = None,
        power_factor: ArrayLike | None = None,
        supply: Sequence[str] | str = "",
        meter: Sequence[str] | str = "",
        known_boards: Sequence[str] | None = None,
        time_unit: str = "h",
        current_unit: str = "A",
        temperature_unit: str = "degC",
    ) -> CurrentLog:
        """Return the log of a table with a row a reading; NaN, None and empty text are gaps.

        Parameters
        ----------
        elapsed_h : time since switch-on, in ``time_unit``
        board : tag a row
        current_a : in ``current_unit``
        voltage_v, temperature_c, air_temperature_c : at the board, of its heat sink, of the air
        total_current_a, mains_w, power_factor : of the row's whole supply, in any of the rows of one time
        supply, meter : name a row, or one for all
        known_boards : the fixture's board tags; None: any tag will do
        time_unit, current_unit, temperature_unit : any registered spelling

        Returns
        -------
        CurrentLog: what looks wrong is left out and told in ``remarks``, the rest stands

        Raises
        ------
        ArgumentError (a ValueError): columns of different lengths, or an unknown unit

        Validity
        --------
        A reading is suspected of another unit where it is a thousand times off the column's median (within a factor of
        three), of a slipped digit where it is 10 or 100 times off its board's median (within 25 %) and the other boards
        of that time are not.

        Examples
        --------
        >>> log = CurrentLog.from_long([0, 0, 1, 1], ["B1", "B2", "B1", "B2"], [850, 842, 85, 843], current_unit="mA")
        >>> print(log.remarks[0])
        row 3, current_a (85): a power of ten off what this board reads otherwise: a digit or the decimal point?; likely
        850; left out; correct it; if it is right, judge each setting of the dial by itself
        """
        table = long_table(
            elapsed_h,
            board,
            supply,
            meter,
            readings={
                "current_a": (current_a, current_unit),
                "voltage_v": (voltage_v, "V"),
                "temperature_c": (temperature_c, temperature_unit),
                "air_temperature_c": (air_temperature_c, temperature_unit),
            },
            of_supply={
                "total_current_a": (total_current_a, current_unit),
                "mains_w": (mains_w, "W"),
                "power_factor": (power_factor, "1"),
            },
            time_unit=time_unit,
        )
        return cls(**log_parts(table, known_boards))

    @classmethod
    def from_wide(
        cls,
        elapsed_h: ArrayLike,
        current_a: Mapping[str, ArrayLike],
        *,
        voltage_v: Mapping[str, ArrayLike] | None = None,
        temperature_c: Mapping[str, ArrayLike] | None = None,
        air_temperature_c: ArrayLike | None = None,
        total_current_a: ArrayLike | Mapping[str, ArrayLike] | None = None,
        mains_w: ArrayLike | Mapping[str, ArrayLike] | None = None,
        power_factor: ArrayLike | Mapping[str, ArrayLike] | None = None,
        supply_of: Mapping[str, str] | None = None,
        meter_of: Mapping[str, str] | None = None,
        known_boards: Sequence[str] | None = None,
        time_unit: str = "h",
        current_unit: str = "A",
        temperature_unit: str = "degC",
    ) -> CurrentLog:
        """Return the log of a table with a row a time and a column a board.

        Parameters
        ----------
        elapsed_h : an entry a row, in ``time_unit``
        current_a, voltage_v, temperature_c : board tag to column
        air_temperature_c : one column
        total_current_a, mains_w, power_factor : one column, or with several supplies supply to column
        supply_of, meter_of : board tag to supply, to meter; boards that are not in it have one without a name
        known_boards, time_unit, current_unit, temperature_unit : as ``from_long``

        Returns
        -------
        CurrentLog

        Raises
        ------
        ArgumentError (a ValueError): columns of different lengths, a board of voltages or temperatures without
            currents, or an unknown unit

        Examples
        --------
        >>> log = CurrentLog.from_wide([0.0, 1.0], {"B1": [2.08, 2.09], "B2": [2.01, None]}, total_current_a=[4.1, 4.1])
        >>> log.current_a.size, log.supply_readings.total_current_a.tolist()
        (3, [4.1, 4.1])
        """
        first = next(iter((supply_of or {}).values()), "")

        def of_supply(given: ArrayLike | Mapping[str, ArrayLike] | None) -> Mapping[str, ArrayLike] | None:
            return given if given is None or isinstance(given, Mapping) else {first: given}

        table = wide_table(
            elapsed_h,
            by_board={
                "current_a": (current_a, current_unit),
                "voltage_v": (voltage_v, "V"),
                "temperature_c": (temperature_c, temperature_unit),
            },
            air=(air_temperature_c, temperature_unit),
            of_supply={
                "total_current_a": (of_supply(total_current_a), current_unit),
                "mains_w": (of_supply(mains_w), "W"),
                "power_factor": (of_supply(power_factor), "1"),
            },
            supply_of=supply_of or {},
            meter_of=meter_of or {},
            time_unit=time_unit,
        )
        return cls(**log_parts(table, known_boards))

    def since(self, elapsed_h: float) -> CurrentLog:
        """Return the log from a time on: since the dial was turned, or the boards were warm."""
        later = self.supply_readings.elapsed_h >= elapsed_h
        return self.only(self.elapsed_h >= elapsed_h, self.supply_readings.only(later))

    def of_supply(self, supply: int) -> CurrentLog:
        """Return what was read on one supply, by its place in ``supplies``."""
        whole = self.supply_readings
        return self.only(self.supply == supply, whole.only(whole.supply == supply))

    def only(self, kept: NDArray[np.bool_], supply_readings: SupplyReadings) -> CurrentLog:
        """Return the log with some of its readings; tags and their places stay."""
        names = ("row", "elapsed_h", "board", "supply", "meter", "current_a", "voltage_v", "temperature_c")
        arrays = {name: getattr(self, name)[kept] for name in (*names, "air_temperature_c")}
        return replace(self, **arrays, supply_readings=supply_readings)

    def read(self, board: int) -> IntArray:
        """Return the places of one board's current readings, by its place in ``boards``."""
        return np.flatnonzero((self.board == board) & ~np.isnan(self.current_a))
