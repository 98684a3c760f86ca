"""The build: what is bought, cut, joined and checked, worked out from an evaluated fixture."""

from ledcalc.building.check_lines import Check, CheckSection
from ledcalc.building.checklists import checklists
from ledcalc.building.choices import size_choices
from ledcalc.building.lists import build_list
from ledcalc.building.parts import BuildList, Cutting, Rail, SleeveUse, WireToCut

__all__ = [
    "BuildList",
    "Check",
    "CheckSection",
    "Cutting",
    "Rail",
    "SleeveUse",
    "WireToCut",
    "build_list",
    "checklists",
    "size_choices",
]
