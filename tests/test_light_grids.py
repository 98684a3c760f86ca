"""Light readings as blocks and rings: the same figures as points, places in the sheets, meters' further errors."""

import dataclasses

import numpy as np
import pytest
from scipy.integrate import trapezoid

import ledcalc as lc
from ledcalc.bench import RingReadings, map_from_block, map_from_rings
from ledcalc.calibrate import calibrate
from ledcalc.evaluation.log_advice import dial_of
from ledcalc.fixture import DialReading, SurveyCondition
from ledcalc.light_taken import taken_readings
from ledcalc.records import records_from_fixture, with_values
from ledcalc.report.against_measured import against_measured
from ledcalc.variants.full_rows import without_readings
from ledcalc.workbook.results.field_measured import field_measured_page
from ledcalc.workbook.template import write_blank

NAME, DAY, SENSOR = "first map", "2026-11-20", "Sensor 1"
RING = {
    "centre_umol_m2_s": 190.0,
    "far_right_umol_m2_s": 150.0,
    "far_umol_m2_s": 170.0,
    "far_left_umol_m2_s": 151.0,
    "left_umol_m2_s": 180.0,
    "near_left_umol_m2_s": 152.0,
    "near_umol_m2_s": 171.0,
    "near_right_umol_m2_s": 153.0,
    "right_umol_m2_s": 181.0,
}


def grid_rows(values, **common):
    common = {"survey": NAME, "meter": SENSOR, "taken_on": DAY} | common
    return tuple(
        lc.LightGridRow(**common, **{f"reading_{n}_umol_m2_s": value for n, value in enumerate(row, start=1)})
        for row in values
    )


def as_block(bench, **common):
    """The example's readings, which lie evenly over the crop, as rows from the far one to the near one."""
    xs, ys = (sorted({getattr(one, name) for one in bench.light_readings}) for name in ("x_m", "y_m"))
    found = {(one.x_m, one.y_m): one.ppfd_umol_m2_s for one in bench.light_readings}
    rows = grid_rows([[found[x, y] for x in xs] for y in reversed(ys)], **common)
    return dataclasses.replace(bench, light_readings=(), light_grids=rows)


def points_in_the_same_order(bench):
    rows = sorted(bench.light_readings, key=lambda one: (-one.y_m, one.x_m))
    return dataclasses.replace(bench, light_readings=tuple(rows))


def test_a_block_lies_where_the_function_for_blocks_puts_it(bench):
    """Gaps too; x and y from the crop's corner, the first row the far one."""
    values = [[180.0, None, 184.0, 170.0], [175.0, 179.0, None, None]]
    fixture = dataclasses.replace(bench, light_readings=(), light_grids=grid_rows(values))
    width, depth = bench.crop_width_m, bench.crop_depth_m
    by_hand = map_from_block(
        np.array(values, dtype=float), area_m=(width, depth), centre_m=(width / 2, depth / 2), far_row_first=True
    )
    found = [one.reading for one in taken_readings(fixture)]
    assert [one.ppfd_umol_m2_s for one in found] == by_hand.ppfd.tolist()
    assert [one.x_m for one in found] == pytest.approx(by_hand.x_m.tolist())
    assert [one.y_m for one in found] == pytest.approx(by_hand.y_m.tolist())


def test_rings_lie_where_the_function_for_rings_puts_them(bench):
    ring = lc.LightRing(survey="rings", side_m=0.4, **RING)
    fixture = dataclasses.replace(bench, light_readings=(), light_rings=(ring,))
    corners = tuple(RING[f"{name}_umol_m2_s"] for name in ("far_right", "far_left", "near_left", "near_right"))
    middles = tuple(RING[f"{name}_umol_m2_s"] for name in ("right", "far", "left", "near"))
    centre = bench.crop_width_m / 2, bench.crop_depth_m / 2
    by_hand = map_from_rings(
        190.0, [RingReadings(side_m=0.4, corners=corners, middles=middles)], centre_m=centre, area_m=(1.2, 0.6)
    )
    expected = zip(by_hand.x_m.tolist(), by_hand.y_m.tolist(), by_hand.ppfd.tolist(), strict=True)
    found = [one.reading for one in taken_readings(fixture)]
    assert sorted((round(one.x_m, 9), round(one.y_m, 9), one.ppfd_umol_m2_s) for one in found) == sorted(
        (round(x, 9), round(y, 9), ppfd) for x, y, ppfd in expected
    )
    assert lc.evaluate(fixture).surveys[0].measured.places[1] == "ring row 1 far right corner"


