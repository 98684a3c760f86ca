"""Blocks of variants against ``evaluate`` one by one: the same figures, the same counts of findings, the same codes."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.fixture import OtherFixture, WallOpening
from ledcalc.records import placed_boards, with_values
from ledcalc.variants import Variant
from ledcalc.variants.engine import Engine
from ledcalc.variants.inputs import Base, columns_of

sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))
from output_cases import strings_of_two

COUNT, COMPARED = 24, 4
RELATIVE = 1e-9


def on_a_trunk(fixture):
    """The example's boards on two trunks of four, each run from the board before."""
    cables = tuple(
        replace(cable, from_node="driver" if number in (0, 4) else f"B{number}", to_node=f"B{number + 1}")
        for number, cable in enumerate(fixture.cables)
    )
    return replace(fixture, arrangement="shared trunk", cables=cables)


def on_a_loop(fixture):
    """The same, the far ends fed as well."""
    trunk = on_a_trunk(fixture)
    ends = [replace(fixture.cables[0], tag="W9", from_node="driver", to_node="B4")]
    ends += [replace(fixture.cables[0], tag="W10", from_node="B4", to_node="B8")]
    return replace(trunk, cables=(*trunk.cables, *ends))


def on_two_lead_sets(fixture):
    """Half of the boards on each of two lead sets that the driver limits separately."""
    driver = replace(
        fixture.drivers[0],
        lead_sets="separately limited",
        lead_sets_count=2,
        voltage_high_v=60.0,
        power_limit_w=400.0,
    )
    cables = tuple(replace(cable, lead_set=1 + (number > 3)) for number, cable in enumerate(fixture.cables))
    return replace(fixture, drivers=(driver,), cables=cables, current_setting_a=2.2)


def on_shared_sinks(fixture):
    """Each row of boards on one sink."""
    places = placed_boards(fixture)
    return replace(
        fixture,
        positions=tuple(replace(place, shared_sink="L" if number < 4 else "R") for number, place in enumerate(places)),
    )


def on_bare_plates(fixture):
    """Sinks by their dimensions."""
    plate = {"sink_resistance_k_per_w": None, "orientation": "face up", "width_m": 0.3, "length_m": 0.1}
    return replace(fixture, heat_sinks=(replace(fixture.heat_sinks[0], **plate),))


def taking_most_for_light(fixture):
    """Photons per joule of light so low that it depends on the current whether the light's share is too high."""
    board = replace(fixture.boards[0], spectrum=None, photons_per_joule_umol_per_j=3.3)
    return replace(fixture, boards=(board,))


def in_a_room(fixture):
    """Walls about it."""
    site = replace(fixture.site, room_width_m=1.7, room_depth_m=1.3, room_height_m=2.0)
    return replace(fixture, crop_x_m=0.25, crop_y_m=0.35, site=site)


def with_a_door(fixture):
    """Walls with an opening in one of them."""
    door = WallOpening(wall="front", from_corner_m=0.3, bottom_m=0.0, width_m=0.6, height_m=1.9)
    return replace(in_a_room(fixture), wall_openings=(door,))


def beside_another(fixture):
    """The same fixture hung again, in a room that both warm."""
    site = replace(fixture.site, room_width_m=3.0, room_depth_m=1.3, room_height_m=2.0)
    other = OtherFixture(tag="F2", shift_x_m=1.2, shift_y_m=0.05, height_change_m=0.1)
    return replace(fixture, crop_x_m=0.25, crop_y_m=0.35, site=site, other_fixtures=(other,))


def between(low, high):
    return lambda rng: rng.uniform(low, high, COUNT).tolist()


def one_of(*values):
    return lambda rng: [values[number] for number in rng.integers(0, len(values), COUNT)]


def whole(low, high):
    return lambda rng: [int(value) for value in rng.integers(low, high, COUNT)]


