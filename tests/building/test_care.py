"""The care schedule: what applies to the fixture, and when it is due."""

import dataclasses

import ledcalc as lc
from ledcalc.building.care import care_section
from ledcalc.demo import seedling_bench
from ledcalc.fixture import BuildRecord


def care(**changes):
    return care_section(lc.evaluate(dataclasses.replace(seedling_bench(), **changes))).checks


def test_it_counts_days_from_the_first_power():
    assert any("by 2026-03-08" in check.tolerance for check in care(in_service_on="2026-03-01"))  # a week on
    assert any("by 2027-03-01" in check.tolerance for check in care(in_service_on="2026-03-01"))  # a year on
    assert any("after 7 days" in check.tolerance for check in care())


def test_what_the_fixture_does_not_have_is_left_out():
    bench = seedling_bench()
    assert not any("residual" in check.do for check in care())
    guarded = dataclasses.replace(bench.site, residual_device_a=0.03)
    assert any("residual" in check.do for check in care(site=guarded))
    for clamp, applies in (("screw", True), ("spring", False)):
        cables = tuple(dataclasses.replace(cable, clamp=clamp) for cable in bench.cables)
        assert any("torque" in check.do for check in care(cables=cables)) is applies


def test_a_board_left_out_of_the_last_round_is_named():
    records = (
        BuildRecord(board="B1", serial="K-17", checked_on="2026-01-05"),
        BuildRecord(board="B2", serial="K-18", checked_on="2026-04-06"),
    )
    late = [check.do for check in care(build_record=records) if "left out" in check.do]
    assert len(late) == 1
    assert "B1 (K-17, 2026-01-05)" in late[0]
    assert "K-18" not in late[0]
    inside = (dataclasses.replace(records[0], checked_on="2026-01-06"), records[1])  # 90 days before the newest
    assert not any("left out" in check.do for check in care(build_record=inside))
