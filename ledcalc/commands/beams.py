"""Commands about photometric files (LM-63): one as rows of the Beams sheet, the fixture's far field as one."""

from __future__ import annotations

import argparse
import datetime
import json
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, add_input, add_json, command, refuse

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add beam and far-field."""
    beam = command(commands, "beam", _beam, "ledcalc beam board.ies --out beams.csv")
    beam.add_argument("files", type=Path, nargs="+", metavar="FILE", help="photometric files (LM-63, type C)")
    beam.add_argument("--out", type=Path, help="write the rows of the Beams sheet here (.csv)")
    beam.add_argument("--tag", help="the beam's name on the Beams sheet; default: the file's name without its ending")
    beam.add_argument("--replace", action="store_true", help="replace what already has that name")
    add_json(beam)
    far = command(commands, "far-field", _far_field, "ledcalc far-field bench.xlsx --out bench.ies")
    add_input(far)
    far.add_argument("--out", type=Path, required=True, help="a name ending in .ies")
    far.add_argument("--lumens-per-umol", type=_number, metavar="N", help="lumens in a umol/s, instead of the spectra")
    far.add_argument("--edition", type=int, choices=(2002, 2019), default=2019, help="form of the file; default: 2019")
    far.add_argument("--date", help="the file's date; default: today's")
    far.add_argument("--replace", action="store_true", help="replace what already has that name")


def _number(text: str) -> float:
    value = float(text)
    if not 0 < value <= 1000:
        raise argparse.ArgumentTypeError(f"{text}: a number above 0 up to 1000 (white light: 50 to 85)")
    return value


def _beam(options: argparse.Namespace) -> int:
    """Read photometric files (LM-63): say what is in them, and make rows of the Beams sheet."""
    from ledcalc.light_files import beam_rows, words_on
    from ledcalc.photons import read_lm63
    from ledcalc.workbook.beam_table import write_beam_table

    files: list[Path] = options.files
    if options.tag and len(files) > 1:
        return refuse(options, "--tag goes with one file; several are named by their files")
    tags = [" ".join((options.tag or file.stem).split()) for file in files]
    if len(set(tags)) < len(tags):
        return refuse(options, "two of the files have one name; rename one of them")
    read = [read_lm63(file) for file in files]
    rows = [row for one, tag in zip(read, tags, strict=True) for row in beam_rows(one, tag)]
    if options.out:
        write_beam_table(options.out, rows, overwrite=options.replace)
    if options.json:
        found = [
            {"file": str(file), "beam": tag, "words": words_on(one)}
            for file, tag, one in zip(files, tags, read, strict=True)
        ]
        print(json.dumps({"files": found, "rows": len(rows), "out": str(options.out or "")}, ensure_ascii=False))
        return FINE
    for file, one in zip(files, read, strict=True):
        print(f"{file}:", *words_on(one), sep="\n  ")
    if options.out:
        print(
            f"wrote {options.out}: {len(rows)} rows; drop it into the CSV folder as beams.csv, or paste its rows into "
            f"the Beams sheet, and name the beam ({', '.join(tags)}) on the Boards sheet"
        )
    return FINE


def _far_field(options: argparse.Namespace) -> int:
    """Write the fixture's far field as a photometric file (LM-63)."""
    from ledcalc.evaluation.evaluate import evaluate
    from ledcalc.light_files import far_field_file, words_on
    from ledcalc.workbook.atomic import write_file
    from ledcalc.workbook.reader import fixture_of, read_inputs

    out: Path = options.out
    if out.suffix.lower() != ".ies":
        return refuse(options, f"{out}: give a name ending in .ies")
    if out.exists() and not options.replace:
        return refuse(options, f"{out}: already there; choose another name, or say that it may be replaced (--replace)")
    made = far_field_file(
        evaluate(fixture_of(read_inputs(options.input))),
        issue_date=options.date or datetime.date.today().isoformat(),
        lumens_per_umol=options.lumens_per_umol,
        edition=options.edition,
    )

    def write(temporary: Path) -> None:
        temporary.write_bytes(made.text.encode("ascii"))

    write_file(out, write)
    print(f"{out}:", *words_on(made.photometry), sep="\n  ")
    factors = ", ".join(f"{value:.4g}" for value in made.lumens_per_umol)
    basis = "as given" if options.lumens_per_umol else "by the boards' spectra"
    off = abs(made.flux_error_fraction)
    print(f"  lumens in a umol: {factors}, {basis}; its flux is off that of the boards by {off:.3%}")
    print("  holds farther away than five times the fixture's size (common practice, no source)")
    print(f"wrote {out}")
    return FINE
