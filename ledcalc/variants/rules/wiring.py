"""Rules about cable runs and what protects them, in blocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.checks.limits import OVER, limit
from ledcalc.evaluation.protection import guards_of
from ledcalc.fixture import Cable
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.wires import sizes_of
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts
from ledcalc.variants.rules.stairs import stepwise
from ledcalc.wiring import is_within_class_2, wire_protection
from ledcalc.wiring.protection_rules import ELECTRONIC, FUSE_HIGH, FUSE_LOW, FUSE_VOLTAGE, UNPROTECTED

__all__ = ["WIRING_RULES"]

# Runs of one status, size and remedy make one finding; each low voltage of a fuse makes its own.
GROUPED = {
    "wire-not-protected": (UNPROTECTED, "act"),
    "fuse-above-wire": (FUSE_HIGH, "stop"),
    "fuse-below-load": (FUSE_LOW, "act"),
    "fuse-never-blows": (ELECTRONIC, "note"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a run stands: what a finding about it would be grouped by."""

    status: str
    size: str
    fuse_a: float | None
    thicker: str


def _wire_over_ampacity(worked: Worked) -> Counts:
    wires = worked.wires
    return {"stop": (wires.current_a > wires.ampacity_a * OVER).sum(axis=0)}


def _ampacity_not_covered(worked: Worked) -> Counts:
    wires = worked.wires
    missing, hot = ~np.isfinite(wires.ampacity_a), wires.ambient_c >= worked.steady.around.runs.insulation_c
    return {"stop": (missing & hot).sum(axis=0), "act": (missing & ~hot).sum(axis=0)}


def _wire_drop_high(worked: Worked) -> Counts:
    return {"act": (worked.wires.drop_fraction > limit("drop_recommended_fraction") * OVER).sum(axis=0)}


def _source(worked: Worked) -> tuple[FloatArray, FloatArray]:
    """Return what the driver gives at most with its dials turned up: A and V."""
    fixture, model, count = worked.block.fixture, worked.block.driver, worked.block.count
    return (
        column(np.maximum(model.current_high_a, fixture.current_setting_a), count),
        column(np.maximum(model.voltage_high_v, fixture.voltage_setting_v), count),
    )


def _class_2_passed(worked: Worked) -> Counts:
    if worked.block.structure.driver.class_2_output == "no":
        return {}
    amps, volts = _source(worked)
    watts, location = column(worked.block.driver.power_limit_w, amps.size), worked.block.fixture.site.location
    cases = list(zip(volts.tolist(), amps.tolist(), watts.tolist(), strict=True))
    passed = {case: bool(is_within_class_2(*case, location=location).passed_limits) for case in set(cases)}
    return {"act": np.array([passed[case] for case in cases])}


def _grouped(code: str) -> Check:
    status, severity = GROUPED[code]

    def check(worked: Worked) -> Counts:
        found, which = _standing(worked)
        of_status = [number for number, one in enumerate(found) if one is not None and one.status == status]
        # Runs that stand alike are one finding.
        return {severity: np.sum([(which == number).any(axis=0) for number in of_status], axis=0)} if of_status else {}

    return check


def _fuse_voltage_low(worked: Worked) -> Counts:
    found, which = _standing(worked)
    low = [number for number, one in enumerate(found) if one is not None and one.status == FUSE_VOLTAGE]
    return {"act": np.isin(which, low).sum(axis=0)}


