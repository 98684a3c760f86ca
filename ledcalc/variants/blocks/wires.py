"""Cable runs of a block: ampacity, the conductor's own temperature, its resistance; a row a run, a column a variant."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Cable, Fixture
from ledcalc.variants.blocks.arrays import column, rows
from ledcalc.wiring import ampacity_steps, conductor_resistance, conductor_temperature, terminal_limit_a

__all__ = ["CableRuns", "cold_runs", "heated_runs", "sizes_of"]

Where = NDArray[np.intp] | slice
# Every law of a conductor's resistance here is a straight line over its temperature.
COLD_C, WARM_C = 0.0, 100.0
# Above it there is no insulation left to speak of: the ampacity rule speaks, the resistance stays finite.
HOTTEST_C = 250.0
# Where no table gives an ampacity, a conductor's own heating is not known.
NO_HEATING_A = 1e300


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CableRuns:
    """Runs and their state. ``at_cold_ohm`` and ``ohm_per_k``: resistance at 0 degC, contacts included, and its rise.

    Ampacities, NaN where no table covers the wire: by the table, corrected for air and bundle, and held to what
    terminals allow.
    """

    insulation_c: FloatArray
    ambient_c: FloatArray
    table_ampacity_a: FloatArray
    corrected_a: FloatArray
    ampacity_a: FloatArray
    at_cold_ohm: FloatArray
    ohm_per_k: FloatArray
    temperature_c: FloatArray
    resistance_ohm: FloatArray


def cold_runs(fixture: Fixture, air_c: FloatArray) -> CableRuns:
    """Return every run as warm as the air around it; ``air_c``: where none is stated, an entry a variant."""
    count, known = air_c.size, dict[tuple[object, ...], FloatArray]()
    # To two digits, and as ``round`` does it.
    about = np.array([round(value, 2) for value in air_c.tolist()])
    ambient = rows([about if cable.ambient_c is None else cable.ambient_c for cable in fixture.cables], count)
    ampacities, ohms = [], []
    for cable, around in zip(fixture.cables, ambient, strict=True):
        # Runs of one kind in one air are looked up once.
        key = (*_kind(cable), _as_key(cable.size), _as_key(cable.ambient_c))
        if key not in known:
            known[key] = _ampacities(cable, fixture.site.rule_set, around)
        ampacities.append(known[key])
        ohms.append(_ohms(cable, fixture, count))
    runs = CableRuns(
        insulation_c=rows([cable.insulation_c for cable in fixture.cables], count),
        ambient_c=ambient,
        table_ampacity_a=rows([own[0] for own in ampacities], count),
        corrected_a=rows([own[1] for own in ampacities], count),
        ampacity_a=rows([own[2] for own in ampacities], count),
        at_cold_ohm=rows([pair[0] for pair in ohms], count),
        ohm_per_k=rows([pair[1] for pair in ohms], count),
        temperature_c=ambient,
        resistance_ohm=ambient,
    )
    return _at(runs, ambient)


def heated_runs(runs: CableRuns, current_a: FloatArray) -> CableRuns:
    """Return the runs as warm as their currents make them."""
    warm = conductor_temperature(
        current_a,
        ambient_c=runs.ambient_c,
        insulation_c=runs.insulation_c,
        table_ampacity_a=np.where(np.isnan(runs.table_ampacity_a), NO_HEATING_A, runs.table_ampacity_a),
    )
    return _at(runs, np.minimum(warm, HOTTEST_C))


def sizes_of(cable: Cable) -> list[str]:
    """Return the sizes that a cable has in any variant."""
    return sorted(set(np.ravel(np.asarray(cable.size, dtype=object)).tolist()))


def _at(runs: CableRuns, temperature_c: FloatArray) -> CableRuns:
    ohms = runs.at_cold_ohm + runs.ohm_per_k * temperature_c
    return replace(runs, temperature_c=temperature_c, resistance_ohm=ohms)


def _kind(cable: Cable) -> tuple[object, ...]:
    return (
        cable.wire_kind,
        cable.installation_method,
        cable.insulation_c,
        cable.loaded_conductors_count,
        cable.grouped_circuits_count,
        cable.material,
        cable.terminal_c,
    )


def _as_key(value: object) -> object:
    return id(value) if isinstance(value, np.ndarray) else value


def _by_size(cable: Cable, count: int, figures: Callable[[str, Where], FloatArray]) -> FloatArray:
    """Return figures of a cable, a row each, in every variant, each size for itself."""
    size = np.asarray(cable.size, dtype=object)
    if size.ndim == 0:
        return figures(str(size), slice(None))
    places = [np.flatnonzero(size == one) for one in sizes_of(cable)]
    found = np.concatenate([figures(one, own) for one, own in zip(sizes_of(cable), places, strict=True)], axis=1)
    whole = np.empty((len(found), count))
    whole[:, np.concatenate(places)] = found
    return whole


def _ohms(cable: Cable, fixture: Fixture, count: int) -> tuple[FloatArray, FloatArray]:
    """Return the run's resistance at 0 degC and its rise a kelvin; a single wire leads one way only."""
    conductors = 1 if fixture.arrangement == "single wires" else 2

    def per_m(size: str, only: Where) -> FloatArray:
        of_one = _ohm_per_m(size, cable.stranding, fixture.site.rule_set, cable.coating, cable.material)
        return np.broadcast_to(of_one[:, None], (2, np.arange(count)[only].size))

    at_cold, by_kelvin = _by_size(cable, count, per_m) * (conductors * column(cable.one_way_length_m, count))
    return at_cold + cable.contact_resistance_ohm, by_kelvin


