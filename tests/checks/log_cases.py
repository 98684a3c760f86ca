"""Cases for the rules of the logs: the invented bench as its log should read, and as it goes wrong."""

import dataclasses
import sys
from pathlib import Path

import numpy as np

from ledcalc.fixture import CurrentReading, Meter, SupplyReading

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import Case

HOURS = np.array([0.5, 2.0, 4.0, 7.0, 9.5, 12.0])
PLUG_METER = Meter(tag="Plug meter", quantity="power", accuracy_fraction=0.01, accuracy_digits_count=1, resolution=0.1)
RAMP = (HOURS - HOURS.mean()) / np.ptp(HOURS)


def logged(results, *, change=0.0, warmth=0.0):
    """Return the example with a log of every board near its predicted current, and of the supply.

    ``change``: of the first board's current over time in A; ``warmth``: of its heat sink in K.
    """
    boards = results.boards
    change, warmth = np.broadcast_to(change, HOURS.size), np.broadcast_to(warmth, HOURS.size)
    readings = tuple(
        CurrentReading(
            elapsed_h=float(hour),
            board=tag,
            current_a=float(boards.current_a[n] + 0.001 * ((n + 2 * k) % 3 - 1) + change[k] * (n == 0)),
            temperature_c=float(boards.sink_temperature_c[n] + 0.1 * ((n + k) % 3) + warmth[k] * (n == 0)),
            air_temperature_c=20.0 + 0.1 * (k % 2),
            meter="Clamp 1",
        )
        for k, hour in enumerate(HOURS)
        for n, tag in enumerate(boards.tag)
    )
    supply = tuple(
        SupplyReading(
            elapsed_h=float(hour),
            current_a=sum(row.current_a for row in readings if row.elapsed_h == hour),
            mains_power_w=results.operating.mains_power_w,
            power_factor_fraction=0.96,
            meter="Clamp 1",
            power_meter="Plug meter",
        )
        for hour in HOURS
    )
    return dataclasses.replace(
        results.fixture, current_log=readings, supply_log=supply, meters=(*results.fixture.meters, PLUG_METER)
    )


def path_of(fixture, hour, tag):
    """Return the row of one reading."""
    row = next(n for n, row in enumerate(fixture.current_log) if (row.elapsed_h, row.board) == (hour, tag))
    return f"current_log[{row}]"


def currents(fixture):
    """Return every current and total of the logs, by its path."""
    read = {f"current_log[{n}].current_a": row.current_a for n, row in enumerate(fixture.current_log)}
    return read | {f"supply_log[{n}].current_a": row.current_a for n, row in enumerate(fixture.supply_log)}


def temperatures(fixture):
    """Return every temperature of the log, by its path."""
    return {f"current_log[{n}].temperature_c": row.temperature_c for n, row in enumerate(fixture.current_log)}


def cases_of_logs(results):
    base = logged(results)
    b3 = path_of(base, 7.0, "B3")
    settling = -0.1 * np.exp(-HOURS / 6.0)
    hogging = logged(results, change=0.2 * RAMP, warmth=8.0 * RAMP)
    total = {name: value for name, value in currents(base).items() if name.startswith("supply_log")}
    watts = [f"supply_log[{n}].mains_power_w" for n in range(HOURS.size)]
    predicted = results.operating.mains_power_w
    # 5 % of the prediction, 1 % of the reading and a digit of the plug meter.
    highest = (1.05 * predicted + 0.1) / 0.99
    return {
        "log-suspect": [
            Case(base=base, fires={f"{b3}.current_a": 0.0554}, inside={f"{b3}.current_a": 0.5}),
            Case(
                base=base,
                fires={f"{b3}.elapsed_h": 3.9},
                inside={f"{b3}.elapsed_h": 4.1},
                by_hand={f"{b3}.elapsed_h": 7.0},
            ),
        ],
        "log-unsettled": [
            Case(
                base=logged(results, change=settling),
                fires={},
                inside=currents(logged(results, change=0.05 * settling)),
                by_hand=currents(base),
            )
        ],
        "log-drifts": [
            Case(
                base=logged(results, change=0.0110 * RAMP),
                fires={},
                inside=currents(logged(results, change=0.0095 * RAMP)),
                by_hand=currents(base),
            )
        ],
        "log-hogs": [
            Case(
                base=hogging,
                fires={},
                inside=currents(logged(results, change=0.002 * RAMP)),
                by_hand={**currents(base), **temperatures(base)},
            )
        ],
        "branches-off-total": [
            Case(
                base=base,
                fires={name: value - 0.023 for name, value in total.items()},
                inside={name: value - 0.021 for name, value in total.items()},
                by_hand=total,
            )
        ],
        "mains-off-prediction": [
            Case(
                base=base,
                fires=dict.fromkeys(watts, highest + 0.01),
                inside=dict.fromkeys(watts, highest - 0.01),
                by_hand=dict.fromkeys(watts, predicted),
            )
        ],
    }
