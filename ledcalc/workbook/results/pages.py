"""What a result sheet consists of, whatever it is written to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from ledcalc.arguments import FloatArray

__all__ = [
    "BarChart",
    "Block",
    "Chart",
    "Col",
    "CurveChart",
    "Fact",
    "Facts",
    "FieldMap",
    "FieldMaps",
    "Image",
    "Lines",
    "Page",
    "PointChart",
    "SheetBlock",
    "Shown",
    "Table",
    "col",
    "fact",
]

Shown: TypeAlias = float | int | str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Lines of text under an optional heading."""

    lines: tuple[str, ...]
    heading: str = ""
    bold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One figure: its name, value, unit, and a remark such as its limit or basis. ``digits`` after the point."""

    label: str
    value: Shown
    unit: str = ""
    remark: str = ""
    digits: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Figures one below the other."""

    heading: str
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Col:
    """A column: header, unit, digits after the point for numbers (None: as each comes), width in characters, whether
    its text links to a cell."""

    label: str
    unit: str = ""
    digits: int | None = 2
    width: int = 12
    is_link: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with a header row and a unit row; ``has_filters``: with the spreadsheet's own, one such table a page."""

    heading: str
    columns: tuple[Col, ...]
    rows: tuple[tuple[Shown, ...], ...]
    has_filters: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BarChart:
    """Bars of columns of the table just before it, and limits as a line from another; columns count from 0.

    ``beside``: a second column of bars; ``across``: what the categories are.
    """

    title: str
    axis: str
    category: int
    bars: int
    line: int | None = None
    beside: int | None = None
    across: str = "board"


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveChart:
    """Columns of the table just before it as curves over its first column; blanks are gaps."""

    title: str
    across: str
    up: str
    curves: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PointChart:
    """Columns ``ups`` of the table just before it as points over its column ``x``, the first joined by a line where
    ``is_joined``. ``least``: where the axes begin, across and up."""

    title: str
    across: str
    up: str
    x: int
    ups: tuple[int, ...]
    is_joined: bool
    least: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldMap:
    """The light field as cells: a row a y, a column an x, with boards as rectangles (x0, y0, x1, y1) in the same axes.

    ``digits`` after the point. ``scale``: the lowest and highest PPFD of the shading, where several maps stand on one;
    from below 0, of a difference. None: the map's own, with its profiles below it. NaN cells stay blank.
    """

    heading: str
    x_m: FloatArray
    y_m: FloatArray
    ppfd_umol_m2_s: FloatArray
    boards: tuple[tuple[float, float, float, float], ...]
    digits: int = 0
    scale: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldMaps:
    """Several light fields as cells on one colour scale, side by side where there is room."""

    heading: str
    maps: tuple[FieldMap, ...]
    lowest_umol_m2_s: float
    highest_umol_m2_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Image:
    """A picture (PNG) over the sheet, so large in inches, and what it shows in words."""

    heading: str
    png: bytes
    width_in: float
    height_in: float
    description: str


Chart: TypeAlias = BarChart | CurveChart | PointChart
Block: TypeAlias = Lines | Facts | Table | BarChart | CurveChart | PointChart | FieldMap
# What only a sheet has, beside what every report may have.
SheetBlock: TypeAlias = Block | FieldMaps | Image


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One result sheet; ``sheet_title``: what it is called in a workbook where that is not its own title."""

    title: str
    lead: str
    blocks: Sequence[SheetBlock]
    sheet_title: str = ""

    @property
    def shown_title(self) -> str:
        """What the sheet is called."""
        return self.sheet_title or self.title


def fact(label: str, value: Shown, unit: str = "", digits: int = 2, remark: str = "") -> Fact:
    """Return a figure."""
    return Fact(label=label, value=value, unit=unit, remark=remark, digits=digits)


def col(label: str, unit: str = "", digits: int = 2, width: int = 12) -> Col:
    """Return a column."""
    return Col(label=label, unit=unit, digits=digits, width=width)
