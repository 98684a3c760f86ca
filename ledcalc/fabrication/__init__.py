"""The bench: bundles, sleeves, glands, conduits, boxes, terminals, cutting, hanging, rails, labels."""

from ledcalc.fabrication.boxes import BoxFill, box_fill
from ledcalc.fabrication.conduits import ConduitFill, conduit_count, conduit_fill, wire_diameter
from ledcalc.fabrication.cutting import CutBar, CutPlan, Stock, cut_length, cut_plan
from ledcalc.fabrication.fitting import BraidFit, ShrinkFit, SleeveFit, braid_for, heat_shrink_for, sleeve_for
from ledcalc.fabrication.glands import GlandFit, gland_for, gland_threads
from ledcalc.fabrication.hanging import USUAL_SAFETY_FACTOR, HangerLoads, four_hanger_loads, two_hanger_loads
from ledcalc.fabrication.labels import wire_label
from ledcalc.fabrication.overlaps import Overlap, overlapping_boards
from ledcalc.fabrication.packing import Bundle, bundle_diameter
from ledcalc.fabrication.rails import HolePositions, hole_positions
from ledcalc.fabrication.terminals import Ferrule, Ports, ferrule_for, node_ports, ports_needed, wire_end_advice

__all__ = [
    "USUAL_SAFETY_FACTOR",
    "BoxFill",
    "BraidFit",
    "Bundle",
    "ConduitFill",
    "CutBar",
    "CutPlan",
    "Ferrule",
    "GlandFit",
    "HangerLoads",
    "HolePositions",
    "Overlap",
    "Ports",
    "ShrinkFit",
    "SleeveFit",
    "Stock",
    "box_fill",
    "braid_for",
    "bundle_diameter",
    "conduit_count",
    "conduit_fill",
    "cut_length",
    "cut_plan",
    "ferrule_for",
    "four_hanger_loads",
    "gland_for",
    "gland_threads",
    "heat_shrink_for",
    "hole_positions",
    "node_ports",
    "overlapping_boards",
    "ports_needed",
    "sleeve_for",
    "two_hanger_loads",
    "wire_diameter",
    "wire_end_advice",
    "wire_label",
]
