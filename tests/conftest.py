"""What several tests share: the invented example fixture, and its evaluation."""

import pytest

import ledcalc as lc
from ledcalc.demo import seedling_bench


@pytest.fixture(scope="session")
def bench() -> lc.Fixture:
    return seedling_bench()


@pytest.fixture(scope="session")
def bench_results(bench) -> lc.Evaluation:
    return lc.evaluate(bench)
