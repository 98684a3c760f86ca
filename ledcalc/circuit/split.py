"""How a driver's current splits between boards, their heat included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.home_runs import HomeRuns, Limits, Solved, board_state, home_runs, newton
from ledcalc.circuit.parts import Branch, CurrentSplit, Driver
from ledcalc.circuit.stability import loop_gain
from ledcalc.errors import ArgumentError

__all__ = ["current_split"]

NO_LOAD_A = 1e-6
FIRST_STEP, LONGEST_STEP, GROWTH = 0.1, 1e6, 1.5
MOST_MARCH_STEPS = 400
HOTTEST_RISE_K = 2000.0
# A board whose share of the current moved by more than this part of itself, from cold to warm, is followed step by
# step.
SHARE_TURNED = 0.25


def current_split(network: Sequence[Branch], *, driver: Driver, ambient_c: ArrayLike = 25.0) -> CurrentSplit:
    """Return how the driver's current splits between parallel boards on home runs, each as warm as its own heat makes
    it.

    Parameters
    ----------
    network : one ``Branch`` a board, all on one driver; any of their numbers may be arrays of variants
    driver : its settings; the mode (constant current, constant voltage, power limit ...) is an outcome
    ambient_c : degC, air around the heat sinks; a number, or an array of variants

    Returns
    -------
    CurrentSplit: arrays with an entry a board, variants on the last axis; a lone case gives plain floats for the driver

    Raises
    ------
    ArgumentError (a ValueError): no branch, something that is no branch, or a number out of its range

    Validity
    --------
    Steady state, reached from cold: where currents and heat have more than one, the one that boards of equal time
    constants warm up to. Where none is found all numbers are NaN and ``settled`` is False.

    References
    ----------
    Kirchhoff's laws; Newton's method on the branch currents with heat in closed form; backward Euler from ambient where
    that fails or its state is unstable.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve
    >>> curve = BoardCurve.from_diode(0.6, 1e-12, 1.0)
    >>> split = current_split([Branch(curve=curve)] * 3, driver=Driver(voltage_setting_v=40.0, current_setting_a=3.0))
    >>> split.mode, split.current_a.round(9).tolist()
    ('constant current', [1.0, 1.0, 1.0])
    """
    branches = _checked(network)
    runs, limits, air = home_runs(branches, driver, numbers("ambient_c", ambient_c, above=-273.15))
    scalar = air.shape == (1,) and not _has_variants(branches, driver, ambient_c)
    base = np.broadcast_to(air, runs.wire_ohm.shape)
    theta = runs.thermal_k_per_w * runs.heat_fraction
    cold = newton(runs, limits, base, np.zeros_like(theta))
    solved = newton(runs, limits, base, theta, cold.current_a)
    split, suspect = _outcome(runs, limits, base, theta, solved)
    suspect |= _shares_turned(cold, solved)
    if suspect.any():
        solved = _marched(runs, limits, base, theta, solved, suspect)
        split, _ = _outcome(runs, limits, base, theta, solved)
    return _without_variants(split) if scalar else split


def _checked(network: Sequence[Branch]) -> list[Branch]:
    branches = list(network)
    if not branches:
        raise ArgumentError("network", branches, "at least one Branch")
    for branch in branches:
        if not isinstance(branch, Branch):
            raise ArgumentError("network", branch, "a sequence of Branch")
    return branches


def _has_variants(branches: Sequence[Branch], driver: Driver, ambient_c: ArrayLike) -> bool:
    own = [getattr(branch, name) for branch in branches for name in Branch.__dataclass_fields__ if name != "curve"]
    return any(np.ndim(value) for value in (*own, *driver.as_arrays().values(), ambient_c)) or any(
        np.ndim(branch.curve.voltage(0.1)) for branch in branches
    )


def _outcome(
    runs: HomeRuns, limits: Limits, base: FloatArray, theta: FloatArray, solved: Solved
) -> tuple[CurrentSplit, NDArray[np.bool_]]:
    """Return the split, and which variants are not to be trusted: not converged, or a state that would not last."""
    state = board_state(runs, solved.current_a, base, theta)
    total = solved.current_a.sum(axis=0)
    holding = _holding(limits, solved.driver_v, total)
    gain = loop_gain(runs, state, solved.current_a, solved.driver_v, holding)
    warmest = (state.temperature_c - base).max(axis=0)
    suspect = (
        ~solved.converged | ~(gain < 1.0) | (state.total_slope_ohm <= 0.0).any(axis=0) | (warmest > HOTTEST_RISE_K)
    )
    lost = np.where(solved.converged, 0.0, np.nan)
    split = CurrentSplit(
        current_a=solved.current_a + lost,
        voltage_v=state.voltage_v + lost,
        power_w=state.voltage_v * solved.current_a + lost,
        temperature_c=state.temperature_c + lost,
        driver_voltage_v=solved.driver_v + lost,
        driver_current_a=total + lost,
        mode=_mode(limits, holding, solved.driver_v, total),
        loop_gain=gain + lost,
        settled=solved.converged,
    )
    return split, suspect


def _shares_turned(cold: Solved, solved: Solved) -> NDArray[np.bool_]:
    """Return where own heat changed a board's share so much that this may not be the state reached from cold."""
    before, after = (state.current_a / state.current_a.sum(axis=0) for state in (cold, solved))
    return np.asarray((np.abs(after - before) > SHARE_TURNED * before).any(axis=0))


