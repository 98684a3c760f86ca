"""For the rules on where boards are: what fires them, what stays inside, what clears.

The example's boards are 250 mm by 60 mm, 0.30 m and 0.36 m apart, 0.28 m over the canopy.
"""

import dataclasses
import math
import sys
from pathlib import Path

import ledcalc as lc
from ledcalc.records import placed_boards

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import Case


def beside(fixture, x_m=0.0, y_m=0.0, up_m=0.0):
    """The example with the same fixture hung once more."""
    other = lc.OtherFixture(tag="second", shift_x_m=x_m, shift_y_m=y_m, height_change_m=up_m)
    return dataclasses.replace(fixture, other_fixtures=(other,))


def by_positions(fixture, **of_second):
    """The example with each board in its own row of the Positions sheet, the second one changed."""
    places = list(placed_boards(fixture))
    places[1] = dataclasses.replace(places[1], **of_second)
    return dataclasses.replace(fixture, positions=tuple(places))


def cases_of_places(results):
    bench = results.fixture
    room = {"site.room_depth_m": 0.6, "site.room_height_m": 2.0}
    turned = {"fixture.rotation_deg": 30.0}
    # Along the rows the long sides of turned boards come near first: 60 mm / sin 30 deg apart they touch.
    touching = 0.06 / math.sin(math.radians(30.0))
    tilted = by_positions(bench, tilt_deg=80.0)
    dip = 0.125 * math.sin(math.radians(80.0))
    return {
        "boards-overlap": [
            Case(fires={"fixture.row_pitch_m": 0.058}, inside={"fixture.row_pitch_m": 0.06}),
            Case(fires={"fixture.column_pitch_m": 0.249}, inside={"fixture.column_pitch_m": 0.25}),
            Case(
                fires={**turned, "fixture.column_pitch_m": touching - 1e-4},
                inside={**turned, "fixture.column_pitch_m": touching + 1e-9},
            ),
            Case(
                base=by_positions(bench, rotation_deg=90.0),
                fires={"positions[1].x_m": 0.304},
                inside={"positions[1].x_m": 0.305},
            ),
            Case(
                base=beside(bench),
                fires={"other_fixtures[0].shift_y_m": 0.05},
                inside={"other_fixtures[0].shift_y_m": 0.06},
            ),
            Case(
                base=beside(bench, x_m=0.1),
                fires={"other_fixtures[0].height_change_m": 0.0099},
                inside={"other_fixtures[0].height_change_m": 0.01},
            ),
        ],
        "board-outside-room": [
            Case(
                fires={**room, "site.room_width_m": 1.1},
                inside={**room, "site.room_width_m": 1.175},
                by_hand={"site.room_width_m": 1.2},
            ),
            Case(
                fires={"site.room_width_m": 1.2, "site.room_depth_m": 0.6, "site.room_height_m": 0.25},
                inside={"site.room_width_m": 1.2, "site.room_depth_m": 0.6, "site.room_height_m": 0.28},
            ),
            Case(
                base=beside(bench),
                fires={**room, "site.room_width_m": 1.2, "other_fixtures[0].shift_x_m": 0.03},
                inside={**room, "site.room_width_m": 1.2, "other_fixtures[0].shift_x_m": 0.025},
                by_hand={"other_fixtures[0].shift_x_m": 0.0},
            ),
        ],
        "crop-outside-room": [
            Case(
                fires={**room, "site.room_width_m": 1.19},
                inside={**room, "site.room_width_m": 1.2},
                by_hand={"site.room_width_m": 1.2},
            ),
            Case(
                fires={**room, "site.room_width_m": 1.25, "fixture.crop_x_m": 0.06},
                inside={**room, "site.room_width_m": 1.25, "fixture.crop_x_m": 0.05},
            ),
        ],
        "board-at-canopy": [
            Case(
                base=beside(bench, x_m=2.0),
                fires={"other_fixtures[0].height_change_m": -0.28},
                inside={"other_fixtures[0].height_change_m": -0.279},
            ),
            Case(
                base=tilted,
                fires={"positions[1].height_m": dip - 1e-4},
                inside={"positions[1].height_m": dip + 1e-6},
            ),
        ],
    }
