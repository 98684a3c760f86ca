"""The Pareto set against comparing every pair, and what is said of each variant."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from ledcalc.errors import ArgumentError
from ledcalc.variants import Variant, VariantRow, evaluate_variants
from ledcalc.variants.pareto import on_pareto_front, pareto_layers
from ledcalc.variants.ranking import frontier

# Few values, so that ties and equals abound; the odd NaN.
tables = st.tuples(st.integers(0, 60), st.integers(1, 4)).flatmap(
    lambda shape: arrays(float, shape, elements=st.sampled_from([0.0, -0.0, 1.0, 2.0, 3.0, 7.5, np.inf, np.nan]))
)


def dominates(one, other):
    return bool((one <= other).all() and (one < other).any())


def front_of(table):
    """Compare every point with every other, O(n^2)."""
    judged = [row for row in range(len(table)) if not np.isnan(table[row]).any()]
    return {row for row in judged if not any(dominates(table[other], table[row]) for other in judged)}


@given(tables)
def test_the_front_against_comparing_every_pair(table):
    assert set(np.flatnonzero(on_pareto_front(table)).tolist()) == front_of(table)


@given(tables)
def test_layers_against_peeling_one_front_after_another(table):
    layers = pareto_layers(table)
    left, number = table.copy(), 0
    while not np.isnan(left).any(axis=1).all():
        number += 1
        front = front_of(left)
        assert set(np.flatnonzero(layers.layer == number).tolist()) == front
        left[list(front)] = np.nan
    assert layers.layer.max(initial=0) == number
    assert (layers.layer[np.isnan(table).any(axis=1)] == 0).all()


@given(tables)
def test_whatever_is_beaten_is_beaten_by_one_of_the_front(table):
    layers = pareto_layers(table)
    for row, beater in enumerate(layers.dominated_by.tolist()):
        assert (beater >= 0) == (layers.layer[row] > 1)
        if beater >= 0:
            assert layers.layer[beater] == 1
            assert dominates(table[beater], table[row])


@pytest.mark.parametrize("kind", ["cloud", "sphere", "chain"])
def test_many_points_across_blocks(kind):
    """700 points in four objectives: more than two blocks, and of shapes that make few and many layers."""
    rng = np.random.default_rng(20)
    table = rng.random((700, 4))
    if kind == "sphere":
        table /= np.linalg.norm(table, axis=1)[:, None]
    elif kind == "chain":
        table = np.repeat(rng.permutation(700)[:, None], 4, axis=1) * 1.0
    front = front_of(table)
    assert set(np.flatnonzero(on_pareto_front(table)).tolist()) == front
    layers = pareto_layers(table)
    assert set(np.flatnonzero(layers.layer == 1).tolist()) == front
    assert layers.layer.max() == {"cloud": layers.layer.max(), "sphere": 1, "chain": 700}[kind]


def test_the_beater_named_is_the_nearest():
    # By hand, ranges 10 and 1000: the first is 10/10 + 500/1000 = 1.5 away, the second 1/10 + 1000/1000 = 1.1.
    assert pareto_layers([[0.0, 500.0], [9.0, 0.0], [10.0, 1000.0]]).dominated_by.tolist() == [-1, -1, 1]


def test_a_table_of_numbers_is_needed():
    with pytest.raises(ArgumentError, match="a row a point"):
        on_pareto_front([1.0, 2.0])


def row(name, cost, light, *, stop=0, reason="", codes=()):
    figures = {} if reason else {"energy_cost": cost, "ppfd_mean_umol_m2_s": light, "mode": "constant current"}
    counts = {"stop": stop, "act": 0, "note": 0}
    return VariantRow(name=name, changes={}, reason=reason, figures=figures, counts=counts, codes=codes)


ROWS = [
    row("dear", 70.0, 220.0),
    row("bright", 60.0, 220.0),
    row("thrifty", 40.0, 180.0),
    row("middling", 45.0, 180.0),
    row("between", 50.0, 200.0),
    row("hot", 10.0, 900.0, stop=3, codes=("board-over-current", "driver-case-hot", "metal-not-earthed")),
    row("broken", 0, 0, reason="fixture.height_m is -1"),
    row("dark", 30.0, None),
]
OBJECTIVES = {"ppfd_mean_umol_m2_s": "highest", "energy_cost": "lowest"}


def test_each_variant_is_told_why():
    found = frontier(ROWS, OBJECTIVES, currency="EUR")
    lines = {one.name: one.line for one in found.standings}
    assert lines == {
        "dear": "beaten by bright: energy cost a year 60 EUR against 70 EUR, the rest alike",
        "bright": "on the frontier: best in mean PPFD (220 umol m-2 s-1)",
        "thrifty": "on the frontier: best in energy cost a year (40 EUR)",
        "middling": "beaten by thrifty: energy cost a year 40 EUR against 45 EUR, the rest alike",
        "between": "on the frontier: nothing betters it in everything; strongest in mean PPFD (200 umol m-2 s-1), "
        "place 3 of 5",
        "hot": "not ranked: do not energise: board-over-current, driver-case-hot",
        "broken": "not ranked: fixture.height_m is -1",
        "dark": "not ranked: no mean PPFD",
    }


def test_rank_goes_by_layer_and_then_by_the_first_objective():
    found = frontier(ROWS, OBJECTIVES)
    assert found.best == ("bright", "between", "thrifty")
    assert [one.name for one in found.ranked()][:5] == ["bright", "between", "thrifty", "dear", "middling"]
    ranks = {one.name: (one.layer, one.rank) for one in found.standings}
    assert ranks["middling"] == (2, 5)
    assert ranks["hot"] == ranks["broken"] == ranks["dark"] == (None, None)


def test_a_table_is_judged_like_rows():
    table = pd.DataFrame(
        [
            {"variant": one.name, "reason": one.reason, **one.figures, **one.counts, "findings": ", ".join(one.codes)}
            for one in ROWS
        ]
    )
    assert frontier(table, OBJECTIVES, currency="EUR") == frontier(ROWS, OBJECTIVES, currency="EUR")


def test_the_dust_of_arithmetic_beats_nobody():
    found = frontier([row("a", 40.0, 180.0), row("b", 40.0 * (1 + 1e-13), 180.0)], OBJECTIVES)
    assert found.best == ("a", "b")


def test_a_small_lead_is_shown_with_the_digits_that_tell():
    found = frontier([row("a", 40.0, 180.0), row("b", 40.0002, 180.0)], OBJECTIVES, currency="EUR")
    assert found.standings[1].line == "beaten by a: energy cost a year 40 EUR against 40.0002 EUR, the rest alike"


def test_wrong_objectives_are_named():
    with pytest.raises(ArgumentError, match=r"nearest: energy_cost"):
        frontier(ROWS, {"energie_cost": "lowest"})
    with pytest.raises(ArgumentError, match="'lowest' or 'highest'"):
        frontier(ROWS, {"energy_cost": "min"})
    with pytest.raises(ArgumentError, match="figures that are numbers"):
        frontier(ROWS, {"mode": "lowest"})
    with pytest.raises(ArgumentError, match="at least one figure"):
        frontier(ROWS, {})


def test_no_variants_make_an_empty_frontier():
    found = frontier([], OBJECTIVES)
    assert (found.standings, found.best) == ((), ())


def test_the_example_ranks_its_settings(bench):
    amps = (2.4, 3.2, 4.0, 4.6, 6.3)
    variants = [Variant(name=f"{one} A", changes={"fixture.current_setting_a": one}) for one in amps]
    found = frontier(
        evaluate_variants(bench, variants), {"canopy_efficacy_umol_per_j": "highest", "ppfd_mean_umol_m2_s": "highest"}
    )
    # Less current: better efficacy and less light, so that each has its merit; the last is beyond the driver's dial.
    assert set(found.best) == {"2.4 A", "3.2 A", "4.0 A", "4.6 A"}
    assert found.standings[-1].line.startswith("not ranked: ")
