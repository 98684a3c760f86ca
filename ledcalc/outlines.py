"""Where the boards are in space, those of fixtures beside this one too: names, corners, axes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.fixture import Fixture
from ledcalc.results import BoardResults

__all__ = ["Outlines", "outlines_of"]

# Sides of the face, going round, as parts of width and length.
ROUND = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outlines:
    """An entry a board, fixture after fixture; m, room axes.

    ``tag`` names the fixture too where the board is not this one's; ``fixture``: 0 for this one, then those beside it.
    ``axes``: unit vectors as rows, along the width, along the length, and the way the face looks; ``corners_m`` go
    round the face.
    """

    tag: tuple[str, ...]
    fixture: np.ndarray[tuple[int, ...], np.dtype[np.intp]]
    centres_m: FloatArray
    sizes_m: FloatArray
    axes: FloatArray
    corners_m: FloatArray


def outlines_of(fixture: Fixture, boards: BoardResults) -> Outlines:
    """Return the boards of all fixtures."""
    others = fixture.other_fixtures
    shifts = np.array([(0.0, 0.0, 0.0), *((one.shift_x_m, one.shift_y_m, one.height_change_m) for one in others)])
    own = np.column_stack([boards.x_m, boards.y_m, boards.z_m])
    turn, tilt = np.deg2rad(boards.rotation_deg), np.deg2rad(boards.tilt_deg)
    level, none = np.column_stack([np.cos(turn), np.sin(turn), 0.0 * turn]), 0.0 * turn
    up = np.array([0.0, 0.0, 1.0])
    along = np.column_stack([-np.sin(turn), np.cos(turn), none])
    across = level * np.cos(tilt)[:, None] + up * np.sin(tilt)[:, None]
    outward = level * np.sin(tilt)[:, None] - up * np.cos(tilt)[:, None]
    sizes = np.column_stack([boards.width_m, boards.length_m])
    offsets = ROUND[None, :, :, None] * sizes[:, None, :, None] * np.stack([across, along], axis=1)[:, None]
    corners = own[:, None] + offsets.sum(axis=2)
    count = len(shifts)
    return Outlines(
        tag=(*boards.tag, *(f"{tag} of {one.tag}" for one in others for tag in boards.tag)),
        fixture=np.repeat(np.arange(count), len(boards.tag)),
        centres_m=(shifts[:, None] + own).reshape(-1, 3),
        sizes_m=np.tile(sizes, (count, 1)),
        axes=np.tile(np.stack([across, along, outward], axis=1), (count, 1, 1)),
        corners_m=(shifts[:, None, None] + corners).reshape(-1, 4, 3),
    )
