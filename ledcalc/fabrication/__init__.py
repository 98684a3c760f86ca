"""The bench: bundles, sleeves, glands, boxes, terminals, cutting, hanging, labels."""

from ledcalc.fabrication.packing import Bundle, bundle_diameter

__all__ = ["Bundle", "bundle_diameter"]
