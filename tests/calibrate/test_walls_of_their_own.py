"""Light readings in a room some of whose walls have a reflectance of their own, and openings: what can be found."""

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.calibrate import usual_priors
from ledcalc.calibrate.bench import bench_of as made_ready
from ledcalc.calibrate.light_factors import light_factors, unit_sources
from ledcalc.evaluation.light import light_over_crop

sys.path.insert(0, str(Path(__file__).parent))
from simulated_bench import Truth, bench_of, points, read

DOOR = lc.WallOpening(wall="front", from_corner_m=0.2, bottom_m=0.0, width_m=0.7, height_m=1.5)


def made(places=None, **walls):
    fixture = dataclasses.replace(bench_of(4), wall_openings=(DOOR,))
    own = {f"{wall}_wall_reflectance_fraction": share for wall, share in walls.items()}
    fixture = dataclasses.replace(fixture, site=dataclasses.replace(fixture.site, **own))
    maps = {0.28: places or points(fixture, 5, 3)}
    taken = read(fixture, Truth(offset_v=np.zeros(4), wall=0.7), None, maps=maps, kinds=())
    return fixture, made_ready(taken, usual_priors(), canopy=True, own_sinks=False, surveys=None)


def test_the_wall_reflectance_looked_for_is_that_of_walls_without_their_own():
    fixture, bench = made(left=0.9, back=0.1)
    factors = light_factors(bench.model.fixture, bench.placed, bench.points, ("wall", "canopy"))
    for wall, canopy in ((0.0, 0.2), (0.33, 0.05), (0.8, 0.2), (0.95, 0.5)):
        site = dataclasses.replace(fixture.site, wall_reflectance_fraction=wall, floor_reflectance_fraction=canopy)
        painted = dataclasses.replace(fixture, site=site)
        there = light_over_crop(painted, unit_sources(painted, bench.placed), bench.points.x_m, bench.points.y_m)
        assert factors.at(wall, canopy).sum(axis=0) == pytest.approx(there, rel=1e-3)
    [entry] = [one for one in bench.unknowns.entries if one.kind == "wall"]
    assert "walls with a reflectance of their own on the Site sheet keep it" in entry.basis


def test_it_is_not_looked_for_where_every_wall_has_its_own():
    kinds = {one.kind for one in made(left=0.9, right=0.8, front=0.3, back=0.1)[1].unknowns.entries}
    assert "wall" not in kinds
    assert "canopy" in kinds
    [entry] = [one for one in made()[1].unknowns.entries if one.kind == "wall"]
    assert "of their own" not in entry.basis


def test_readings_at_the_very_walls_are_predicted_as_the_light_field_has_them():
    """The crop's corner lies 0.1 m off the room's: (1.3, 0.7) is the room's far corner."""
    fixture, bench = made(places=[(1.3, 0.7), (1.2995, 0.7), (1.3, 0.3), (0.6, 0.3)], left=0.9)
    factors = light_factors(bench.model.fixture, bench.placed, bench.points, ())
    site = bench.model.fixture.site
    there = light_over_crop(fixture, unit_sources(fixture, bench.placed), bench.points.x_m, bench.points.y_m)
    found = factors.at(site.wall_reflectance_fraction, site.floor_reflectance_fraction).sum(axis=0)
    assert found == pytest.approx(there, rel=1e-6)
