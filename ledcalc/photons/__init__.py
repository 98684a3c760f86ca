"""Light: sources, the PPFD field, its statistics, efficacy and dose."""

from ledcalc.photons.beams import Beam, gauss_per_flux
from ledcalc.photons.board_flux import BoardFlux
from ledcalc.photons.dose import daily_light_integral, photon_efficacy, photons_per_joule, ppfd_for_dose
from ledcalc.photons.field import LightSource, ppfd_map, ppfd_per_flux
from ledcalc.photons.statistics import GridStatistics, ppfd_grid_statistics

__all__ = [
    "Beam",
    "BoardFlux",
    "GridStatistics",
    "LightSource",
    "daily_light_integral",
    "gauss_per_flux",
    "photon_efficacy",
    "photons_per_joule",
    "ppfd_for_dose",
    "ppfd_grid_statistics",
    "ppfd_map",
    "ppfd_per_flux",
]