CURRENT = {"fixture.current_setting_a": between(1.0, 5.0)}
SWEEPS = {
    "light that takes the power": (taking_most_for_light, {"fixture.current_setting_a": between(1.0, 5.0)}),
    "electrical": (
        None,
        {
            **CURRENT,
            "fixture.dimming_fraction": between(0.05, 1.0),
            "fixture.voltage_setting_v": between(20.0, 26.0),
        },
    ),
    "air": (
        None,
        {
            "site.air_temperature_c": between(5, 45),
            "site.hottest_air_c": between(25, 60),
            "site.coldest_air_c": between(-20, 10),
        },
    ),
    "ventilation": (
        None,
        {
            "site.ventilation_m3_per_h": between(5, 200),
            "site.envelope_w_per_k": between(0, 5),
            "site.altitude_m": between(0, 2000),
            "site.warmest_air_c": between(18, 40),
        },
    ),
    "sinks": (
        None,
        {
            "heat_sinks[0].sink_resistance_k_per_w": between(1, 9),
            "heat_sinks[0].interface_resistance_k_per_w": between(0, 1),
            "heat_sinks[0].fans_off_factor": between(1, 3),
        },
    ),
    "runs": (
        None,
        {
            "cables.one_way_length_m": between(0.3, 20),
            "cables[2].contact_resistance_ohm": between(0, 0.3),
            "cables[0].ambient_c": between(20, 70),
            "cables.size": one_of("18 AWG", "20 AWG", "14 AWG", "16 AWG"),
        },
    ),
    "sizes run by run": (
        None,
        {f"cables[{row}].size": one_of("18 AWG", "22 AWG", "14 AWG", "16 AWG") for row in range(8)},
    ),
    "layout": (
        None,
        {
            "fixture.row_pitch_m": between(0.1, 0.5),
            "fixture.column_pitch_m": between(0.1, 0.5),
            "fixture.height_m": between(0.1, 0.9),
            "fixture.rotation_deg": between(0, 90),
        },
    ),
    "money and targets": (
        None,
        {
            "site.price_per_kwh": between(0, 0.6),
            "site.photoperiod_h": between(4, 24),
            "site.days_lit_count": whole(100, 367),
            "site.target_dli_low_mol_m2_d": between(4, 20),
            "site.target_dli_high_mol_m2_d": between(10, 20),
            "site.target_ppfd_umol_m2_s": between(100, 300),
            "site.target_min_over_mean_fraction": between(0.3, 0.9),
            "parts[0].price": between(5, 20),
        },
    ),
    "ratings": (
        None,
        {
            "boards[0].rated_current_a": between(0.3, 1),
            "boards[0].rated_temperature_c": between(30, 80),
            "boards[0].voltage_spread_v": between(0, 0.1),
            "boards[0].rated_junction_temperature_c": between(30, 90),
            "boards[0].junction_resistance_k_per_w": between(1, 20),
        },
    ),
    "driver": (
        None,
        {
            "drivers[0].power_limit_w": between(60, 150),
            "drivers[0].window_min_v": between(10, 23),
            "drivers[0].cut_off_v": between(5, 22.5),
            "drivers[0].lead_set_current_a": between(2, 5),
            "drivers[0].current_high_a": between(3, 14),
            "drivers[0].voltage_high_v": between(22, 60),
            "drivers[0].current_tolerance_fraction": between(0, 0.1),
            "drivers[0].case_resistance_k_per_w": between(1, 8),
            "drivers[0].power_factor_fraction": between(0.5, 1),
        },
    ),
    "mains": (
        None,
        {
            "site.mains_v": between(90, 250),
            "site.circuit_a": between(2, 20),
            "site.circuit_other_load_w": between(0, 2000),
            "site.residual_device_a": one_of(0.03, 0.1),
            "drivers[0].inrush_a": between(5, 80),
            "drivers[0].inrush_ms": between(0.1, 2),
            "drivers[0].leakage_a": between(0, 0.004),
            "fixture.fixtures_count": whole(1, 9),
        },
    ),
    "structures": (
        None,
        {
            **CURRENT,
            "boards[0].voltage_coefficient_v_per_k": one_of(-0.018, -0.01),
            "fixture.map_rows_count": one_of(6, 8),
        },
    ),
    "over the ratings": (
        None,
        {
            "fixture.current_setting_a": between(2, 12),
            "drivers[0].current_high_a": between(2, 14),
            "drivers[0].power_limit_w": between(100, 400),
            "fixture.voltage_setting_v": between(20, 30),
        },
    ),
    "strings": (strings_of_two, {**CURRENT, "cables.one_way_length_m": between(0.3, 5)}),
    "strings, a board turned": (
        lambda bench: strings_of_two(bench, turned=("B5",)),
        {**CURRENT, "cables.one_way_length_m": between(0.3, 5)},
    ),
    "trunk": (
        on_a_trunk,
        {**CURRENT, "cables.one_way_length_m": between(0.3, 5), "boards[0].voltage_spread_v": between(0, 0.05)},
    ),
    "loop": (on_a_loop, {**CURRENT, "cables[3].one_way_length_m": between(0.3, 5)}),
    "lead sets": (
        on_two_lead_sets,
        {
            **CURRENT,
            "fixture.dimming_fraction": between(0.05, 1),
            "boards[0].voltage_spread_v": between(0, 0.05),
            "boards[0].rated_current_a": between(0.3, 0.9),
        },
    ),
    "shared sinks": (
        on_shared_sinks,
        {
            **CURRENT,
            "heat_sinks[0].sink_resistance_k_per_w": between(0.5, 3),
            "positions[2].x_m": between(0.2, 1),
            "positions[1].offset_v": between(-0.2, 0.2),
        },
    ),
    "plates": (on_bare_plates, {**CURRENT, "site.air_temperature_c": between(10, 30)}),
    "boards in each other's way": (
        None,
        {
            "fixture.row_pitch_m": between(0.03, 0.2),
            "fixture.column_pitch_m": between(0.1, 0.4),
            "fixture.rotation_deg": between(0, 90),
        },
    ),
    "two fixtures": (
        beside_another,
        {
            **CURRENT,
            "fixture.row_pitch_m": between(0.1, 0.9),
            "fixture.column_pitch_m": between(0.1, 0.6),
            "site.ventilation_m3_per_h": between(20, 200),
            "site.price_per_kwh": between(0.1, 0.6),
        },
    ),
    "room": (
        in_a_room,
        {
            "fixture.row_pitch_m": between(0.1, 0.9),
            "fixture.column_pitch_m": between(0.1, 0.45),
            "fixture.height_m": one_of(0.2, 0.3, 0.4),
        },
    ),
    "walls and openings": (
        with_a_door,
        {
            **CURRENT,
            "fixture.height_m": one_of(0.2, 0.3),
            "site.left_wall_reflectance_fraction": one_of(None, 0.9),
            "site.back_wall_reflectance_fraction": one_of(0.1, 0.5),
            "wall_openings[0].width_m": one_of(0.4, 0.8),
        },
    ),
}


