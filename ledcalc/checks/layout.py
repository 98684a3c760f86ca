"""The layout advice as a remedy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ledcalc.fixture import Fixture
from ledcalc.light_sources import crop_fields, crop_points, own_sources
from ledcalc.records import placed_boards, with_values
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["advised_layout"]


def advised_layout(fixture: Fixture, results: Evaluation, wanted: float) -> tuple[str, dict[str, Value]] | None:
    """Return the best layout as words and changes; None without advice, or where it is not as even as wanted.

    The advice gives every board the same light; here each keeps its own, so that the remedy holds.
    """
    advice = results.layout
    if advice is None or not advice.ranked or not advice.ranked[0].reaches_target:
        return None
    best = advice.ranked[0]
    pitches = {"row": best.row_pitch_m, "column": best.column_pitch_m}
    words = " and ".join([f"{name} pitch {pitch:.3f} m" for name, pitch in pitches.items() if np.isfinite(pitch)])
    said = f"by the layout advice: {words + ', ' if words else ''}boards {best.height_m:.3f} m over the canopy"
    if fixture.positions:
        return (said, {}) if best.min_over_mean_fraction >= wanted else None
    changes: dict[str, Value] = {"fixture.height_m": best.height_m}
    changes |= {f"fixture.{name}_pitch_m": pitch for name, pitch in pitches.items() if np.isfinite(pitch)}
    moved = with_values(fixture, changes)
    places = placed_boards(moved)
    boards = replace(
        results.boards,
        x_m=np.array([place.x_m for place in places]),
        y_m=np.array([place.y_m for place in places]),
        z_m=np.array([moved.canopy_height_m + float(place.height_m or 0.0) for place in places]),
    )
    points = crop_points(moved, *np.meshgrid(results.light.x_m, results.light.y_m))
    field = next(crop_fields(moved, own_sources(moved, boards), points, (0.0,)))
    return (said, changes) if field is not None and field.min() / field.mean() >= wanted else None
