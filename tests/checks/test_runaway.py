"""Fixtures whose boards run away: the reason in bounded work, with ways out that this driver has."""

import dataclasses
import re

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.circuit import split as splits
from ledcalc.demo import seedling_bench
from ledcalc.evaluation.cycles import Cycle


def hot_bench(sink_k_per_w, coefficient_v_per_k=-0.03):
    bench = seedling_bench()
    return dataclasses.replace(
        bench,
        heat_sinks=tuple(dataclasses.replace(s, sink_resistance_k_per_w=sink_k_per_w) for s in bench.heat_sinks),
        boards=tuple(dataclasses.replace(b, voltage_coefficient_v_per_k=coefficient_v_per_k) for b in bench.boards),
    )


@pytest.fixture
def warmed(monkeypatch):
    """Return a list that grows by the variants of each warming from cold."""
    found, warm = [], splits.warmed_from_cold
    monkeypatch.setattr(
        splits, "warmed_from_cold", lambda kernel, base: found.append(base.shape[1]) or warm(kernel, base)
    )
    return found


@pytest.mark.parametrize("sink_k_per_w", [20.0, 45.0])
def test_the_reason_comes_in_bounded_work(warmed, sink_k_per_w):
    with pytest.raises(lc.NotSettledError, match="no steady state") as caught:
        lc.evaluate(hot_bench(sink_k_per_w))
    assert len(warmed) <= 40
    text, bench = str(caught.value), hot_bench(sink_k_per_w)
    assert "(Heat sinks!A" in text
    dials = bench.drivers[0]
    for setting in re.findall(r"current setting of at most ([\d.]+) A", text):
        assert float(setting) >= dials.current_low_a
    for setting in re.findall(r"voltage setting of at most ([\d.]+) V", text):
        assert float(setting) >= dials.voltage_low_v
    share = float(re.search(r"heat sinks of ([\d.]+) %", text)[1]) / 100.0
    sinks = tuple(
        dataclasses.replace(
            sink,
            sink_resistance_k_per_w=sink.sink_resistance_k_per_w * share,
            interface_resistance_k_per_w=sink.interface_resistance_k_per_w * share,
        )
        for sink in bench.heat_sinks
    )
    assert np.ptp(lc.evaluate(dataclasses.replace(bench, heat_sinks=sinks)).boards.current_a) < 0.2


def test_tables_of_variants_give_the_reason_in_bounded_work(warmed):
    bench, path = hot_bench(3.6), "heat_sinks[0].sink_resistance_k_per_w"
    table = lc.evaluate_many(bench, [lc.Variant(name=f"{r:g}", changes={path: r}) for r in (20.0, 45.0)])
    assert table["reason"].str.contains("no steady state").all()
    assert len(warmed) <= 90


def test_words_do_not_contradict_the_board_that_hogs():
    results = lc.evaluate(hot_bench(12.0, -0.018))
    assert "one-board-hogs" in {found.code for found in results.findings}
    assert results.boards.current_a.max() > 4.0
    assert "That is how it should be" not in results.operating.explanation
    assert "B4 ran away" in results.operating.explanation
    assert results.what_if.advice.is_hogged
    assert "steady" not in results.what_if.advice.words
    shared = lc.evaluate(seedling_bench())
    assert "That is how it should be" in shared.operating.explanation
    assert not shared.what_if.advice.is_hogged


def states(count, of):
    return [np.array(of(n), dtype=float).reshape(2, 1) for n in range(count)]


@pytest.mark.parametrize(
    ("of", "closes"),
    [
        (lambda n: (n % 2, 20.0), True),
        (lambda n: (n % 5, 20.0 + n % 5), True),
        (lambda n: ((-0.9) ** n, 20.0), False),
        (lambda n: (0.99**n, 20.0), False),
    ],
)
def test_a_circle_of_any_length_is_found_and_a_swing_that_dies_out_is_none(of, closes):
    cycle, found = Cycle(), states(60, of)
    told = [bool(cycle.has_closed(n, found[n], found[n - 1], np.ones((2, 1)))) for n in range(1, 60)]
    assert any(told) is closes
