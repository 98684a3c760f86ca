"""Every single fault tried: which boards are left, what they carry, how hot they get, what would contain it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit.changed import Circuit, a_number_a_board, loads_of, with_heat_scaled
from ledcalc.circuit.containment import contained_by, is_running
from ledcalc.circuit.fault_cases import FaultCase, FaultConditions, fault_cases
from ledcalc.circuit.parts import CurrentSplit, Driver
from ledcalc.circuit.split import HOGGED, current_split, variant_of
from ledcalc.circuit.stacked import Stack, stacks_of
from ledcalc.circuit.trim import load_ratio

__all__ = ["FaultOutcome", "fault_table"]

# A driver that gives less than this part of what it gives without the fault does not reach its setting.
REACHED_FRACTION = 0.99
OVER = 1.0 + 1e-9
# What turning the current down could help against.
OVERLOADS = {"rated current", "rated temperature", "no steady state"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaultOutcome:
    """What one fault leaves behind once everything has settled again.

    ``current_a`` and ``temperature_c`` have an entry a board: 0 and the air's temperature for boards that are dark.
    ``worst_board``: the one nearest to its limits or over them, -1 where all are dark or switched off;
    ``used_fraction``: the larger of its current over rated and its rise over allowed rise. ``exceeds``: which limits
    are passed, in words.
    ``contained_by_a``: the highest current setting at which, under this fault, every board is within its limits; NaN
    where none on the dial does that with the driver running and every board left alight, or where the circuit is not
    steady or its boards hog to begin with; infinity where none is needed.
    """

    kind: str
    where: str
    mode: str
    dark: tuple[int, ...]
    driver_voltage_v: float
    driver_current_a: float
    current_a: FloatArray
    temperature_c: FloatArray
    worst_board: int
    used_fraction: float
    exceeds: tuple[str, ...]
    contained_by_a: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limits:
    """What boards may carry, how hot they may get, and the dial that could contain a fault."""

    current_a: FloatArray
    temperature_c: FloatArray
    dial_a: tuple[float, float]
    healthy_a: float = field(default=np.inf)
    is_steady: bool = True


def fault_table(
    network: Circuit,
    rated_current_a: ArrayLike,
    dial_a: tuple[float, float],
    *,
    driver: Driver,
    rated_temperature_c: ArrayLike = np.inf,
    ambient_c: float = 25.0,
    conditions: FaultConditions | None = None,
) -> tuple[FaultOutcome, ...]:
    """Return what each single fault does to the rest of the circuit.

    Parameters
    ----------
    network : as in ``current_split``, single numbers only
    rated_current_a : A, above 0: one for all boards, or one a board
    dial_a : A: low and high end of the driver's current dial, for the setting that would contain a fault
    driver : its settings
    rated_temperature_c : degC: one for all boards, or one a board; infinity: no limit
    ambient_c : degC
    conditions : what is known of lead sets, LEDs, fans, hottest and coldest air; None: nothing

    Returns
    -------
    FaultOutcome entries: each board open, each wire of a network open, each contact bad, each LED shorted or open where
    the LEDs' layout is known, each lead set lost, fans off, the driver at its highest setting, the hottest day, the
    cold start

    Raises
    ------
    ArgumentError (a ValueError): shapes that do not fit, or a number out of its range. No fault raises: where it leaves
    no steady state, or nothing that is lit, the outcome says so

    Validity
    --------
    One fault at a time, steady state (the cold start: the first moment). Radiant shares and wire resistances stay
    those given.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve, Branch
    >>> boards = [Branch(curve=BoardCurve.from_diode(0.6, 1e-12, 1.0))] * 3
    >>> driver = Driver(voltage_setting_v=40.0, current_setting_a=3.0)
    >>> first = fault_table(boards, 1.2, (0.5, 3.0), driver=driver)[0]
    >>> first.kind, first.where, first.current_a.round(9).tolist(), round(first.contained_by_a, 3)
    ('board open', '1', [0.0, 1.5, 1.5], 2.4)
    """
    count = len(loads_of(network))
    limits = Limits(
        current_a=a_number_a_board("rated_current_a", rated_current_a, count),
        temperature_c=a_number_a_board("rated_temperature_c", rated_temperature_c, count),
        dial_a=dial_a,
    )
    healthy = current_split(network, driver=driver, ambient_c=ambient_c)
    if np.isfinite(healthy.driver_current_a):
        limits = replace(limits, healthy_a=float(healthy.driver_current_a))
    limits = replace(limits, is_steady=_is_steady(healthy, network, driver, ambient_c))
    cases = fault_cases(network, driver, ambient_c, conditions or FaultConditions())
    lit = [case for case in cases if case.left]
    outcomes = iter(_lit_outcomes(lit, count, limits))
    return tuple(next(outcomes) if case.left else _all_dark(case, count) for case in cases)


def _is_steady(healthy: CurrentSplit, network: Circuit, driver: Driver, ambient_c: float) -> bool:
    """Return whether the circuit without a fault has a steady state in which no board took over from the others."""
    if not healthy.settled or not float(healthy.loop_gain) < 1.0:
        return False
    cold = current_split(with_heat_scaled(network, 0.0), driver=driver, ambient_c=ambient_c).current_a
    return bool((healthy.current_a * cold.sum() <= HOGGED * cold * healthy.current_a.sum()).all())


def _all_dark(case: FaultCase, count: int) -> FaultOutcome:
    return FaultOutcome(
        kind=case.kind,
        where=case.where,
        mode="no load",
        dark=tuple(range(count)),
        driver_voltage_v=float(np.asarray(case.driver.voltage_setting_v)),
        driver_current_a=0.0,
        current_a=np.zeros(count),
        temperature_c=np.full(count, case.ambient_c, dtype=float),
        worst_board=-1,
        used_fraction=0.0,
        exceeds=(),
        contained_by_a=np.inf,
    )


def _lit_outcomes(cases: Sequence[FaultCase], count: int, limits: Limits) -> list[FaultOutcome]:
    """Return outcomes of faults that leave boards lit: those that leave circuits of one shape solved together."""
    found: dict[int, FaultOutcome] = {}
    for stack in stacks_of([(case.network, case.driver, case.ambient_c) for case in cases]):
        own = [cases[number] for number in stack.numbers]
        split = stack.split()
        ratio = _ratio(split, own, limits)
        outcomes = [_outcome(case, n, split, ratio[:, n], count, limits) for n, case in enumerate(own)]
        searched = [n for n, outcome in enumerate(outcomes) if OVERLOADS & set(outcome.exceeds)]
        contained = _contained_by(stack, own, searched, ratio.max(axis=0), limits)
        for n, (number, outcome) in enumerate(zip(stack.numbers, outcomes, strict=True)):
            found[number] = replace(outcome, contained_by_a=contained.get(n, np.inf))
    return [found[number] for number in range(len(cases))]


def _ratio(split: CurrentSplit, cases: Sequence[FaultCase], limits: Limits) -> FloatArray:
    """Return how far each board left is used, a column a case."""
    left = np.array([case.left for case in cases]).T
    air = np.array([case.ambient_c for case in cases])
    return load_ratio(split, limits.current_a[left], limits.temperature_c[left], air)


def _outcome(
    case: FaultCase, column: int, together: CurrentSplit, ratio: FloatArray, count: int, limits: Limits
) -> FaultOutcome:
    split, left = variant_of(together, column), list(case.left)
    current, temperature = np.zeros(count), np.full(count, case.ambient_c, dtype=float)
    current[left], temperature[left] = split.current_a, split.temperature_c
    return FaultOutcome(
        kind=case.kind,
        where=case.where,
        mode=str(split.mode) if split.settled else "no steady state",
        dark=tuple(number for number in range(count) if number not in case.left),
        driver_voltage_v=float(split.driver_voltage_v),
        driver_current_a=float(split.driver_current_a),
        current_a=current,
        temperature_c=temperature,
        worst_board=left[int(np.argmax(ratio))] if split.mode != "switched off" else -1,
        used_fraction=float(ratio.max()),
        exceeds=tuple(_exceeded(case, split, limits)),
        contained_by_a=np.inf,
    )


def _exceeded(case: FaultCase, split: CurrentSplit, limits: Limits) -> Iterator[str]:
    left = list(case.left)
    if not split.settled:
        yield "no steady state"
        return
    if (split.current_a > limits.current_a[left] * OVER).any():
        yield "rated current"
    if (split.temperature_c > limits.temperature_c[left] + 1e-6).any():
        yield "rated temperature"
    if split.mode == "below window":
        yield "driver's lowest voltage"
    if split.mode == "switched off":
        yield "driver's cut-off voltage"
    is_dim = float(split.driver_current_a) < REACHED_FRACTION * limits.healthy_a
    if case.kind == "cold start" and is_dim:
        yield "voltage ceiling"


def _contained_by(
    stack: Stack, cases: Sequence[FaultCase], searched: Sequence[int], used_fraction: FloatArray, limits: Limits
) -> dict[int, float]:
    """Return the setting that contains each of some faults of a stack."""
    if not limits.is_steady:
        return dict.fromkeys(searched, np.nan)

    def tried(columns: Sequence[int], settings: Sequence[float]) -> tuple[FloatArray, NDArray[np.bool_]]:
        split = stack.at_settings(columns, settings)
        return _ratio(split, [cases[n] for n in columns], limits).max(axis=0), is_running(split)

    present = {n: (float(np.asarray(cases[n].driver.current_setting_a)), float(used_fraction[n])) for n in searched}
    return contained_by(tried, present, limits.dial_a)
