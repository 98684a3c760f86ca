"""The command that fits a fixture to what was measured on it."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from ledcalc.commands.common import FINE, add_input, add_json, command

__all__ = ["add_commands"]


def add_commands(commands: Any) -> None:
    """Add calibrate."""
    calibrate = command(commands, "calibrate", _calibrate, "ledcalc calibrate bench.xlsx --out fitted.xlsx")
    add_input(calibrate)
    calibrate.add_argument("--out", type=Path, help="write the calibrated inputs: a name ending in .xlsx, or a folder")
    calibrate.add_argument("--results", type=Path, help="write what was found as result sheets (.xlsx) or a folder")
    calibrate.add_argument("--replace", action="store_true", help="replace calibrated inputs that are there already")
    calibrate.add_argument("--canopy", action="store_true", help="look for the reflectance of canopy or floor too")
    calibrate.add_argument("--own-sinks", action="store_true", help="look for a resistance of each heat sink by itself")
    add_json(calibrate)


def _calibrate(options: argparse.Namespace) -> int:
    """Fit a fixture to its current and supply logs and its light readings."""
    from ledcalc.calibrate import calibrate, text_of
    from ledcalc.workbook.reader import fixture_of, read_inputs
    from ledcalc.workbook.results.calibration import write_calibration
    from ledcalc.workbook.template import write_inputs

    inputs = read_inputs(options.input)
    found = calibrate(fixture_of(inputs), canopy=options.canopy, own_sinks=options.own_sinks)
    if options.out:
        write_inputs(found.fixture, options.out, variants=inputs.variants, overwrite=options.replace)
    if options.results:
        write_calibration(found, options.results)
    if options.json:
        print(json.dumps(_as_dict(found, options.out), ensure_ascii=False, allow_nan=False))
        return FINE
    print(text_of(found))
    written = [str(path) for path in (options.out, options.results) if path]
    if written:
        print(f"\nwrote {' and '.join(written)}")
    return FINE


def _as_dict(found: Any, out: Path | None) -> dict[str, Any]:
    return {
        "fixture": found.fixture.name,
        "written": str(out) if out else "",
        "readings": found.readings_count,
        "unknowns": found.unknowns_count,
        "before": found.before.agreement,
        "after": found.after.agreement,
        "left_out": found.left_out_agreement,
        "estimates": [asdict(entry) for entry in found.estimates],
        "unseparated": [asdict(entry) for entry in found.unseparated],
        "differences": [asdict(entry) for entry in found.left_out],
        "assumptions": list(found.assumptions),
        "notes": list(found.notes),
    }
