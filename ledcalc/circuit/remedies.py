"""Stability in plain words, and what would give it more margin, with a number."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.assembly import circuit_of
from ledcalc.circuit.changed import Circuit, with_ballast, with_heat_scaled
from ledcalc.circuit.kernel import Kernel
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Driver
from ledcalc.circuit.split import HOGGED, cold_gain, current_split, gain_while_sharing, grown_share
from ledcalc.circuit.stacked import stacks_of

__all__ = ["StabilityAdvice", "stability_advice", "stability_words"]

PIECES, ROUNDS = 24, 5
MOST_BALLAST_OHM = 100.0
LEAST_FRACTION = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class StabilityAdvice:
    """A circuit's loop gain and four ways to bring it to a margin, each alone; NaN where it does not get there.

    ``loop_gain``: NaN where boards run away. ``ballast_ohm``: resistance in series with every board. ``sink_factor``:
    what every thermal resistance is to be multiplied by. ``voltage_setting_v``, ``current_setting_a``: the highest
    settings. Where the gain is within the margin already: 0, 1 and the present settings.
    ``is_hogged``: a board has run away with the others' current; ``loop_gain`` is that of the state it ended in, and
    may be small. ``cold_loop_gain``: at the split from which boards start, all as warm as the air; at 1 or more they
    part.
    """

    loop_gain: float
    words: str
    ballast_ohm: float
    sink_factor: float
    voltage_setting_v: float
    current_setting_a: float
    is_hogged: bool = False
    cold_loop_gain: float = np.nan


def stability_words(loop_gain: float, *, is_hogged: bool = False) -> str:
    """Return what a loop gain means at the bench; ``is_hogged``: one board has taken the others' current already.

    Examples
    --------
    >>> stability_words(0.2)
    'steady: a warm-up dies out at once'
    """
    if not loop_gain < 1.0:
        return "not steady: a board that warms up takes more and more, until the others are dark or a limit binds"
    if is_hogged:
        return "boards do not share: one ran away with the others' current, and this gain is of where it ended"
    if loop_gain >= 0.7:
        return "near the edge: small differences between boards grow several times over as they warm"
    return (
        "steady: differences grow a little as boards warm" if loop_gain >= 0.3 else "steady: a warm-up dies out at once"
    )


def stability_advice(
    network: Circuit, *, driver: Driver, ambient_c: float = 25.0, margin: float = 0.7
) -> StabilityAdvice:
    """Return a circuit's loop gain and what would bring it down to a margin.

    Parameters
    ----------
    network : as in ``current_split``, single numbers only
    driver : its settings
    ambient_c : degC
    margin : above 0, below 1: the loop gain to come down to

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Each remedy was solved anew, with the heat that it leaves.

    References
    ----------
    Loop gain as in ``current_split``; the margin is common practice, no source.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve, Branch
    >>> curve = BoardCurve.from_diode(0.6, 1e-12, 0.2, voltage_coefficient_v_per_k=-0.03)
    >>> boards = [Branch(curve=curve, thermal_resistance_k_per_w=2.0, radiant_fraction=0.4)] * 3
    >>> advice = stability_advice(boards, driver=Driver(voltage_setting_v=40.0, current_setting_a=3.0))
    >>> round(advice.loop_gain, 2), round(advice.ballast_ohm, 2)
    (0.73, 0.03)
    """
    wanted = float(numbers("margin", margin, above=0, below=1))
    split = current_split(network, driver=driver, ambient_c=ambient_c)
    cold = current_split(with_heat_scaled(network, 0.0), driver=driver, ambient_c=ambient_c)
    is_hogged = bool(grown_share(cold.current_a, split.current_a) > HOGGED)
    gain = float(split.loop_gain)
    volts, amps = (float(np.asarray(v)) for v in (driver.voltage_setting_v, driver.current_setting_a))

    def gains(circuit: Circuit, voltage_v: ArrayLike = volts, current_a: ArrayLike = amps) -> FloatArray:
        tried = replace(driver, voltage_setting_v=voltage_v, current_setting_a=current_a)
        return _gains_while_sharing(circuit, tried, ambient_c)

    if gain <= wanted and not is_hogged:
        ballast, factor, voltage, current = 0.0, 1.0, volts, amps
    else:
        ballast = _least(lambda ohm: gains(with_ballast(network, ohm)), wanted, MOST_BALLAST_OHM)
        factor = _most(lambda part: _scaled_gains(network, part, driver, ambient_c), wanted, 1.0)
        voltage = _most(lambda v: gains(network, voltage_v=v), wanted, volts)
        current = _most(lambda a: gains(network, current_a=a), wanted, amps)
    return StabilityAdvice(
        loop_gain=gain,
        words=stability_words(gain, is_hogged=is_hogged),
        ballast_ohm=ballast,
        sink_factor=factor,
        voltage_setting_v=voltage,
        current_setting_a=current,
        is_hogged=is_hogged,
        cold_loop_gain=float(cold_gain(*_kernel_of(network, driver, ambient_c))[0]),
    )


def _kernel_of(network: Circuit, driver: Driver, ambient_c: float) -> tuple[Kernel, FloatArray]:
    return circuit_of(network, driver, np.asarray(ambient_c, dtype=float)).kernel(slice(None))


def _gains_while_sharing(network: Circuit, driver: Driver, ambient_c: float) -> FloatArray:
    return gain_while_sharing(*_kernel_of(network, driver, ambient_c))


def _scaled_gains(network: Circuit, factor: FloatArray, driver: Driver, ambient_c: float) -> FloatArray:
    if isinstance(network, Network) and network.thermal_matrix_k_per_w is not None:
        # A shared sink's matrix is no variant of one network: networks side by side.
        [stack] = stacks_of([(with_heat_scaled(network, one), driver, ambient_c) for one in factor])
        return stack.gain_while_sharing()
    return _gains_while_sharing(with_heat_scaled(network, factor), driver, ambient_c)


def _least(gain_of: Callable[[FloatArray], FloatArray], wanted: float, most: float) -> float:
    """Return the least value above 0 from which on the gain is what is wanted: below it boards may as well run away
    until the current limit holds them, steady but far too hot."""
    tried = np.geomspace(most * 1e-7, most, PIECES + 1)
    for _ in range(ROUNDS):
        too_little = np.flatnonzero(~(gain_of(tried) <= wanted))
        if not too_little.size:
            return float(tried[0])
        last = int(too_little[-1])
        if last == PIECES:
            return float("nan")
        tried = np.linspace(tried[last], tried[last + 1], PIECES + 1)
    return float(tried[-1])


def _most(gain_of: Callable[[FloatArray], FloatArray], wanted: float, present: float) -> float:
    """Return the highest value below the present one up to which the gain is what is wanted."""
    tried = present * np.linspace(LEAST_FRACTION, 1.0, PIECES + 1)
    for _ in range(ROUNDS):
        is_enough = gain_of(tried) <= wanted
        if not is_enough[0]:
            return float("nan")
        if is_enough.all():
            return float(tried[-1])
        first = int(np.argmin(is_enough))
        tried = np.linspace(tried[first - 1], tried[first], PIECES + 1)
    return float(tried[0])
