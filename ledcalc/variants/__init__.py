"""Many versions of one fixture: the same path as ``evaluate``, a row of results a variant."""

from ledcalc.variants.rows import Variant, VariantRow, evaluate_variants

__all__ = ["Variant", "VariantRow", "evaluate_variants"]
