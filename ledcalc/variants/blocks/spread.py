"""Whether too many fixtures built alike would have a board over its rating: decided for a block by as little as does.

The samples are those of ``tolerance_of``. What a straight line through few solutions says with plenty to spare is taken
for decided; only where it does not are all samples solved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray
from ledcalc.checks.limits import limit
from ledcalc.circuit import Driver, Network
from ledcalc.circuit.changed import Circuit, with_offsets
from ledcalc.circuit.split import split_without_gain
from ledcalc.circuit.spread import Spread, drawn, split_with
from ledcalc.evaluation.circuits import Part
from ledcalc.evaluation.what_if import SAMPLES
from ledcalc.variants.blocks.arrays import column, rows
from ledcalc.variants.blocks.steady import Steady, some_of
from ledcalc.variants.blocks.structure import Block

__all__ = ["over_rating_too_often"]

SEED, QUANTILE = 1, 0.95
OVER = 1.0 + 1e-9
# Offsets of so many standard deviations give the straight lines.
TRIED_SIGMAS = -2.0
# What a straight line says is taken to be right within a factor of two, where it is shorter than this part of the
# current.
LONGEST_FRACTION = 0.3
LINED_UP_AT_A_TIME = 4_000_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spreading:
    """A part of the circuit whose boards differ, a row a board; ``sigma_v``: standard deviation of their voltage."""

    network: Circuit
    sigma_v: FloatArray
    rated_a: FloatArray
    air_c: FloatArray

    def current(self, driver: Driver, off: Sequence[ArrayLike]) -> FloatArray:
        """Return the boards' currents with each so many standard deviations off."""
        network = with_offsets(self.network, [np.asarray(own) * self.sigma_v for own in off])
        return split_without_gain(network, driver, self.air_c).current_a


def over_rating_too_often(block: Block, steady: Steady) -> NDArray[np.bool_]:
    """Return in which variants more fixtures than allowed would have a board over its rated current."""
    parts = [part for part in steady.circuit.parts() if _is_spread(block, part)]
    verdict, undecided = (np.zeros(block.count, dtype=bool) for _ in range(2))
    for part in parts:
        undecided |= ~_is_never_over(block, steady, part)
    if len(parts) == 1 and undecided.any():
        # Of several parts the one nearest its rating counts: there all samples are solved.
        left = np.flatnonzero(undecided)
        some, state = some_of(block, steady, left)
        verdict[left], undecided[left] = _by_lines(some, state, state.circuit.parts()[0])
    for number in np.flatnonzero(undecided):
        verdict[number] = _by_samples(*some_of(block, steady, np.array([number])))
    return verdict


def _is_spread(block: Block, part: Part) -> bool:
    return any(block.structure.placed[number].model.voltage_spread_v is not None for number in part.boards)


def _spreading(block: Block, steady: Steady, part: Part) -> Spreading:
    models = [block.placed[number].model for number in part.boards]
    given = [model.voltage_spread_v for model in models if model.voltage_spread_v is not None]
    return Spreading(
        network=part.circuit.as_network(),
        sigma_v=rows(given, block.count).max(axis=0),
        rated_a=rows([model.rated_current_a for model in models], block.count),
        air_c=steady.around.air_c,
    )


def _is_never_over(block: Block, steady: Steady, part: Part) -> NDArray[np.bool_]:
    """Return in which variants no sample can have a board over its rating: not even the worst for each board.

    In parallel a board takes the most with its own voltage low, all others high, and both settings high. In a network
    the straight line through a small change says which way each board counts.
    """
    spreading, high = _spreading(block, steady, part), _turned(steady.driver, block, 1.0)
    samples, count = _samples(len(part.boards)), len(part.boards)
    is_network = isinstance(spreading.network, Network)
    moved = _moved(spreading, high)[1] if is_network else (1.0 - 2.0 * np.eye(count))[:, :, None]
    within = np.ones(block.count, dtype=bool)
    for number in range(count):
        off = [np.where(moved[number, other] > 0, own.max(), own.min()) for other, own in enumerate(samples)]
        within &= (spreading.current(high, off) <= spreading.rated_a)[number]
    return within


