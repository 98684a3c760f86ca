"""The house rules that a machine can hold: imports point down, files and functions stay small, names say their unit."""

import ast
import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import ledcalc
from ledcalc.units import name_unit

ROOT = Path(ledcalc.__file__).parent
FILES = sorted(path for path in ROOT.rglob("*.py") if "__pycache__" not in path.parts)
REPOSITORY = Path(__file__).parents[2]

# Layer of each module or folder; an import must point to a lower number, or stay within its own folder.
LAYERS = {
    "version": 0.0,
    "errors": 0.0,
    "later": 0.0,
    "arguments": 0.1,
    "units": 0.1,
    "tables": 1.0,
    "schema": 1.0,
    "ppfd": 1.0,
    "wiring": 2.0,
    "circuit": 2.0,
    "heat": 2.0,
    "photons": 2.0,
    "bench": 2.0,
    "cost": 2.0,
    "fabrication": 2.0,
    "fixture": 3.0,
    "findings": 3.0,
    "results": 3.1,
    "records": 3.1,
    "model_curves": 3.1,
    "light_sources": 3.2,
    "light_taken": 3.2,
    "outlines": 3.2,
    "owning": 3.2,
    "checks": 4.0,
    "evaluation": 5.0,
    "building": 5.2,
    "light_views": 5.2,
    "layout_views": 5.2,
    "group_shares": 5.2,
    "light_files": 5.3,
    "picture": 5.3,
    "variants": 6.0,
    "calibrate": 6.0,
    "workbook": 7.0,
    "demo": 7.1,
    "explain": 7.1,
    "report": 7.2,
    "streams": 7.2,
    "live": 7.3,
    "cells": 8.0,
    "commands": 8.9,
    "cli": 9.0,
    "__init__": 9.0,
    "__main__": 9.1,
    "docs": 9.2,
}
# Names whose unit is the trade's own word for the quantity, or that have none.
NAMES_WITHOUT_SUFFIX = {
    "mean",
    "position",
    "sensor_factor",
    "minimum",
    "maximum",
    "min_over_mean",
    "min_over_max",
    "coefficient_of_variation",
    "area_weighted_mean",
}


def room(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return parts[0]


def imported_rooms(path: Path) -> set[str]:
    rooms = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
            if node.module == "ledcalc":
                names = [f"ledcalc.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "ledcalc":
                rooms.add(parts[1] if len(parts) > 1 else "__init__")
    return rooms


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_imports_point_down(path):
    own = room(path)
    for other in imported_rooms(path):
        if other != own:
            assert LAYERS[other] < LAYERS[own], f"{own} imports {other}"


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_files_and_functions_stay_small(path):
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 300
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            if body:
                assert body[-1].end_lineno - body[0].lineno + 1 <= 40, node.name


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_no_relative_import_and_no_type_checking_escape(path):
    text = path.read_text(encoding="utf-8")
    assert "TYPE_CHECKING" not in text
    assert not re.search(r"^\s*from \.", text, re.MULTILINE)


@pytest.mark.parametrize("path", [path for path in FILES if room(path) in {"results", "fixture"}], ids=name_of)
def test_numbers_in_results_and_inputs_name_their_unit(path):
    numeric = re.compile(r"^    (\w+): (?:float|FloatArray)\b", re.MULTILINE)
    exempt = {"ppfd", "loop_gain", "parts_cost", "energy_cost", "energy_cost_per_day", "energy_cost_per_mol"}
    exempt |= {
        "canopy_photons_mol",
        "ambient_factor",
        "fans_off_factor",
        "grouping_factor",
        "cosine_exponent",
        "intensity",
        "resolution",
        "zero_offset",
    }
    exempt |= {"quantity", "price", "value"} | NAMES_WITHOUT_SUFFIX
    money = re.compile(r"(?:\w+_)?(?:cost|shipping)(?:_per_\w+)?$")
    for name in numeric.findall(path.read_text(encoding="utf-8")):
        assert name in exempt or money.match(name) or name_unit(name) is not None, name


def test_importing_the_package_loads_numpy_at_most():
    heavy = {"scipy", "pandas", "openpyxl", "xlwings", "xlsxwriter", "matplotlib", "tqdm", "defusedxml"}
    code = "import sys, ledcalc; print(' '.join(sorted({name.split('.')[0] for name in sys.modules})))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not heavy & set(loaded)


def test_every_public_name_exists_and_is_documented():
    for name in ledcalc.__all__:
        thing = getattr(ledcalc, name)
        assert name == "__version__" or thing.__doc__, name


def test_top_level_of_the_repository():
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "ledcalc", "workbooks", "tests", "examples"}
    listed = subprocess.run(["git", "ls-files"], cwd=REPOSITORY, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    names = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in names if not name.startswith(".")} <= allowed


@pytest.mark.parametrize("folder", ["", "photons", "bench", "variants"])
def test_names_that_load_later_are_those_that_the_stub_types(folder):
    """``__init__.pyi`` is what type checkers read, ``__init__.py`` what runs."""
    package = importlib.import_module(f"ledcalc.{folder}".rstrip("."))
    tree = ast.parse((ROOT / folder / "__init__.pyi").read_text(encoding="utf-8"))
    imports = [node for node in tree.body if isinstance(node, ast.ImportFrom)]
    typed = {alias.name for node in imports if node.module != "ledcalc" for alias in node.names}
    assert typed == set(package.__all__)
    assert typed <= set(dir(package))
    # A module of a name's own name would take its place once loaded.
    assert not typed & {path.stem for path in FILES if path.parent == ROOT / folder}
    for name in typed - {"__version__"}:
        assert getattr(package, name).__name__ == name


def test_modules_are_there_without_being_imported():
    tree = ast.parse((ROOT / "__init__.pyi").read_text(encoding="utf-8"))
    typed = {
        alias.name
        for node in tree.body
        if isinstance(node, ast.ImportFrom) and node.module == "ledcalc"
        for alias in node.names
    }
    folders = {path.parent.name for path in ROOT.glob("*/__init__.py")}
    assert folders <= typed <= set(dir(ledcalc))
    code = f"import ledcalc; print(*(getattr(ledcalc, name).__name__ for name in {sorted(typed)}))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.split() == [f"ledcalc.{name}" for name in sorted(typed)]
    with pytest.raises(AttributeError, match="module 'ledcalc' has no attribute 'nothing'"):
        _ = ledcalc.nothing
