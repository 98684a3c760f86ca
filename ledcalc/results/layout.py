"""The layout advice: what the search over pitch and height found."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LayoutAdvice", "LayoutFigures"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutFigures:
    """One layout and its light on the map's points; pitches NaN for a single row or column, or where there are none.

    ``utilisation_fraction``: of the flux of all boards in the room. ``reaches_target``: whether its mean does.
    """

    row_pitch_m: float
    column_pitch_m: float
    height_m: float
    mean_umol_m2_s: float
    minimum_umol_m2_s: float
    min_over_mean_fraction: float
    utilisation_fraction: float
    reaches_target: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutAdvice:
    """The best layout at each height, the best of all first, beside today's; none where ``reason`` says why not.

    Every board gives ``board_photon_flux_umol_s``, the mean of today's. ``method``: how layouts were looked for;
    ``note``: what the best falls short of.
    """

    reason: str
    rows_count: int
    columns_count: int
    board_photon_flux_umol_s: float
    target_umol_m2_s: float
    target_basis: str
    today: LayoutFigures
    ranked: tuple[LayoutFigures, ...]
    layouts_count: int
    method: str
    note: str