def worked_out(base, changes):
    """Results of variants, and the engine that made them."""
    engine = Engine(base=Base.of(base))
    variants = [Variant(name=str(number), changes=own) for number, own in enumerate(changes)]
    return engine, engine.evaluate(columns_of(engine.base, variants))


def assert_same(one, other):
    assert other.reason == one.reason
    assert other.codes == one.codes
    assert dict(other.counts) == dict(one.counts)
    assert list(other.figures) == list(one.figures)
    for name, value in one.figures.items():
        if isinstance(value, str):
            assert other.figures[name] == value, name
        else:
            assert other.figures[name] == pytest.approx(value, rel=RELATIVE, abs=0.0, nan_ok=True), name


@pytest.mark.parametrize("name", SWEEPS)
def test_random_variants_come_out_as_one_by_one(bench, name):
    make, columns = SWEEPS[name]
    rng = np.random.default_rng(list(SWEEPS).index(name))
    drawn = {path: draw(rng) for path, draw in columns.items()}
    changes = [{path: values[number] for path, values in drawn.items()} for number in range(COUNT)]
    engine, results = worked_out(make(bench) if make else bench, changes)
    # By arrays: what goes one by one would be the same by itself.
    assert engine.met
    assert all(prepared.is_proven for prepared in engine.met.values())
    for number in rng.choice(COUNT, COMPARED, replace=False).tolist():
        assert_same(engine.one(changes[number]), results.outcome(number))


