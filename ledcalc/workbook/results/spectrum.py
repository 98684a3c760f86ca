"""The page on the boards' spectra: figures by stated bands, the curve, what to mind."""

from __future__ import annotations

import numpy as np

from ledcalc.light_views import spectra_of
from ledcalc.photons import LabelledFigure, Spectrum, light_notes, spectrum_figures
from ledcalc.results import Evaluation
from ledcalc.workbook.results.pages import Block, CurveChart, Lines, Page, Shown, Table, col

__all__ = ["spectrum_page"]

FIGURE_COLUMNS = (
    col("Figure", width=58),
    col("Value", "", 3, 14),
    col("Unit", width=20),
    col("By which bands", width=70),
)
CURVE_COLUMNS = (col("Wavelength in nm", "", 0, 58), col("Power a nm, of its highest", "", 3, 14))


def spectrum_page(results: Evaluation) -> Page | None:
    """Return the boards' spectra with their figures; None where no board names one."""
    spectra = spectra_of(results.fixture)
    if not spectra:
        return None
    blocks: list[Block] = []
    for spectrum in spectra:
        rows = tuple(_figure_row(entry) for entry in spectrum_figures(spectrum).labelled())
        blocks += [
            Table(heading=f"Spectrum {spectrum.name}", columns=FIGURE_COLUMNS, rows=rows),
            _to_mind(results, spectrum),
            Table(heading=f"Curve of {spectrum.name}", columns=CURVE_COLUMNS, rows=_curve_rows(spectrum)),
            CurveChart(title=spectrum.name, across="wavelength in nm", up="power a nm, of its highest", curves=(1,)),
        ]
    lead = "What the boards' light is made of, each figure by its stated bands."
    return Page(title="Spectrum", lead=lead, blocks=blocks)


def _figure_row(entry: LabelledFigure) -> tuple[Shown, ...]:
    known = bool(np.isfinite(entry.value))
    unit = "" if entry.unit == "1" else entry.unit
    return (entry.label, entry.value if known else "not in the table", unit, entry.definition)


def _curve_rows(spectrum: Spectrum) -> tuple[tuple[Shown, ...], ...]:
    top = float(spectrum.radiant_w_per_nm.max())
    pairs = zip(spectrum.wavelength_nm, spectrum.radiant_w_per_nm, strict=True)
    return tuple((float(nm), float(watts) / top) for nm, watts in pairs)


def _to_mind(results: Evaluation, spectrum: Spectrum) -> Lines:
    notes = light_notes(
        ppfd=results.light.statistics.maximum, photoperiod_h=results.fixture.site.photoperiod_h, spectrum=spectrum
    )
    return Lines(
        heading="To mind", lines=tuple(f"{note.text[0].upper()}{note.text[1:]} ({note.basis})." for note in notes)
    )
