"""Inverse design: the best fixtures for a target among a catalogue's parts."""

from ledcalc.variants.search.designs import OBJECTIVES, NearMiss, Refused, SearchResult, find_fixtures
from ledcalc.variants.search.found import DesignLimit, FoundFixture
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget, target_of_site

__all__ = [
    "OBJECTIVES",
    "DesignLimit",
    "DesignSpace",
    "DesignTarget",
    "FoundFixture",
    "NearMiss",
    "Refused",
    "SearchResult",
    "find_fixtures",
    "target_of_site",
]
