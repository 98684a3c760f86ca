"""A block of a page as rows of a CSV file."""

from __future__ import annotations

import numpy as np

from ledcalc.workbook.results.pages import Facts, FieldMap, FieldMaps, Image, Lines, Shown, Table
from ledcalc.workbook.results.picture import PICTURE_IN_FOLDER

__all__ = ["block_rows"]


def block_rows(block: object) -> list[list[Shown]]:
    """Return a block's rows, the first one empty; none of a chart."""
    rows: list[list[Shown]] = [[]]
    if isinstance(block, Lines):
        rows += [[block.heading]] if block.heading else []
        rows += [[line] for line in block.lines]
    elif isinstance(block, Facts):
        rows += [[block.heading]]
        rows += [[fact.label, fact.value, fact.unit, fact.remark] for fact in block.facts]
    elif isinstance(block, Table):
        rows += [[block.heading]] if block.heading else []
        rows += [[column.label for column in block.columns], [column.unit for column in block.columns]]
        rows += [list(row) for row in block.rows]
    elif isinstance(block, FieldMap):
        rows += _map_rows(block)
    elif isinstance(block, FieldMaps):
        rows += [[block.heading], *(row for one in block.maps for row in _map_rows(one))]
    elif isinstance(block, Image):
        rows += [[block.heading], [PICTURE_IN_FOLDER]]
    else:
        return []
    return rows


def _map_rows(block: FieldMap) -> list[list[Shown]]:
    rows: list[list[Shown]] = [[block.heading], ["y in m, x in m", *(float(x) for x in block.x_m)]]
    rows += np.column_stack([block.y_m, block.ppfd_umol_m2_s])[::-1].tolist()
    return rows
