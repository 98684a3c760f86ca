"""What the findings about places say: each remedy once, however many boards it clears."""

import dataclasses

import ledcalc as lc
from ledcalc.records import placed_boards


def overlaps(fixture):
    return [found for found in lc.evaluate(fixture).findings if found.code == "boards-overlap"]


def test_a_fixture_in_the_way_of_many_boards_is_named_once(bench):
    """Eight boards each 60 mm deep over their likes, and three of each row over the next board's like."""
    beside = dataclasses.replace(bench, other_fixtures=(lc.OtherFixture(tag="second", shift_x_m=0.05),))
    [found] = overlaps(beside)
    assert "and so do 7 pairs more" in found.message
    assert found.path.startswith("other_fixtures[0].")
    assert not overlaps(lc.with_values(beside, found.changes))


def test_a_pitch_that_is_too_small_is_named_once_for_columns_and_once_for_rows(bench):
    tight = dataclasses.replace(bench, row_pitch_m=0.05, column_pitch_m=0.2)
    found = overlaps(tight)
    assert sorted(one.path for one in found) == ["fixture.column_pitch_m", "fixture.row_pitch_m"]
    # Two rows of three neighbours, and each over the other row's neighbours on either side; four pairs up and down.
    assert sum(1 + _more(one.message) for one in found) == 6 + 6 + 4
    assert not overlaps(lc.with_values(tight, {path: to for one in found for path, to in one.changes.items()}))


def test_a_fixture_below_the_canopy_is_told_the_change_in_height_that_clears_it(bench):
    low = dataclasses.replace(bench, other_fixtures=(lc.OtherFixture(tag="low", shift_x_m=2.0, height_change_m=-0.4),))
    [found] = [one for one in lc.evaluate(low).findings if one.code == "board-at-canopy"]
    assert found.remedy == "set the change in height of low to -0.270 m"
    mended = lc.evaluate(lc.with_values(low, found.changes))
    assert "board-at-canopy" not in {one.code for one in mended.findings}


def outside(fixture):
    return [found for found in lc.evaluate(fixture).findings if found.code == "board-outside-room"]


def in_room(bench, **sizes):
    site = {"room_width_m": 1.2, "room_depth_m": 0.6, "room_height_m": 1.0} | sizes
    return dataclasses.replace(bench, site=dataclasses.replace(bench.site, **site))


def test_a_board_outside_a_wall_is_moved_inside(bench):
    """The boards' outermost edges are 25 mm within the crop's sides: B4 put 100 mm further is 75 mm outside."""
    places = list(placed_boards(bench))
    places[3] = dataclasses.replace(places[3], x_m=places[3].x_m + 0.1)
    fixture = dataclasses.replace(in_room(bench), positions=tuple(places))
    [found] = outside(fixture)
    assert found.remedy.startswith("move B4 by -75 mm along x")
    assert not outside(lc.with_values(fixture, found.changes))
    # A second one outside: a single move would leave it there.
    places[7] = dataclasses.replace(places[7], x_m=places[7].x_m + 0.0999)
    [found] = outside(dataclasses.replace(fixture, positions=tuple(places)))
    assert "and 1 board more is outside" in found.message
    assert (found.changes, found.path) == ({}, "site.room_width_m")


def test_rows_outside_a_wall_move_with_their_crop(bench):
    fixture = dataclasses.replace(in_room(bench, room_depth_m=0.8), crop_y_m=0.2, row_pitch_m=0.56)
    [found] = outside(fixture)
    assert found.changes == {"fixture.crop_y_m": 0.19}
    assert not outside(lc.with_values(fixture, found.changes))
    # Rows 0.62 m deep in a room of 0.6 m: no move helps.
    [found] = outside(dataclasses.replace(in_room(bench), row_pitch_m=0.56))
    assert (found.changes, found.path) == ({}, "site.room_depth_m")


def test_another_fixture_outside_a_wall_is_moved_by_itself(bench):
    other = (lc.OtherFixture(tag="second", shift_y_m=0.7),)
    fixture = dataclasses.replace(in_room(bench, room_depth_m=1.2), other_fixtures=other)
    [found] = outside(fixture)
    assert found.changes == {"other_fixtures[0].shift_y_m": 0.69}
    assert not outside(lc.with_values(fixture, found.changes))


def test_a_canopy_at_the_ceiling_leaves_boards_no_height(bench):
    [found] = outside(dataclasses.replace(in_room(bench), canopy_height_m=1.1))
    assert "lower the canopy by 0.100 m and more" in found.remedy
    assert not found.changes


def test_boards_on_a_heap_are_counted_not_listed(bench):
    """Twelve boards in one place: 66 pairs, of which eleven boards would have to move."""
    one = placed_boards(bench)[0]
    heap = tuple(dataclasses.replace(one, tag=f"H{n}", x_m=0.6 + 0.001 * n, y_m=0.3) for n in range(12))
    cables = tuple(dataclasses.replace(bench.cables[0], tag=f"C{n}", to_node=f"H{n}") for n in range(12))
    found = overlaps(dataclasses.replace(bench, positions=heap, cables=cables, current_log=(), current_setting_a=4.8))
    assert len(found) == 10
    assert sum(1 + _more(one.message) for one in found) == 66


def _more(message):
    words = message.split()
    return int(words[words.index("do") + 1]) if "do" in words else 0
