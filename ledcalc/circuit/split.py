"""How a driver's current splits between boards, their heat included."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.assembly import Circuit, circuit_of
from ledcalc.circuit.boards import Limits, Solved
from ledcalc.circuit.kernel import AT_VOLTAGE, Kernel, driver_resistance
from ledcalc.circuit.modes import MODES, NO_LOAD_A, SWITCHED_OFF, holding_of, is_at_a_limit, mode_of
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Branch, CurrentSplit, Driver
from ledcalc.circuit.warm_up import HOTTEST_RISE_K, warmed_from_cold

__all__ = [
    "HOGGED",
    "cold_gain",
    "current_split",
    "gain_while_sharing",
    "grown_share",
    "split_of",
    "split_without_gain",
    "variant_of",
    "variants_at_a_time",
]

# Variants are solved in blocks of so many numbers, a board and variant each, that numpy has enough to do in each call
# while arrays stay in the processor's cache; memory is bounded by the way.
NUMBERS_AT_A_TIME, LEAST_VARIANTS_AT_A_TIME = 30_000, 512
KEPT_BYTES = 2**24
# What does not converge directly within these steps is followed from cold.
MOST_STEPS = 60
# A board whose share of the current moved by more than this part of itself, from cold to warm, is followed step by
# step.
SHARE_TURNED = 0.25
# A board hogs when its own heat makes its share of the current so many times what it is cold.
HOGGED = 1.5
LEAST_SHARE = 1e-6


def current_split(network: Sequence[Branch] | Network, *, driver: Driver, ambient_c: ArrayLike = 25.0) -> CurrentSplit:
    """Return how the driver's current splits between parallel boards on home runs, each as warm as its own heat makes
    it.

    Parameters
    ----------
    network : one ``Branch`` a board for parallel boards on home runs; a ``Network`` for any other wiring. Any number
        may be an array of variants
    driver : its settings; the mode (constant current, constant voltage, power limit ...) is an outcome
    ambient_c : degC, air around the heat sinks; a number, or an array of variants

    Returns
    -------
    CurrentSplit: arrays with an entry a board, variants on the last axis; a lone case gives plain floats for the driver

    Raises
    ------
    ArgumentError (a ValueError): no board, a short circuit, boards without supply, or a number out of its range

    Validity
    --------
    Steady state, reached from cold: where currents and heat have more than one, the one that boards of equal time
    constants warm up to. Where none is found all numbers are NaN and ``settled`` is False: boards that run away, or
    what has not come to an end in so many steps (a bound on the work, not met by any case known). A cut-off is judged
    by the steady state: a driver that tries again and again is taken to be off.

    References
    ----------
    Kirchhoff's laws; Newton's method on the branch currents with heat in closed form; a Rosenbrock method from ambient
    where that fails or its state is unstable.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve
    >>> curve = BoardCurve.from_diode(0.6, 1e-12, 1.0)
    >>> split = current_split([Branch(curve=curve)] * 3, driver=Driver(voltage_setting_v=40.0, current_setting_a=3.0))
    >>> split.mode, split.current_a.round(9).tolist()
    ('constant current', [1.0, 1.0, 1.0])
    """
    circuit = circuit_of(network, driver, numbers("ambient_c", ambient_c, above=-273.15))
    return _of_circuit(circuit, is_gain_wanted=True)


def split_without_gain(network: Sequence[Branch] | Network, driver: Driver, ambient_c: ArrayLike) -> CurrentSplit:
    """Return ``current_split`` but for its loop gain, which may be a bound."""
    return _of_circuit(circuit_of(network, driver, np.asarray(ambient_c, dtype=float)), is_gain_wanted=False)


def _of_circuit(circuit: Circuit, *, is_gain_wanted: bool) -> CurrentSplit:
    if not circuit.shape:
        return variant_of(split_of(*circuit.kernel(slice(None)), is_gain_wanted=is_gain_wanted), 0)
    count, at_a_time = circuit.shape[0], variants_at_a_time(len(circuit.loads))
    if count <= at_a_time:
        return split_of(*circuit.kernel(slice(None)), is_gain_wanted=is_gain_wanted)
    # A block's arrays are freed and fetched again all the time. Linux's C library keeps what is freed up to the largest
    # block it ever let go: it is shown one, never touched and so no memory. That saves a fifth of the time.
    np.empty(KEPT_BYTES // 8)
    blocks = [slice(start, start + at_a_time) for start in range(0, count, at_a_time)]
    return _joined((split_of(*circuit.kernel(block), is_gain_wanted=is_gain_wanted) for block in blocks), count)


def variants_at_a_time(boards: int) -> int:
    """Return how many variants of a circuit are solved together."""
    return max(NUMBERS_AT_A_TIME // boards, LEAST_VARIANTS_AT_A_TIME)


def split_of(kernel: Kernel, base: FloatArray, *, is_gain_wanted: bool = True) -> CurrentSplit:
    """Return the split of every variant of a kernel, with the air around each board; where the loop gain is not wanted,
    it may be a bound of it."""
    cold = kernel.solve(base, 0.0, None, nearly=True)
    solved = kernel.solve(base, 1.0, cold.current_a, most_steps=MOST_STEPS)
    held = holding_of(kernel.limits, cold.driver_v, kernel.total(cold.current_a)) != AT_VOLTAGE
    split, suspect = _outcome(kernel, base, solved, held, is_gain_wanted=is_gain_wanted)
    suspect |= _shares_turned(cold, solved)
    if suspect.any():
        followed = _followed(kernel, base, solved, np.flatnonzero(suspect))
        split, _ = _outcome(kernel, base, followed, held, is_gain_wanted=is_gain_wanted)
    return _with_cut_off(kernel.limits, base, split)


def cold_gain(kernel: Kernel, base: FloatArray) -> FloatArray:
    """Return the loop gain at the split that boards start from, all as warm as the air: 1 or above, and the boards part
    as they warm."""
    cold = kernel.solve(base, 0.0, None)
    holding = holding_of(kernel.limits, cold.driver_v, kernel.total(cold.current_a))
    gain = kernel.loop_gain(kernel.state(cold.current_a, base, 0.0), cold, holding)
    return np.where(cold.converged, gain, np.nan)


def gain_while_sharing(kernel: Kernel, base: FloatArray) -> FloatArray:
    """Return the loop gain, infinite where a board hogs or runs away.

    Boards whose direct solution is unstable are not followed from cold: they part, and it takes long to where.
    """
    cold = kernel.solve(base, 0.0, None)
    solved = kernel.solve(base, 1.0, cold.current_a, most_steps=MOST_STEPS)
    held = holding_of(kernel.limits, cold.driver_v, kernel.total(cold.current_a)) != AT_VOLTAGE
    split, suspect = _outcome(kernel, base, solved, held, is_gain_wanted=True)
    lost = (np.asarray(split.loop_gain) >= 1.0) | (grown_share(cold.current_a, solved.current_a) > HOGGED)
    turned = np.flatnonzero((suspect | _shares_turned(cold, solved)) & ~lost)
    if turned.size:
        solved = _followed(kernel, base, solved, turned)
        split, _ = _outcome(kernel, base, solved, held, is_gain_wanted=True)
        lost |= grown_share(cold.current_a, solved.current_a) > HOGGED
    gain = np.asarray(_with_cut_off(kernel.limits, base, split).loop_gain)
    return np.where(lost | ~np.isfinite(gain), np.inf, gain)


def grown_share(cold_a: FloatArray, warm_a: FloatArray) -> FloatArray:
    """Return by how much heat raised a board's share of the current over its cold one, of the boards the most; 0 where
    none conducts."""
    cold, warm = cold_a.sum(axis=0), warm_a.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        grown = (warm_a / warm / np.maximum(cold_a / cold, LEAST_SHARE)).max(axis=0)
    return np.where((warm > 0) & (cold > 0), grown, 0.0)


def _joined(splits: Iterable[CurrentSplit], count: int) -> CurrentSplit:
    """Return blocks of variants as one, each let go once it is written down."""
    whole: dict[str, NDArray[Any]] = {}
    start = 0
    for split in splits:
        end = start + split.current_a.shape[1]
        for entry in fields(CurrentSplit):
            block = np.asarray(getattr(split, entry.name))
            into = whole.setdefault(entry.name, np.empty((*block.shape[:-1], count), dtype=block.dtype))
            into[..., start:end] = block
        start = end
    return CurrentSplit(**whole)


def _outcome(
    kernel: Kernel, base: FloatArray, solved: Solved, held: NDArray[np.bool_], *, is_gain_wanted: bool
) -> tuple[CurrentSplit, NDArray[np.bool_]]:
    """Return the split, and which variants are not to be trusted: not converged, or a state that would not last.

    ``held``: where the driver held current or power from cold on. Boards that warm up then need less voltage: it goes
    on to hold one of these, and a load that falls as a whole is held by it.
    """
    total = kernel.total(solved.current_a)
    holding = holding_of(kernel.limits, solved.driver_v, total)
    driver_ohm = np.where(held, driver_resistance(holding, solved.driver_v, total), 0.0)
    state = kernel.state(solved.current_a, base, 1.0, driver_ohm)
    solved = replace(solved, converged=solved.converged & is_at_a_limit(kernel.limits, solved.driver_v, total))
    gain = (kernel.loop_gain if is_gain_wanted else kernel.growth)(state, solved, holding)
    warmest = (state.temperature_c - base).max(axis=0)
    suspect = ~solved.converged | ~(gain < 1.0) | ~state.is_rising | (warmest > HOTTEST_RISE_K)
    lost = np.where(solved.converged, 0.0, np.nan)
    split = CurrentSplit(
        current_a=solved.current_a + lost,
        voltage_v=state.voltage_v + lost,
        power_w=state.voltage_v * solved.current_a + lost,
        temperature_c=state.temperature_c + lost,
        driver_voltage_v=solved.driver_v + lost,
        driver_current_a=total + lost,
        mode=mode_of(kernel.limits, holding, solved.driver_v, total),
        loop_gain=gain + lost,
        settled=solved.converged,
    )
    return split, suspect


def _with_cut_off(limits: Limits, base: FloatArray, split: CurrentSplit) -> CurrentSplit:
    """Return the split with the driver switched off where its load settles below its cut-off."""
    is_off = (split.driver_voltage_v < limits.cut_off_v) & (split.driver_current_a >= NO_LOAD_A)
    if not is_off.any():
        return split
    return replace(
        split,
        current_a=np.where(is_off, 0.0, split.current_a),
        voltage_v=np.where(is_off, 0.0, split.voltage_v),
        power_w=np.where(is_off, 0.0, split.power_w),
        temperature_c=np.where(is_off, base, split.temperature_c),
        driver_current_a=np.where(is_off, 0.0, split.driver_current_a),
        mode=np.where(is_off, MODES[SWITCHED_OFF], split.mode),
        loop_gain=np.where(is_off, 0.0, split.loop_gain),
    )


def _shares_turned(cold: Solved, solved: Solved) -> NDArray[np.bool_]:
    """Return where own heat changed a board's share so much that this may not be the state reached from cold."""
    before, after = (state.current_a / state.current_a.sum(axis=0) for state in (cold, solved))
    return np.asarray((np.abs(after - before) > SHARE_TURNED * before).any(axis=0))


def _followed(kernel: Kernel, base: FloatArray, solved: Solved, suspect: NDArray[np.intp]) -> Solved:
    """Return the solution with the suspect variants warmed up step by step from the air's temperature."""
    current, driver_v, converged = solved.current_a.copy(), solved.driver_v.copy(), solved.converged.copy()
    warmed = warmed_from_cold(kernel.part(suspect), base[:, suspect])
    current[:, suspect], driver_v[suspect], converged[suspect] = warmed.current_a, warmed.driver_v, warmed.converged
    return Solved(current_a=current, driver_v=driver_v, converged=converged)


def variant_of(split: CurrentSplit, column: int) -> CurrentSplit:
    """Return one of the variants by itself."""
    return CurrentSplit(
        current_a=split.current_a[:, column],
        voltage_v=split.voltage_v[:, column],
        power_w=split.power_w[:, column],
        temperature_c=split.temperature_c[:, column],
        driver_voltage_v=float(np.asarray(split.driver_voltage_v)[column]),
        driver_current_a=float(np.asarray(split.driver_current_a)[column]),
        mode=str(np.asarray(split.mode)[column]),
        loop_gain=float(np.asarray(split.loop_gain)[column]),
        settled=bool(np.asarray(split.settled)[column]),
    )
