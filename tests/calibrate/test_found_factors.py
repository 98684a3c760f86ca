"""What a calibration found and the inputs carry: light against the points, resistance against the dimensions."""

import dataclasses

import pytest

import ledcalc as lc
from ledcalc.evaluation.evaluate import check_fixture
from ledcalc.evaluation.sinks import resistance_of

PLATE = {
    "heat_sinks.sink_resistance_k_per_w": None,
    "heat_sinks.orientation": "vertical",
    "heat_sinks.width_m": 0.25,
    "heat_sinks.length_m": 0.3,
}


def test_less_light_found_is_less_light_and_more_heat(bench, bench_results):
    dim = lc.evaluate(lc.with_values(bench, {"boards.flux_fraction": "90 %"}))
    ratio = dim.light.photon_flux_umol_s / bench_results.light.photon_flux_umol_s
    # Boards that give less light are a little warmer, and so give a little less again.
    assert 0.895 < ratio < 0.9
    assert (dim.boards.temperature_c > bench_results.boards.temperature_c).all()
    given_off = (dim.boards.power_w - dim.boards.heat_w).sum() / (
        bench_results.boards.power_w - bench_results.boards.heat_w
    ).sum()
    assert given_off == pytest.approx(ratio, rel=1e-6)


def test_a_resistance_found_multiplies_the_one_worked_out(bench):
    plate = lc.with_values(bench, PLATE)
    found = lc.evaluate(lc.with_values(plate, {"heat_sinks.resistance_fraction": 1.1}))
    # At the temperature that it then has, the plate alone has a tenth less.
    rise = found.boards.sink_temperature_c[0] - 20.0
    alone = dataclasses.replace(plate, site=dataclasses.replace(plate.site, air_temperature_c=20.0))
    worked_out = resistance_of(alone.heat_sinks[0], 20.0 + rise, 20.0, 0.0)
    assert found.boards.sink_resistance_k_per_w[0] == pytest.approx(1.1 * worked_out, rel=1e-6)


def test_a_resistance_found_beside_a_stated_one_is_a_contradiction(bench):
    both = lc.with_values(bench, {"heat_sinks.resistance_fraction": 1.1})
    with pytest.raises(lc.InputErrors, match="one of the two"):
        check_fixture(both)
    check_fixture(lc.with_values(bench, {"heat_sinks.resistance_fraction": 1.0}))
