"""One look for all sheets: colours, cell formats, page set-up. Readable in grey print; nothing rests on colour
alone."""

from __future__ import annotations

import datetime
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ledcalc.version import __version__
from ledcalc.workbook.picture_shape import keep_pictures_in_shape

__all__ = [
    "BAR",
    "CHARACTERS_PER_WIDTH",
    "FIELD_DARK",
    "FIELD_LESS",
    "FIELD_LIGHT",
    "FONT",
    "INK",
    "LIMIT_LINE",
    "RULE",
    "Formats",
    "lock",
    "open_book",
    "set_up_page",
]

INK = "#22313A"
PAPER = "#FFFFFF"
HEAD_FILL = "#34505C"
UNIT_FILL = "#E7EAE6"
INPUT_FILL = "#FFF9E6"
RULE = "#B9BFB6"
# Pale beside what the user types, dark enough to read on paper.
EXAMPLE_INK = "#66727A"
BAR = "#5B7F8C"
LIMIT_LINE = "#22313A"
# Dark enough to tell apart in grey print, light enough for dark figures on it.
FIELD_LIGHT, FIELD_DARK, FIELD_LESS = "#FDFAEF", "#CF9334", "#7FA6B5"
FONT = "Arial"
# A column is as wide as so many digits; of a text more characters fit, its letters being narrower.
CHARACTERS_PER_WIDTH = 1.2
# A spreadsheet takes 255 characters for all three parts of a footer.
LONGEST_FOOTER = 100
# Fixed, so that the same input gives the same bytes.
CREATED = datetime.datetime(2026, 1, 1, 0, 0, 0)


class Formats:
    """The cell formats of one workbook, made once each."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def get(self, **properties: Any) -> Any:
        """Return the format with these properties over the common font."""
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            common = {"font_name": FONT, "font_size": 10, "font_color": INK, "valign": "top"}
            self._made[key] = self._book.add_format({**common, **properties})
        return self._made[key]

    @property
    def title(self) -> Any:
        """A sheet's title."""
        return self.get(bold=True, font_size=15)

    @property
    def hint(self) -> Any:
        """A line of explanation."""
        return self.get(italic=True)

    @property
    def heading(self) -> Any:
        """A heading within a sheet."""
        return self.get(bold=True, font_size=11, bottom=1, border_color=RULE)

    @property
    def head(self) -> Any:
        """A table's header cell."""
        return self.get(
            bold=True,
            font_color=PAPER,
            bg_color=HEAD_FILL,
            text_wrap=True,
            border=1,
            border_color=RULE,
            indent=1,
            align="left",
        )

    @property
    def unit(self) -> Any:
        """A table's unit cell."""
        return self.get(italic=True, bg_color=UNIT_FILL, border=1, border_color=RULE, indent=1, align="left")

    @property
    def input(self) -> Any:
        """A cell to fill in."""
        return self.get(bg_color=INPUT_FILL, border=1, border_color=RULE, locked=False)

    @property
    def input_text(self) -> Any:
        """A cell to fill in that holds text, set off from a number to its left."""
        return self.get(bg_color=INPUT_FILL, border=1, border_color=RULE, locked=False, indent=1, align="left")

    @property
    def long_input(self) -> Any:
        """A cell to fill in that may hold a long text."""
        return self.get(bg_color=INPUT_FILL, border=1, border_color=RULE, locked=False, text_wrap=True, align="left")

    @property
    def input_date(self) -> Any:
        """A cell to fill in with a date."""
        return self.get(
            bg_color=INPUT_FILL, border=1, border_color=RULE, locked=False, align="left", num_format="yyyy-mm-dd"
        )

    @property
    def free(self) -> Any:
        """A cell that may be filled in beyond those prepared for it."""
        return self.get(locked=False)

    @property
    def unit_choice(self) -> Any:
        """A unit cell with a list to choose from."""
        return self.get(
            italic=True, bg_color=UNIT_FILL, border=1, border_color=RULE, indent=1, align="left", locked=False
        )

    @property
    def example(self) -> Any:
        """An example of what to fill in."""
        return self.get(italic=True, font_color=EXAMPLE_INK, indent=1, align="left")

    @property
    def text(self) -> Any:
        """Wrapped text in a table."""
        return self.get(text_wrap=True, border=1, border_color=RULE, indent=1, align="left")

    @property
    def line(self) -> Any:
        """Wrapped text outside a table."""
        return self.get(text_wrap=True)

    def number(self, pattern: str) -> Any:
        """A number in a table."""
        return self.get(num_format=pattern, border=1, border_color=RULE, align="right")


def open_book(path: Path, fill: Callable[[Any, Formats], None], *, title: str) -> None:
    """Write a workbook: texts stay texts, nothing becomes a formula or a link by itself, bytes depend on the input."""
    import xlsxwriter

    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True}
    # Made whole in memory: where the disk is full, nothing is left open that would go on writing.
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, options)
    book.set_properties({"title": title, "comments": f"ledcalc {__version__}", "created": CREATED})
    fill(book, Formats(book))
    book.close()
    path.write_bytes(stream.getvalue())
    keep_pictures_in_shape(path)


def lock(sheet: Any) -> None:
    """Guard labels and results against slips of the hand: no password, and looks may be changed all the same."""
    allowed = ("objects", "scenarios", "format_cells", "format_columns", "format_rows", "insert_rows", "delete_rows")
    sheet.protect("", dict.fromkeys((*allowed, "sort", "autofilter"), True))


def set_up_page(
    sheet: Any, *, footer: str, repeat_to_row: int | None = None, pages_high: int = 0, pages_wide: int = 1
) -> None:
    """Print on A4 landscape, ``pages_wide``, ``pages_high`` (0: as many as it takes), with header rows repeated.

    On several pages side by side the first column is repeated too.
    """
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(pages_wide, pages_high)
    if pages_wide > 1:
        sheet.repeat_columns(0)
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.set_footer(f"&L{footer[:LONGEST_FOOTER].replace('&', '&&')}&C&A&RPage &P of &N")
    sheet.hide_gridlines(2)
    if repeat_to_row is not None:
        sheet.repeat_rows(0, repeat_to_row)
