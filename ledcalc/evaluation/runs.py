"""Cable runs: ampacity, the conductor's own temperature, its resistance, and what it costs in volts and watts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Cable, Fixture
from ledcalc.results import WireResults
from ledcalc.wiring import AmpacitySteps, ampacity_steps, conductor_resistance, conductor_temperature, terminal_limit_a

__all__ = ["Run", "cold_runs", "heated_runs", "wire_results"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One cable with its ampacity (None, and the reason, where no table covers it) and its state."""

    cable: Cable
    rule_set: str
    ambient_c: float
    steps: AmpacitySteps | None
    terminal_limit_a: float
    status: str
    conductors_count: int
    conductor_temperature_c: float
    resistance_ohm: float

    @property
    def ampacity_a(self) -> float:
        """Corrected ampacity, or what the terminals allow if that is less; NaN where no table covers the wire."""
        return min(float(self.steps.ampacity_a), self.terminal_limit_a) if self.steps else float("nan")


def _terminal_limit(cable: Cable, rule_set: str) -> float:
    if cable.terminal_c is None or cable.terminal_c >= cable.insulation_c:
        return float("inf")
    return terminal_limit_a(
        cable.size,
        cable.terminal_c,
        wire_kind=cable.wire_kind,
        loaded_conductors=cable.loaded_conductors_count,
        installation_method=cable.installation_method,
        rule_set=rule_set,
    )


def cold_runs(fixture: Fixture, air_c: float) -> tuple[Run, ...]:
    """Return every cable of the fixture at the temperature of the air around it; ``air_c``: where none is stated."""
    return tuple(_cold(cable, fixture, air_c) for cable in fixture.cables)


def heated_runs(runs: Sequence[Run], current_of: Mapping[str, float]) -> tuple[Run, ...]:
    """Return the runs as warm as their currents make them; ``current_of`` holds a current a cable tag."""
    return tuple(_heated(run, current_of[run.cable.tag]) for run in runs)


def wire_results(runs: Sequence[Run], current_of: Mapping[str, float], driver_voltage_v: float) -> WireResults:
    """Return the table of runs: drops, losses, ampacities and their workings."""
    current_a = np.array([current_of[run.cable.tag] for run in runs])
    resistance = np.array([run.resistance_ohm for run in runs])
    drop = resistance * current_a
    return WireResults(
        tag=tuple(run.cable.tag for run in runs),
        to_node=tuple(run.cable.to_node for run in runs),
        size=tuple(run.cable.size for run in runs),
        from_node=tuple(run.cable.from_node for run in runs),
        ambient_c=np.array([run.ambient_c for run in runs]),
        conductors_count=tuple(run.conductors_count for run in runs),
        one_way_length_m=np.array([run.cable.one_way_length_m for run in runs]),
        current_a=current_a,
        resistance_ohm=resistance,
        conductor_temperature_c=np.array([run.conductor_temperature_c for run in runs]),
        drop_v=drop,
        drop_fraction=drop / driver_voltage_v,
        loss_w=drop * current_a,
        table_ampacity_a=_from_steps(runs, "table_ampacity_a"),
        ambient_factor=_from_steps(runs, "ambient_factor"),
        grouping_factor=_from_steps(runs, "grouping_factor"),
        ampacity_a=np.array([run.ampacity_a for run in runs]),
        ampacity_table=tuple(run.steps.source if run.steps else "" for run in runs),
        status=tuple(_said(run) for run in runs),
    )


def _said(run: Run) -> str:
    by_ends = run.steps is not None and run.terminal_limit_a < float(run.steps.ampacity_a)
    return f"{run.status}, limited by its terminals" if by_ends else run.status


def _from_steps(runs: Sequence[Run], name: str) -> FloatArray:
    return np.array([float(getattr(run.steps, name)) if run.steps else np.nan for run in runs])


def _cold(cable: Cable, fixture: Fixture, air_c: float) -> Run:
    ambient = cable.ambient_c if cable.ambient_c is not None else round(air_c, 2)
    rule_set = fixture.site.rule_set
    steps, status = None, "in the table"
    try:
        if cable.material != "copper":
            raise ArgumentError("material", cable.material, "copper: the ampacity tables here are for copper only")
        steps = ampacity_steps(
            cable.size,
            wire_kind=cable.wire_kind,
            insulation_c=cable.insulation_c,
            ambient_c=ambient,
            loaded_conductors=cable.loaded_conductors_count,
            installation_method=cable.installation_method,
            grouped_circuits=cable.grouped_circuits_count,
            rule_set=rule_set,
        )
    except ArgumentError as problem:
        status = f"no ampacity: {problem}"
    run = Run(
        cable=cable,
        rule_set=rule_set,
        ambient_c=ambient,
        steps=steps,
        terminal_limit_a=_terminal_limit(cable, rule_set),
        status=status,
        # A single wire leads one way only; a cable leads out and back.
        conductors_count=1 if fixture.arrangement == "single wires" else 2,
        conductor_temperature_c=ambient,
        resistance_ohm=0.0,
    )
    return _at_temperature(run, ambient)


def _heated(run: Run, current_a: float) -> Run:
    if run.steps is None:
        return run
    warm = conductor_temperature(
        current_a,
        ambient_c=run.ambient_c,
        insulation_c=run.cable.insulation_c,
        table_ampacity_a=run.steps.table_ampacity_a,
    )
    # Above 250 degC there is no insulation left to speak of: the ampacity rule speaks, the resistance stays finite.
    return _at_temperature(run, min(float(warm), 250.0))


def _at_temperature(run: Run, temperature_c: float) -> Run:
    one_conductor = conductor_resistance(
        run.cable.size,
        run.cable.one_way_length_m,
        conductor_temperature_c=temperature_c,
        stranding=run.cable.stranding,
        rule_set=run.rule_set,
        coating=run.cable.coating,
        material=run.cable.material,
    )
    whole = run.conductors_count * float(one_conductor) + run.cable.contact_resistance_ohm
    return replace(run, conductor_temperature_c=temperature_c, resistance_ohm=whole)
