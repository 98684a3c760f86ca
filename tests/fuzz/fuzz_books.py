"""A workbook as plain rows that mutations change, and the package that such rows are packed into."""

import csv
import io
import zipfile
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from ledcalc.demo import DEMO_FOLDER
from ledcalc.schema import sheets
from ledcalc.workbook.grid import coordinate

# Sheet key -> rows of cells: None, a number, a text, or a Cell that is written as it says.
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
# What stands in the styles' order: as it comes, a percentage, a date.
PLAIN, PERCENT, DATE = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell written literally: the XML inside it, its type and style; ``text`` is what a CSV file has for it."""

    inside: str
    kind: str = "n"
    style: int = PLAIN
    text: str = ""


@dataclass(slots=True)
class Sheets:
    """What is written: rows a sheet, titles, and XML put into places of each sheet (``before`` and ``after`` rows)."""

    rows: dict
    titles: dict
    before: dict
    after: dict
    row_attributes: dict
    extra: list


def example():
    """The invented example as rows, with numbers as numbers."""
    rows, titles = {}, {}
    for part in sheets():
        path = DEMO_FOLDER / f"{part.key}.csv"
        if path.exists():
            with path.open(encoding="utf-8", newline="") as stream:
                rows[part.key] = [[_typed(text) for text in row] for row in csv.reader(stream)]
            titles[part.key] = part.title
    return Sheets(rows=rows, titles=titles, before={}, after={}, row_attributes={}, extra=[])


def _typed(text):
    try:
        return float(text)
    except ValueError:
        return text or None


def parts_of(book):
    """The package's parts, name and bytes, as a spreadsheet would write them in the barest form."""
    keys = list(book.rows)
    names = [f"xl/worksheets/sheet{number}.xml" for number in range(1, len(keys) + 1)]
    types = "".join(
        f'<Override PartName="/{name}" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.'
        'worksheet+xml"/>'
        for name in names
    )
    listed = "".join(
        f'<sheet name={quoteattr(book.titles[key])} sheetId="{number}" r:id="rId{number}"/>'
        for number, key in enumerate(keys, 1)
    )
    relations = "".join(
        f'<Relationship Id="rId{number}" Type="{OFFICE}/worksheet" Target="worksheets/sheet{number}.xml"/>'
        for number in range(1, len(keys) + 1)
    )
    found = [
        ("[Content_Types].xml", HEAD + CONTENT_TYPES.format(types=types)),
        ("_rels/.rels", HEAD + PACKAGE_RELATIONS),
        ("xl/workbook.xml", f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>{listed}</sheets></workbook>'),
        ("xl/_rels/workbook.xml.rels", f"{HEAD}{RELATIONS}{relations}{STYLES_RELATION}</Relationships>"),
        ("xl/styles.xml", HEAD + STYLES),
        *((name, sheet_xml(book, key)) for name, key in zip(names, keys, strict=True)),
        *book.extra,
    ]
    return [(name, text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text) for name, text in found]


def sheet_xml(book, key):
    """A worksheet, its texts inline."""
    attributes = book.row_attributes.get(key, {})
    lines = []
    for number, row in enumerate(book.rows[key], 1):
        cells = "".join(_cell(coordinate(number, column), value) for column, value in enumerate(row, 1))
        lines.append(f'<row r="{number}"{attributes.get(number, "")}>{cells}</row>')
    inside = book.before.get(key, "") + "<sheetData>" + "".join(lines)
    return (
        f'{HEAD}<worksheet xmlns="{MAIN}" xmlns:r="{OFFICE}">{inside}{book.after.get(key, "</sheetData>")}</worksheet>'
    )


def _cell(place, value):
    if value is None:
        return ""
    if isinstance(value, Cell):
        return f'<c r="{place}" s="{value.style}" t="{value.kind}">{value.inside}</c>'
    if isinstance(value, str):
        return f'<c r="{place}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
    return f'<c r="{place}"><v>{value:.17g}</v></c>'


def packed(parts):
    """A package of parts, doubled names and all."""
    import warnings

    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name, data in parts:
            package.writestr(zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def csv_texts(book):
    """File name -> text of a folder of CSV files."""
    found = {}
    for key, rows in book.rows.items():
        stream = io.StringIO()
        csv.writer(stream, lineterminator="\n").writerows([_text(value) for value in row] for row in rows)
        found[f"{key}.csv"] = stream.getvalue()
    return found


def _text(value):
    if value is None:
        return ""
    return value.text if isinstance(value, Cell) else value if isinstance(value, str) else f"{value:.12g}"


RELATIONS = f'<Relationships xmlns="{PACKAGE}/relationships">'
STYLES_RELATION = f'<Relationship Id="rIdS" Type="{OFFICE}/styles" Target="styles.xml"/>'
PACKAGE_RELATIONS = (
    f'{RELATIONS}<Relationship Id="rId1" Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
)
CONTENT_TYPES = (
    f'<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-'
    'package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName='
    '"/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.'
    'styles+xml"/>{types}</Types>'
)
STYLES = (
    f'<styleSheet xmlns="{MAIN}"><fonts count="1"><font><sz val="10"/><name val="Arial"/></font></fonts><fills '
    'count="1"><fill><patternFill patternType="none"/></fill></fills><borders count="1"><border/></borders>'
    '<cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="9"/>'
    '<xf numFmtId="14"/></cellXfs></styleSheet>'
)
