"""A picture of the light field fit to publish: map, isolines, boards, figures and the conditions they hold under."""

from __future__ import annotations

import os
from typing import Any

import numpy as np

from ledcalc.errors import FileProblem
from ledcalc.results import Evaluation

__all__ = ["save_picture"]

# Ink on paper, light as warmth: dark where little falls.
INK, PAPER = "#22313a", "#fbfaf6"
SHADES = ("#fff8e6", "#f6dfae", "#e9bd6c", "#d39638", "#a96a1c")
LEVELS_COUNT = 8
ENDINGS = (".png", ".pdf", ".svg")


def save_picture(results: Evaluation, path: str | os.PathLike[str]) -> None:
    """Write the light field as a picture.

    Parameters
    ----------
    results : from ``evaluate``
    path : a name ending in .png, .pdf or .svg; a file there is replaced

    Raises
    ------
    FileProblem: another ending, no light to show, or the place cannot be written

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluate import evaluate
    >>> save_picture(evaluate(seedling_bench()), "field.txt")
    Traceback (most recent call last):
    ...
    ledcalc.errors.FileProblem: field.txt: give a name ending in .png, .pdf or .svg
    """
    target = os.fspath(path)
    if not target.lower().endswith(ENDINGS):
        raise FileProblem(f"{target}: give a name ending in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
    if not results.light.ppfd_umol_m2_s.max() > 0:
        raise FileProblem(f"{target}: there is no light to show")
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 6.4), dpi=150, facecolor=PAPER, layout="constrained")
    FigureCanvasAgg(figure)
    _field(figure, results)
    _words(figure, results)
    try:
        figure.savefig(target)
    except OSError as problem:
        raise FileProblem(f"{target}: {problem.strerror or problem}") from problem


def _field(figure: Any, results: Evaluation) -> None:
    from matplotlib.colors import LinearSegmentedColormap

    light, fixture = results.light, results.fixture
    axes = figure.add_subplot()
    field = light.ppfd_umol_m2_s
    shades = LinearSegmentedColormap.from_list("warmth", SHADES)
    drawn = axes.imshow(
        field,
        origin="lower",
        extent=(0.0, fixture.crop_width_m, 0.0, fixture.crop_depth_m),
        cmap=shades,
        vmin=0.0,
        interpolation="nearest",
        aspect="equal",
    )
    lines = axes.contour(light.x_m, light.y_m, field, LEVELS_COUNT, colors=INK, linewidths=0.7)
    axes.clabel(lines, fmt="%.0f", fontsize=8)
    for corners in _outlines(results):
        axes.fill(corners[:, 0], corners[:, 1], facecolor="none", edgecolor=INK, linewidth=1.6, hatch="//", alpha=0.8)
    axes.set_xlabel("x in m", color=INK)
    axes.set_ylabel("y in m", color=INK)
    axes.set_xlim(0.0, fixture.crop_width_m)
    axes.set_ylim(0.0, fixture.crop_depth_m)
    axes.tick_params(colors=INK)
    bar = figure.colorbar(drawn, ax=axes, shrink=0.8)
    bar.set_label("PPFD in umol m-2 s-1", color=INK)


def _outlines(results: Evaluation) -> list[np.ndarray[Any, np.dtype[np.float64]]]:
    """Return the corners of each board in the crop's axes, in m."""
    boards, fixture = results.boards, results.fixture
    found = []
    for n in range(len(boards.tag)):
        half = np.array([boards.width_m[n], boards.length_m[n]]) / 2.0
        corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
        turn = np.deg2rad(boards.rotation_deg[n])
        turned = corners @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        centre = np.array([boards.x_m[n] - fixture.crop_x_m, boards.y_m[n] - fixture.crop_y_m])
        found.append(turned + centre)
    return found


def _words(figure: Any, results: Evaluation) -> None:
    light, operating, fixture = results.light, results.operating, results.fixture
    statistics = light.statistics
    figure.suptitle(fixture.name, color=INK, fontsize=13, fontweight="bold")
    figures = (
        f"mean {statistics.mean:.0f}, lowest {statistics.minimum:.0f}, highest {statistics.maximum:.0f} umol m-2 s-1; "
        f"min/mean {statistics.min_over_mean:.2f} on {light.x_m.size} x {light.y_m.size} points; "
        f"DLI {light.dli_mean_mol_m2_d:.1f} mol m-2 d-1 in {fixture.site.photoperiod_h:g} h"
    )
    conditions = (
        f"{len(results.boards.tag)} boards {fixture.height_m:g} m over the canopy, "
        f"{light.photon_flux_umol_s:.0f} umol/s; {operating.current_a:.2f} A, {operating.voltage_v:.1f} V, "
        f"{operating.mains_power_w:.0f} W mains, {light.ac_efficacy_umol_per_j:.2f} umol/J AC; "
        f"settled in air of {operating.air_temperature_c:.0f} degC"
    )
    basis = f"predicted, not measured: {light.basis}; ledcalc {results.stamp.ledcalc_version}"
    figure.supxlabel(f"{figures}\n{conditions}\n{basis}", color=INK, fontsize=7.5)
