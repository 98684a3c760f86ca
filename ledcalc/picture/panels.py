"""One map of a picture: shades, isolines with their levels, board outlines, rings; or readings as discs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.photons import Isoline, isolines
from ledcalc.picture.lettering import width_in
from ledcalc.picture.scale import Scale

__all__ = ["INK", "PAPER", "Ground", "Panel", "draw_panel", "shades"]

# Ink on paper, more light darker: so it stays in grey print.
INK, PAPER = "#22313a", "#fbfaf6"
SHADES = ("#fff8e6", "#f6dfae", "#e9bd6c", "#d39638", "#a96a1c")
LABEL_POINTS, TICK_POINTS = 7.0, 7.5
POINTS_PER_INCH = 72.0
LABEL_GAP_IN = 0.06
# Between two readings, as a share of the way: the disc's diameter.
DISC_SHARE, LARGEST_DISC_IN, LEAST_DISC_IN = 0.8, 0.34, 0.06


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What all maps of a picture share: the crop, the boards' corners in its axes, the rings' sides; in m."""

    width_m: float
    depth_m: float
    outlines_m: tuple[FloatArray, ...]
    ring_sides_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Panel:
    """A map on a grid (``ppfd_umol_m2_s`` a row a y), or readings at places (one an x and y), under its heading."""

    heading: str
    x_m: FloatArray
    y_m: FloatArray
    ppfd_umol_m2_s: FloatArray

    @property
    def is_grid(self) -> bool:
        """Whether it is a map, not readings."""
        return self.ppfd_umol_m2_s.ndim == 2


def shades() -> Any:
    """Return the colours from little light to much."""
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("warmth", SHADES)


def draw_panel(axes: Any, panel: Panel, ground: Ground, scale: Scale, size_in: tuple[float, float]) -> None:
    """Draw a map or readings on axes of a size in inches."""
    axes.set_facecolor(PAPER)
    axes.set_xlim(0.0, ground.width_m)
    axes.set_ylim(0.0, ground.depth_m)
    axes.set_xlabel("x in m", color=INK, fontsize=TICK_POINTS, labelpad=2.0)
    axes.set_ylabel("y in m", color=INK, fontsize=TICK_POINTS, labelpad=2.0)
    axes.tick_params(colors=INK, labelsize=TICK_POINTS, length=2.5)
    _few_ticks(axes, size_in)
    for spine in axes.spines.values():
        spine.set_color(INK)
    if panel.is_grid:
        _shaded(axes, panel, ground, scale)
        _lines(axes, panel, scale, np.array(size_in) / [ground.width_m, ground.depth_m])
    else:
        _readings(axes, panel, scale, np.array(size_in) / [ground.width_m, ground.depth_m])
    for corners in ground.outlines_m:
        axes.fill(corners[:, 0], corners[:, 1], facecolor="none", edgecolor=INK, linewidth=1.3, zorder=3)
    middle = np.array([ground.width_m, ground.depth_m]) / 2
    for side in ground.ring_sides_m:
        corners = middle + side / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        axes.fill(*corners.T, facecolor="none", edgecolor=INK, linewidth=0.8, linestyle=(0, (4, 3)), zorder=3)