@lru_cache(maxsize=256)
def _ohm_per_m(size: str, stranding: str, rule_set: str, coating: str, material: str) -> FloatArray:
    """Return one conductor's resistance of a metre at 0 degC, and by how much it rises a kelvin."""
    at = np.asarray(
        conductor_resistance(
            size,
            1.0,
            conductor_temperature_c=[COLD_C, WARM_C],
            stranding=stranding,
            rule_set=rule_set,
            coating=coating,
            material=material,
        )
    )
    rise = (at[1] - at[0]) / (WARM_C - COLD_C)
    return np.array([at[0] - rise * COLD_C, rise])


def _ampacities(cable: Cable, rule_set: str, ambient_c: FloatArray) -> FloatArray:
    """Return the table's ampacity, the corrected one, and what a run may carry, NaN where no table covers it."""

    def of_size(size: str, only: Where) -> FloatArray:
        around, where = np.unique(ambient_c[only], return_inverse=True)
        kind = (size, cable.wire_kind, cable.insulation_c, cable.loaded_conductors_count)
        laying = (cable.installation_method, cable.grouped_circuits_count, cable.material, rule_set)
        found = np.array([_ampacity(*kind, *laying, at) for at in around.tolist()]).T
        allowed = np.minimum(found[1], _at_terminals(cable, size, rule_set))
        return np.array([*found, allowed])[:, where]

    return _by_size(cable, ambient_c.size, of_size)


@lru_cache(maxsize=4096)
def _ampacity(
    size: str,
    wire_kind: str | None,
    insulation_c: float,
    loaded_count: int,
    installation_method: str | None,
    grouped_count: int,
    material: str,
    rule_set: str,
    ambient_c: float,
) -> tuple[float, float]:
    """Return table value and corrected ampacity; NaN where no table covers the wire."""
    if material != "copper":
        return float("nan"), float("nan")
    try:
        steps = ampacity_steps(
            size,
            wire_kind=wire_kind,
            insulation_c=insulation_c,
            ambient_c=ambient_c,
            loaded_conductors=loaded_count,
            installation_method=installation_method,
            grouped_circuits=grouped_count,
            rule_set=rule_set,
        )
    except ArgumentError:
        return float("nan"), float("nan")
    return float(steps.table_ampacity_a), float(steps.ampacity_a)


def _at_terminals(cable: Cable, size: str, rule_set: str) -> float:
    if cable.terminal_c is None or cable.terminal_c >= cable.insulation_c:
        return float("inf")
    return terminal_limit_a(
        size,
        cable.terminal_c,
        wire_kind=cable.wire_kind,
        loaded_conductors=cable.loaded_conductors_count,
        installation_method=cable.installation_method,
        rule_set=rule_set,
    )
