"""The smallest wire that one can buy for a run: by its drop, by its ampacity, and by what protects it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.wiring.ampacity import AmpacitySteps, conductor_temperature
from ledcalc.wiring.devices import SLACK, wire_limit_a
from ledcalc.wiring.laying import Laying, buyable_sizes
from ledcalc.wiring.resistance import conductor_resistance

__all__ = ["SizeChoice", "smallest_size"]

# Above this there is no insulation left to speak of: the ampacity speaks, the resistance stays finite.
HOTTEST_WIRE_C = 250.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeChoice:
    """The smallest size of a run, what each condition asks for, and the figures of the size chosen.

    ``by_drop``, ``by_ampacity``, ``by_protection``: the smallest size that meets the one condition; None where none
    does or it was not asked, and the reason says which. ``size``: the smallest that meets all that were asked; None
    where none does: then ``governed_by`` is the condition that cannot be met, alone or beside the others.
    """

    size: str | None
    governed_by: str
    by_drop: str | None
    drop_reason: str
    by_ampacity: str | None
    ampacity_reason: str
    by_protection: str | None
    protection_reason: str
    drop_v: float | None
    resistance_ohm: float | None
    conductor_temperature_c: float | None
    ampacity_a: float | None
    wire_limit_a: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trial:
    size: str
    temperature_c: float
    resistance_ohm: float
    drop_v: float
    ampacity_a: float | None
    limit_a: float | None
    why_no_ampacity: str


def smallest_size(
    current_a: float,
    one_way_length_m: float,
    *,
    allowed_drop_v: float,
    conductors: int = 2,
    conductor_temperature_c: float | None = None,
    stranding: str = "stranded",
    wire_kind: str | None = None,
    insulation_c: float | None = None,
    ambient_c: float = 30.0,
    loaded_conductors: int = 2,
    installation_method: str | None = None,
    grouped_circuits: int = 1,
    protection_a: float | None = None,
    contact_resistance_ohm: float = 0.0,
    rule_set: str = "NEC",
) -> SizeChoice:
    """Return the smallest copper wire for a run that one can buy, and which condition makes it so.

    Parameters
    ----------
    current_a : A, at least 0: the load
    one_way_length_m : m, at least 0
    allowed_drop_v : V, above 0: whole run, contacts included
    conductors : lengths in series, as in ``wire_voltage_drop``
    conductor_temperature_c : degC of the copper; None: the air and the wire's own heating, size by size
    stranding : as in ``conductor_resistance``
    wire_kind, insulation_c, ambient_c, loaded_conductors, installation_method, grouped_circuits : as in
        ``conductor_ampacity``; without wire kind (NEC) or installation method (IEC) only the drop is asked
    protection_a : A, above 0: rating of the device that protects the wire (a cartridge fuse, which opens late, as 1.45
        times its rating), or what its source gives at most; None: not asked
    contact_resistance_ohm : ohm, at least 0: all contacts of the run
    rule_set : ``"NEC"`` or ``"IEC"``

    Returns
    -------
    SizeChoice

    Raises
    ------
    ArgumentError (a ValueError): as ``conductor_ampacity`` and ``wire_voltage_drop``

    Validity
    --------
    The current is held against the corrected ampacity as it is: multiply it first where a rule asks for a margin. Where
    the ampacity table has no row, the temperature is that of the nearest row, and at least the insulation's rating on
    finer sizes. An insulation rating left out counts as 60 degC for cords, 90 degC for fixture wire, 70 degC for IEC.
    Where two conditions ask for one size, the first of drop, ampacity, protection governs.

    References
    ----------
    As ``conductor_resistance``, ``conductor_ampacity``, ``conductor_temperature``; NFPA 70 (NEC) 240.4(D).

    Examples
    --------
    >>> found = smallest_size(
    ...     2.0, 6.0, allowed_drop_v=0.6, wire_kind="flexible cord", insulation_c=60, protection_a=12.5
    ... )
    >>> found.size, found.governed_by, found.by_drop, found.by_ampacity, found.by_protection
    ('16 AWG', 'protection', '18 AWG', '18 AWG', '16 AWG')
    """
    current = float(numbers("current_a", current_a, at_least=0))
    length = float(numbers("one_way_length_m", one_way_length_m, at_least=0))
    allowed = float(numbers("allowed_drop_v", allowed_drop_v, above=0))
    contacts = float(numbers("contact_resistance_ohm", contact_resistance_ohm, at_least=0))
    protection = None if protection_a is None else float(numbers("protection_a", protection_a, above=0))
    sizes = buyable_sizes(rule_set)
    laying = Laying(
        rule_set=rule_set,
        wire_kind=wire_kind,
        insulation_c=insulation_c,
        ambient_c=float(numbers("ambient_c", ambient_c)),
        loaded_conductors=loaded_conductors,
        installation_method=installation_method,
        grouped_circuits=grouped_circuits,
    )
    steps = [laying.steps(size) if laying.is_known() else _not_named(rule_set) for size in sizes]
    if conductor_temperature_c is None:
        warm = _temperatures_c(current, steps, laying)
    else:
        warm = [float(numbers("conductor_temperature_c", conductor_temperature_c))] * len(sizes)
    trials = []
    for size, step, temperature in zip(sizes, steps, warm, strict=True):
        copper = conductor_resistance(
            size, length, conductor_temperature_c=temperature, stranding=stranding, rule_set=rule_set
        )
        ohm = float(copper) * float(whole_numbers("conductors", conductors, at_least=1)) + contacts
        trials.append(_trial(size, step, temperature, ohm, ohm * current, laying))
    return _choose(trials, current, allowed, protection, laying.is_known())


def _not_named(rule_set: str) -> str:
    return f"no {'wire kind' if rule_set == 'NEC' else 'installation method'} given, so the ampacity is not asked"


def _temperatures_c(current_a: float, steps: Sequence[AmpacitySteps | str], laying: Laying) -> list[float]:
    heated = {
        index: min(_own_temperature_c(current_a, step, laying), HOTTEST_WIRE_C)
        for index, step in enumerate(steps)
        if not isinstance(step, str)
    }
    if not heated:
        return [max(laying.ambient_c, laying.insulation_c or laying.ambient_c)] * len(steps)
    rows = list(heated)
    finer = max(heated[rows[0]], laying.rating_c())
    return [heated.get(index, finer if index < rows[0] else heated[rows[-1]]) for index in range(len(steps))]


def _own_temperature_c(current_a: float, steps: AmpacitySteps, laying: Laying) -> float:
    own = conductor_temperature(
        current_a,
        ambient_c=laying.ambient_c,
        insulation_c=laying.rating_c(),
        table_ampacity_a=steps.table_ampacity_a,
    )
    return float(own)


def _trial(
    size: str, step: AmpacitySteps | str, temperature_c: float, ohm: float, drop_v: float, laying: Laying
) -> _Trial:
    ampacity = None if isinstance(step, str) else float(step.ampacity_a)
    limit = None
    if ampacity is not None:
        limit = wire_limit_a(size, ampacity, rule_set=laying.rule_set, wire_kind=laying.wire_kind)
    return _Trial(
        size=size,
        temperature_c=temperature_c,
        resistance_ohm=ohm,
        drop_v=drop_v,
        ampacity_a=ampacity,
        limit_a=limit,
        why_no_ampacity=step if isinstance(step, str) else "",
    )


def _choose(
    trials: Sequence[_Trial], current_a: float, allowed_v: float, protection_a: float | None, is_known: bool
) -> SizeChoice:
    meets: dict[str, Callable[[_Trial], bool]] = {"drop": lambda trial: trial.drop_v <= allowed_v * SLACK}
    if is_known:
        meets["ampacity"] = lambda trial: _covers(trial.ampacity_a, current_a)
    if is_known and protection_a is not None:
        meets["protection"] = lambda trial: _covers(trial.limit_a, protection_a)
    first = {name: next((trial for trial in trials if passes(trial)), None) for name, passes in meets.items()}
    chosen = next((trial for trial in trials if all(passes(trial) for passes in meets.values())), None)
    reasons = _reasons(trials, first, current_a, allowed_v, protection_a)
    sizes = {name: trial.size if trial else None for name, trial in first.items()}
    return SizeChoice(
        size=chosen.size if chosen else None,
        governed_by=_governing(trials, first),
        by_drop=sizes["drop"],
        drop_reason=reasons["drop"],
        by_ampacity=sizes.get("ampacity"),
        ampacity_reason=reasons["ampacity"],
        by_protection=sizes.get("protection"),
        protection_reason=reasons["protection"],
        drop_v=chosen.drop_v if chosen else None,
        resistance_ohm=chosen.resistance_ohm if chosen else None,
        conductor_temperature_c=chosen.temperature_c if chosen else None,
        ampacity_a=chosen.ampacity_a if chosen else None,
        wire_limit_a=chosen.limit_a if chosen else None,
    )


def _covers(limit_a: float | None, current_a: float) -> bool:
    return limit_a is not None and current_a <= limit_a * SLACK


def _governing(trials: Sequence[_Trial], first: Mapping[str, _Trial | None]) -> str:
    order = [trial.size for trial in trials]
    ranks = {name: order.index(trial.size) if trial else len(order) for name, trial in first.items()}
    return max(ranks, key=lambda name: ranks[name])


def _reasons(
    trials: Sequence[_Trial],
    first: Mapping[str, _Trial | None],
    current_a: float,
    allowed_v: float,
    protection_a: float | None,
) -> dict[str, str]:
    last, unknown = trials[-1], trials[0].why_no_ampacity
    drop = first["drop"]
    words = {
        "drop": f"drops {drop.drop_v:.3g} V of {allowed_v:.3g} V allowed, at {drop.temperature_c:.3g} degC"
        if drop
        else f"{last.size} still drops {last.drop_v:.3g} V, contacts included; allowed {allowed_v:.3g} V",
        "ampacity": unknown,
        "protection": unknown if protection_a is not None else "no device and no limit of the source given",
    }
    for name, wanted in (("ampacity", current_a), ("protection", protection_a)):
        if name in first and wanted is not None:
            words[name] = _limit_reason(name, trials, first[name], wanted)
    return words


def _limit_reason(name: str, trials: Sequence[_Trial], found: _Trial | None, wanted_a: float) -> str:
    def limit(trial: _Trial) -> float | None:
        return trial.ampacity_a if name == "ampacity" else trial.limit_a

    word = "may carry" if name == "ampacity" else "may be protected at up to"
    if found:
        return f"{word} {limit(found):.3g} A, and {wanted_a:.3g} A is asked"
    known = [trial for trial in trials if limit(trial) is not None]
    if not known:
        # What stands in the way of every size says more than that one size has no row.
        whys = [trial.why_no_ampacity for trial in trials]
        return next((why for why in whys if not why.startswith("size is")), whys[-1])
    return f"{known[-1].size}, the thickest in its table, {word} {limit(known[-1]):.3g} A; {wanted_a:.3g} A is asked"
