"""For the rules on protection and on putting it together: what fires them, what stays inside, what clears them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import Case

from ledcalc.checks.making import fixture_weight_kg


def cases_of_build(results):
    return _protection(results) | _making(results)


def _protection(results):
    limit = float(results.protection.wire_limit_a[0])
    strong = {"drivers[0].current_high_a": 12.0, "drivers[0].power_limit_w": 300.0}
    fused = {**strong, "cables[0].fuse_kind": "NEC fuse", "cables[0].fuse_v": 60.0}
    rest = {f"cables[{row}].fuse_a": 3.0 for row in range(1, 8)}
    rest |= {f"cables[{row}].fuse_kind": "NEC fuse" for row in range(1, 8)}
    rest |= {f"cables[{row}].fuse_v": 60.0 for row in range(1, 8)}
    nine = {**fused, **rest, "drivers[0].current_high_a": 9.0}
    return {
        "wire-not-protected": [
            Case(fires=strong, inside={**strong, "drivers[0].current_high_a": limit}),
            Case(fires=strong, inside={**strong, **rest, "cables[0].fuse_a": 3.0, "cables[0].fuse_v": 60.0}),
        ],
        "fuse-above-wire": [
            Case(fires={**fused, **rest, "cables[0].fuse_a": 10.0}, inside={**fused, **rest, "cables[0].fuse_a": 6.0})
        ],
        "fuse-below-load": [
            Case(fires={**fused, **rest, "cables[0].fuse_a": 0.6}, inside={**fused, **rest, "cables[0].fuse_a": 0.7})
        ],
        "fuse-voltage-low": [
            Case(
                fires={**fused, **rest, "cables[0].fuse_a": 3.0, "cables[0].fuse_v": 25.0},
                inside={**fused, **rest, "cables[0].fuse_a": 3.0, "cables[0].fuse_v": 26.0},
                by_hand={"cables[0].fuse_v": 60.0},
            )
        ],
        "fuse-never-blows": [
            Case(
                fires={**nine, "cables[0].fuse_a": 8.0},
                inside={**nine, "cables[0].fuse_a": 6.0},
                severity="note",
            )
        ],
        "class-2-passed": [
            Case(
                fires={"drivers[0].class_2_output": "yes"},
                inside={
                    "drivers[0].class_2_output": "yes",
                    "drivers[0].power_limit_w": 100.0,
                    "drivers[0].current_high_a": 3.8,
                    "fixture.current_setting_a": 3.6,
                    "site.location": "dry",
                },
            )
        ],
    }


def _making(results):
    weight = fixture_weight_kg(results.fixture)
    box = {"build.box_size": "18 AWG", "build.box_conductors_count": 9}
    nine_in3 = 9 * 1.5 * 0.0254**3
    ceiling = {"drivers[0].voltage_high_v": 40.0, "site.location": "dry"}
    running = results.operating.voltage_v
    return {
        # Four circles of 6.2 mm lie in one of 2.414 times that, and want a twentieth more to be pulled in.
        "sleeve-too-tight": [
            Case(
                fires={"entries[0].inner_diameter_m": 0.0062 * 2.41421 * 1.049},
                inside={"entries[0].inner_diameter_m": 0.0062 * 2.41422 * 1.05},
            ),
            Case(
                fires={"entries[0].kind": "conduit", "entries[0].inner_diameter_m": 0.0062 * (4 / 0.401) ** 0.5},
                inside={"entries[0].kind": "conduit", "entries[0].inner_diameter_m": 0.0062 * (4 / 0.399) ** 0.5},
            ),
        ],
        "sleeve-not-counted": [
            Case(
                fires={"cables.grouped_circuits_count": 3},
                inside={"cables.grouped_circuits_count": 4},
            )
        ],
        "gland-does-not-seal": [
            Case(fires={"entries[2].holes_count": 1}, inside={"entries[2].holes_count": 4}),
            Case(fires={"entries[2].clamping_high_m": 0.0061}, inside={"entries[2].clamping_high_m": 0.0062}),
        ],
        # The longest piece: 1.7 m x 1.05 + 2 x 88 mm + 3 mm of cut; all of them: 10.648 m by the same sum.
        "stock-short": [
            Case(
                fires={"stock[0].stock_length_m": 1.9, "stock[1].stock_length_m": 1.963},
                inside={"stock[0].stock_length_m": 1.9, "stock[1].stock_length_m": 1.965},
            ),
            Case(
                fires={"stock[0].on_hand_count": 0, "stock[1].on_hand_count": 1},
                inside={"stock[0].on_hand_count": 1, "stock[1].on_hand_count": 1},
            ),
        ],
        "box-overfull": [
            Case(
                fires={**box, "build.box_volume_m3": nine_in3 * 0.999}, inside={**box, "build.box_volume_m3": nine_in3}
            )
        ],
        "wire-end-in-clamp": [
            Case(
                fires={"cables.end_finish": "soldered"},
                inside={"cables.end_finish": "soldered", "cables.clamp": "solder"},
            ),
            Case(
                fires={"cables[2].end_finish": "soldered"},
                inside={"cables[2].end_finish": "soldered", "build.maker_allows_soldered": "yes"},
            ),
        ],
        "hole-off-rail": [Case(fires={"build.rail_length_m": 1.16}, inside={"build.rail_length_m": 1.17})],
        "hanger-overloaded": [
            Case(fires={"build.hanger_rated_kg": 2.5 * weight - 0.01}, inside={"build.hanger_rated_kg": 2.5 * weight}),
            Case(
                fires={"build.hangers_count": 1, "build.hanger_rated_kg": 5 * weight - 0.01},
                inside={"build.hangers_count": 1, "build.hanger_rated_kg": 5 * weight},
            ),
        ],
        "leads-uncapped": [
            Case(
                fires={"drivers[0].spare_leads_count": 2},
                inside={"drivers[0].spare_leads_count": 0},
                severity="note",
            )
        ],
        "hot-plug": [
            Case(
                fires={**ceiling, "fixture.voltage_setting_v": 1.2 * running + 0.01},
                # A hair inside: on the limit itself the last bit of a library decides.
                inside={**ceiling, "fixture.voltage_setting_v": 1.2 * running - 1e-6},
                severity="note",
            )
        ],
    }