def test_field_measured_and_report_are_the_same_as_from_points(bench):
    blocks, points = as_block(bench), points_in_the_same_order(bench)
    given = as_block(bench, first_x_m=0.1, step_m=0.2)
    rows = tuple(dataclasses.replace(row, y_m=y) for row, y in zip(given.light_grids, (0.5, 0.3, 0.1), strict=True))
    expected = field_measured_page(lc.evaluate(points))
    for fixture in (blocks, dataclasses.replace(given, light_grids=rows)):
        [survey] = lc.evaluate(fixture).surveys
        [same] = lc.evaluate(points).surveys
        assert survey.measured.raw_umol_m2_s.tolist() == same.measured.raw_umol_m2_s.tolist()
        assert survey.over_prediction.value == pytest.approx(same.over_prediction.value)
        found = field_measured_page(lc.evaluate(fixture))
        assert [block.heading for block in found.blocks] == [block.heading for block in expected.blocks]
        for one, other in zip(found.blocks[0].facts, expected.blocks[0].facts, strict=True):
            assert (one.label, one.remark) == (other.label, other.remark)
            assert one.value == (other.value if isinstance(other.value, str) else pytest.approx(other.value))
        of_blocks, of_points = (against_measured(one) for one in (fixture, points))
        assert of_blocks[0].lines == of_points[0].lines
        assert [row[:4] for row in of_blocks[1].rows] == [row[:4] for row in of_points[1].rows]


def test_points_blocks_and_rings_of_one_survey_are_one_map(bench):
    rings = (lc.LightRing(survey=NAME, side_m=0.4, meter=SENSOR, centre_umol_m2_s=185.0),)
    added = grid_rows([[180.0]], y_m=0.2, first_x_m=0.6, step_m=0.1, taken_on=None)
    [survey] = lc.evaluate(dataclasses.replace(bench, light_grids=added, light_rings=rings)).surveys
    assert survey.statistics.reading_count == len(bench.light_readings) + 2
    assert survey.measured.places[-2:] == ("grid row 1 reading 1", "ring row 1 centre")


def test_findings_point_to_the_cell(bench):
    path = "light_grids[1].reading_3_umol_m2_s"
    wrong = with_values(as_block(bench), {path: as_block(bench).light_grids[1].reading_3_umol_m2_s / 10.0})
    [found] = [one for one in lc.evaluate(wrong).findings if one.code == "reading-suspect"]
    assert found.path == path
    mended = with_values(wrong, found.changes)
    assert not [one for one in lc.evaluate(mended).findings if one.code == "reading-suspect"]


@pytest.mark.parametrize(
    ("changes", "paths"),
    [
        (
            {"light_grids.first_x_m": 0.1, "light_grids.step_m": 0.25},
            [f"light_grids[{row}].step_m" for row in range(3)],
        ),
        ({"light_grids.first_x_m": 0.1, "light_grids.step_m": 0.22}, []),
        ({"light_rings[0].side_m": 0.7}, ["light_rings[0].side_m"]),
        ({"light_rings[0].side_m": 0.6}, []),
    ],
)
def test_readings_beyond_the_crop_are_told_at_what_places_them(bench, changes, paths):
    """A ring wider than the crop is deep leaves it at both sides, below 0 too."""
    fixture = dataclasses.replace(as_block(bench), light_rings=(lc.LightRing(survey="rings", side_m=0.4, **RING),))
    results = lc.evaluate(with_values(fixture, changes))
    assert sorted({one.path for one in results.findings if one.code == "reading-outside-crop"}) == paths
    counts = {one.survey: one.statistics.reading_count for one in results.surveys}
    assert counts == {NAME: 15 if "step_m" in str(paths) else 18, "rings": 3 if "side_m" in str(paths) else 9}


def test_calibration_takes_blocks_as_it_takes_points(bench):
    points, block = (calibrate(one, leave_out=False) for one in (points_in_the_same_order(bench), as_block(bench)))
    assert "PPFD" in block.after.kind
    assert block.after.chi_square == pytest.approx(points.after.chi_square)
    wild = with_values(as_block(bench), {"light_grids[2].reading_4_umol_m2_s": 4000.0})
    assert any(
        note.startswith("Light grids, row 3, reading 4: PPFD") for note in calibrate(wild, leave_out=False).notes
    )


def test_variants_know_nothing_of_readings(bench):
    ring = lc.LightRing(survey="rings", side_m=0.4, **RING)
    assert taken_readings(without_readings(dataclasses.replace(as_block(bench), light_rings=(ring,)))) == ()