def _by_lines(block: Block, steady: Steady, part: Part) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return in which variants more samples than allowed have a board over its rating, and which are undecided."""
    spreading, allowed = _spreading(block, steady, part), limit("over_rating_chance")
    at_high, moved = _moved(spreading, _turned(steady.driver, block, 1.0))
    at_low = spreading.current(_turned(steady.driver, block, -1.0), [0.0] * len(part.boards))
    samples = _samples(len(part.boards))
    often, seldom = (np.zeros(block.count, dtype=bool) for _ in range(2))
    for some in np.array_split(np.arange(block.count), -(-block.count // (LINED_UP_AT_A_TIME // samples.size))):
        off = np.einsum("ijv,js->isv", moved[:, :, some], samples, optimize=True)
        rated, high, low = (figures[:, None, some] for figures in (spreading.rated_a, at_high, at_low))
        is_short = (np.abs(off) <= LONGEST_FRACTION * high).all(axis=(0, 1))
        surely = (low + np.where(off > 0.0, 0.5, 2.0) * off > rated * OVER).any(axis=0).mean(axis=0)
        maybe = (high + np.where(off > 0.0, 2.0, 0.5) * off > rated).any(axis=0).mean(axis=0)
        often[some], seldom[some] = is_short & (surely > allowed), is_short & (maybe <= allowed)
    return often, ~often & ~seldom


def _moved(spreading: Spreading, driver: Driver) -> tuple[FloatArray, FloatArray]:
    """Return the boards' currents, and by how much a standard deviation of each moves each, (boards, boards, ...)."""
    count = len(spreading.rated_a)
    plain = spreading.current(driver, [0.0] * count)
    off = [[TRIED_SIGMAS if board == number else 0.0 for board in range(count)] for number in range(count)]
    moved = [(spreading.current(driver, own) - plain) / TRIED_SIGMAS for own in off]
    return plain, np.stack(moved, axis=1)


def _turned(driver: Driver, block: Block, sign: float) -> Driver:
    """Return the driver with both settings at an end of their tolerance."""
    model = block.driver
    current = 1.0 + sign * column(model.current_tolerance_fraction, block.count)
    voltage = 1.0 + sign * column(model.voltage_tolerance_fraction, block.count)
    return replace(
        driver,
        current_setting_a=np.multiply(driver.current_setting_a, current),
        voltage_setting_v=np.multiply(driver.voltage_setting_v, voltage),
    )


@lru_cache(maxsize=8)
def _samples(boards: int) -> FloatArray:
    """Return how many standard deviations each board is off in each sample; boards are drawn first of all."""
    return np.random.default_rng(SEED).standard_normal((boards, SAMPLES))


def _by_samples(block: Block, steady: Steady) -> bool:
    """Return the verdict on a lone variant by all samples, on the part that is nearest its rating."""
    model, found = block.driver, list[tuple[float, float]]()
    for part in steady.circuit.parts():
        if not _is_spread(block, part):
            continue
        spreading = _spreading(block, steady, part)
        spread = Spread(
            board_sigma_v=float(spreading.sigma_v[0]),
            current_setting_fraction=float(column(model.current_tolerance_fraction, 1)[0]),
            voltage_setting_fraction=float(column(model.voltage_tolerance_fraction, 1)[0]),
        )
        parts = drawn(spreading.network, SAMPLES, SEED)
        split = split_with(parts, spreading.network, spread, steady.driver, float(steady.around.air_c[0]))
        current, rated = np.where(np.isfinite(split.current_a), split.current_a, np.inf), spreading.rated_a
        highest = np.sort(current.max(axis=0))[int(np.ceil(QUANTILE * SAMPLES)) - 1]
        found.append((float(highest / rated.min()), float((current > rated * OVER).any(axis=0).mean())))
    return max(found, key=lambda pair: pair[0])[1] > limit("over_rating_chance")
