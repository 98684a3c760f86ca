"""Rules about what lies in one sleeve together, and what of the making nobody could check."""

from __future__ import annotations

from collections.abc import Iterator

from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = ["making_not_checked", "runs_share_a_sleeve"]


def runs_share_a_sleeve(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """More runs lie in one sleeve than their ampacity was derated for."""
    for entry in fixture.entries:
        rows = [row for row, cable in enumerate(fixture.cables) if cable.sleeve == entry.tag]
        if entry.kind == "gland" or not rows:
            continue
        few = [row for row in rows if fixture.cables[row].grouped_circuits_count < len(rows)]
        if not few:
            continue
        named = ", ".join(fixture.cables[row].tag for row in few)
        changes: dict[str, Value] = {f"cables[{row}].grouped_circuits_count": len(rows) for row in few}
        yield Finding(
            code="sleeve-not-counted",
            severity="act",
            path=f"cables[{few[0]}].grouped_circuits_count",
            message=f"{len(rows)} runs lie in {entry.tag}, and the ampacity of {named} is worked out for fewer: they "
            "warm each other.",
            value=float(fixture.cables[few[0]].grouped_circuits_count),
            limit=float(len(rows)),
            unit="circuits",
            remedy=f"enter {len(rows)} circuits in the bundle for each, and look at the ampacity again",
            basis="NEC 310.15 and IEC 60364-5-52: runs bundled over a length warm each other",
            changes=changes,
        )


def making_not_checked(fixture: Fixture) -> list[str]:
    """Return what of sleeves, glands, fuses, box and hangers nobody could check, for want of a figure."""
    missing, build = [], fixture.build
    used = {name for cable in fixture.cables for name in (cable.sleeve, cable.gland) if name}
    without = [
        cable.tag for cable in fixture.cables if cable.outside_diameter_m is None and (cable.sleeve or cable.gland)
    ]
    if without:
        missing.append(f"sleeves and glands of {', '.join(without)}: no outside diameter is given")
    for entry in fixture.entries:
        sized = (
            entry.clamping_low_m is not None and entry.clamping_high_m is not None
            if entry.kind == "gland"
            else entry.inner_diameter_m is not None
        )
        if entry.tag in used and not sized:
            missing.append(f"{entry.tag}: its size is not given")
    unmarked = [cable.tag for cable in fixture.cables if cable.fuse_a is not None and cable.fuse_v is None]
    if unmarked:
        missing.append(f"dc voltage of the fuses of {', '.join(unmarked)}: not given")
    if build.box_volume_m3 is not None and (build.box_size is None or build.box_conductors_count == 0):
        missing.append("the box: wire size or number of conductors is not given")
    if build.hangers_count is not None and build.hanger_rated_kg is None:
        missing.append("the hangers: no rated load is given")
    return missing