@pytest.mark.parametrize("name", ["copy.xlsx", "copy"])
def test_there_and_back(bench, tmp_path, name):
    sensor = next(one for one in bench.meters if one.tag == SENSOR)
    stated = dataclasses.replace(sensor, zero_offset=2.0, spectral_fraction=0.03, cosine_45_fraction=0.02)
    fixture = dataclasses.replace(
        as_block(bench, first_x_m=0.1, step_m=0.2),
        meters=tuple(stated if one is sensor else one for one in bench.meters),
        light_rings=(lc.LightRing(survey="rings", side_m=0.4, meter=SENSOR, **RING),),
        surveys=(SurveyCondition(survey="rings", warm_up_h=2.0), SurveyCondition(survey=NAME, current_a=4.4)),
    )
    write_blank(tmp_path / name, records=records_from_fixture(fixture))
    again = lc.read_workbook(tmp_path / name)
    assert again == fixture
    assert "!" in again.origin.cells["light_grids[1].reading_16_umol_m2_s"]


BAD = {
    "step without x": ({"light_grids[1].first_x_m": None}, "Light grids", "Step", "only one of first x and step"),
    "y in one row": ({"light_grids[1].y_m": 0.3}, "Light grids", "y", "y is given here, and blank in another row"),
    "text for a reading": ({"light_grids[2].reading_2_umol_m2_s": "dim"}, "Light grids", "Reading 2", "text where"),
    "ring without side": ({"light_rings[0].side_m": None}, "Light rings", "Side of the square", ""),
    "survey of nothing": ({"surveys[0].survey": "second"}, "Surveys", "Survey", "there is no survey 'second'"),
    "cosine of a clamp": ({"meters[0].cosine_45_fraction": 0.02}, "Meters", "Cosine", "a meter of current has no such"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_named_at_its_cell(bench, tmp_path, name):
    cells, title, field, words = BAD[name]
    fixture = dataclasses.replace(
        as_block(bench, first_x_m=0.1, step_m=0.2),
        light_rings=(lc.LightRing(survey="rings", side_m=0.4, meter=SENSOR, **RING),),
        surveys=(SurveyCondition(survey=NAME),),
    )
    records = records_from_fixture(fixture)
    for path, value in cells.items():
        key, _, rest = path.partition("[")
        records[key][int(rest[0])][rest.partition(".")[2]] = value
    write_blank(tmp_path / "bad", records=records)
    with pytest.raises(lc.InputErrors) as caught:
        lc.read_workbook(tmp_path / "bad")
    hit = [
        one
        for one in caught.value.problems
        if one.sheet.casefold().replace("_", " ") == title.casefold() and one.field.startswith(field) and one.cell
    ]
    assert hit, str(caught.value)
    assert words in hit[0].problem


def test_what_computes_beside_a_bad_place_has_no_block(bench, tmp_path):
    """With one row's y unreadable all rows would lie elsewhere; with one reading unreadable none does."""
    records = records_from_fixture(as_block(bench))
    records["light_grids"][0]["reading_1_umol_m2_s"] = "dim"
    write_blank(tmp_path / "bad", records=records)
    assert len(rest(tmp_path / "bad").light_grids) == 3
    records["light_grids"][0]["y_m"] = "back"
    write_blank(tmp_path / "worse", records=records)
    left = rest(tmp_path / "worse")
    assert left.light_grids == ()
    assert any("the Light grids sheet, whose readings' places" in note for note in left.origin.notes)


def rest(path):
    from ledcalc.workbook.reader import read_inputs
    from ledcalc.workbook.rest import rest_of

    return rest_of(read_inputs(path))


def stated(bench, tag=SENSOR, **more):
    return dataclasses.replace(
        bench, meters=tuple(dataclasses.replace(one, **more) if one.tag == tag else one for one in bench.meters)
    )


def test_a_sensor_s_zero_offset_is_taken_off_and_the_raw_kept(bench, bench_results):
    [before], [after] = bench_results.surveys, lc.evaluate(stated(bench, zero_offset=3.0)).surveys
    assert after.ppfd_umol_m2_s == pytest.approx(before.ppfd_umol_m2_s - 3.0)
    assert after.measured.raw_umol_m2_s.tolist() == before.measured.raw_umol_m2_s.tolist()
    dark = dataclasses.replace(
        stated(bench, zero_offset=3.0), surveys=(SurveyCondition(survey=NAME, other_light_umol_m2_s=7.0),)
    )
    # Read with the boards off, 7 holds the offset.
    assert lc.evaluate(dark).surveys[0].ppfd_umol_m2_s == pytest.approx(before.ppfd_umol_m2_s - 7.0)


def test_of_two_sensors_in_one_map_each_has_its_own_offset(bench, bench_results):
    second = lc.Meter(tag="Sensor 2", quantity="PPFD", accuracy_fraction=0.05, resolution=1.0, zero_offset=4.0)
    rows = list(bench.light_readings)
    rows[5] = dataclasses.replace(rows[5], meter="Sensor 2", ppfd_umol_m2_s=rows[5].ppfd_umol_m2_s + 4.0)
    both = dataclasses.replace(bench, light_readings=tuple(rows), meters=(*bench.meters, second))
    [survey] = lc.evaluate(both).surveys
    assert survey.ppfd_umol_m2_s == pytest.approx(bench_results.surveys[0].ppfd_umol_m2_s)


def test_spectral_and_cosine_limits_add_to_the_half_width(bench, bench_results):
    """Straight from 0 at 0 deg over 2 % at 45 to 5 % at 75 deg, weighted by sin(2 angle): by an integral of its own."""
    more = {"spectral_fraction": 0.03, "cosine_45_fraction": 0.02, "cosine_75_fraction": 0.05}
    [before], [after] = bench_results.surveys, lc.evaluate(stated(bench, **more)).surveys
    angle = np.linspace(0.0, np.pi / 2, 20001)
    share = np.interp(np.degrees(angle), [0.0, 45.0, 75.0], [0.0, 0.02, 0.05])
    cosine = trapezoid(share * np.sin(2.0 * angle), angle)
    wider = after.half_width_umol_m2_s - before.half_width_umol_m2_s
    assert wider == pytest.approx((0.03 + cosine) * before.ppfd_umol_m2_s, rel=1e-3)
    assert after.judgement.means.fitted.half_width() > before.judgement.means.fitted.half_width()


def test_light_off_prediction_knows_the_sensor_s_further_errors(bench, bench_results):
    [survey] = bench_results.surveys
    ratio = survey.over_prediction.value
    bright = {
        f"light_readings[{row}].ppfd_umol_m2_s": 1.24 / ratio * one.ppfd_umol_m2_s
        for row, one in enumerate(bench.light_readings)
    }
    off = with_values(bench, bright)
    codes = [{one.code for one in lc.evaluate(each).findings} for each in (off, stated(off, spectral_fraction=0.2))]
    assert "light-off-prediction" in codes[0]
    assert "light-off-prediction" not in codes[1]


def test_a_clamp_s_zero_offset_reaches_log_dial_and_calibration(bench):
    clamp = next(one.meter for one in bench.current_log if one.meter)
    last = [row for row in bench.current_log if row.elapsed_h == max(one.elapsed_h for one in bench.current_log)]
    log = [
        dataclasses.replace(row, elapsed_h=1.0 + turn, current_a=row.current_a + 0.001 * (turn % 2))
        for turn in range(5)
        for row in last
    ]
    dial = [DialReading(position=at, current_a=current, meter=clamp) for at, current in ((1, 2.0), (2, 4.0))]
    right = dataclasses.replace(bench, current_log=tuple(log), dial_log=tuple(dial))
    high = {
        name: tuple(dataclasses.replace(row, current_a=row.current_a + 0.04) for row in getattr(right, name))
        for name in ("current_log", "dial_log")
    }
    shifted = stated(dataclasses.replace(right, **high), clamp, zero_offset=0.04)
    expected, found = lc.evaluate(right), lc.evaluate(shifted)
    assert found.logged.current_a == pytest.approx(expected.logged.current_a)
    assert found.log_verdict.sentences == expected.log_verdict.sentences
    assert found.log_verdict.current_a == pytest.approx(expected.log_verdict.current_a)
    assert dial_of(shifted).current_a(1.5) == pytest.approx(3.0)
    assert calibrate(shifted, leave_out=False).after.chi_square == pytest.approx(
        calibrate(right, leave_out=False).after.chi_square
    )


def test_a_map_of_more_readings_than_can_be_judged_is_told(bench):
    reading = dataclasses.replace(bench.light_readings[0], survey="first map")
    long = dataclasses.replace(bench, light_readings=(reading,) * 401)
    with pytest.raises(lc.InputErrors, match="more than 400 readings of 'first map' at this height and date"):
        lc.evaluate(long)
