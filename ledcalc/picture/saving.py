"""Pictures of the light field, as files or as bytes to be embedded."""

from __future__ import annotations

import io
import os
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import FileProblem
from ledcalc.evaluation.light import light_over_crop
from ledcalc.light_sources import all_sources
from ledcalc.light_taken import taken_readings
from ledcalc.light_views import AtHeight, along_rings, at_heights, hung_sources
from ledcalc.picture.lettering import MISSING_LETTERS
from ledcalc.picture.panels import Ground, Panel
from ledcalc.picture.scale import scale_of
from ledcalc.picture.sheet import DOTS_PER_INCH, figure_of
from ledcalc.picture.words import PPFD_UNIT, conditions_of, figures_of, heights_in_words, rests_on
from ledcalc.results import Evaluation, LightSurvey
from ledcalc.version import __version__

__all__ = ["DrawnPicture", "drawn_picture", "save_heights_picture", "save_picture"]

ENDINGS = (".png", ".pdf", ".svg")
USUAL_FACTORS = (0.6, 1.0, 1.6)
MOST_HEIGHTS = 6
# Points along the longer and, at least, the shorter side.
LONG_COUNT, LEAST_COUNT = 80, 20
SAME_HEIGHT_M = 0.0005


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPicture:
    """A picture as PNG, its size in inches, and what it shows in a sentence."""

    png: bytes
    width_in: float
    height_in: float
    description: str


def save_picture(results: Evaluation, path: str | os.PathLike[str]) -> None:
    """Write the light field as a picture; a light survey at the boards' height stands beside it on the same scale.

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
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> save_picture(evaluate(seedling_bench()), "field.txt")
    Traceback (most recent call last):
    ...
    ledcalc.errors.FileProblem: field.txt: give a name ending in .png, .pdf or .svg
    """
    target = _checked(results, path)
    _save(field_figure(results), target)


def save_heights_picture(
    results: Evaluation, path: str | os.PathLike[str], *, heights_m: Sequence[float] | None = None
) -> None:
    """Write the light field at several heights of the boards as one picture, all maps on one scale.

    Parameters
    ----------
    results : from ``evaluate``
    path : as ``save_picture``
    heights_m : m, above 0: heights of the boards over the canopy, up to six; None: 0.6, 1 and 1.6 times the fixture's

    Raises
    ------
    FileProblem: as ``save_picture``, or more heights than have room, or all of them above the room's ceiling
    ArgumentError (a ValueError): a height that is not above 0
    """
    target = _checked(results, path)
    own = results.fixture.height_m
    wanted = [own * factor for factor in USUAL_FACTORS] if heights_m is None else list(heights_m)
    heights = np.unique(numbers("heights_m", wanted, above=0)).tolist()
    if not 0 < len(heights) <= MOST_HEIGHTS:
        raise FileProblem(f"{target}: {len(heights)} heights; 1 to {MOST_HEIGHTS} have room in one picture")
    factors = [height / own for height in heights]
    if not at_heights(results, factors):
        raise FileProblem(f"{target}: every height asked for puts the boards above the ceiling")
    _save(heights_figure(results, factors), target)


def drawn_picture(results: Evaluation) -> DrawnPicture | None:
    """Return the picture of ``save_picture`` as bytes; None where there is no light to show."""
    if not results.light.ppfd_umol_m2_s.max() > 0:
        return None
    figure, stream = field_figure(results), io.BytesIO()
    _draw(figure, stream, "png")
    statistics, fixture = results.light.statistics, results.fixture
    width, height = (float(size) for size in figure.get_size_inches())
    return DrawnPicture(
        png=stream.getvalue(),
        width_in=width,
        height_in=height,
        description=f"Map of the PPFD over the crop of {fixture.crop_width_m:g} by {fixture.crop_depth_m:g} m with "
        f"isolines and the outlines of {len(results.boards.tag)} boards {fixture.height_m:g} m above it: mean "
        f"{statistics.mean:.0f}, lowest {statistics.minimum:.0f}, highest {statistics.maximum:.0f} {PPFD_UNIT}; "
        "figures and conditions in words below.",
    )


