"""Light: sources, the PPFD field, its statistics, efficacy and dose.

What most evaluations never ask for loads when it is asked for; ``__init__.pyi`` has every name with its type.
"""

from ledcalc.later import loading
from ledcalc.photons.beams import Beam, gauss_per_flux
from ledcalc.photons.board_flux import BoardFlux
from ledcalc.photons.field import ppfd_map, ppfd_per_flux
from ledcalc.photons.prepared import PreparedRoom, RoomBalance
from ledcalc.photons.room import Opening, Room
from ledcalc.photons.source import LightSource
from ledcalc.photons.spectrum import Spectrum
from ledcalc.ppfd.dose import (
    daily_light_integral,
    energy_per_mol_kwh,
    photon_efficacy,
    photons_per_joule,
    photoperiod_for_dose,
    ppfd_for_dose,
)
from ledcalc.ppfd.statistics import GridStatistics, ppfd_grid_statistics, share_above

# Module -> the names that it is loaded for.
LATER = {
    "ageing": (
        "MaintenanceLife",
        "PhotonMaintenance",
        "maintenance_at_temperature",
        "tm21_fit",
    ),
    "ageing_tests": (
        "MaintenanceAt",
        "MaintenanceTest",
        "maintenance_among_tests",
    ),
    "board_arrangement": ("BoardArrangement",),
    "board_count": (
        "BoardCount",
        "boards_for_target",
    ),
    "canopy": (
        "CanopyLight",
        "HeightSpread",
        "canopy_light",
        "spread_by_height",
    ),
    "crops": (
        "CropMatch",
        "CropTarget",
        "LightNote",
        "crop_target",
        "crop_targets",
        "light_notes",
        "match_crop",
    ),
    "dimming": (
        "BestDimming",
        "best_dimming",
    ),
    "far_field": (
        "far_field_beam",
        "far_field_intensity",
    ),
    "isoline_trace": (
        "Isoline",
        "isolines",
    ),
    "layout_bound": (
        "EvennessBound",
        "evenness_bound",
    ),
    "layout_grid": (
        "CropGrid",
        "row_sources",
    ),
    "layout_search": (
        "BestLayout",
        "PitchLayout",
        "best_pitch_and_height",
    ),
    "lm63_photometry": ("Photometry",),
    "lm63_read": (
        "parse_lm63",
        "read_lm63",
    ),
    "lm63_write": ("write_lm63",),
    "rail_moves": (
        "CropLight",
        "RailMove",
        "moved_rails",
    ),
    "photometry_curve": ("photopic_efficiency",),
    "rings": (
        "ring_points",
        "ring_sides",
    ),
    "schedule": (
        "DialOverLife",
        "DimSchedule",
        "dial_over_life",
        "dim_schedule",
    ),
    "spectrum_bands": (
        "EfficacyClaim",
        "LabelledFigure",
        "SpectrumFigures",
        "check_efficacy_claim",
        "lux_from_ppfd",
        "photon_flux_from_lumens",
        "ppfd_from_lux",
        "spectrum_figures",
    ),
    "spectrum_shapes": (
        "led_spectrum",
        "mix_spectra",
        "spectrum_of_leds",
    ),
    # Of the folder beside this one.
    ".ppfd.map_conditions": ("LightMap", "MapComparison", "MapConditions", "compared_maps", "normalised"),
}

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

__getattr__, __dir__ = loading(__name__, LATER)
