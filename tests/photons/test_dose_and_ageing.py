"""Dose, dim schedules, crop targets and notes; what ageing fits must hold whatever the readings."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.photons import (
    PhotonMaintenance,
    crop_target,
    crop_targets,
    daily_light_integral,
    dial_over_life,
    dim_schedule,
    energy_per_mol_kwh,
    light_notes,
    maintenance_at_temperature,
    photoperiod_for_dose,
    ppfd_for_dose,
    tm21_fit,
)

HOURS = np.arange(0, 6001, 1000)
RAMP = {"photoperiod_h": 16.0, "full_power_ppfd_umol_m2_s": 300.0}


def falling(rate_per_h, **changes):
    return tm21_fit(HOURS, np.exp(-rate_per_h * HOURS), **({"unit_count": 20} | changes))


@given(st.floats(1, 2000), st.floats(0.5, 24))
def test_dose_photoperiod_and_ppfd_invert_each_other(ppfd, hours):
    dose = daily_light_integral(ppfd, hours)
    assert photoperiod_for_dose(dose, ppfd) == pytest.approx(hours, rel=1e-12)
    assert ppfd_for_dose(dose, hours) == pytest.approx(ppfd, rel=1e-12)


def test_photoperiod_takes_arrays_and_goes_beyond_the_day():
    """17 mol at 100 umol m-2 s-1: 170,000 s = 47.2 h."""
    got = photoperiod_for_dose([17.0, 0.0], [[100.0], [300.0]])
    assert got.shape == (2, 2)
    assert got[0, 0] == pytest.approx(47.222, abs=1e-3)
    assert got[1].tolist() == [photoperiod_for_dose(17.0, 300.0), 0.0]


def test_energy_of_a_mole():
    """1 mol / 2.5 umol/J = 400 kJ = 1/9 kWh; half of it arriving: twice that."""
    assert energy_per_mol_kwh(2.5) == pytest.approx(1 / 9, rel=1e-12)
    assert energy_per_mol_kwh(2.5, [1.0, 0.5]) == pytest.approx([1 / 9, 2 / 9], rel=1e-12)


@pytest.mark.parametrize(
    ("call", "part"),
    [
        (lambda: photoperiod_for_dose(17.0, 0.0), "ppfd"),
        (lambda: photoperiod_for_dose(-1.0, 100.0), "dli_mol_m2_d"),
        (lambda: energy_per_mol_kwh(0.0), "photon_efficacy"),
        (lambda: energy_per_mol_kwh(2.5, 1.1), "delivered_fraction"),
        (lambda: dim_schedule([], [], **RAMP), "at least one"),
        (lambda: dim_schedule([1, 4], [8.0], **RAMP), "one a target week"),
        (lambda: dim_schedule([4, 1], [8.0, 14.0], **RAMP), "rising"),
        (lambda: dim_schedule([1, 1.5], [8.0, 14.0], **RAMP), "whole number"),
        (lambda: dim_schedule([1, 4], [8.0, -1.0], **RAMP), "target_dli_mol_m2_d"),
        (lambda: dim_schedule([1, 4], [8.0, 14.0], **(RAMP | {"photoperiod_h": [16.0, 16.0]})), "one a week"),
        (lambda: dim_schedule([1, 4], [8.0, 14.0], lowest_dial_fraction=1.0, **RAMP), "lowest_dial_fraction"),
        (lambda: crop_target("triffid"), "houseplants"),
        (lambda: crop_target(3), "houseplants"),
        (lambda: light_notes(photoperiod_h=25.0), "photoperiod_h"),
        (lambda: tm21_fit(HOURS, np.ones(7), unit_count=9), "unit_count is 9.0; allowed: a finite number, at least 10"),
        (lambda: tm21_fit(HOURS, np.ones(7)), "how many units"),
        (lambda: tm21_fit(HOURS, np.ones((12, 7)), unit_count=20), "number of rows: 12"),
        (lambda: tm21_fit(HOURS[:6], np.ones(6), unit_count=20), "test duration in h is 5000.0"),
        (lambda: tm21_fit(HOURS, np.ones(6), unit_count=20), "one reading a time"),
        (lambda: tm21_fit([0, 2000, 1000, 6000], np.ones(4), unit_count=20), "rising"),
        (lambda: tm21_fit(HOURS[1:], np.ones((12, 6))), "a first reading at 0 h"),
        (lambda: tm21_fit([0, 500, 6000], np.ones(3), unit_count=20), "at least two readings in the fit window"),
        (lambda: tm21_fit(HOURS, -np.ones(7), unit_count=20), "flux_fraction"),
        (lambda: tm21_fit(HOURS, np.ones(7), unit_count=20, flux="heat"), "'photon flux'"),
        (lambda: falling(1e-6).life(100.0), "percent"),
        (lambda: dial_over_life(falling(1e-6), -1.0, target_ppfd_umol_m2_s=1, new_ppfd_umol_m2_s=1), "hours_h"),
    ],
)
def test_what_is_refused(call, part):
    with pytest.raises(ArgumentError, match=part):
        call()


def test_dim_schedule_by_hand():
    """8 to 14 mol over weeks 2 to 5 is 2 mol a week; 300 umol m-2 s-1 for 16 h is 17.28 mol."""
    plan = dim_schedule([2, 5], [8.0, 14.0], **RAMP)
    assert plan.week.tolist() == [2, 3, 4, 5]
    assert plan.target_dli_mol_m2_d == pytest.approx([8, 10, 12, 14])
    assert plan.dial_fraction == pytest.approx(np.array([8, 10, 12, 14]) / 17.28, rel=1e-12)
    assert plan.dli_mol_m2_d == pytest.approx(plan.target_dli_mol_m2_d, rel=1e-12)
    assert plan.within_dial == (True,) * 4


def test_dial_stops_at_its_ends_and_says_so():
    plan = dim_schedule([1, 3, 5], [1.0, 10.0, 20.0], lowest_dial_fraction=0.1, **RAMP)
    assert plan.dial_fraction[0] == 0.1
    assert plan.dial_fraction[-1] == 1.0
    assert plan.within_dial == (False, True, True, True, False)
    assert plan.dli_mol_m2_d[-1] == pytest.approx(17.28)
    assert plan.dli_mol_m2_d[0] == pytest.approx(1.728)


def test_a_dark_week_is_off_even_where_the_dial_has_a_lowest_level():
    plan = dim_schedule([1, 2], [0.0, 8.0], lowest_dial_fraction=0.1, **RAMP)
    assert plan.dial_fraction[0] == 0.0
    assert plan.within_dial == (True, True)


def test_photoperiods_may_change_from_week_to_week():
    plan = dim_schedule([1, 3], [12.0, 12.0], photoperiod_h=[18.0, 15.0, 12.0], full_power_ppfd_umol_m2_s=300.0)
    assert plan.dial_fraction * plan.photoperiod_h == pytest.approx(np.full(3, 12.0 / (300 * 3600e-6)))


@settings(max_examples=50)
@given(st.floats(1, 30), st.floats(1, 30), st.integers(1, 20), st.floats(50, 1500), st.floats(0, 0.5))
def test_ramps_keep_between_their_targets(first, last, weeks, full, lowest):
    plan = dim_schedule(
        [0, weeks], [first, last], photoperiod_h=16, full_power_ppfd_umol_m2_s=full, lowest_dial_fraction=lowest
    )
    assert plan.week.size == weeks + 1
    assert (plan.dial_fraction >= lowest).all()
    assert (plan.dial_fraction <= 1).all()
    steps = np.diff(plan.target_dli_mol_m2_d)
    assert steps == pytest.approx(np.full(weeks, (last - first) / weeks), abs=1e-9)
    assert (np.diff(plan.dial_fraction) * np.sign(last - first) >= -1e-12).all()
    for dial, dose, target, within in zip(
        plan.dial_fraction, plan.dli_mol_m2_d, plan.target_dli_mol_m2_d, plan.within_dial, strict=True
    ):
        assert dose == pytest.approx(dial * daily_light_integral(full, 16), rel=1e-9)
        assert within == (dose == pytest.approx(target, rel=1e-9))


def test_crop_targets():
    assert len(crop_targets()) == len({target.crop for target in crop_targets()})
    seedlings = crop_target(" Seedlings before transplant ")
    assert (seedlings.low_mol_m2_d, seedlings.high_mol_m2_d) == (8.0, 14.0)
    assert [seedlings.place(dose) for dose in (7.99, 8.0, 14.0, 14.01)] == ["below", "within", "within", "above"]


def test_notes_by_limit_with_basis():
    assert [note.code for note in light_notes()] == ["blue-light", "bright-source"]
    assert [note.code for note in light_notes(ppfd=1000.0, photoperiod_h=20.0)] == ["blue-light", "bright-source"]
    notes = {note.code: note for note in light_notes(ppfd=1000.1, photoperiod_h=20.1)}
    assert list(notes) == ["ppfd-without-co2", "long-day", "blue-light", "bright-source"]
    assert notes["ppfd-without-co2"].basis == "common practice, no source"
    assert (notes["ppfd-without-co2"].value, notes["ppfd-without-co2"].limit) == (1000.1, 1000.0)
    assert "IEC 62471" in notes["blue-light"].basis
    assert "from memory" in notes["blue-light"].basis
    assert np.isnan(notes["blue-light"].limit)


@settings(max_examples=60)
@given(st.floats(1e-6, 5e-5), st.floats(0.9, 1.05), st.floats(50, 98))
def test_exact_exponentials_are_found_again(rate, level, percent):
    readings = np.where(HOURS == 0, 1.0, level * np.exp(-rate * HOURS))
    fit = tm21_fit(HOURS, readings, unit_count=20)
    assert fit.decay_per_h == pytest.approx(rate, rel=1e-7)
    assert fit.initial_fraction == pytest.approx(level, rel=1e-9)
    life = fit.life(percent)
    assert life.reported_h <= fit.limit_h
    assert life.over_limit == (not life.reached_in_test and life.calculated_h > fit.limit_h)
    if level * np.exp(-rate * 6000) > percent / 100 and readings.min() > percent / 100:
        assert fit.fraction(life.calculated_h) == pytest.approx(percent / 100, rel=1e-9)


@settings(max_examples=60)
@given(st.floats(1e-6, 5e-5), st.floats(50, 90), st.floats(1, 8))
def test_less_light_left_takes_longer(rate, percent, more):
    fit = falling(rate)
    assert fit.life(percent).reported_h >= fit.life(percent + more).reported_h
    assert falling(rate, unit_count=10).life(percent).reported_h <= fit.life(percent).reported_h


@given(st.floats(0.01, 1000))
def test_units_of_the_flux_do_not_matter(factor):
    readings = np.array([1.0, 1.004, 0.998, 0.993, 0.987, 0.984, 0.978])
    one, other = (tm21_fit(HOURS, k * readings, unit_count=20) for k in (1.0, factor))
    assert other.decay_per_h == pytest.approx(one.decay_per_h, rel=1e-9)
    assert other.initial_fraction == pytest.approx(one.initial_fraction, rel=1e-12)


def test_a_level_reached_in_the_test_is_reported_as_measured():
    """0.90 lies halfway between 0.92 at 4,000 h and 0.88 at 5,000 h."""
    fit = tm21_fit(HOURS, [1, 0.98, 0.96, 0.94, 0.92, 0.88, 0.86], unit_count=20)
    life = fit.life(90.0)
    assert life.reached_in_test
    assert life.reported_h == pytest.approx(4500.0)
    assert life.text == "L90(6k) = 4,500 h"
    assert not fit.life(85.0).reached_in_test


def test_a_dip_in_the_test_counts_though_the_fit_recovers():
    """0.95 at 1,000 h to 0.85 at 2,000 h: 0.90 at 1,500 h, whatever comes later."""
    life = tm21_fit(HOURS, [1, 0.95, 0.85, 0.95, 0.95, 0.95, 0.95], unit_count=20).life(90.0)
    assert life.calculated_h == np.inf
    assert not life.over_limit
    assert life.text == "L90(6k) = 1,500 h"


def test_notation_says_flux_percentage_and_duration():
    hours = np.append(HOURS, 6552.0)
    fit = tm21_fit(hours, np.exp(-1e-7 * hours), unit_count=20, flux="photon flux")
    assert fit.life(90.0).name == "Q90(7k)"
    # 6 x 6,552 h = 39,312 h, to three digits and never upwards.
    assert fit.life(90.0).text == "Q90(7k) > 39,300 h"
    hours = np.append(HOURS, 6048.0)
    assert tm21_fit(hours, np.exp(-1e-7 * hours), unit_count=20).life(70.0).text == "L70(6k) > 36,200 h"
    assert falling(1e-7, flux="radiant flux").life(92.5).name == "R92.5(6k)"


def test_equal_readings_are_level():
    """Without a reading at 0 h they stay 0.97, whose logarithms leave a slope of rounding noise."""
    fit = tm21_fit(HOURS[1:], np.full(6, 0.97), unit_count=20)
    assert fit.decay_per_h == 0.0
    assert fit.initial_fraction == pytest.approx(0.97)
    assert fit.life().calculated_h == np.inf


def test_thin_tests_are_noted():
    assert falling(1e-6).notes == ()
    assert "apart" in tm21_fit([0, 2000, 4000, 6000], [1, 0.99, 0.98, 0.97], unit_count=20).notes[0]


def test_a_long_test_without_a_reading_at_its_half_takes_the_one_before():
    hours = np.arange(0, 13_001, 1000)
    assert tm21_fit(hours, np.exp(-1e-6 * hours), unit_count=20).window_from_h == 6000
    late = np.arange(8000, 13_001, 1000)
    assert tm21_fit(late, np.exp(-1e-6 * late), unit_count=20).window_from_h == 8000


def test_dial_over_life_by_hand():
    """80 % new; after ln(1.25)/1e-5 = 22,314 h at full dial; beyond it PPFD falls with the light."""
    fit = falling(1e-5)
    plan = dial_over_life(fit, [0, 10_000, 22_314, 40_000], target_ppfd_umol_m2_s=240, new_ppfd_umol_m2_s=300)
    assert plan.held_until_h == pytest.approx(np.log(1.25) / 1e-5, rel=1e-6)
    assert plan.dial_fraction == pytest.approx([0.8, 0.8 * np.exp(0.1), 1.0, 1.0], rel=1e-5)
    assert plan.ppfd_umol_m2_s == pytest.approx([240, 240, 240, 300 * np.exp(-0.4)], rel=1e-5)
    assert plan.beyond_limit == (False, False, False, True)


@settings(max_examples=50)
@given(st.floats(-1e-5, 3e-5), st.floats(0.95, 1.03), st.floats(50, 320))
def test_dial_over_life_holds_until_it_cannot(rate, level, target):
    fit = PhotonMaintenance(initial_fraction=level, decay_per_h=rate, test_duration_h=6000.0, limit_h=36_000.0)
    hours = np.linspace(1, 36_000, 50)
    plan = dial_over_life(fit, hours, target_ppfd_umol_m2_s=target, new_ppfd_umol_m2_s=300.0)
    assert (plan.maintenance_fraction <= 1).all()
    assert (np.diff(plan.dial_fraction) >= -1e-12).all()
    assert (plan.ppfd_umol_m2_s <= target * (1 + 1e-12)).all()
    held = hours < plan.held_until_h * (1 - 1e-9)
    assert plan.ppfd_umol_m2_s[held] == pytest.approx(np.full(held.sum(), target), rel=1e-9)
    late = hours > plan.held_until_h * (1 + 1e-9) + 1e-6
    assert (plan.ppfd_umol_m2_s[late] < target).all()


def test_new_leds_give_all_their_light_whatever_the_fit_begins_with():
    fit = PhotonMaintenance(initial_fraction=0.9, decay_per_h=1e-6, test_duration_h=6000.0, limit_h=36_000.0)
    plan = dial_over_life(fit, [0.0, 1.0], target_ppfd_umol_m2_s=180.0, new_ppfd_umol_m2_s=300.0)
    assert plan.dial_fraction == pytest.approx([0.6, 0.6 / 0.9], rel=1e-5)


def test_no_gain_is_promised_where_the_fit_rises():
    fit = PhotonMaintenance(initial_fraction=1.01, decay_per_h=-1e-6, test_duration_h=6000.0, limit_h=36_000.0)
    plan = dial_over_life(fit, [0.0, 30_000.0], target_ppfd_umol_m2_s=150.0, new_ppfd_umol_m2_s=300.0)
    assert plan.dial_fraction.tolist() == [0.5, 0.5]
    assert plan.held_until_h == np.inf


def test_between_temperatures_at_and_beyond_the_tested_ones():
    cool, hot = falling(1e-6), falling(4e-6, unit_count=10)
    at = {"cooler_c": 55.0, "hotter_c": 85.0}
    assert maintenance_at_temperature(cool, hot, temperature_c=40.0, **at) is cool
    near = maintenance_at_temperature(cool, hot, temperature_c=85.0, **at)
    assert near.decay_per_h == pytest.approx(hot.decay_per_h, rel=1e-12)
    assert near.limit_h == hot.limit_h == 33_000
    middle = maintenance_at_temperature(cool, hot, temperature_c=70.0, **at)
    assert cool.decay_per_h < middle.decay_per_h < hot.decay_per_h
    with pytest.raises(ArgumentError, match="at most 85"):
        maintenance_at_temperature(cool, hot, temperature_c=86.0, **at)
    with pytest.raises(ArgumentError, match="hotter_c"):
        maintenance_at_temperature(cool, hot, cooler_c=85.0, hotter_c=55.0, temperature_c=50.0)
    with pytest.raises(ArgumentError, match="does not fall"):
        maintenance_at_temperature(falling(-1e-6), hot, temperature_c=70.0, **at)
    with pytest.raises(ArgumentError, match="flux of the hotter test"):
        maintenance_at_temperature(cool, falling(4e-6, flux="photon flux"), temperature_c=70.0, **at)
