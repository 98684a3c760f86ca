"""What must hold whatever the input: refused in words or finite figures, in time and memory, nothing changed."""

import hashlib
import json
import math
import re
import resource
import signal
import stat
import traceback
import zipfile
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import ledcalc as lc
from ledcalc.errors import FileProblem, InputErrors, LedcalcError
from ledcalc.workbook.csv_folder import FORMULA_STARTS
from ledcalc.workbook.results import evaluation_as_dict

MOST_SECONDS = 10.0
# What waits for something that never comes takes no processor time.
MOST_SECONDS_WAITING = 60.0
MOST_BYTES = 500_000_000
LONGEST_MESSAGE = 5_000_000
NUMBER = re.compile(r"-?[\d.]+(e[+-]?\d+)?")


class TookTooLong(BaseException):
    """The time is up; no ``except Exception`` holds it back."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a case went. ``failure``: why it must not be so, empty where all is well."""

    outcome: str
    failure: str = ""


def judge(path, out=None, *, same_as=None):
    """Read and evaluate an input, write its results where ``out`` is given; return how that went.

    ``same_as``: the fixture that must come of it.
    """
    before = tree_hash(path.parent)
    try:
        with limits():
            outcome = _tried(path, out, same_as)
    except TookTooLong:
        return Verdict("", f"took more than {MOST_SECONDS:.0f} s\n{traceback.format_exc(limit=-6)}")
    except Exception:
        return Verdict("", traceback.format_exc(limit=-8))
    if outcome.failure:
        return outcome
    if tree_hash(path.parent) != before:
        return Verdict("", "the input was changed")
    return Verdict(outcome.outcome, _outputs_wrong(out) if out is not None and out.exists() else "")


def _tried(path, out, same_as):
    try:
        fixture = lc.read_workbook(path)
        results = lc.evaluate(fixture) if out is None else lc.recalculate(path, out)
    except LedcalcError as problem:
        return _refused(problem, path, out, same_as)
    json.dumps(evaluation_as_dict(results), allow_nan=False)
    odd = _odd_figures(results)
    if odd:
        return Verdict("", f"not finite: {odd}")
    if same_as is not None and fixture != same_as:
        return Verdict("", "reads as something else than it did in another form")
    return Verdict("results")


def _odd_figures(results):
    return [name for name, value in results.summary().items() if isinstance(value, float) and math.isinf(value)]


def _refused(problem, path, out, same_as):
    text = str(problem)
    text.encode()
    if same_as is not None:
        return Verdict("", f"refused, though it is the same in another form: {text[:2000]}")
    if "MemoryError" in text or "RecursionError" in text:
        return Verdict("", text[:2000])
    if len(text) > LONGEST_MESSAGE:
        return Verdict("", f"a message of {len(text):,} characters: {text[:300]}")
    if isinstance(problem, InputErrors):
        if out is not None:
            _rest_tried(path, out)
        return Verdict("bad cells")
    return Verdict("bad file" if isinstance(problem, FileProblem) else type(problem).__name__)


def _rest_tried(path, out):
    """What the bad cells leave is worked out as well, or not, but never fails in another way."""
    try:
        lc.recalculate(path, out)
    except LedcalcError as problem:
        str(problem).encode()


@contextmanager
def limits():
    """Time, processor time and memory of what is done within."""
    handlers = [
        (signal.SIGALRM, signal.ITIMER_REAL, MOST_SECONDS_WAITING),
        (signal.SIGPROF, signal.ITIMER_PROF, MOST_SECONDS),
    ]
    old = resource.getrlimit(resource.RLIMIT_AS)
    taken, resident = _memory_bytes()
    previous = []
    try:
        resource.setrlimit(resource.RLIMIT_AS, (taken + max(MOST_BYTES - resident, MOST_BYTES // 2), old[1]))
        for number, timer, seconds in handlers:
            previous.append((number, signal.signal(number, _time_is_up)))
            signal.setitimer(timer, seconds)
        yield
    finally:
        for _, timer, _ in handlers:
            signal.setitimer(timer, 0)
        for number, handler in previous:
            signal.signal(number, handler)
        resource.setrlimit(resource.RLIMIT_AS, old)


def _time_is_up(_number, _frame):
    raise TookTooLong


def _memory_bytes():
    taken, resident = Path("/proc/self/statm").read_text().split()[:2]
    return int(taken) * resource.getpagesize(), int(resident) * resource.getpagesize()


def tree_hash(folder):
    """A hash of all that lies in a folder: names, kinds and contents; results' own folder left out."""
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        kind = path.lstat().st_mode
        digest.update(f"{path}{stat.S_IFMT(kind)}".encode("utf-8", "surrogateescape"))
        if stat.S_ISREG(kind) and kind & 0o400:
            digest.update(path.read_bytes())
    return digest.hexdigest()


def _outputs_wrong(out):
    """Return what is wrong with written results: text that a spreadsheet would run, XML that it could not read."""
    if out.is_dir():
        return next((wrong for path in sorted(out.glob("*.csv")) if (wrong := _csv_wrong(path))), "")
    with zipfile.ZipFile(out) as package:
        for name in package.namelist():
            if name.endswith((".xml", ".rels")):
                root = ElementTree.fromstring(package.read(name))
                if name.startswith("xl/worksheets/") and next(root.iter("{*}f"), None) is not None:
                    return f"{name} holds a formula"
    return ""


def _csv_wrong(path):
    import csv

    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.reader(stream):
            for cell in row:
                if cell.startswith(FORMULA_STARTS) and not NUMBER.fullmatch(cell):
                    return f"{path.name} holds {cell[:60]!r}, which a spreadsheet runs"
    return ""
