"""Protection and Class 2 against figures retyped by hand from the publications named, cell by cell."""

import math

import pytest

from ledcalc.tables import table
from ledcalc.wiring import conductor_ampacity, touch_voltage_limit_v
from ledcalc.wiring.class_2 import class_2_limits
from ledcalc.wiring.devices import DEVICE_KINDS, device_kind, small_conductor_limit
from ledcalc.wiring.protection import wire_protection

# NFPA 70 (NEC) Table 240.6(A) up to 400 A, IEC 60898-1, IEC 60127 and ISO 8820-3: standard ratings in A, from memory.
NEC_RATINGS = [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400]
RATINGS = {
    "NEC fuse": [1, 3, 6, 10, *NEC_RATINGS],
    "NEC breaker": [10, *NEC_RATINGS],
    "IEC breaker": [6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125],
    "cartridge fuse": [0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10],
    "blade fuse": [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40],
}
# Held for good, opened for certain, in ratings: UL 248, UL 489, IEC 60898-1, IEC 60127-2, ISO 8820-3, from memory.
HOLDS_AND_OPENS = {
    "NEC fuse": (1.10, 1.35),
    "NEC breaker": (1.00, 1.35),
    "IEC breaker": (1.13, 1.45),
    "cartridge fuse": (1.5, 2.1),
    "blade fuse": (1.10, 1.35),
}
# Cells for which no second source or formula is known to us: they stand on memory or the quotes named in the table.
CELLS_ON_ONE_SOURCE = {
    "overcurrent_ratings, ratings": 63,
    "overcurrent_ratings, factors": 9,
    "nec_small_conductors": 2,
    "nec_class_2": 21,
}


@pytest.mark.parametrize("kind", DEVICE_KINDS)
def test_standard_ratings(kind):
    known = device_kind(kind)
    assert list(known.ratings_a) == RATINGS[kind]
    assert (known.holds_factor, known.opens_factor) == HOLDS_AND_OPENS[kind]
    assert known.voltage_v == (32.0 if kind == "blade fuse" else None)
    rows = [row for row in table("overcurrent_ratings") if row["kind"] == kind]
    assert [float(row["rating_a"]) for row in rows] == sorted({float(row["rating_a"]) for row in rows})
    for row in rows:
        assert 0.5 <= float(row["rating_a"]) <= 400
        assert 1.0 <= float(row["holds_factor"]) < float(row["opens_factor"]) <= 2.1
        assert (row["holds_factor"], row["opens_factor"]) == (rows[0]["holds_factor"], rows[0]["opens_factor"])


def test_the_table_has_no_other_kind():
    assert {row["kind"] for row in table("overcurrent_ratings")} == set(RATINGS) == set(DEVICE_KINDS)


@pytest.mark.parametrize(("kind", "tolerance"), [("cartridge fuse", 0.012), ("IEC breaker", 0.05)])
def test_iec_ratings_are_renard_numbers(kind, tolerance):
    """ISO 3, series R10: 10^(n/10), rounded; breakers round 6.3, 12.5 and 31.5 to 6, 13 and 32."""
    steps = [round(10 * math.log10(rating)) for rating in device_kind(kind).ratings_a]
    assert steps == list(range(steps[0], steps[0] + len(steps)))
    for rating, step in zip(device_kind(kind).ratings_a, steps, strict=True):
        assert rating == pytest.approx(10 ** (step / 10), rel=tolerance)


def test_an_iec_breaker_opens_where_the_overload_rule_wants_it():
    """IEC 60898-1 and IEC 60364-4-43 clause 433.1 share 1.45, so that In at most Iz is all a breaker must meet."""
    found = wire_protection(
        10.0,
        16.0,
        math.inf,
        source_voltage_v=48.0,
        size="1.5 mm2",
        rule_set="IEC",
        fuse_kind="IEC breaker",
        fuse_a=16.0,
    )
    assert (found.status, found.highest_fuse_a, found.fuse_opens_a) == ("protected by its fuse", 16.0, 1.45 * 16.0)