@lru_cache(maxsize=1)
def _standing(worked: Worked) -> tuple[list[Standing | None], NDArray[np.intp]]:
    """Return how runs can stand, and which of these each does, a row a run; None where no ampacity is known.

    Kept, as several rules ask. Runs laid alike are asked about together: a load's own steps are few.
    """
    fixture, guards = worked.block.structure.fixture, guards_of(worked.block.structure.fixture)
    runs, (source_a, source_v) = worked.steady.around.runs, _source(worked)
    known: list[Standing | None] = [None]
    number = np.zeros(worked.wires.current_a.shape, dtype=np.intp)
    asked: dict[Laid, list[tuple[int, NDArray[np.intp]]]] = {}
    for row, cable in enumerate(fixture.cables):
        sizes = np.broadcast_to(np.asarray(worked.block.fixture.cables[row].size, dtype=object), source_a.shape)
        figures = np.array([source_a, source_v, runs.ampacity_a[row], runs.corrected_a[row]])
        for size in sizes_of(worked.block.fixture.cables[row]):
            own = np.flatnonzero((sizes == size) & np.isfinite(runs.ampacity_a[row]))
            different, which = np.unique(figures[:, own], axis=1, return_inverse=True)
            for place, state in enumerate(different.T):
                variants = own[which == place]
                laid = _laid(
                    cable,
                    str(size),
                    guards[cable.tag],
                    fixture.site.rule_set,
                    [*state, runs.ambient_c[row, variants].min()],
                )
                asked.setdefault(laid, []).append((row, variants))
    for laid, places in asked.items():
        loads = np.concatenate([worked.wires.current_a[row, variants] for row, variants in places])
        found, which = stepwise(laid.standing, loads)
        start = 0
        for row, variants in places:
            steps = which[start : start + variants.size]
            number[row, variants] = np.array([_place(known, step) for step in found])[steps]
            start += variants.size
    return known, number


def _place(known: list[Standing | None], one: Standing) -> int:
    if one not in known:
        known.append(one)
    return known.index(one)


def _laid(cable: Cable, size: str, guard: Cable | None, rule_set: str, figures: Sequence[float]) -> Laid:
    """Return a run apart from its load; ``figures``: source's A and V, ampacity, that before terminals, air.

    Air matters by the ampacity that it leaves: the coolest of all that leave the same stands for them.
    """
    source_a, source_v, ampacity, _, ambient = (float(value) for value in figures)
    return Laid(
        ampacity_a=ampacity,
        source_limit_a=source_a,
        source_voltage_v=source_v,
        size=size,
        rule_set=rule_set,
        fuse_kind=None if guard is None else guard.fuse_kind,
        fuse_a=None if guard is None else guard.fuse_a,
        fuse_voltage_v=None if guard is None else guard.fuse_v,
        # Behind the fuse of the run before it, a run carries less than that fuse's load.
        continuous=guard is None or guard.tag == cable.tag,
        wire_kind=cable.wire_kind,
        insulation_c=cable.insulation_c,
        ambient_c=ambient,
        loaded_conductors=cable.loaded_conductors_count,
        installation_method=cable.installation_method,
        grouped_circuits=cable.grouped_circuits_count,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A run apart from its load, as ``wire_protection`` takes it."""

    ampacity_a: float
    source_limit_a: float
    source_voltage_v: float
    size: str
    rule_set: str
    fuse_kind: str | None
    fuse_a: float | None
    fuse_voltage_v: float | None
    continuous: bool
    wire_kind: str | None
    insulation_c: float
    ambient_c: float
    loaded_conductors: int
    installation_method: str | None
    grouped_circuits: int

    def standing(self, load_a: float) -> Standing:
        """Return how it stands under a load."""
        numbers = {entry.name: getattr(self, entry.name) for entry in fields(self)}
        ampacity, source = numbers.pop("ampacity_a"), numbers.pop("source_limit_a")
        found = wire_protection(load_a, ampacity, source, **numbers)
        return Standing(
            status=found.status, size=self.size, fuse_a=found.recommended_fuse_a, thicker=found.remedy_size or ""
        )


WIRING_RULES: dict[str, Check] = {
    "wire-over-ampacity": _wire_over_ampacity,
    "ampacity-not-covered": _ampacity_not_covered,
    "wire-drop-high": _wire_drop_high,
    "class-2-passed": _class_2_passed,
    "fuse-voltage-low": _fuse_voltage_low,
    **{code: _grouped(code) for code in GROUPED},
}
