"""Cases of the rules about light readings: what fires them, what stays just inside, the remedy by hand."""

import dataclasses

from rule_cases import Case

import ledcalc as lc
from ledcalc.fixture import SurveyCondition
from ledcalc.records import with_values

COLUMNS = 6
STEPS = 8


def cases_of_surveys(bench):
    """Return the cases on the example's 3 x 6 map."""
    return {
        "reading-suspect": _suspect(bench),
        "reading-outside-crop": [
            Case(
                fires={"light_readings[5].x_m": bench.crop_width_m + 0.002},
                inside={"light_readings[5].x_m": bench.crop_width_m},
                by_hand={"light_readings[5].x_m": 1.1},
            ),
            Case(
                fires={"light_readings[0].y_m": 3.9},
                inside={"light_readings[0].y_m": bench.crop_depth_m},
                by_hand={"light_readings[0].y_m": 0.1},
            ),
        ],
        "readings-odd": _odd(bench),
        "readings-few": [
            Case(
                base=dataclasses.replace(bench, light_readings=bench.light_readings[:9]),
                fires={"light_readings[8].x_m": 9.0},
                inside={},
                by_hand={"light_readings[8].x_m": 0.5},
            )
        ],
        "light-lopsided": [_scaled(bench, "light-lopsided", lambda x: 0.3 * (x / bench.crop_width_m - 0.5))],
        "light-off-prediction": [
            _scaled(bench, "light-off-prediction", lambda x: 0.2 + 0.0 * x),
            _scaled(bench, "light-off-prediction", lambda x: -0.2 + 0.0 * x),
        ],
        "measured-light-off-target": _off_target(bench),
        "survey-not-warm": [
            Case(
                base=dataclasses.replace(bench, surveys=(SurveyCondition(survey=bench.light_readings[0].survey),)),
                fires={"surveys[0].warm_up_h": 0.49},
                inside={"surveys[0].warm_up_h": 0.5},
                by_hand={"surveys[0].warm_up_h": 0.5},
            )
        ],
    }


def _off_target(bench):
    """A target PPFD is met within 10 % and within what the mean is known to, a dose within the latter."""
    hours = dataclasses.replace(bench.site, photoperiod_h=16.0)
    bare = dataclasses.replace(hours, target_dli_low_mol_m2_d=None, target_dli_high_mol_m2_d=None)
    bench = dataclasses.replace(bench, site=bare)
    mean, half = _measured_mean(bench)
    assert half < 0.1 * mean
    wanted, scaled = "site.target_ppfd_umol_m2_s", _all_times(bench)
    by_day = 16.0 * 3600.0 / 1e6
    return [
        Case(
            base=bench,
            fires={wanted: mean / 0.89},
            inside={wanted: mean / 0.91},
            by_hand=scaled(1.0 / 0.89),
        ),
        Case(base=bench, fires={wanted: mean / 1.11}, inside={wanted: mean / 1.09}, by_hand=scaled(1.0 / 1.11)),
        Case(
            base=bench,
            fires={"site.target_dli_low_mol_m2_d": by_day * (mean + half) * 1.001},
            inside={"site.target_dli_low_mol_m2_d": by_day * (mean + half) * 0.999},
            by_hand=scaled(1.2),
        ),
        Case(
            base=bench,
            fires={"site.target_dli_high_mol_m2_d": by_day * (mean - half) * 0.999},
            inside={"site.target_dli_high_mol_m2_d": by_day * (mean - half) * 1.001},
            by_hand=scaled(0.8),
        ),
    ]


def _measured_mean(bench):
    (survey,) = lc.evaluate(bench).surveys
    mean = survey.judgement.kept_means.fitted
    return mean.value, mean.half_width()


def _all_times(bench):
    return lambda factor: {_path(row): one.ppfd_umol_m2_s * factor for row, one in enumerate(bench.light_readings)}


def _path(row):
    return f"light_readings[{row}].ppfd_umol_m2_s"


def _suspect(bench):
    """A digit lost, and a quarter off, in the middle of the map."""
    row = COLUMNS + 2
    usual = bench.light_readings[row].ppfd_umol_m2_s

    def off(share):
        return {_path(row): usual * (1.0 - 0.25 * share)}

    return [
        Case(fires={_path(row): usual / 10.0}, inside={_path(row): usual}),
        Case(fires=off(1.0), inside=off(_edge(bench, "reading-suspect", off)), by_hand=off(0.0)),
    ]


def _odd(bench):
    """One place with two figures, a row of one figure, a reading of 0."""
    first_row = {_path(row): 200.0 for row in range(COLUMNS)}
    as_read = {_path(row): bench.light_readings[row].ppfd_umol_m2_s for row in range(COLUMNS)}
    same_place = {"light_readings[1].x_m": 0.1}
    return [
        # Scatter of 2 % and half a digit: readings of 156 and v differ for good above 3 sqrt(2) hypot(0.02 v, 0.577).
        Case(fires={**same_place, _path(1): 171.0}, inside={**same_place, _path(1): 170.0}, by_hand={_path(1): 157.0}),
        Case(fires=first_row, inside={**first_row, _path(5): 201.0}, by_hand=as_read),
        Case(fires={_path(0): 0.0}, inside={_path(0): 1.0}, by_hand=as_read),
    ]


def _scaled(bench, code, more):
    """Return a case of all readings times 1 + more(x); just inside it where the rule begins to say so."""

    def times(share):
        return {
            _path(row): one.ppfd_umol_m2_s * (1.0 + share * more(one.x_m))
            for row, one in enumerate(bench.light_readings)
        }

    return Case(fires=times(1.0), inside=times(_edge(bench, code, times)), by_hand=times(0.0))


def _edge(bench, code, changes):
    """Return the largest share of the changes, to 1 / 2^8, that the rule does not mind."""
    quiet, loud = 0.0, 1.0
    for _ in range(STEPS):
        middle = (quiet + loud) / 2.0
        found = lc.evaluate(with_values(bench, changes(middle))).findings
        quiet, loud = (quiet, middle) if any(one.code == code for one in found) else (middle, loud)
    assert 0.0 < quiet < 1.0
    return quiet
