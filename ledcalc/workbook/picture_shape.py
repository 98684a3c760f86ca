"""Pictures in a workbook keep their shape: they are given a size, not the cells that they end in."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

__all__ = ["keep_pictures_in_shape"]

# As xlsxwriter writes them: the size in EMU stands in the picture itself too.
TWO_CELLS = re.compile(
    rb'<xdr:twoCellAnchor editAs="absolute">(<xdr:from>.*?</xdr:from>)<xdr:to>.*?</xdr:to>'
    rb"(<xdr:pic>.*?<a:ext (cx=\"\d+\" cy=\"\d+\")/>.*?</xdr:pic><xdr:clientData/>)</xdr:twoCellAnchor>"
)
ONE_CELL = rb"<xdr:oneCellAnchor>\1<xdr:ext \3/>\2</xdr:oneCellAnchor>"


def keep_pictures_in_shape(path: Path) -> None:
    """Anchor the pictures of a workbook that xlsxwriter made by one cell; without pictures it stays as it is.

    By two cells a picture is stretched wherever the columns come out otherwise, as with another font than the
    workbook's: by a third, as measured in LibreOffice.
    """
    with zipfile.ZipFile(path) as archive:
        if not any(name.startswith("xl/media/") for name in archive.namelist()):
            return
        parts = [(entry, archive.read(entry)) for entry in archive.infolist()]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, content in parts:
            is_drawing = entry.filename.startswith("xl/drawings/drawing")
            archive.writestr(entry, TWO_CELLS.sub(ONE_CELL, content) if is_drawing else content)
