"""How readings change with the unknowns, beside differences of the steady state worked out anew; and light by walls."""

import dataclasses
import itertools
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.calibrate import usual_priors
from ledcalc.calibrate.bench import bench_of as made_ready
from ledcalc.calibrate.instruments import KINDS
from ledcalc.calibrate.light_factors import light_factors, unit_sources
from ledcalc.evaluation.light import light_over_crop
from ledcalc.evaluation.parts import boards_on
from ledcalc.fixture import OtherFixture, SupplyReading

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import Truth, bench_of, points, read


def trunk(fixture):
    tags = ["driver", *(f"B{n}" for n in range(1, 5))]
    cables = tuple(
        dataclasses.replace(fixture.cables[0], tag=f"W{n}", from_node=start, to_node=end, one_way_length_m=0.6)
        for n, (start, end) in enumerate(itertools.pairwise(tags), start=1)
    )
    return dataclasses.replace(fixture, arrangement="shared trunk", cables=cables)


def separate_sets(fixture):
    driver = dataclasses.replace(
        fixture.drivers[0], lead_sets_count=2, lead_sets="separately limited", current_low_a=0.5
    )
    cables = tuple(dataclasses.replace(one, lead_set=1 + n // 2) for n, one in enumerate(fixture.cables))
    return dataclasses.replace(fixture, drivers=(driver,), cables=cables, current_setting_a=1.1)


def shared_sinks(fixture):
    places = tuple(
        dataclasses.replace(board.place, shared_sink="left" if n < 2 else "right")
        for n, board in enumerate(boards_on(fixture))
    )
    return dataclasses.replace(fixture, positions=places)


def plates(fixture):
    return lc.with_values(
        fixture,
        {
            "heat_sinks.sink_resistance_k_per_w": None,
            "heat_sinks.orientation": "vertical",
            "heat_sinks.width_m": 0.2,
            "heat_sinks.length_m": 0.3,
        },
    )


def held_voltage(fixture):
    return dataclasses.replace(fixture, voltage_setting_v=22.0)


WAYS = {way.__name__: way for way in (trunk, separate_sets, shared_sinks, plates, held_voltage)}


@pytest.mark.parametrize("way", ["home runs", "own sinks", *WAYS])
def test_slopes_are_those_of_the_steady_state(way):
    fixture = bench_of(4)
    read_at_home = read(fixture, Truth(offset_v=np.zeros(4)), None, maps={0.3: points(fixture, 3, 2)})
    output = SupplyReading(elapsed_h=3.0, current_a=2.2, voltage_v=22.5)
    fixture = dataclasses.replace(WAYS[way](read_at_home) if way in WAYS else read_at_home, supply_log=(output,))
    bench = made_ready(fixture, usual_priors(), canopy=True, own_sinks=way == "own sinks", surveys=None)
    readings, unknowns, model = bench.rows.means(), bench.unknowns, bench.model
    values = unknowns.prior.copy()
    values[1] += 0.03
    values[4] *= 1.05
    state = model.state(values)
    slopes = model.slopes_at(state, readings)
    assert set(readings.kind) == set(KINDS)
    kinds = {entry.kind for entry in unknowns.entries}
    assert kinds >= {"voltage", "sink", "flux", "wall", "canopy", "meter"}
    assert ("driver voltage" if way == "held_voltage" else "driver current") in kinds
    for place, entry in enumerate(unknowns.entries):
        step = 1e-3 * entry.prior_error
        ends = []
        for sign in (1.0, -1.0):
            moved = values.copy()
            moved[place] += sign * step
            ends.append(model.readings_at(model.state(moved), readings))
        there = (ends[0] - ends[1]) / (2 * step)
        off = np.linalg.norm((slopes[:, place] - there) / readings.sigma)
        # Wires stay as warm as they are, and light that changes heats or cools plates: 1 % at most.
        assert off <= 0.01 * np.linalg.norm(there / readings.sigma) + 1e-6, entry.name


def test_light_between_the_nodes_of_reflectance_is_that_of_the_room_itself():
    fixture = bench_of(4)
    taken = read(fixture, Truth(offset_v=np.zeros(4)), None, maps={0.28: points(fixture, 5, 3)}, kinds=())
    bench = made_ready(taken, usual_priors(), canopy=True, own_sinks=False, surveys=None)
    at = bench.points
    factors = light_factors(bench.model.fixture, bench.placed, at, ("wall", "canopy"))
    for wall, canopy in ((0.0, 0.2), (0.33, 0.05), (0.62, 0.3), (0.8, 0.2), (0.95, 0.5)):
        site = dataclasses.replace(fixture.site, wall_reflectance_fraction=wall, floor_reflectance_fraction=canopy)
        painted = dataclasses.replace(fixture, site=site)
        there = light_over_crop(painted, unit_sources(painted, bench.placed), at.x_m, at.y_m)
        assert factors.at(wall, canopy).sum(axis=0) == pytest.approx(there, rel=1e-3)
        step = 1e-3
        rise = (factors.at(wall + step, canopy) - factors.at(wall - step, canopy)) / (2 * step)
        assert factors.slope("wall", wall, canopy) == pytest.approx(rise, rel=2e-3)


def test_fixtures_beside_this_one_light_the_points_too():
    fixture = bench_of(4, in_room=False)
    beside = dataclasses.replace(fixture, other_fixtures=(OtherFixture(tag="next", shift_x_m=1.3),))
    taken = read(beside, Truth(offset_v=np.zeros(4)), None, maps={0.5: points(fixture, 5, 3)}, kinds=())
    bench = made_ready(taken, usual_priors(), canopy=False, own_sinks=False, surveys=None)
    sources = unit_sources(beside, bench.placed)
    there = light_over_crop(beside, sources, bench.points.x_m, bench.points.y_m, raised_m=0.5 - fixture.height_m)
    factors = light_factors(bench.model.fixture, bench.placed, bench.points, ()).at(0.5, 0.2)
    assert factors.shape == (4, 15)
    assert factors.sum(axis=0) == pytest.approx(there, rel=1e-6)
    alone = light_factors(fixture, bench.placed, bench.points, ()).at(0.5, 0.2)
    assert (factors.sum(axis=0) > 1.01 * alone.sum(axis=0)).any()
