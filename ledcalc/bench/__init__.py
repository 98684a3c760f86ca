"""Bench readings: what a meter's reading is worth."""

from ledcalc.bench.meters import meter_half_width

__all__ = ["meter_half_width"]
