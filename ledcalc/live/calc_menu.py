"""The menu entry of the LibreOffice Calc add-in: recalculates the workbook in front.

This file runs in LibreOffice's own Python and is packed into the add-in as it stands: the library is asked through a
worker process of the environment that it lives in, which stays at hand for the next time.
"""

import json
import os
import subprocess
import sys
import threading

import uno
import unohelper
from com.sun.star.awt.MessageBoxType import INFOBOX, WARNINGBOX
from com.sun.star.task import XJobExecutor

IMPLEMENTATION = "ledcalc.live.Recalculate"
TIME_LIMIT_S = 300.0


def _folder():
    place = __file__
    return os.path.dirname(uno.fileUrlToSystemPath(place) if place.startswith("file:") else os.path.abspath(place))


sys.path.append(_folder())
from calc_book import CalcBook  # noqa: E402 (packed beside this file)


class _Library:
    """Asks the library in a process of its own, started at the first question."""

    def __init__(self):
        self._worker = None
        with open(os.path.join(_folder(), "engine.json"), encoding="utf-8") as stream:
            self.facts = json.load(stream)

    def ask(self, found):
        if self._worker is None or self._worker.poll() is not None:
            self._worker = subprocess.Popen(
                [self.facts["python"], "-P", "-m", "ledcalc.live.worker"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                env=dict(os.environ, PYTHONPATH=os.pathsep.join(self.facts["path"]), PYTHONHOME=""),
            )
        limit = threading.Timer(TIME_LIMIT_S, self._worker.kill)
        limit.start()
        try:
            self._worker.stdin.write(json.dumps(found).encode() + b"\n")
            self._worker.stdin.flush()
            line = self._worker.stdout.readline()
        finally:
            limit.cancel()
        if not line:
            raise RuntimeError("the worker process has ended, or took too long")
        return json.loads(line)


LIBRARY = _Library()


class Recalculate(unohelper.Base, XJobExecutor):
    """Called by the menu entry."""

    def __init__(self, context):
        self._context = context

    def trigger(self, _):
        desktop = self._context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", self._context)
        document = desktop.getCurrentComponent()
        if document is None or not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            return
        book = CalcBook(document, desktop, LIBRARY.facts["own_name"], LIBRARY.facts["title_mark"])
        try:
            answer = LIBRARY.ask(book.read())
            book.show(answer)
            _tell(document, answer["message"], INFOBOX)
        except Exception as problem:  # whatever it is, the user has to be told
            _tell(document, "ledcalc: " + " ".join(str(problem).split()), WARNINGBOX)


def _tell(document, text, kind):
    """Show a message over the document's window; nobody sees one that has no window."""
    controller = document.getCurrentController()
    window = controller.getFrame().getContainerWindow() if controller is not None else None
    if window is not None and window.isVisible():
        window.getToolkit().createMessageBox(window, kind, 1, "ledcalc", text).execute()


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Recalculate, IMPLEMENTATION, (IMPLEMENTATION,))
