"""Light surveys from the sheets: corrected, put together by height and date, predicted as they were taken."""

import dataclasses

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.fixture import LightReading, SurveyCondition
from ledcalc.records import with_values

NAME = "first map"


def surveyed(bench, **condition):
    return dataclasses.replace(bench, surveys=(SurveyCondition(survey=NAME, **condition),))


def survey_of(fixture):
    (survey,) = lc.evaluate(fixture).surveys
    return survey


def test_corrections_reach_every_figure(bench, bench_results):
    """Readings less 6, times 1.1; the sensor's 5 % and one digit after that."""
    raw = bench_results.surveys[0].ppfd_umol_m2_s
    survey = survey_of(surveyed(bench, sensor_factor=1.1, other_light_umol_m2_s=6.0))
    assert survey.ppfd_umol_m2_s == pytest.approx((raw - 6.0) * 1.1)
    assert survey.half_width_umol_m2_s == pytest.approx(0.05 * survey.ppfd_umol_m2_s + 1.1)
    assert survey.statistics.mean == pytest.approx((raw.mean() - 6.0) * 1.1)
    assert survey.judgement.means.plain.value == pytest.approx((raw.mean() - 6.0) * 1.1)


def test_a_survey_is_predicted_for_its_own_current_and_air(bench):
    """The same as the fixture set so throughout."""
    survey = survey_of(surveyed(bench, current_a=3.0, air_temperature_c=30.0))
    changes = {"fixture.current_setting_a": 3.0 / bench.dimming_fraction, "site.air_temperature_c": 30.0}
    assert survey.predicted_umol_m2_s == pytest.approx(survey_of(with_values(bench, changes)).predicted_umol_m2_s)
    assert survey.conditions == "predicted for 3 A and 30 degC"
    as_set = survey_of(surveyed(bench, air_temperature_c=bench.site.air_temperature_c))
    assert as_set.conditions == ""


def test_heights_and_dates_are_maps_of_their_own(bench):
    """A date left blank is the survey's only one."""
    rows = list(bench.light_readings)
    rows[0] = dataclasses.replace(rows[0], taken_on=None)
    later = [dataclasses.replace(one, taken_on="2027-11-20") for one in rows[1:]]
    higher = [dataclasses.replace(one, height_m=0.4) for one in rows]
    found = lc.evaluate(dataclasses.replace(bench, light_readings=(*rows, *higher))).surveys
    assert [(one.height_m, one.taken_on, len(one.rows)) for one in found] == [
        (0.28, "2026-11-20", 18),
        (0.4, "2026-11-20", 18),
    ]
    found = lc.evaluate(dataclasses.replace(bench, light_readings=(*rows[1:], *later))).surveys
    assert [(one.taken_on, one.rows[0]) for one in found] == [("2026-11-20", 0), ("2027-11-20", 17)]


def test_readings_outside_the_crop_are_left_out_and_rows_stay_right(bench):
    results = lc.evaluate(with_values(bench, {"light_readings[2].x_m": 1.3}))
    (survey,) = results.surveys
    assert 2 not in survey.rows
    assert len(survey.rows) == survey.statistics.reading_count == 17
    assert survey.measured.places[2] == "reading 4"
    assert {one.path for one in results.findings if one.code == "reading-outside-crop"} == {"light_readings[2].x_m"}


def test_nothing_over_the_crop_is_no_survey(bench):
    results = lc.evaluate(with_values(bench, {"light_readings.x_m": 3.0}))
    assert results.surveys == ()
    assert sum(one.code == "reading-outside-crop" for one in results.findings) == 18


def test_without_one_sensor_nothing_is_said_against_the_prediction(bench):
    bright = {f"light_readings[{row}].ppfd_umol_m2_s": 260.0 + row for row in range(18)}
    bare = with_values(bench, {**bright, "light_readings.meter": None})
    results = lc.evaluate(bare)
    assert results.surveys[0].sensor == ""
    assert np.isnan(results.surveys[0].half_width_umol_m2_s).all()
    assert not [one for one in results.findings if one.code == "light-off-prediction"]
    assert any("measured light against predicted" in line for line in results.not_checked)
    assert [one for one in lc.evaluate(with_values(bench, bright)).findings if one.code == "light-off-prediction"]


def test_the_mean_over_the_prediction_by_hand(bench_results):
    """5 % of calibration limits on the ratio of means; scatter about the prediction beside it."""
    (survey,) = bench_results.surveys
    over, ratio = survey.over_prediction, survey.ppfd_umol_m2_s.mean() / survey.predicted_umol_m2_s.mean()
    assert over.value == pytest.approx(ratio)
    assert over.part("calibration") == pytest.approx(0.05 * ratio / 3**0.5)
    assert 0.02 / 18**0.5 * 0.9 < over.part("scatter") < 0.02


def test_one_wrong_reading_does_not_move_the_kept_mean(bench, bench_results):
    usual = bench_results.surveys[0].judgement.means.fitted.value
    judgement = survey_of(with_values(bench, {"light_readings[8].ppfd_umol_m2_s": 21.1})).judgement
    assert judgement.outliers == (8,)
    assert judgement.kept_means.fitted.value == pytest.approx(usual, rel=0.005)
    assert judgement.means.fitted.value < 0.97 * usual


def test_one_reading_per_height(bench):
    """Three heights, a reading at each: three maps, none of which claims to know the mean."""
    rows = tuple(
        LightReading(survey="one each", height_m=height, x_m=0.6, y_m=0.3, ppfd_umol_m2_s=ppfd, meter="Sensor 1")
        for height, ppfd in ((0.2, 220.0), (0.28, 215.0), (0.4, 180.0))
    )
    results = lc.evaluate(dataclasses.replace(bench, light_readings=rows))
    assert [one.height_m for one in results.surveys] == [0.2, 0.28, 0.4]
    assert all(np.isnan(one.judgement.means.fitted.half_width()) for one in results.surveys)
    assert sum(one.code == "readings-few" for one in results.findings) == 3
