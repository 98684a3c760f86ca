"""A report as one HTML file: nothing fetched, nothing run, prints as it stands."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator, Sequence
from html import escape
from typing import Any

from ledcalc.picture.scale import Scale
from ledcalc.report.contents import Section
from ledcalc.report.drawings import draw_chart, draw_map, light_scale, map_height_over_width
from ledcalc.workbook.results.pages import (
    BarChart,
    Chart,
    CurveChart,
    Facts,
    FieldMap,
    Lines,
    PointChart,
    Shown,
    Table,
)

__all__ = ["html_of"]

DOTS_PER_INCH = 130
WIDTH_IN = 7.0

STYLE = """
body { font: 15px/1.45 Arial, Helvetica, sans-serif; color: #22313A; background: #fff; max-width: 60em;
       margin: 2em auto; padding: 0 1em; }
h1 { font-size: 1.7em; border-bottom: 3px solid #34505C; padding-bottom: .2em; }
h2 { font-size: 1.25em; margin-top: 1.8em; border-bottom: 1px solid #B9BFB6; }
h3 { font-size: 1.05em; margin-bottom: .4em; }
table { border-collapse: collapse; margin: .6em 0 1em; }
th, td { border-bottom: 1px solid #B9BFB6; padding: .2em .7em .2em 0; text-align: left; vertical-align: top; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; }
.unit, .remark, .lead { color: #4a5a63; }
.wide { overflow-x: auto; }
.wide table { font-size: .8em; }
img { max-width: 100%; height: auto; }
figure { margin: 1em 0; }
@media print { body { max-width: none; margin: 0; font-size: 10pt; } h2, h3 { break-after: avoid; }
               tr, figure { break-inside: avoid; } .wide { overflow: visible; } }
"""


def html_of(title: str, sections: Sequence[Section]) -> str:
    """Return the report as an HTML document, pictures within it.

    Parameters
    ----------
    title : the fixture's name
    sections : from ``report_sections``
    """
    scale = light_scale(block for section in sections for block in section.blocks)
    body = "\n".join(line for section in sections for line in _section(section, scale))
    name = escape(title)
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{name}</title>\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n<h1>{name}</h1>\n{body}\n</body>\n</html>\n"
    )


def _section(section: Section, scale: Scale) -> Iterator[str]:
    yield f"<section>\n<h2>{escape(section.heading)}</h2>"
    if section.lead:
        yield f'<p class="lead">{escape(section.lead)}</p>'
    table: Table | None = None
    for block in section.blocks:
        if isinstance(block, BarChart | CurveChart | PointChart):
            if table is not None and table.rows:
                yield _chart(block, table)
        elif isinstance(block, FieldMap):
            yield _map(block, scale)
        else:
            table = block if isinstance(block, Table) else table
            yield from _words(block)
    yield "</section>"


def _words(block: Lines | Facts | Table) -> Iterator[str]:
    if block.heading:
        yield f"<h3>{escape(block.heading)}</h3>"
    if isinstance(block, Lines):
        yield from (f"<p>{escape(line)}</p>" for line in block.lines)
    elif isinstance(block, Facts):
        yield "<table>"
        for fact in block.facts:
            yield (
                f'<tr><th scope="row">{escape(fact.label)}</th>{_cell(fact.value, fact.digits)}'
                f'<td class="unit">{escape(fact.unit)}</td><td class="remark">{escape(fact.remark)}</td></tr>'
            )
        yield "</table>"
    else:
        yield '<div class="wide"><table>'
        yield f"<tr>{''.join(_head(column.label, column.unit) for column in block.columns)}</tr>"
        for row in block.rows:
            cells = (_cell(value, column.digits) for value, column in zip(row, block.columns, strict=True))
            yield f"<tr>{''.join(cells)}</tr>"
        yield "</table></div>"


def _head(label: str, unit: str) -> str:
    return f'<th scope="col">{escape(label)}{f"<br><span class=unit>{escape(unit)}</span>" if unit else ""}</th>'


def _cell(value: Shown, digits: int | None) -> str:
    if isinstance(value, str):
        return f"<td>{escape(value)}</td>"
    if value is None or value != value:
        return "<td></td>"
    return f'<td class="number">{f"{value:g}" if digits is None else f"{value:.{digits}f}"}</td>'


def _chart(chart: Chart, table: Table) -> str:
    def draw(figure: Any) -> None:
        draw_chart(figure.add_subplot(), chart, table)

    return _picture(draw, 3.2, chart.title)


def _map(block: FieldMap, scale: Scale) -> str:
    def draw(figure: Any) -> None:
        axes = figure.add_subplot()
        bar = figure.colorbar(draw_map(axes, block, scale=scale), ax=axes, shrink=0.9)
        bar.set_label("PPFD in umol m-2 s-1", fontsize=8)
        bar.ax.tick_params(labelsize=7)

    height = min(max(0.75 * WIDTH_IN * map_height_over_width(block) + 0.7, 2.2), 8.0)
    return _picture(draw, height, block.heading)


def _picture(draw: Any, height_in: float, caption: str) -> str:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH_IN, height_in), dpi=DOTS_PER_INCH, layout="constrained")
    FigureCanvasAgg(figure)
    draw(figure)
    stream = io.BytesIO()
    figure.savefig(stream, format="png", metadata={"Software": None})
    data = base64.b64encode(stream.getvalue()).decode("ascii")
    words = escape(caption, quote=True)
    return f'<figure><img alt="{words}" src="data:image/png;base64,{data}"><figcaption>{words}</figcaption></figure>'
