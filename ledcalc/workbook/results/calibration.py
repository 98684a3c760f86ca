"""Result sheets of a calibration: what was found and how sure it is, every reading, the light maps side by side."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.calibrate import Calibration, MapCompared
from ledcalc.calibrate.words import agreement_lines, difference_rows, estimate_rows, remark_lists
from ledcalc.version import __version__
from ledcalc.workbook.results.pages import Facts, FieldMap, FieldMaps, Lines, Page, SheetBlock, Table, col, fact
from ledcalc.workbook.results.write import footer_text, write_pages

__all__ = ["calibration_pages", "write_calibration"]

PPFD_UNIT = "umol m-2 s-1"
# Digits after the point that a kind's readings are shown with.
DIGITS = {"current": 4, "whole current": 4, "voltage": 3, "output voltage": 3, "temperature": 1, "PPFD": 1}


def write_calibration(found: Calibration, path: str | os.PathLike[str]) -> None:
    """Write a calibration as result sheets: a workbook for a name ending in .xlsx, else a folder of CSV files.

    Parameters
    ----------
    found : from ``calibrate``
    path : where to; earlier results there are replaced, whole or not at all

    Raises
    ------
    FileProblem: the place cannot be written, or holds something that ledcalc did not write
    """
    write_pages(calibration_pages(found), path, footer=footer_text(found.fixture.name, __version__))


def calibration_pages(found: Calibration) -> list[Page]:
    """Return the pages of a calibration in their order."""
    pages = [_found_page(found), _readings_page(found)]
    if found.after.maps:
        pages.append(_light_page(found))
    return pages


def _found_page(found: Calibration) -> Page:
    blocks: list[SheetBlock] = [
        Lines(lines=agreement_lines(found), bold=True),
        _as_table("Values found, +- one standard error", estimate_rows(found), 46, 20),
        _as_table("How far readings are off their prediction, root mean square", difference_rows(found), 46, 20),
    ]
    blocks += [Lines(heading=title, lines=lines) for title, lines in remark_lists(found).items() if lines]
    lead = f"{found.readings_count} readings tell of {found.unknowns_count} values of the fixture and its meters."
    return Page(title="Calibration", lead=lead, blocks=blocks)


def _as_table(heading: str, rows: Sequence[Sequence[str]], first_width: int, width: int) -> Table:
    labels = [f"{label[:1].upper()}{label[1:]}" for label in rows[0]]
    columns = (col(labels[0], width=first_width), *(col(label, width=width) for label in labels[1:]))
    return Table(heading=heading, columns=columns, rows=tuple(tuple(row) for row in rows[1:]))


def _readings_page(found: Calibration) -> Page:
    before, after = found.before, found.after
    blocks: list[SheetBlock] = []
    for entry in after.kinds:
        digits = DIGITS[entry.kind]
        unit = next(unit for kind, unit in zip(after.kind, after.unit, strict=True) if kind == entry.kind)
        columns = (
            col(f"{entry.kind[:1].upper()}{entry.kind[1:]}", width=46),
            col("Rows", "", 0),
            col("Read, mean", unit, digits, 14),
            col("Predicted before", unit, digits, 16),
            col("Predicted after", unit, digits, 16),
            col("Read less predicted after", entry.unit, digits, 16),
            col("That in standard deviations", "", 1, 16),
        )
        rows = tuple(
            (
                after.place[n],
                after.readings_count[n],
                float(after.measured[n]),
                float(before.predicted[n]),
                float(after.predicted[n]),
                float(after.measured[n] - after.predicted[n]),
                float(after.normalised[n]),
            )
            for n in range(len(after.place))
            if after.kind[n] == entry.kind
        )
        blocks.append(Table(heading="", columns=columns, rows=rows))
    lead = "Every reading that was used beside its prediction, with what its meter repeats in all readings put in."
    return Page(title="Calibrated readings", lead=lead, blocks=blocks)


def _light_page(found: Calibration) -> Page:
    blocks = [block for one in found.after.maps for block in _map_blocks(one)]
    lead = "Light as read and as the calibrated fixture gives it, with the sensor's error put in."
    return Page(title="Calibrated light", lead=lead, blocks=blocks)


def _map_blocks(one: MapCompared) -> Iterator[SheetBlock]:
    name = f"{one.survey!r}, boards {one.height_m:.3g} m over the sensor"
    rings = zip(one.ring_sides_m, one.ring_measured_umol_m2_s, one.ring_predicted_umol_m2_s, strict=True)
    off = float(np.sqrt(np.mean(one.difference_umol_m2_s**2)))
    yield Facts(
        heading=name,
        facts=(
            fact("Mean of the readings", float(one.measured_umol_m2_s.mean()), PPFD_UNIT, 0),
            fact("Predicted at these points", float(one.predicted_umol_m2_s.mean()), PPFD_UNIT, 0),
            fact("Difference, root mean square", off, PPFD_UNIT, 1),
            *(
                fact(f"Square of {side:.2f} m, mean", float(read), PPFD_UNIT, 0, f"predicted {there:.0f}")
                for side, read, there in rings
            ),
        ),
    )
    x, y = np.unique(one.x_m), np.unique(one.y_m)
    if x.size * y.size != one.x_m.size or min(x.size, y.size) < 2:
        return
    order = np.lexsort((one.x_m, one.y_m))

    def field(heading: str, values: FloatArray, digits: int = 0) -> FieldMap:
        grid = values[order].reshape(y.size, x.size)
        return FieldMap(heading=heading, x_m=x, y_m=y, ppfd_umol_m2_s=grid, boards=(), digits=digits)

    both = np.concatenate([one.measured_umol_m2_s, one.predicted_umol_m2_s])
    low, high = float(both.min()), float(both.max())
    most = float(np.abs(one.difference_umol_m2_s).max())
    yield FieldMaps(
        heading=f"{name}: PPFD in {PPFD_UNIT} on one scale, palest {low:.0f}, darkest {high:.0f}",
        maps=(field("as read", one.measured_umol_m2_s), field("predicted", one.predicted_umol_m2_s)),
        lowest_umol_m2_s=low,
        highest_umol_m2_s=high,
    )
    yield FieldMaps(
        heading=f"{name}: how they differ, palest {-most:.1f}, darkest {most:.1f} {PPFD_UNIT}",
        maps=(field("read less predicted", one.difference_umol_m2_s, digits=1),),
        lowest_umol_m2_s=-most,
        highest_umol_m2_s=most,
    )
