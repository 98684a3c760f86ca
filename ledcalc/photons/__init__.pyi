"""Light: sources, the PPFD field, its statistics, efficacy and dose."""

from ledcalc.photons.ageing import MaintenanceLife, PhotonMaintenance, maintenance_at_temperature, tm21_fit
from ledcalc.photons.ageing_tests import MaintenanceAt, MaintenanceTest, maintenance_among_tests
from ledcalc.photons.beams import Beam, gauss_per_flux
from ledcalc.photons.board_arrangement import BoardArrangement
from ledcalc.photons.board_count import BoardCount, boards_for_target
from ledcalc.photons.board_flux import BoardFlux
from ledcalc.photons.canopy import CanopyLight, HeightSpread, canopy_light, spread_by_height
from ledcalc.photons.crops import CropMatch, CropTarget, LightNote, crop_target, crop_targets, light_notes, match_crop
from ledcalc.photons.dimming import BestDimming, best_dimming
from ledcalc.photons.far_field import far_field_beam, far_field_intensity
from ledcalc.photons.field import ppfd_map, ppfd_per_flux
from ledcalc.photons.isoline_trace import Isoline, isolines
from ledcalc.photons.layout_bound import EvennessBound, evenness_bound
from ledcalc.photons.layout_grid import CropGrid, row_sources
from ledcalc.photons.layout_search import BestLayout, PitchLayout, best_pitch_and_height
from ledcalc.photons.lm63_photometry import Photometry
from ledcalc.photons.lm63_read import parse_lm63, read_lm63
from ledcalc.photons.lm63_write import write_lm63
from ledcalc.photons.photometry_curve import photopic_efficiency
from ledcalc.photons.prepared import PreparedRoom, RoomBalance
from ledcalc.photons.rail_moves import CropLight, RailMove, moved_rails
from ledcalc.photons.rings import ring_points, ring_sides
from ledcalc.photons.room import Opening, Room
from ledcalc.photons.schedule import DialOverLife, DimSchedule, dial_over_life, dim_schedule
from ledcalc.photons.source import LightSource
from ledcalc.photons.spectrum import Spectrum
from ledcalc.photons.spectrum_bands import (
    EfficacyClaim,
    LabelledFigure,
    SpectrumFigures,
    check_efficacy_claim,
    lux_from_ppfd,
    photon_flux_from_lumens,
    ppfd_from_lux,
    spectrum_figures,
)
from ledcalc.photons.spectrum_shapes import led_spectrum, mix_spectra, spectrum_of_leds
from ledcalc.ppfd.dose import (
    daily_light_integral,
    energy_per_mol_kwh,
    photon_efficacy,
    photons_per_joule,
    photoperiod_for_dose,
    ppfd_for_dose,
)
from ledcalc.ppfd.map_conditions import LightMap, MapComparison, MapConditions, compared_maps, normalised
from ledcalc.ppfd.statistics import GridStatistics, ppfd_grid_statistics, share_above

__all__ = [
    "Beam",
    "BestDimming",
    "BestLayout",
    "BoardArrangement",
    "BoardCount",
    "BoardFlux",
    "CanopyLight",
    "CropGrid",
    "CropLight",
    "CropMatch",
    "CropTarget",
    "DialOverLife",
    "DimSchedule",
    "EfficacyClaim",
    "EvennessBound",
    "GridStatistics",
    "HeightSpread",
    "Isoline",
    "LabelledFigure",
    "LightMap",
    "LightNote",
    "LightSource",
    "MaintenanceAt",
    "MaintenanceLife",
    "MaintenanceTest",
    "MapComparison",
    "MapConditions",
    "Opening",
    "Photometry",
    "PhotonMaintenance",
    "PitchLayout",
    "PreparedRoom",
    "RailMove",
    "Room",
    "RoomBalance",
    "Spectrum",
    "SpectrumFigures",
    "best_dimming",
    "best_pitch_and_height",
    "boards_for_target",
    "canopy_light",
    "check_efficacy_claim",
    "compared_maps",
    "crop_target",
    "crop_targets",
    "daily_light_integral",
    "dial_over_life",
    "dim_schedule",
    "energy_per_mol_kwh",
    "evenness_bound",
    "far_field_beam",
    "far_field_intensity",
    "gauss_per_flux",
    "isolines",
    "led_spectrum",
    "light_notes",
    "lux_from_ppfd",
    "maintenance_among_tests",
    "maintenance_at_temperature",
    "match_crop",
    "mix_spectra",
    "moved_rails",
    "normalised",
    "parse_lm63",
    "photon_efficacy",
    "photon_flux_from_lumens",
    "photons_per_joule",
    "photoperiod_for_dose",
    "photopic_efficiency",
    "ppfd_for_dose",
    "ppfd_from_lux",
    "ppfd_grid_statistics",
    "ppfd_map",
    "ppfd_per_flux",
    "read_lm63",
    "ring_points",
    "ring_sides",
    "row_sources",
    "share_above",
    "spectrum_figures",
    "spectrum_of_leds",
    "spread_by_height",
    "tm21_fit",
    "write_lm63",
]
