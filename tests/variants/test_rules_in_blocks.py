"""Every rule in its array form: it fires and keeps quiet where the rule itself does, as often as it."""

import sys
from pathlib import Path

import numpy as np
import pytest

from ledcalc.checks import RULES
from ledcalc.records import with_values
from ledcalc.variants import Variant
from ledcalc.variants.engine import LEAST_TOGETHER, Engine
from ledcalc.variants.inputs import Base, columns_of
from ledcalc.variants.rules import unknown_rules
from ledcalc.variants.rules.registry import BY_READINGS
from ledcalc.variants.rules.stairs import stepwise

sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))
from ageing_cases import cases_of_ageing
from build_cases import cases_of_build
from mains_cases import cases_of_mains
from output_cases import cases_of_output
from owning_cases import cases_of_owning
from place_cases import cases_of_places
from rule_cases import cases_of_design


@pytest.fixture(scope="module")
def all_cases(bench_results):
    return {
        **cases_of_design(bench_results),
        **cases_of_output(bench_results),
        **cases_of_mains(),
        **cases_of_build(bench_results),
        **cases_of_owning(),
        **cases_of_places(bench_results),
        **cases_of_ageing(bench_results),
    }


def test_every_rule_has_an_array_form():
    assert unknown_rules() == []


@pytest.mark.parametrize("code", [rule.code for rule in RULES if rule.code not in BY_READINGS])
def test_counts_and_codes_are_those_of_the_rule(code, all_cases, bench):
    for case in all_cases[code]:
        base = case.base or bench
        for changes, fires in ((case.fires, True), (case.inside, False)):
            engine = Engine(base=Base.of(base))
            rows = [Variant(name=str(number), changes=changes) for number in range(LEAST_TOGETHER)]
            results = engine.evaluate(columns_of(engine.base, rows))
            assert all(prepared.is_proven for prepared in engine.met.values()), "arrays and rule differ"
            assert (code in results.outcome(0).codes) == fires


def test_variants_have_no_readings(bench):
    engine = Engine(base=Base.of(with_values(bench, {"current_log.current_a": 2.0})))
    results = engine.evaluate(columns_of(engine.base, [Variant(name=str(number)) for number in range(3)]))
    assert not set(results.outcome(0).codes) & set(BY_READINGS)


def test_stairs_ask_at_few_values():
    asked = []

    def step(value):
        asked.append(value)
        return np.floor(value)

    values = np.random.default_rng(2).uniform(0, 4, 5000)
    found, which = stepwise(step, values)
    assert [found[number] for number in which] == np.floor(values).tolist()
    assert len(asked) < 60
