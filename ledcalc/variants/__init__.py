"""Many versions of one fixture: the same path as ``evaluate``, a row of results a variant; ranked, found, compared.

What a single evaluation never asks for loads when it is asked for; ``__init__.pyi`` has every name with its type.
"""

from ledcalc.later import loading
from ledcalc.variants.rows import Variant, VariantRow, evaluate_variants

# Module -> the names that it is loaded for.
LATER = {
    "compare": ("Comparison", "FigureDifference", "compare_fixtures"),
    "fixture_model": ("FixtureModel", "factor_of"),
    "ranking": ("Frontier", "Standing", "frontier"),
    "search": (
        "DesignLimit",
        "DesignSpace",
        "DesignTarget",
        "FoundFixture",
        "NearMiss",
        "Refused",
        "SearchResult",
        "find_fixtures",
        "target_of_site",
    ),
    "sensitivity": ("Effect", "Factor", "OneAtATime", "one_at_a_time"),
    "sobol": ("SobolIndices", "sobol_indices"),
    "table": ("evaluate_many",),
    "verdict": ("Flip", "verdict_tolerance"),
}

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

__getattr__, __dir__ = loading(__name__, LATER)
