"""The build list follows from the network: counted by hand, and changed by taking a board away."""

import dataclasses

import pytest

import ledcalc as lc
from ledcalc.building import build_list, checklists, size_choices


@pytest.fixture(scope="module")
def made(bench_results):
    return build_list(bench_results)


def without_last_board(bench):
    """Return the example with seven boards: the last of the second row is left out."""
    places = tuple(
        lc.Position(tag=f"B{n}", x_m=0.15 + 0.3 * ((n - 1) % 4), y_m=0.12 + 0.36 * ((n - 1) // 4)) for n in range(1, 8)
    )
    log = tuple(reading for reading in bench.current_log if reading.board != "B8")
    return dataclasses.replace(bench, positions=places, cables=bench.cables[:-1], current_log=log)


def test_cut_length_by_hand(made):
    """1.4 m x 1.05 + two loops of 80 mm + two strips of 8 mm = 1.646 m, on to the next 5 mm."""
    assert made.wires[0].cut_length_m == pytest.approx(1.650)
    assert made.wires[0].label == "W1 | driver > B1 | 18 AWG"
    assert made.wires[0].colours == ("red", "black")


def test_terminals_by_hand(made):
    """Eight runs and the driver's own lead a polarity, a fifth spare: 11 ports of blocks of 5 in a chain of links."""
    assert [(ports.node, ports.end_count, ports.terminal_count) for ports in made.terminals] == [
        ("driver +", 9, 3),
        ("driver -", 9, 3),
    ]
    assert made.terminals[0].spare_count == 3 * 5 - 2 * 2 - 9


def test_ferrules_are_two_ends_of_two_cores_a_run(made):
    [(size, ferrule, count)] = made.ferrules
    assert (size, count) == ("18 AWG", 8 * 2 * 2)
    assert ferrule is not None


def test_bundles_of_four_equal_cables(made):
    """Four equal circles lie in one of 1 + sqrt 2 times their diameter."""
    sleeves = [entry for entry in made.entries if entry.kind == "sleeve"]
    assert [entry.bundle_m for entry in sleeves] == pytest.approx([0.0062 * (1 + 2**0.5)] * 2, rel=1e-6)


def test_holes_by_hand(made):
    """Centres at 150, 450, 750 and 1050 mm, rail of 1180 mm centred on them, holes 115 mm to either side."""
    centres = [140.0, 440.0, 740.0, 1040.0]
    expected = sorted([place + side for place in centres for side in (-115.0, 115.0)])
    assert [1000 * place for place in made.rails[0].holes_m] == pytest.approx(expected)


def test_weight_by_hand(made):
    """8 boards, 8 sinks, the driver, four rails of 1.18 m, the rest."""
    assert made.weight_kg == pytest.approx(8 * (0.09 + 0.31) + 0.9 + 4 * 1.18 * 0.45 + 0.6)


def test_cutting_plan_cuts_every_piece_once(made):
    for cutting in made.cuttings:
        assert cutting.plan is not None
        pieces = sorted(piece for bar in cutting.plan.bars for piece in bar.pieces)
        assert pieces == list(range(len(cutting.tags)))


def test_taking_a_board_away_changes_every_list(bench, made):
    fewer = build_list(lc.evaluate(without_last_board(bench)))
    assert len(fewer.wires) == 7
    assert fewer.terminals[0].end_count == 8
    assert fewer.ferrules[0][2] == 28
    assert fewer.boards == (("Bench bar 250", 7),)
    assert fewer.heat_sinks == (("Channel 300", 7),)
    assert len(fewer.rails[1].holes_m) == 6
    assert fewer.weight_kg == pytest.approx(made.weight_kg - 0.40)
    assert {entry.tag: len(entry.runs) for entry in fewer.entries}["Sleeve rear"] == 3
    assert sum(len(bar.pieces) for bar in fewer.cuttings[0].plan.bars) == 7


def test_boards_that_share_a_sink_count_it_once(bench):
    fixture = without_last_board(bench)
    shared = tuple(dataclasses.replace(place, shared_sink="rail") for place in fixture.positions)
    made = build_list(lc.evaluate(dataclasses.replace(fixture, positions=shared)))
    assert made.heat_sinks == (("Channel 300", 1),)


def test_single_wires_are_coloured_by_the_side_they_belong_to(bench):
    ways = [("driver +", "B1 +"), ("B1 -", "B2 +"), ("B2 -", "driver -")]
    cables = tuple(
        dataclasses.replace(bench.cables[0], tag=f"W{n}", from_node=start, to_node=end)
        for n, (start, end) in enumerate(ways)
    )
    driver = dataclasses.replace(bench.drivers[0], voltage_high_v=60.0, current_low_a=0.1)
    fixture = dataclasses.replace(
        bench,
        arrangement="single wires",
        rows_count=1,
        columns_count=2,
        cables=cables,
        drivers=(driver,),
        voltage_setting_v=50.0,
        current_setting_a=0.5,
        current_log=(),
    )
    made = build_list(lc.evaluate(fixture))
    assert [wire.colours for wire in made.wires] == [
        ("red",),
        ("neither: between boards in series",),
        ("black",),
    ]
    assert not made.terminals
    assert made.ferrules[0][2] == 6


def test_stock_that_does_not_do_says_so(bench):
    short = tuple(dataclasses.replace(stock, stock_length_m=1.0) for stock in bench.stock)
    made = build_list(lc.evaluate(dataclasses.replace(bench, stock=short)))
    assert made.cuttings[0].plan is None
    assert made.cuttings[0].problem


def test_the_smallest_size_is_the_largest_of_three(bench_results):
    order = ["24 AWG", "22 AWG", "20 AWG", "18 AWG", "16 AWG", "14 AWG"]
    for choice in size_choices(bench_results):
        three = [choice.by_drop, choice.by_ampacity, choice.by_protection]
        assert choice.size == max(three, key=order.index)


def test_checklist_holds_this_fixtures_own_figures(bench, bench_results):
    text = "\n".join(
        f"{check.do}: {check.expect} {check.tolerance}"
        for section in checklists(bench_results)
        for check in section.checks
    )
    assert "4.4 A in all at about 22.3 V" in text
    assert "0.542 to 0.558 A; none over 0.8 A" in text
    assert "24 V at the setting, 26 V at most" in text
    assert f"{bench_results.operating.mains_current_a:.3g} A at 120 V" in text
    high = dataclasses.replace(
        bench.drivers[0], voltage_high_v=70.0, isolated_output="no", control="0-10 V", spare_leads_count=2
    )
    live = lc.evaluate(dataclasses.replace(bench, drivers=(high,), voltage_setting_v=65.0))
    cautions = " ".join(line for section in checklists(live) for line in section.cautions)
    assert "above the 30 V" in cautions
    assert "not separated from the mains" in cautions
    assert "holds charge" in cautions or "hold charge" in cautions
    checks = " ".join(f"{check.do} {check.expect}" for section in checklists(live) for check in section.checks)
    assert "0-10 V" in checks
    assert "capped" in checks


def test_a_fuse_at_the_head_of_a_trunk_guards_the_runs_behind_it(bench):
    tags = [f"B{n}" for n in range(1, 9)]
    starts = ["driver", *tags[:-1]]
    cables = tuple(
        dataclasses.replace(bench.cables[0], tag=f"W{n}", from_node=start, to_node=end, sleeve=None, gland=None)
        for n, (start, end) in enumerate(zip(starts, tags, strict=True), start=1)
    )
    strong = dataclasses.replace(bench.drivers[0], current_high_a=12.0, power_limit_w=300.0)
    fixture = dataclasses.replace(bench, arrangement="shared trunk", cables=cables, drivers=(strong,))
    bare = lc.evaluate(fixture).protection
    assert not any(bare.is_protected)
    fused = dataclasses.replace(cables[0], fuse_a=6.0, fuse_kind="NEC fuse", fuse_v=60.0)
    guarded = lc.evaluate(dataclasses.replace(fixture, cables=(fused, *cables[1:]))).protection
    assert all(guarded.is_protected)
    assert guarded.guarded_by == ("W1",) * 8


def test_a_loop_fed_from_both_ends_is_guarded_only_if_both_feeds_are_fused(bench):
    tags = [f"B{n}" for n in range(1, 9)]
    starts = ["driver", *tags[:-1]]
    cables = [
        dataclasses.replace(bench.cables[0], tag=f"T{n}", from_node=start, to_node=end, sleeve=None, gland=None)
        for n, (start, end) in enumerate(zip(starts, tags, strict=True), start=1)
    ]
    cables.append(dataclasses.replace(cables[0], tag="T9", to_node="B8"))
    strong = dataclasses.replace(bench.drivers[0], current_high_a=20.0, power_limit_w=480.0)
    loop = dataclasses.replace(bench, arrangement="shared trunk", trunk="looped", drivers=(strong,))
    fuse = {"fuse_a": 6.0, "fuse_kind": "NEC fuse", "fuse_v": 60.0}
    one = [dataclasses.replace(cables[0], **fuse), *cables[1:]]
    both = [*one[:-1], dataclasses.replace(cables[-1], **fuse)]
    half = lc.evaluate(dataclasses.replace(loop, cables=tuple(one))).protection
    assert half.guarded_by == ("T1", *[""] * 8)
    assert not any(half.is_protected[1:])
    whole = lc.evaluate(dataclasses.replace(loop, cables=tuple(both))).protection
    assert all(whole.is_protected)


def test_lead_sets_limited_separately_keep_apart_in_every_list(bench):
    model = dataclasses.replace(bench.drivers[0], lead_sets_count=2, lead_sets="separately limited", current_low_a=0.5)
    cables = tuple(dataclasses.replace(run, lead_set=1 + (n >= 4)) for n, run in enumerate(bench.cables))
    results = lc.evaluate(dataclasses.replace(bench, drivers=(model,), cables=cables, current_setting_a=2.2))
    made = build_list(results)
    assert [(ports.node, ports.end_count) for ports in made.terminals] == [
        ("driver set 1 +", 5),
        ("driver set 1 -", 5),
        ("driver set 2 +", 5),
        ("driver set 2 -", 5),
    ]
    assert made.wires[7].from_place == "driver set 2"
    steps = [check.do for section in checklists(results) for check in section.checks if check.do.startswith("Turn")]
    assert steps[-1].startswith("Turn the current to 2.2 A on each lead set")


def test_a_fuse_at_the_head_of_a_string_guards_the_wires_behind_it(bench):
    """Two strings of two on a strong driver; only the first has a fuse in its wire from +."""
    ways = [("driver +", "B1 +"), ("B1 -", "B2 +"), ("B2 -", "driver -")]
    ways += [("driver +", "B3 +"), ("B3 -", "B4 +"), ("B4 -", "driver -")]
    cables = [
        dataclasses.replace(bench.cables[0], tag=f"W{n}", from_node=start, to_node=end)
        for n, (start, end) in enumerate(ways, start=1)
    ]
    cables[0] = dataclasses.replace(cables[0], fuse_a=3.0, fuse_kind="NEC fuse", fuse_v=60.0)
    strong = dataclasses.replace(
        bench.drivers[0], voltage_high_v=58.0, current_low_a=0.1, current_high_a=20.0, power_limit_w=480.0
    )
    fixture = dataclasses.replace(
        bench,
        arrangement="single wires",
        rows_count=1,
        columns_count=4,
        cables=tuple(cables),
        drivers=(strong,),
        voltage_setting_v=50.0,
        current_setting_a=1.1,
        current_log=(),
    )
    protection = lc.evaluate(fixture).protection
    assert protection.guarded_by == ("W1", "W1", "W1", "", "", "")
    assert protection.is_protected == (True, True, True, False, False, False)
