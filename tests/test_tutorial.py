"""The tutorial, followed as it is printed: commands run, cells typed, every answer and figure held against it."""

import re
import shlex
from pathlib import Path

import openpyxl
import pytest

import ledcalc.docs
from ledcalc.cells import addin
from ledcalc.cli import main
from ledcalc.docs.cells import formula_answer

TUTORIAL = Path(ledcalc.docs.__file__).parent / "tutorial.md"
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$|^\|([^\n]+)\|\n\|[-|]+\|\n((?:\|[^\n]+\|\n)+)", re.MULTILINE | re.DOTALL)
EXIT_STATUS = re.compile(r"# exit status (\d)")


class Reader:
    """Follows the tutorial block by block."""

    def __init__(self, capsys):
        self.capsys = capsys
        self.said = ""
        self.names = {}
        self.done = dict.fromkeys(("sh", "text", "cell", "python", "Cell", "Line"), 0)

    def sh(self, body):
        for line in body.splitlines():
            words = shlex.split(line, comments=True)
            assert words[0] == "ledcalc"
            wanted = EXIT_STATUS.search(line)
            assert main(words[1:]) == (int(wanted.group(1)) if wanted else 0), line
        self.said = "".join(self.capsys.readouterr())

    def python(self, body):
        exec(compile(body, "tutorial.md", "exec"), self.names)
        self.said = self.capsys.readouterr().out

    def text(self, body):
        """What was said holds these lines, in this order; how wide a library prints an array is its own affair."""
        lines = iter(" ".join(line.split()) for line in self.said.splitlines())
        for wanted in (" ".join(line.split()) for line in body.splitlines()):
            assert wanted in lines, f"{wanted!r} is not in\n{self.said}"

    def cell(self, body):
        for line in body.splitlines():
            formula, shown = re.split(r" {3,}", line)
            answer = formula_answer(formula)
            assert answer == shown if isinstance(answer, str) else rounded_like(shown, answer) == shown, line

    def typed(self, rows):
        """Cells of the workbook that the spreadsheet would have open."""
        book = openpyxl.load_workbook("bench.xlsx")
        for sheet, cell, before, after in rows:
            assert str(book[sheet][cell].value) == before, (sheet, cell)
            book[sheet][cell] = float(after) if re.fullmatch(r"[\d.]+", after) else after
        book.save("bench.xlsx")

    def figures(self, rows):
        book = openpyxl.load_workbook("bench-results.xlsx")
        for sheet, label, figure in rows:
            shown, _, unit = figure.partition(" ")
            line = next(row for row in book[sheet].iter_rows(values_only=True) if row[0] == label)
            assert rounded_like(shown, line[1]) == shown, (sheet, label, line[1])
            assert (line[2] or "") == unit, (sheet, label)


def rounded_like(shown, value):
    """Return a number with as many places as the one that is printed."""
    return f"{value:.{len(shown.partition('.')[2])}f}"


def cells_of(text):
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in text.splitlines()]


@pytest.fixture
def reader(tmp_path, monkeypatch, capsys):
    """In a folder of its own; LibreOffice is left alone (tests/cells has the add-in in a fresh profile)."""
    monkeypatch.chdir(tmp_path)
    calls = []
    monkeypatch.setattr(addin, "install_addin", lambda path: calls.append(Path(path).suffix))
    monkeypatch.setattr(addin, "remove_addin", lambda: calls.append("removed"))
    follower = Reader(capsys)
    follower.addin_calls = calls
    return follower


def follow(reader, text):
    for kind, body, heads, rows in BLOCK.findall(text):
        if kind:
            getattr(reader, kind)(body)
            reader.done[kind] += 1
        else:
            what = cells_of(heads)[0][1]
            {"Cell": reader.typed, "Line": reader.figures}[what](cells_of(rows))
            reader.done[what] += 1


def test_the_whole_tutorial_goes_as_it_is_printed(reader):
    follow(reader, TUTORIAL.read_text(encoding="utf-8"))
    assert min(reader.done.values()) >= 1, reader.done
    assert reader.addin_calls == [".oxt", "removed"]
    assert Path("bench.before.xlsx").exists()
    assert "Verdict (result)" in openpyxl.load_workbook("bench.xlsx").sheetnames
    label, title = re.search(r"""`=VLOOKUP\("(.+?)",'(.+?)'!A:B,2,FALSE\)`""", TUTORIAL.read_text("utf-8")).groups()
    rows = openpyxl.load_workbook("bench.xlsx")[title].iter_rows(max_col=2, values_only=True)
    assert [value for name, value in rows if name == label] == [pytest.approx(176, abs=60)]


def test_part_two_stands_alone(reader):
    """In an empty folder, as it says at its head."""
    follow(reader, TUTORIAL.read_text(encoding="utf-8").split("## Part two")[1])
    assert reader.done["python"] >= 5


@pytest.mark.usefixtures("reader")
def test_commands_named_in_passing_are_commands():
    """Those in running text too, on the example."""
    text = re.sub(r"^```.*?^```$", "", TUTORIAL.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
    named = {line for line in re.findall(r"`(ledcalc [^`]+)`", text) if "blank bench.xlsx" not in line}
    assert len(named) >= 4
    main(["blank", "bench.xlsx", "--example"])
    for line in sorted(named):
        assert main(shlex.split(line)[1:]) == 0, line


@pytest.mark.parametrize(
    ("start", "right", "wrong"),
    [
        ("### 1.", "min/mean | 0.54 |", "min/mean | 0.55 |"),
        ("### 1.", "| B18 | 0.28 | 0.49 |", "| B18 | 0.29 | 0.49 |"),
        ("### 7.", "     0.0356", "     0.0357"),
        ("### 1.", "is 0.54 on the map's", "is 0.53 on the map's"),
    ],
)
def test_a_wrong_figure_would_be_found(reader, start, right, wrong):
    part = TUTORIAL.read_text(encoding="utf-8").split("## Part two")[0]
    text = part[part.index(start) :]
    assert right in text
    with pytest.raises(AssertionError):
        follow(reader, text.replace(right, wrong))


def test_links_between_pages_lead_somewhere():
    pages = [*TUTORIAL.parent.glob("*.md"), *(TUTORIAL.parents[2] / name for name in ("README.md", "DEVELOPERS.md"))]
    for page in pages:
        if not page.exists():
            continue
        for link in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
            assert link.startswith("http") or (page.parent / link).exists(), f"{page.name}: {link}"
