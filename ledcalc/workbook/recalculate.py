"""The main job in one call: read inputs, evaluate, write result sheets."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ledcalc.errors import FileProblem, InputErrors, LedcalcError
from ledcalc.evaluation.evaluate import evaluate
from ledcalc.results import Evaluation
from ledcalc.variants import Variant, VariantRow, evaluate_variants
from ledcalc.workbook.reader import ReadInputs, fixture_of, read_inputs

__all__ = ["WrittenInto", "default_results_path", "recalculate", "recalculate_into", "variant_rows"]

# A longer Variants sheet is a job of its own (``ledcalc variants``), not something to wait for at each recalculation.
MOST_VARIANTS = 50


def recalculate(
    path: str | os.PathLike[str],
    out: str | os.PathLike[str] | None = None,
    *,
    with_picture: bool | None = None,
    formulas_first: bool = False,
) -> Evaluation:
    """Read a filled workbook or CSV folder, evaluate it, and write the result sheets.

    Parameters
    ----------
    path : a workbook (.xlsx, .xlsm) or a folder of CSV files; never changed
    out : result workbook (a name ending in .xlsx) or folder for CSV files; None: beside the input,
        ``default_results_path``
    with_picture : whether the light field is drawn as a picture too; None: as the Fixture sheet says
    formulas_first : as ``read_workbook``

    Returns
    -------
    Evaluation: the same figures as in the sheets

    Raises
    ------
    InputErrors (a ValueError): every bad cell of one pass; what could be worked out without them was written
    FileProblem: the input cannot be read, or the results cannot be written; existing results stay as they were
    NotSettledError: no steady state exists between currents and heat
    """
    from ledcalc.workbook.results import write_results

    source = Path(path)
    target = Path(out) if out is not None else default_results_path(source)
    if _is_within(source, target):
        raise FileProblem(f"{target}: results never go into the input itself; choose another name for them")
    inputs = read_inputs(source, formulas_first=formulas_first)
    if inputs.problems:
        rest, unwritten = _written_rest(inputs, source, target)
        raise InputErrors(
            inputs.origin.file, inputs.problems, rest=rest, has_unread=inputs.has_unread, unwritten=unwritten
        )
    results = evaluate(fixture_of(inputs))
    write_results(
        results, target, input_path=source, variants=variant_rows(results, inputs.variants), with_picture=with_picture
    )
    return results


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenInto:
    """What came of results in the user's own workbook.

    ``backup``: the file as it was before this run; ``is_calculated_on_load``: formulas of the user's read result
    sheets, and have to be worked out anew: Excel does so when it opens the file, LibreOffice when told to.
    """

    results: Evaluation
    backup: Path
    is_calculated_on_load: bool


def recalculate_into(
    path: str | os.PathLike[str], *, with_picture: bool | None = None, formulas_first: bool = False
) -> WrittenInto:
    """Read a filled workbook, evaluate it, and put the result sheets into that very file, in place of earlier ones.

    Parameters
    ----------
    path : a workbook (.xlsx, .xlsm), not open in a spreadsheet; all else in it stays byte for byte, and a copy of it
        as it was before this run is kept beside it
    with_picture, formulas_first : as ``recalculate``

    Raises
    ------
    InputErrors (a ValueError): every bad cell of one pass; the file stays as it was
    FileProblem: the file cannot be read, is open, cannot be patched, or cannot be written; it stays as it was
    NotSettledError: no steady state exists between currents and heat
    """
    from ledcalc.workbook.patch import backup_path, put_results_into

    source = Path(path).resolve()
    inputs = read_inputs(Path(path), formulas_first=formulas_first)
    if inputs.problems:
        raise InputErrors(inputs.origin.file, inputs.problems, unwritten="the file stays as it was")
    results = evaluate(fixture_of(inputs))
    on_load = put_results_into(
        results, source, variants=variant_rows(results, inputs.variants), with_picture=with_picture
    )
    return WrittenInto(results=results, backup=backup_path(source), is_calculated_on_load=on_load)


def variant_rows(results: Evaluation, variants: Sequence[Variant]) -> list[VariantRow]:
    """Return the rows of a Variants sheet evaluated; none where they are too many to wait for."""
    return list(evaluate_variants(results.fixture, variants)) if len(variants) <= MOST_VARIANTS else []


def _written_rest(inputs: ReadInputs, source: Path, target: Path) -> tuple[str, str]:
    """Write results of what the bad cells leave, where they leave enough; return where to, or else why not."""
    from ledcalc.workbook.rest import rest_of
    from ledcalc.workbook.results import write_results

    fixture = rest_of(inputs)
    if fixture is None:
        return "", "these cells are needed by everything"
    try:
        results = evaluate(fixture)
    except LedcalcError as problem:
        return "", f"without these cells nothing else can be worked out ({' '.join(str(problem).split())})"
    write_results(results, target, input_path=source)
    return str(target), ""


def default_results_path(path: str | os.PathLike[str]) -> Path:
    """Return where results go unless told otherwise: ``NAME-results.xlsx`` for a workbook, ``NAME-results`` for a
    folder.

    Examples
    --------
    >>> default_results_path("bench.xlsm").name
    'bench-results.xlsx'
    """
    source = Path(path)
    if source.is_dir():
        return source.with_name(f"{source.resolve().name}-results")
    return source.with_name(f"{source.stem}-results.xlsx")


def _is_within(source: Path, target: Path) -> bool:
    """Return whether results would go into the input: the same file, or a place in its folder, links followed."""
    try:
        real, other = (Path(os.path.realpath(path)) for path in (source, target))
    except ValueError:  # no name for a file, which is said where it is read or written
        return False
    return real == other or (os.path.isdir(real) and real in other.parents)