def _checked(results: Evaluation, path: str | os.PathLike[str]) -> str:
    target = os.fspath(path)
    if not target.lower().endswith(ENDINGS):
        raise FileProblem(f"{target}: give a name ending in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
    if not results.light.ppfd_umol_m2_s.max() > 0:
        raise FileProblem(f"{target}: there is no light to show")
    return target


def field_figure(results: Evaluation) -> Any:
    """Return the figure of the field as the boards hang, beside it a survey at that height."""
    fixture, (x, y) = results.fixture, _fine_axes(results)
    field = light_over_crop(fixture, hung_sources(results), *np.meshgrid(x, y))
    heading = f"Predicted, boards {fixture.height_m:g} m over the canopy"
    panels, survey = [Panel(heading=heading, x_m=x, y_m=y, ppfd_umol_m2_s=field)], _survey(results)
    if survey is not None:
        panels.append(_measured(results, survey))
    words = figures_of(results, survey), conditions_of(results, (fixture.height_m,))
    return _on_one_scale(results, panels, words)


def heights_figure(results: Evaluation, factors: Sequence[float]) -> Any:
    """Return the maps drawn finely, under figures of the map's own points as the sheets have them."""
    x, y = _fine_axes(results)
    views, fine = at_heights(results, factors), at_heights(results, factors, axes_m=(x, y))
    panels = [
        Panel(
            heading=f"{view.height_m:g} m: mean {view.mean_umol_m2_s:.0f}, min/mean {view.min_over_mean_fraction:.2f}",
            x_m=x,
            y_m=y,
            ppfd_umol_m2_s=drawn.ppfd_umol_m2_s,
        )
        for view, drawn in zip(views, fine, strict=True)
    ]
    return _on_one_scale(results, panels, (heights_in_words(views), conditions_of(results, _heights(views))))


def _heights(views: Sequence[AtHeight]) -> tuple[float, ...]:
    return tuple(view.height_m for view in views)


def _fine_axes(results: Evaluation) -> tuple[FloatArray, FloatArray]:
    """Return columns and rows of a grid finer than the map's, the centres of even cells, for shades and lines."""
    sides = np.array([results.fixture.crop_width_m, results.fixture.crop_depth_m])
    counts = np.maximum(np.round(LONG_COUNT * sides / sides.max()), LEAST_COUNT).astype(int)
    x, y = ((np.arange(count) + 0.5) * side / count for count, side in zip(counts, sides, strict=True))
    return x, y


def _survey(results: Evaluation) -> LightSurvey | None:
    """Return the last survey taken with the boards as high as they hang."""
    height = results.fixture.height_m
    taken = [survey for survey in results.surveys if abs(survey.height_m - height) < SAME_HEIGHT_M]
    return taken[-1] if taken else None


def _measured(results: Evaluation, survey: LightSurvey) -> Panel:
    """Return the readings over the crop as a map, its heading saying how many of them lie beyond it."""
    kept = {row for one in results.surveys for row in one.rows}
    beyond = sum(
        one.reading.survey == survey.survey and row not in kept
        for row, one in enumerate(taken_readings(results.fixture))
    )
    said = f", {beyond} of them beyond the crop" if beyond else ""
    heading = f"Measured: {survey.survey}, {survey.statistics.reading_count + beyond} readings{said}"
    return Panel(heading=heading, x_m=survey.x_m, y_m=survey.y_m, ppfd_umol_m2_s=survey.ppfd_umol_m2_s)


def _on_one_scale(results: Evaluation, panels: Sequence[Panel], words: Any) -> Any:
    low = min(float(panel.ppfd_umol_m2_s.min()) for panel in panels)
    high = max(float(panel.ppfd_umol_m2_s.max()) for panel in panels)
    columns, rows = panels[0].x_m.size, panels[0].y_m.size
    basis = rests_on(results, (columns, rows))
    return figure_of(results.fixture.name, panels, _ground(results), scale_of(low, high), words, basis)


def _ground(results: Evaluation) -> Ground:
    fixture = results.fixture
    corner = np.array([fixture.crop_x_m, fixture.crop_y_m])
    rings = along_rings(results) if fixture.ring_step_m is not None else ()
    return Ground(
        width_m=fixture.crop_width_m,
        depth_m=fixture.crop_depth_m,
        outlines_m=tuple(
            source.corners()[:, :2] - corner for source in all_sources(results.fixture, hung_sources(results))
        ),
        ring_sides_m=tuple(ring.side_m for ring in rings),
    )


def _save(figure: Any, target: str) -> None:
    try:
        _draw(figure, target, target.rpartition(".")[2].lower())
    except OSError as problem:
        raise FileProblem(f"{target}: {problem.strerror or problem}") from problem


def _draw(figure: Any, target: Any, kind: str) -> None:
    """Draw the figure; bytes depend on the input only."""
    from matplotlib import rc_context

    own = f"ledcalc {__version__}"
    data = {
        "png": {"Software": own},
        "pdf": {"Creator": own, "CreationDate": None},
        "svg": {"Creator": own, "Date": None},
    }
    with rc_context({"svg.hashsalt": "ledcalc"}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=MISSING_LETTERS)
        figure.savefig(target, format=kind, dpi=DOTS_PER_INCH, metadata=data[kind], facecolor=figure.get_facecolor())
