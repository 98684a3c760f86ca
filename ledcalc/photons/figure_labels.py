"""How the figures of a spectrum are called, in which unit, by which definition."""

from __future__ import annotations

__all__ = ["FIGURE_LABELS"]

_PPF_SHARE = "photons of the band over photons of 400-700 nm"

# Name of the figure: label, unit, definition.
FIGURE_LABELS: dict[str, tuple[str, str, str]] = {
    "ppf_umol_per_j": (
        "Photons a joule of light, 400-700 nm",
        "umol/J",
        "PPF over the radiant power of the whole table; the ceiling of the photon efficacy",
    ),
    "epar_umol_per_j": (
        "Photons a joule of light, 400-750 nm",
        "umol/J",
        "photons of 400-750 nm (ePAR) over the radiant power of the whole table",
    ),
    "ppf_per_epar_fraction": ("PPF against the 400-750 nm count", "1", "photons of 400-700 nm over 400-750 nm"),
    "lux_per_umol_m2_s": (
        "Lux per umol m-2 s-1",
        "lx per umol m-2 s-1",
        "683 lm/W x V(lambda) over the visible range, over photons of 400-700 nm",
    ),
    "luminous_lm_per_w": ("Lumens a watt of light", "lm/W", "luminous flux over the radiant power of the whole table"),
    "blue_per_ppf_fraction": ("Blue share of the PPF, 400-500 nm", "1", _PPF_SHARE),
    "green_per_ppf_fraction": ("Green share of the PPF, 500-600 nm", "1", _PPF_SHARE),
    "red_per_ppf_fraction": ("Red share of the PPF, 600-700 nm", "1", _PPF_SHARE),
    "far_red_to_750_per_ppf_fraction": ("Far red against the PPF, 700-750 nm", "1", _PPF_SHARE),
    "far_red_to_800_per_ppf_fraction": ("Far red against the PPF, 700-800 nm", "1", _PPF_SHARE),
    "ultraviolet_per_ppf_fraction": ("Ultraviolet against the PPF, from the table's start to 400 nm", "1", _PPF_SHARE),
    "red_to_far_red_narrow": (
        "Red to far red, narrow",
        "1",
        "photons of 655-665 nm over photons of 725-735 nm",
    ),
    "red_to_far_red_broad": ("Red to far red, broad", "1", "photons of 600-700 nm over photons of 700-800 nm"),
}
