"""Where a printed result page turns: no heading stands alone at a page's foot, no page is left nearly empty."""

from ledcalc.workbook.results.print_plan import is_one_page, page_ends

# 502 points high at full size, as 10 columns of 12 characters are printed.
WIDTHS = [12.0] * 10


def test_a_page_that_holds_all_is_not_turned():
    assert page_ends([2, 12, 20], 30, {}, WIDTHS) == []


def test_a_short_part_that_does_not_fit_begins_a_page():
    assert page_ends([2, 25, 33], 40, {}, WIDTHS) == [33]


def test_a_long_part_begins_where_half_a_page_is_left():
    assert page_ends([2, 10], 60, {}, WIDTHS) == []
    assert page_ends([2, 20], 60, {}, WIDTHS) == [20]


def test_rows_count_by_their_heights():
    assert page_ends([2, 12, 20], 30, dict.fromkeys(range(20, 30), 30.0), WIDTHS) == [20]


def test_wide_pages_are_printed_smaller_and_hold_more_rows():
    assert page_ends([2, 25, 33], 40, {}, [12.0] * 20) == []


def test_one_page_is_told_from_two():
    narrow, wide = [10.0] * 8, [10.0] * 20
    assert is_one_page(28, {}, narrow)
    assert not is_one_page(29, {}, narrow)
    assert not is_one_page(28, {3: 40.0}, narrow)
    # A wide sheet prints smaller, so more rows go on its page.
    assert is_one_page(34, {}, wide)
