"""For the rules on heat within reach and on the driver's output: what fires them, what stays inside, what clears."""

import dataclasses
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import SINK, Case

# The example's eight boards as four strings of two, wired single.
PAIRS = (("B1", "B5"), ("B2", "B6"), ("B3", "B7"), ("B4", "B8"))


def strings_of_two(fixture, *, turned=()):
    """Return the fixture wired as four strings of two boards; ``turned``: boards put in the wrong way round."""
    ways = []
    for first, second in PAIRS:
        sides = {board: ("-", "+") if board in turned else ("+", "-") for board in (first, second)}
        ways += [
            ("driver +", f"{first} {sides[first][0]}"),
            (f"{first} {sides[first][1]}", f"{second} {sides[second][0]}"),
            (f"{second} {sides[second][1]}", "driver -"),
        ]
    cables = tuple(
        dataclasses.replace(fixture.cables[0], tag=f"W{number}", from_node=start, to_node=end)
        for number, (start, end) in enumerate(ways, start=1)
    )
    return dataclasses.replace(
        fixture,
        arrangement="single wires",
        drivers=(dataclasses.replace(fixture.drivers[0], voltage_high_v=60.0),),
        voltage_setting_v=48.0,
        current_setting_a=2.2,
        cables=cables,
    )


def cases_of_output(results):
    boards, operating = results.boards, results.operating
    hottest, air = float(boards.sink_temperature_c.max()), operating.air_temperature_c
    junction = {"boards[0].junction_resistance_k_per_w": 6.0}
    heat = float(boards.heat_w.max()) / 40
    within = float(boards.temperature_c.max()) + 6.0 * heat
    breathing = {"site.ventilation_m3_per_h": 60.0}
    return {
        "hot-to-touch": [
            Case(fires={SINK: 9.0}, inside={SINK: 6.5}),
            Case(fires={SINK: 9.0}, inside={SINK: 9.0, "heat_sinks[0].within_reach": "no"}),
            Case(
                fires={"site.air_temperature_c": 60.0 - hottest + air + 1.5},
                inside={"site.air_temperature_c": 60.0 - hottest + air - 1.5},
            ),
        ],
        "junction-over-temperature": [
            Case(
                fires={**junction, "boards[0].rated_junction_temperature_c": within - 0.1},
                inside={**junction, "boards[0].rated_junction_temperature_c": within},
            )
        ],
        "room-air-too-warm": [
            Case(
                fires={**breathing, "site.warmest_air_c": 24.0},
                inside={**breathing, "site.warmest_air_c": 26.0},
            ),
            Case(
                fires={"site.warmest_air_c": 19.0},
                inside={"site.warmest_air_c": 20.0},
                by_hand={"site.air_temperature_c": 19.0},
            ),
        ],
        "driver-case-hot": [
            Case(
                fires={"drivers[0].case_resistance_k_per_w": 4.0, "drivers[0].rated_case_temperature_c": 60.0},
                inside={
                    "drivers[0].case_resistance_k_per_w": 4.0,
                    "drivers[0].rated_case_temperature_c": air + 4.0 * operating.loss_w,
                },
            )
        ],
        "driver-switched-off": [
            Case(
                fires={"drivers[0].cut_off_v": operating.voltage_v + 0.01},
                inside={"drivers[0].cut_off_v": operating.voltage_v - 0.01},
                by_hand={"drivers[0].cut_off_v": 22.0},
            )
        ],
        "lead-set-over-current": [
            Case(
                fires={"drivers[0].lead_set_current_a": 4.0},
                inside={"drivers[0].lead_set_current_a": operating.current_a * (1 + 1e-12)},
            ),
            Case(
                fires={"drivers[0].lead_set_current_a": 2.5, "drivers[0].lead_sets_count": 2},
                inside={
                    "drivers[0].lead_set_current_a": 2.5,
                    "drivers[0].lead_sets_count": 2,
                    **{f"cables[{row}].lead_set": 2 for row in range(4)},
                },
            ),
        ],
        "dimmed-below-range": [
            Case(
                fires={"fixture.dimming_fraction": 0.09, "drivers[0].dimming_low_fraction": 0.1},
                inside={"fixture.dimming_fraction": 0.1, "drivers[0].dimming_low_fraction": 0.1},
            )
        ],
        "board-without-current": [
            Case(
                base=strings_of_two(results.fixture, turned=("B5",)),
                fires={},
                inside={"cables[1].to_node": "B5 +", "cables[2].from_node": "B5 -"},
                by_hand={"cables[1].to_node": "B5 +", "cables[2].from_node": "B5 -"},
            )
        ],
    }