def _few_ticks(axes: Any, size_in: tuple[float, float]) -> None:
    """Ask for no more ticks than have room: about one an inch across, one half an inch up."""
    from matplotlib.ticker import MaxNLocator

    axes.xaxis.set_major_locator(MaxNLocator(nbins=int(np.clip(size_in[0] / 0.75, 1, 8)), steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_locator(MaxNLocator(nbins=int(np.clip(size_in[1] / 0.4, 1, 8)), steps=[1, 2, 5, 10]))


def _shaded(axes: Any, panel: Panel, ground: Ground, scale: Scale) -> None:
    axes.imshow(
        panel.ppfd_umol_m2_s,
        origin="lower",
        extent=(0.0, ground.width_m, 0.0, ground.depth_m),
        cmap=shades(),
        vmin=scale.low,
        vmax=scale.high,
        interpolation="nearest",
        aspect="auto",
    )


def _lines(axes: Any, panel: Panel, scale: Scale, inches_per_m: FloatArray) -> None:
    """Draw the isolines, and their levels where one does not come over another."""
    field = panel.ppfd_umol_m2_s
    levels = scale.levels(float(field.min()), float(field.max()))
    found = isolines(panel.x_m, panel.y_m, field, levels) if levels else []
    taken: list[tuple[FloatArray, float]] = []
    for line in sorted(found, key=lambda line: -len(line.x_m)):
        axes.plot(line.x_m, line.y_m, color=INK, linewidth=0.7, zorder=2)
        text = scale.shown(line.level)
        place = _place_for(line, width_in(text, LABEL_POINTS) / 2 + LABEL_GAP_IN, inches_per_m, taken, axes)
        if place is not None:
            _level(axes, text, place[0] / inches_per_m, place[1])


def _place_for(
    line: Isoline, half_in: float, inches_per_m: FloatArray, taken: list[tuple[FloatArray, float]], axes: Any
) -> tuple[FloatArray, float] | None:
    """Return where along a line its level goes (in inches) and how it is turned (in deg); None: no room."""
    points = np.column_stack([line.x_m, line.y_m]) * inches_per_m
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    if along[-1] < 3.0 * half_in:
        return None
    most = np.array([axes.get_xlim()[1], axes.get_ylim()[1]]) * inches_per_m
    for share in (0.5, 0.3, 0.7, 0.4, 0.6, 0.2, 0.8, 0.1, 0.9):
        at = share * along[-1]
        middle, before, after = (_on(points, along, at + shift) for shift in (0.0, -half_in, half_in))
        inside = (middle > half_in).all() and (middle < most - half_in).all()
        if inside and all(np.hypot(*(middle - other)) > half_in + reach for other, reach in taken):
            taken.append((middle, half_in))
            turn = float(np.rad2deg(np.arctan2(*(after - before)[::-1])))
            return middle, (turn + 90.0) % 180.0 - 90.0
    return None


def _on(points: FloatArray, along: FloatArray, at: float) -> FloatArray:
    return np.array([np.interp(at, along, points[:, axis]) for axis in (0, 1)])


def _level(axes: Any, text: str, place: FloatArray, turn_deg: float) -> None:
    axes.text(
        *place,
        text,
        fontsize=LABEL_POINTS,
        color=INK,
        rotation=turn_deg,
        rotation_mode="anchor",
        ha="center",
        va="center_baseline",
        path_effects=_halo(),
        zorder=4,
        gid="level",
    )


def _readings(axes: Any, panel: Panel, scale: Scale, inches_per_m: FloatArray) -> None:
    """Draw each reading as a disc in its shade, its figure on it where the discs have room for that."""
    places = np.column_stack([panel.x_m, panel.y_m]) * inches_per_m
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    apart[apart < 1e-9] = np.inf
    disc = float(np.clip(DISC_SHARE * apart.min(), LEAST_DISC_IN, LARGEST_DISC_IN))
    axes.scatter(
        panel.x_m,
        panel.y_m,
        s=(disc * POINTS_PER_INCH) ** 2,
        c=panel.ppfd_umol_m2_s,
        cmap=shades(),
        vmin=scale.low,
        vmax=scale.high,
        edgecolors=INK,
        linewidths=0.6,
        zorder=4,
        clip_on=False,
    )
    texts = [f"{value:.0f}" for value in panel.ppfd_umol_m2_s]
    if max(width_in(text, LABEL_POINTS) for text in texts) > disc:
        return
    for x, y, text in zip(panel.x_m, panel.y_m, texts, strict=True):
        look = {"fontsize": LABEL_POINTS, "color": INK, "path_effects": _halo(), "zorder": 5, "gid": "level"}
        axes.text(x, y, text, ha="center", va="center", **look)


def _halo() -> list[Any]:
    from matplotlib.patheffects import withStroke

    return [withStroke(linewidth=2.2, foreground=PAPER)]
