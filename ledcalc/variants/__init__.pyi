"""Many versions of one fixture: the same path as ``evaluate``, a row of results a variant; ranked, found, compared."""

from ledcalc.variants.compare import Comparison, FigureDifference, compare_fixtures
from ledcalc.variants.fixture_model import FixtureModel, factor_of
from ledcalc.variants.ranking import Frontier, Standing, frontier
from ledcalc.variants.rows import Variant, VariantRow, evaluate_variants
from ledcalc.variants.search import (
    DesignLimit,
    DesignSpace,
    DesignTarget,
    FoundFixture,
    NearMiss,
    Refused,
    SearchResult,
    find_fixtures,
    target_of_site,
)
from ledcalc.variants.sensitivity import Effect, Factor, OneAtATime, one_at_a_time
from ledcalc.variants.sobol import SobolIndices, sobol_indices
from ledcalc.variants.table import evaluate_many
from ledcalc.variants.verdict import Flip, verdict_tolerance

__all__ = [
    "Comparison",
    "DesignLimit",
    "DesignSpace",
    "DesignTarget",
    "Effect",
    "Factor",
    "FigureDifference",
    "FixtureModel",
    "Flip",
    "FoundFixture",
    "Frontier",
    "NearMiss",
    "OneAtATime",
    "Refused",
    "SearchResult",
    "SobolIndices",
    "Standing",
    "Variant",
    "VariantRow",
    "compare_fixtures",
    "evaluate_many",
    "evaluate_variants",
    "factor_of",
    "find_fixtures",
    "frontier",
    "one_at_a_time",
    "sobol_indices",
    "target_of_site",
    "verdict_tolerance",
]