def test_the_first_of_a_structure_is_checked_and_all_go_one_by_one_where_it_differs(bench, monkeypatch):
    import ledcalc.variants.engine as module

    monkeypatch.setattr(module, "summary_of", lambda results: {"mode": results.operating.mode})
    changes = [{"fixture.current_setting_a": amps} for amps in (3.0, 3.5, 4.0)]
    engine, results = worked_out(bench, changes)
    assert [prepared.structure for prepared in engine.met.values()] == [None]
    for number, own in enumerate(changes):
        assert_same(engine.one(own), results.outcome(number))


def test_a_rule_without_array_form_makes_variants_go_one_by_one(bench, monkeypatch):
    import ledcalc.variants.engine as module

    monkeypatch.setattr(module, "unknown_rules", lambda: ["new-rule"])
    changes = [{"fixture.current_setting_a": amps} for amps in (3.0, 3.5, 4.0)]
    engine, results = worked_out(bench, changes)
    assert not engine.met
    assert_same(lc_outcome(bench, changes[2]), results.outcome(2))


def lc_outcome(bench, changes):
    return Engine(base=Base.of(with_values(bench, changes))).one({})


def test_a_number_that_a_formula_refuses_goes_by_itself(bench, monkeypatch):
    import ledcalc.variants.engine as module

    real = module.worked_out

    def refusing(block):
        if (np.asarray(block.fixture.current_setting_a) == 4.0).any():
            raise lc.ArgumentError("current_setting_a", 4.0, "another one")
        return real(block)

    monkeypatch.setattr(module, "worked_out", refusing)
    changes = [{"fixture.current_setting_a": 3.0 + 0.125 * number} for number in range(12)]
    engine, results = worked_out(bench, changes)
    for number, own in enumerate(changes):
        assert_same(engine.one(own), results.outcome(number))


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"drivers[0].voltage_low_v": 40.0}, "the high end 26 lies below the low end 40"),
        ({"cables[3].size": "17 mm2"}, "wire size '17 mm2' is not known"),
        ({"fixture.columns_count": 3}, "there is no board 'B7' on the fixture"),
        ({"fixture.columns_count": 5}, "no cable runs to board 'B10'"),
        ({"site.ventilation_m3_per_h": 0.5}, "the room's air would pass 90 degC"),
        (
            {
                "drivers[0].current_high_a": 60.0,
                "drivers[0].power_limit_w": 1500.0,
                "heat_sinks[0].sink_resistance_k_per_w": 14.0,
                "fixture.voltage_setting_v": 22.0,
                "fixture.current_setting_a": 50.0,
            },
            "no steady state was found",
        ),
    ],
)
def test_what_cannot_be_computed_says_why_and_leaves_the_others_alone(bench, changes, reason):
    good = {"fixture.current_setting_a": 3.0}
    engine, results = worked_out(bench, [{**good, **changes}, good, {**good, **changes}, good, {**good, **changes}])
    for number in (0, 2, 4):
        assert reason in results.outcome(number).reason
        assert_same(engine.one({**good, **changes}), results.outcome(number))
    assert_same(engine.one(good), results.outcome(1))


def test_a_path_for_all_rows_and_one_for_a_row_go_in_their_order(bench):
    changes = {"cables.one_way_length_m": 2.0, "cables[0].one_way_length_m": 9.0}
    turned = dict(reversed(changes.items()))
    engine, results = worked_out(bench, [changes, turned] * 3)
    for number, own in enumerate([changes, turned]):
        assert_same(engine.one(own), results.outcome(number))
    assert results.figures["driver_voltage_v"][0] > results.figures["driver_voltage_v"][1]


def test_a_blank_takes_the_usual_value(bench):
    engine, results = worked_out(bench, [{"fixture.dimming_fraction": None, "site.hottest_air_c": None}] * 3)
    assert_same(engine.one({"site.hottest_air_c": None}), results.outcome(0))
