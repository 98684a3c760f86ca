"""The reference pages are what the schema, the rules and the tables make of them now."""

import ast
import dataclasses
import doctest
import importlib
import inspect
import shutil
import textwrap

import pytest

from ledcalc.cells import cell_functions
from ledcalc.cells.calling import ERROR
from ledcalc.docs import cells
from ledcalc.docs.cells import examples, formula_answer
from ledcalc.docs.formulas import formula_lines
from ledcalc.docs.pictures import PICTURES, make_pictures
from ledcalc.docs.reference import FOLDER, PAGES
from ledcalc.docs.source_reading import Documented, signature_text
from ledcalc.docs.theory import CHAPTERS, chapter_of


@pytest.mark.parametrize("name", PAGES)
def test_reference_page_is_up_to_date(name):
    """If this fails: python -m ledcalc.docs.reference."""
    assert (FOLDER / name).read_text(encoding="utf-8") == PAGES[name]()


def test_every_cell_function_has_an_entry_and_every_example_an_answer():
    page = PAGES["cells.md"]()
    for function in cell_functions():
        assert f"### {function.name}\n" in page
        assert all(f"| {argument.name} |" in page for argument in function.arguments)
    assert set(examples()) <= {function.name for function in cell_functions()}
    for formula in examples().values():
        assert formula in page
        assert not str(formula_answer(formula)).startswith(ERROR), formula


def test_a_cell_function_without_an_example_is_shown_with_cells():
    function = next(entry for entry in cell_functions() if entry.name == "LC_BOARD_VOLTS")
    assert cells._by_cells(function) == "=LC_BOARD_VOLTS(A2, D2:D9, G2:G9)"


def test_every_command_and_option_is_on_the_page():
    page = PAGES["commands.md"]()
    assert page.count("\n## ") >= 11
    for words in ("`--into`", "`--out OUT` (needed)", "`--addin FILE.oxt`"):
        assert words in page


def test_every_public_name_is_on_the_page_of_functions():
    page = PAGES["functions.md"]()
    for folder in ("wiring", "circuit", "heat", "photons", "bench", "cost", "fabrication"):
        package = importlib.import_module(f"ledcalc.{folder}")
        offered = [name for name in package.__all__ if not name.isupper()]
        assert [name for name in offered if f"**{name}**" not in page and f"- `{name}`" not in page] == []
    assert "`board_temperature(power_w [W], thermal_resistance_k_per_w [K/W], *, ambient_c=25.0 [degC]," in page


def test_every_source_named_in_a_formula_is_on_the_theory_page():
    page = PAGES["theory.md"]()
    for folder in ("wiring", "circuit", "heat", "photons", "bench", "cost", "fabrication"):
        package = importlib.import_module(f"ledcalc.{folder}")
        for name in package.__all__:
            text = inspect.getdoc(getattr(package, name)) or ""
            if "References\n---" in text:
                assert f"### {name}\n" in page, name
    for chapter in CHAPTERS:
        title = (FOLDER / "chapters" / f"{chapter}.md").read_text(encoding="utf-8").splitlines()[0]
        assert f"\n#{title}\n" in page
    assert {path.stem for path in (FOLDER / "chapters").glob("*.md")} == set(CHAPTERS)


@pytest.mark.parametrize(
    ("place", "chapter"),
    [("photons/ageing_of_tomorrow", "ageing"), ("wiring/new", "wiring"), ("room_of_tomorrow/new", "whole")],
)
def test_modules_to_come_find_a_chapter(place, chapter):
    assert chapter_of(place) == chapter


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_examples_in_chapters_run(chapter):
    path = FOLDER / "chapters" / f"{chapter}.md"
    assert doctest.testfile(str(path), module_relative=False).failed == 0


def _found(text):
    node = ast.parse(textwrap.dedent(text)).body[0]
    return Documented(name=node.name, place="heat/new", node=node, sentence="", sections={}, constants={"LEAST": "2.0"})


def test_arithmetic_is_shown_without_checks_and_with_its_constants():
    found = _found('''
        def warmth(power_w, resistance):
            """Return."""
            choice("kind", power_w, KINDS)
            power = numbers("power_w", power_w, at_least=0)
            return answer(np.sqrt(power) * LEAST**2 + resistance)
    ''')
    assert formula_lines(found) == ["warmth = sqrt(power_w) * LEAST ^ 2 + resistance", "LEAST = 2.0"]


def test_loops_and_look_ups_are_not_shown_as_arithmetic():
    assert formula_lines(_found('def f(a):\n    """Return."""\n    return sum(x * 2 for x in a)')) == []
    assert (
        formula_lines(_found('def f(a):\n    """Return."""\n    for x in a:\n        a = a + x\n    return a * 2'))
        == []
    )


def test_units_stand_behind_arguments_by_name_or_by_docstring():
    found = _found("def f(power_w, ppfd, ohm_per_m, lm_per_umol_s, *, share_fraction=LEAST): ...")
    told = dataclasses.replace(found, sections={"Parameters": "ppfd : umol m-2 s-1, at least 0"})
    shown = "f(power_w [W], ppfd [umol m-2 s-1], ohm_per_m, lm_per_umol_s, *, share_fraction=2.0)"
    assert signature_text(told) == shown


def test_pictures_are_small_and_shown():
    readme = (FOLDER.parents[1] / "README.md").read_text(encoding="utf-8")
    assert {path.name for path in (FOLDER / "pictures").iterdir()} == set(PICTURES)
    for name in PICTURES:
        assert (FOLDER / "pictures" / name).stat().st_size < 120_000
        assert f"(ledcalc/docs/pictures/{name})" in readme


@pytest.mark.slow
@pytest.mark.libreoffice
@pytest.mark.skipif(
    not shutil.which("soffice") or not shutil.which("pdftoppm"), reason="needs libreoffice-calc and poppler-utils"
)
def test_pictures_are_made_from_the_example(tmp_path):
    make_pictures(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == set(PICTURES)
    assert all(10_000 < path.stat().st_size < 120_000 for path in tmp_path.iterdir())
