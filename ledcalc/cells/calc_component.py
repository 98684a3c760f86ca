"""The LibreOffice Calc add-in's one component. It runs in LibreOffice's own Python and knows the registry as JSON.

This file is packed into the add-in as it stands; it may not import ledcalc at its top, for that lives in another
environment: in the same process where the Python versions agree, else behind a worker process.
"""

import json
import os
import subprocess
import sys

import uno
import unohelper
from com.sun.star.lang import Locale, XLocalizable, XServiceInfo, XServiceName
from com.sun.star.sheet import XAddIn

IMPLEMENTATION = "LEDCALC"
SERVICE = "com.sun.star.sheet.AddIn"
INTERFACE = "ledcalc.cells.XFunctions"
ERROR = "LC error: "


def _folder():
    place = __file__
    return os.path.dirname(uno.fileUrlToSystemPath(place) if place.startswith("file:") else os.path.abspath(place))


def _facts(name):
    with open(os.path.join(_folder(), name), encoding="utf-8") as stream:
        return json.load(stream)


FUNCTIONS = {entry["name"]: entry for entry in _facts("functions.json")}


class _Engine:
    """Calls the library: in this process, or in a worker of the environment that it lives in."""

    def __init__(self):
        self._call = None
        self._worker = None

    def call(self, name, arguments):
        try:
            if self._call is None:
                self._call = self._connect()
            return self._call(name, arguments)
        except Exception as problem:  # whatever it is, the cell has to say so
            self._call = None
            return ERROR + " ".join(str(problem).split())

    def _connect(self):
        engine = _facts("engine.json")
        if list(sys.version_info[:2]) == engine["version"]:
            sys.path.extend(entry for entry in engine["path"] if entry not in sys.path)
            from ledcalc.cells.calling import call_cell

            return call_cell
        self._worker = subprocess.Popen(
            [engine["python"], "-P", "-m", "ledcalc.cells.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=dict(os.environ, PYTHONPATH=os.pathsep.join(engine["path"]), PYTHONHOME=""),
        )
        return self._ask

    def _ask(self, name, arguments):
        self._worker.stdin.write(json.dumps([name, arguments]).encode() + b"\n")
        self._worker.stdin.flush()
        line = self._worker.stdout.readline()
        if not line:
            raise RuntimeError("the worker process has ended; recalculate to start it again")
        return json.loads(line)


ENGINE = _Engine()


def _shown(answer):
    """Return what Calc takes: rows of cells; a lone answer is a row of one."""
    return tuple(tuple(row) for row in answer) if isinstance(answer, list) else ((answer,),)


def _method(name):
    def called(self, *arguments):
        return _shown(ENGINE.call(name, [list(map(list, a)) if isinstance(a, tuple) else a for a in arguments]))

    called.__name__ = name
    return called


class CellFunctions(unohelper.Base, XAddIn, XLocalizable, XServiceName, XServiceInfo):
    """What Calc asks: names, help, and each function under its own name."""

    def __init__(self, context):
        self._locale = Locale("en", "US", "")

    def getTypes(self):
        # While the add-in is put in, its own interface is not known yet: it cannot be a base class.
        return (*super().getTypes(), uno.getTypeByName(INTERFACE))

    def getProgrammaticFuntionName(self, shown):
        return shown if shown in FUNCTIONS else ""

    def getDisplayFunctionName(self, name):
        return name if name in FUNCTIONS else ""

    def getFunctionDescription(self, name):
        return FUNCTIONS[name]["description"] if name in FUNCTIONS else ""

    def getDisplayArgumentName(self, name, number):
        return self._argument(name, number, "name")

    def getArgumentDescription(self, name, number):
        return self._argument(name, number, "description")

    def _argument(self, name, number, what):
        arguments = FUNCTIONS.get(name, {}).get("arguments", [])
        return arguments[number][what] if number < len(arguments) else ""

    def getProgrammaticCategoryName(self, name):
        return "Add-In"

    def getDisplayCategoryName(self, name):
        return "Add-In"

    def setLocale(self, locale):
        self._locale = locale

    def getLocale(self):
        return self._locale

    def getServiceName(self):
        return IMPLEMENTATION

    def getImplementationName(self):
        return IMPLEMENTATION

    def supportsService(self, name):
        return name in self.getSupportedServiceNames()

    def getSupportedServiceNames(self):
        return (SERVICE, IMPLEMENTATION)


for _name in FUNCTIONS:
    setattr(CellFunctions, _name, _method(_name))

g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(CellFunctions, IMPLEMENTATION, (SERVICE,))