# NFPA 70 (NEC) 240.4(D), public quotes; 7 A and 10 A from memory.
@pytest.mark.parametrize(
    ("size", "device_a", "continuous_a"),
    [("18 AWG", 7, 5.6), ("16 AWG", 10, 8), ("14 AWG", 15, 15), ("12 AWG", 20, 20), ("10 AWG", 30, 30)],
)
def test_small_conductors(size, device_a, continuous_a):
    limit = small_conductor_limit(size)
    assert (limit.device_a, limit.continuous_a) == (device_a, continuous_a)
    row = next(row for row in table("nec_small_conductors") if row["size"] == size)
    if row["continuous_a"]:
        # The 80 % rule of NEC 210.20 ties the two figures of a row together.
        assert continuous_a == pytest.approx(0.8 * device_a)
    else:
        # Table 310.16, 60 degC column, names the same 15, 20 and 30 A.
        assert device_a == conductor_ampacity(size, wire_kind="building wire", insulation_c=60)
    assert len(table("nec_small_conductors")) == 5


# NFPA 70 (NEC) Chapter 9 Tables 11(A) and 11(B), cells from memory: kind, inherently limited, volts, then current,
# power, overcurrent device, nameplate VA, nameplate A; each range at its upper end and just above its lower one.
@pytest.mark.parametrize(
    ("kind", "inherent", "volts", "current", "power", "device", "plate_va", "plate_a"),
    [
        ("ac", True, 12.0, 8.0, None, None, 5.0 * 12, 5.0),
        ("ac", True, 20.0, 8.0, None, None, 5.0 * 20, 5.0),
        ("ac", True, 20.1, 8.0, None, None, 100, 100 / 20.1),
        ("ac", True, 30.0, 8.0, None, None, 100, 100 / 30),
        ("ac", True, 30.1, 0.005, None, None, 0.005 * 30.1, 0.005),
        ("ac", True, 150.0, 0.005, None, None, 0.005 * 150, 0.005),
        ("ac", False, 15.0, 1000 / 15, 350, 5.0, 5.0 * 15, 5.0),
        ("ac", False, 15.1, 1000 / 15.1, 250, 5.0, 5.0 * 15.1, 5.0),
        ("ac", False, 20.0, 1000 / 20, 250, 5.0, 5.0 * 20, 5.0),
        ("ac", False, 20.1, 1000 / 20.1, 250, 100 / 20.1, 100, 100 / 20.1),
        ("ac", False, 30.0, 1000 / 30, 250, 100 / 30, 100, 100 / 30),
        ("dc", True, 20.0, 8.0, None, None, 5.0 * 20, 5.0),
        ("dc", True, 20.1, 8.0, None, None, 100, 100 / 20.1),
        ("dc", True, 30.0, 8.0, None, None, 100, 100 / 30),
        ("dc", True, 30.1, 150 / 30.1, None, None, 100, 100 / 30.1),
        ("dc", True, 60.0, 150 / 60, None, None, 100, 100 / 60),
        ("dc", True, 60.1, 0.005, None, None, 0.005 * 60.1, 0.005),
        ("dc", True, 150.0, 0.005, None, None, 0.005 * 150, 0.005),
        ("dc", False, 20.0, 1000 / 20, 250, 5.0, 5.0 * 20, 5.0),
        ("dc", False, 20.1, 1000 / 20.1, 250, 100 / 20.1, 100, 100 / 20.1),
        ("dc", False, 60.0, 1000 / 60, 250, 100 / 60, 100, 100 / 60),
    ],
)
def test_class_2_cells(kind, inherent, volts, current, power, device, plate_va, plate_a):
    found = class_2_limits(volts, kind, inherent)
    assert found.current_a == pytest.approx(current)
    assert found.power_va == power
    assert found.overcurrent_a == (None if device is None else pytest.approx(device))
    assert (found.nameplate_va, found.nameplate_a) == (pytest.approx(plate_va), pytest.approx(plate_a))


