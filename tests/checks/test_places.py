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
