"""The Excel functions, against xlwings' own code with the Windows modules stood in for. Excel itself was not tried.

What is stood in for is private to xlwings, so its version is pinned here: another one skips these tests.
"""

import json
import subprocess
import sys

import pytest
import xlwings

pytestmark = pytest.mark.skipif(
    not xlwings.__version__.startswith("0.37."), reason="stands in for the insides of xlwings 0.37"
)
SCRIPT = """
import io, json, sys, types
for name in ("pythoncom", "pywintypes", "win32com", "win32com.client", "win32api", "win32con", "win32gui",
             "win32timezone", "winerror", "win32com.server", "win32com.server.util", "win32com.server.dispatcher",
             "win32com.server.policy"):
    module = sys.modules[name] = types.ModuleType(name)
    module.__getattr__ = lambda attribute: type(attribute, (), {"__init__": lambda self, *a, **k: None})
sys.modules["pywintypes"].com_error = type("com_error", (Exception,), {})
sys.modules["pythoncom"].CoInitialize = lambda: None
import xlwings
from xlwings import udfs
xlwings.func, xlwings.arg = udfs.xlfunc, udfs.xlarg
import ledcalc.cells.excel as excel
book = types.SimpleNamespace(Name="bench.xlsm")
text = io.StringIO()
udfs.generate_vba_wrapper("ledcalc.cells.excel", excel, text, book)
about = excel.LC_WIRE_DROP.__xlfunc__
exported = [name for name in dir(excel) if hasattr(getattr(excel, name), "__xlfunc__")]
read = {argument["name"]: argument["options"] for argument in about["args"]}
print(json.dumps({
    "vba": text.getvalue(), "exported": exported, "doc": about["ret"]["doc"], "category": about["category"],
    "args": [[a["name"], a["doc"], "optional" in a] for a in about["args"]], "read": read,
    "range": excel.LC_DLI([[100.0], [200.0]], [[16.0]]), "blank": excel.LC_DLI([[None]], [[16.0]]),
}))
"""


@pytest.fixture(scope="module")
def seen():
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_every_function_of_the_registry_is_exported_and_none_else(seen):
    from ledcalc.cells import cell_functions

    assert seen["exported"] == sorted(function.name for function in cell_functions())


def test_the_wrapper_that_excel_gets_names_the_arguments(seen):
    assert "Function LC_DLI(ppfd, hours)" in seen["vba"]
    assert (
        "Function LC_WIRE_DROP(current, length, size, Optional conductor_c, Optional conductors, Optional stranding, "
        "Optional rule_set)" in seen["vba"]
    )
    assert 'XLPy.CallUDF("ledcalc.cells.excel", "LC_DLI"' in seen["vba"]


def test_the_wizard_gets_help_and_units(seen):
    assert seen["doc"] == "Voltage drop of a run, out and back, in V"
    assert seen["args"][1] == ["length", "One-way length, m", False]
    assert seen["args"][3] == ["conductor_c", "(optional) Conductor temperature, degC; blank: 20", True]


def test_ranges_are_read_as_rows_and_error_cells_as_text(seen):
    assert all(options == {"ndim": 2, "err_to_str": True} for options in seen["read"].values())


def test_called_as_excel_calls_them(seen):
    assert seen["range"] == [[5.76], [11.52]]
    assert seen["blank"] == "LC error: give ppfd (PPFD, umol m-2 s-1)"
