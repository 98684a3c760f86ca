"""Each run against what the driver can push into a fault: by its limit, by a fuse, or by neither."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.runs import Run
from ledcalc.fixture import Cable, DriverModel, Fixture
from ledcalc.results import ProtectionResults, WireResults
from ledcalc.schema import wire_end
from ledcalc.wiring import WireProtection, is_within_class_2, wire_protection

__all__ = ["guards_of", "protection_results"]

SOURCE = "driver +"
NO_AMPACITY = "no ampacity known, so nothing to protect it by"


def protection_results(
    fixture: Fixture, model: DriverModel, runs: Sequence[Run], wires: WireResults
) -> ProtectionResults:
    """Return what protects each run; figures are those of the driver's dials turned up, for they can be."""
    source_a = max(model.current_high_a, fixture.current_setting_a)
    source_v = max(model.voltage_high_v, fixture.voltage_setting_v)
    guards = guards_of(fixture)
    found = [
        _judged(run, float(amps), source_a, source_v, guards[run.cable.tag])
        for run, amps in zip(runs, wires.current_a, strict=True)
    ]
    fuses = [guards[run.cable.tag] for run in runs]
    return ProtectionResults(
        source_limit_a=np.full(len(runs), source_a),
        source_voltage_v=source_v,
        guarded_by=tuple("" if guard is None else guard.tag for guard in fuses),
        fuse_kind=tuple("" if one is None else one.fuse_kind for one in found),
        fuse_a=_column([None if guard is None else guard.fuse_a for guard in fuses]),
        wire_limit_a=_column([None if one is None else one.wire_limit_a for one in found]),
        needed_fuse_a=_column([None if one is None else one.needed_fuse_a for one in found]),
        highest_fuse_a=_column([None if one is None else one.highest_fuse_a for one in found]),
        recommended_fuse_a=_column([None if one is None else one.recommended_fuse_a for one in found]),
        remedy_size=tuple("" if one is None else one.remedy_size or "" for one in found),
        status=tuple(NO_AMPACITY if one is None else one.status for one in found),
        is_protected=tuple(one is not None and one.is_protected for one in found),
        notes=tuple(() if one is None else one.notes for one in found),
        class_2_passed=_class_2(fixture, model, source_a, source_v),
    )


def _column(values: Sequence[float | None]) -> FloatArray:
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def _judged(run: Run, load_a: float, source_a: float, source_v: float, guard: Cable | None) -> WireProtection | None:
    if run.steps is None:
        return None
    cable = run.cable
    # Behind the fuse of the run before it, a run carries less than that fuse's load.
    own = guard is not None and guard.tag == cable.tag
    return wire_protection(
        load_a,
        run.ampacity_a,
        source_a,
        source_voltage_v=source_v,
        size=cable.size,
        rule_set=run.rule_set,
        fuse_kind=None if guard is None else guard.fuse_kind,
        fuse_a=None if guard is None else guard.fuse_a,
        fuse_voltage_v=None if guard is None else guard.fuse_v,
        continuous=own or guard is None,
        wire_kind=cable.wire_kind,
        insulation_c=cable.insulation_c,
        ambient_c=run.ambient_c,
        loaded_conductors=cable.loaded_conductors_count,
        installation_method=cable.installation_method,
        grouped_circuits=cable.grouped_circuits_count,
    )


def guards_of(fixture: Fixture) -> Mapping[str, Cable | None]:
    """Return, for each run, the run whose fuse guards it: itself, or one that every way to it passes.

    With single wires a fuse in the conductor from the driver's + guards what lies behind it, boards passed.
    """
    own = {cable.tag: cable if cable.fuse_a is not None else None for cable in fixture.cables}
    if fixture.arrangement == "home runs":
        return own
    # What hangs together without a fuse between: one part of it at the driver's + leaves all of it unguarded.
    bare = [cable for cable in fixture.cables if cable.fuse_a is None]
    part = {SOURCE: 0}
    for cable in bare:
        start, end = _ends(fixture, cable)
        gone, kept = part.setdefault(start, len(part)), part.setdefault(end, len(part))
        part = {owner: kept if here == gone else here for owner, here in part.items()}
    for cable in bare:
        here = part[_ends(fixture, cable)[0]]
        if here == part[SOURCE]:
            continue
        feeding = [
            fused
            for fused in fixture.cables
            if fused.fuse_a is not None and here in {part.get(end) for end in _ends(fixture, fused)}
        ]
        # Fed through several fuses, each side of a fault carries what its own lets through: the largest counts.
        own[cable.tag] = max(feeding, key=lambda fused: float(fused.fuse_a or 0.0), default=None)
    return own


def _ends(fixture: Fixture, cable: Cable) -> tuple[str, str]:
    """Return what a run joins: boards with both their sides as one; each way back to the driver's - by itself."""
    if fixture.arrangement != "single wires":
        start, end = (SOURCE if node.casefold() == "driver" else node for node in (cable.from_node, cable.to_node))
        return start, end
    names = []
    for node in (cable.from_node, cable.to_node):
        owner, side = wire_end(node)
        sink = f"back by {cable.tag}"
        names.append(owner if owner != "driver" else SOURCE if side == "+" else sink)
    return names[0], names[1]


def _class_2(fixture: Fixture, model: DriverModel, source_a: float, source_v: float) -> tuple[str, ...]:
    if model.class_2_output == "no":
        return ()
    verdict = is_within_class_2(source_v, source_a, model.power_limit_w, location=fixture.site.location)
    return verdict.passed_limits