def test_class_2_against_what_else_is_known():
    """UL 1310, from memory: 100 VA and 8 A to 30 V. 60 V dry and 30 V wet within reach bound its rows."""
    for kind, inherent, most in (("ac", True, 30), ("ac", False, 30), ("dc", True, 60), ("dc", False, 60)):
        for volts in range(20, most + 1):
            assert class_2_limits(volts, kind, inherent).nameplate_va == pytest.approx(100.0)
    assert all(class_2_limits(volts, kind).current_a == 8.0 for kind in ("ac", "dc") for volts in range(1, 31))
    ends = {float(row["up_to_v"]) for row in table("nec_class_2") if row["kind"] == "dc"}
    assert {touch_voltage_limit_v("dry"), touch_voltage_limit_v("wet")} < ends


@pytest.mark.parametrize("row", table("nec_class_2"), ids=lambda row: f"{row['kind']} {row['up_to_v']}")
def test_class_2_rows_hold_together(row):
    assert 0 <= float(row["above_v"]) < float(row["up_to_v"]) <= 150
    assert bool(row["current_a"]) != bool(row["current_va"])
    assert bool(row["nameplate_a"]) != bool(row["nameplate_va"])
    needs_device = row["inherently_limited"] == "no"
    assert (bool(row["overcurrent_a"]) or bool(row["overcurrent_va"])) == needs_device == bool(row["power_va"])
    for column, least, most in (
        ("power_va", 250, 350),
        ("current_a", 0.005, 8),
        ("current_va", 150, 1000),
        ("overcurrent_a", 5, 5),
        ("overcurrent_va", 100, 100),
        ("nameplate_va", 100, 100),
        ("nameplate_a", 0.005, 5),
    ):
        assert not row[column] or least <= float(row[column]) <= most


def test_class_2_ranges_join():
    for kind in ("ac", "dc"):
        for inherent in ("yes", "no"):
            rows = [row for row in table("nec_class_2") if (row["kind"], row["inherently_limited"]) == (kind, inherent)]
            assert rows[0]["above_v"] == "0"
            assert [row["up_to_v"] for row in rows[:-1]] == [row["above_v"] for row in rows[1:]]


def test_cells_without_a_second_source_are_counted():
    ratings = table("overcurrent_ratings")
    class_2 = table("nec_class_2")
    # Backed twice: R10 ratings, the breaker's 1.45; 240.4(D) by 80 % or Table 310.16; 8 A, 100 VA, and 5 A to 20 V.
    on_one = {
        "overcurrent_ratings, ratings": sum(
            row["kind"] in ("NEC fuse", "NEC breaker", "blade fuse") for row in ratings
        ),
        "overcurrent_ratings, factors": 2 * len(DEVICE_KINDS) - 1,
        "nec_small_conductors": sum(bool(row["continuous_a"]) for row in table("nec_small_conductors")),
        "nec_class_2": sum(
            bool(row[column]) and row[column] not in backed
            for row in class_2
            for column, backed in (
                ("power_va", ()),
                ("current_a", ("8.0",)),
                ("current_va", ()),
                ("overcurrent_a", ()),
                ("nameplate_a", ("5.0",)),
                # 30 and 60 V as touch limits; 20 V is where 5 A and 100 VA meet.
                ("up_to_v", ("20", "30", "60")),
            )
        ),
    }
    assert on_one == CELLS_ON_ONE_SOURCE


def test_six_home_runs_of_a_driver():
    """Common practice, no source: 18 AWG cord carries 2.08 A of a 12.5 A driver, but all of it into a fault."""
    ampacity = conductor_ampacity("18 AWG", wire_kind="flexible cord", insulation_c=60)
    found = wire_protection(
        12.5 / 6,
        ampacity,
        12.5,
        source_voltage_v=54.0,
        size="18 AWG",
        wire_kind="flexible cord",
        insulation_c=60,
    )
    assert found.status == "within ampacity, not protected by the source's limit"
    assert not found.is_protected
    # The trade's two ways out: a 3 A fuse a branch, or 16 AWG cord (13 A) all the way.
    assert (found.recommended_fuse_a, found.remedy_size) == (3.0, "16 AWG")