def _holding(limits: Limits, driver_v: FloatArray, total_a: FloatArray) -> NDArray[np.str_]:
    """Return which of its three limits the driver holds."""
    at_voltage = driver_v >= limits.voltage_v * (1.0 - 1e-12)
    at_current = total_a >= limits.current_a * (1.0 - 1e-9)
    return np.where(at_voltage, "constant voltage", np.where(at_current, "constant current", "power limit"))


def _mode(limits: Limits, holding: NDArray[np.str_], driver_v: FloatArray, total_a: FloatArray) -> NDArray[np.str_]:
    mode = np.where(driver_v < limits.window_min_v, "below window", holding)
    return np.where(total_a < NO_LOAD_A, "no load", mode)


def _marched(
    runs: HomeRuns, limits: Limits, base: FloatArray, theta: FloatArray, solved: Solved, suspect: NDArray[np.bool_]
) -> Solved:
    """Return the solution with the suspect variants warmed up step by step from the air's temperature."""
    current, driver_v, converged = solved.current_a.copy(), solved.driver_v.copy(), solved.converged.copy()
    for variant in np.flatnonzero(suspect):
        only = slice(variant, variant + 1)
        one = replace(
            runs,
            wire_ohm=runs.wire_ohm[:, only],
            thermal_k_per_w=runs.thermal_k_per_w[:, only],
            heat_fraction=runs.heat_fraction[:, only],
            shift_v=runs.shift_v[:, only],
            coefficient_v_per_k=runs.coefficient_v_per_k[:, only],
        )
        own = Limits(
            voltage_v=limits.voltage_v[only],
            current_a=limits.current_a[only],
            power_w=limits.power_w[only],
            window_min_v=limits.window_min_v[only],
        )
        warmed = _march(one, own, base[:, only], theta[:, only])
        current[:, only], driver_v[only], converged[only] = warmed.current_a, warmed.driver_v, warmed.converged
    return Solved(current_a=current, driver_v=driver_v, converged=converged)


def _march(runs: HomeRuns, limits: Limits, base: FloatArray, theta: FloatArray) -> Solved:
    """Warm up from ambient by backward Euler in units of the thermal time constant, steps growing to infinity.

    T+ = (T + h (base + theta V I)) / (1 + h) is the steady problem with theta h/(1+h) on a base of (T + h base)/(1 +
    h).
    """
    temperature, step = base.copy(), FIRST_STEP
    solved = newton(runs, limits, base, np.zeros_like(theta))
    for _ in range(MOST_MARCH_STEPS):
        eased, softer = (temperature + step * base) / (1.0 + step), theta * step / (1.0 + step)
        following = newton(runs, limits, eased, softer, solved.current_a)
        if not following.converged.all():
            if step < 1e-4:
                break
            step /= 4.0
            continue
        solved = following
        warmer = board_state(runs, solved.current_a, eased, softer).temperature_c
        moved, temperature = float(np.abs(warmer - temperature).max()), warmer
        if float((temperature - base).max()) > HOTTEST_RISE_K:
            break
        if step >= LONGEST_STEP and moved < 1e-9:
            return solved
        step = min(step * GROWTH, LONGEST_STEP)
    return replace(solved, converged=np.zeros_like(solved.converged))


def _without_variants(split: CurrentSplit) -> CurrentSplit:
    return CurrentSplit(
        current_a=split.current_a[:, 0],
        voltage_v=split.voltage_v[:, 0],
        power_w=split.power_w[:, 0],
        temperature_c=split.temperature_c[:, 0],
        driver_voltage_v=float(np.asarray(split.driver_voltage_v)[0]),
        driver_current_a=float(np.asarray(split.driver_current_a)[0]),
        mode=str(np.asarray(split.mode)[0]),
        loop_gain=float(np.asarray(split.loop_gain)[0]),
        settled=bool(np.asarray(split.settled)[0]),
    )
