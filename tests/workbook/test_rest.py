"""Where some cells are bad the rest still computes: what was left out is said first, and nothing passes for right."""

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import InputErrors

CASES = {
    "unknown wire size": ({"cables[1].size": "17.5 AWG"}, "wire size of cable W2, taken as 18 AWG"),
    "zero length": ({"cables[2].one_way_length_m": 0}, "one-way length of cable W3, taken as"),
    "sleeve that is not listed": ({"cables[0].sleeve": "Sleeve frnt"}, "there is no sleeve 'Sleeve frnt'"),
    "log row without a current": ({"current_log[3].current_a": "lots"}, "1 of 24 rows of the Current log sheet"),
    "sink out of reach or not": ({"heat_sinks[0].within_reach": "perhaps"}, "perhaps"),
    "two runs with one tag": ({"cables[1].tag": "W1"}, None),
}


@pytest.mark.parametrize("name", CASES)
def test_the_rest_computes(name, spoil, tmp_path):
    cells, words = CASES[name]
    path, out = spoil(cells), tmp_path / "out.xlsx"
    with pytest.raises(InputErrors) as caught:
        lc.recalculate(path, out)
    if words is None:
        assert not caught.value.rest
        assert not out.exists()
        return
    assert caught.value.rest == str(out)
    assert "the rest was worked out without them" in str(caught.value)
    page = openpyxl.load_workbook(out)["Verdict"]
    lines = [str(cell.value) for row in page.iter_rows(max_row=14) for cell in row if cell.value]
    assert any(line.startswith("BAD INPUT") for line in lines)
    assert any(words in line for line in lines)


def test_a_bad_cell_that_may_be_blank_counts_as_blank(spoil, bench):
    from ledcalc.workbook.reader import read_inputs
    from ledcalc.workbook.rest import rest_of

    rest = rest_of(read_inputs(spoil({"cables[0].sleeve": "Sleeve frnt"})))
    assert rest.cables[0].sleeve is None
    assert lc.evaluate(rest).boards.current_a == pytest.approx(lc.evaluate(bench).boards.current_a, rel=1e-12)


def test_nothing_is_worked_out_without_what_everything_rests_on(spoil, tmp_path):
    out = tmp_path / "out.xlsx"
    with pytest.raises(InputErrors) as caught:
        lc.recalculate(spoil({"fixture.current_setting_a": "lots"}), out)
    assert not caught.value.rest
    assert not out.exists()


def test_the_command_says_so_and_gives_status_two(spoil, tmp_path, capsys):
    path = spoil({"cables[1].size": "17.5 AWG"})
    assert main(["recalculate", str(path), "--out", str(tmp_path / "out.xlsx")]) == 2
    said = capsys.readouterr().err
    assert "17.5 AWG" in said
    assert "the rest was worked out" in said
