"""Benches of known truth: currents that are known, readings by the stated model of a meter's errors.

Noise model: one calibration error a meter, the same in all its readings; place in the jaw and digits anew in each
reading. All uniform between their limits, or all normal with limits that hold 95 %.
"""

from dataclasses import dataclass

import numpy as np

from ledcalc.bench import CurrentLog, MeterNoise

__all__ = ["Bench", "clamp_of", "draw", "read", "simulated_bench"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What is true of a bench, a column a board, and the log of its readings."""

    log: CurrentLog
    noise: MeterNoise
    elapsed_h: np.ndarray
    true_a: np.ndarray
    steady_a: np.ndarray
    rating_a: float


def draw(rng, limits, half_width, size=None):
    """Return errors within limits."""
    if limits == "rectangular":
        return rng.uniform(-1.0, 1.0, size) * half_width
    return rng.normal(0.0, 1.0, size) * half_width / 1.959963984540054


def read(rng, noise, true):
    """Return one meter's readings of what is true."""
    # The error's limits are stated for the reading; the reading is within per cent of the truth.
    calibration = draw(rng, noise.limits, noise.calibration_fraction)
    place = draw(rng, noise.limits, noise.accuracy_fraction - noise.calibration_fraction, true.shape)
    digits = draw(rng, noise.limits, noise.counts * noise.resolution, true.shape)
    return true * (1.0 + calibration + place) + digits


def clamp_of(rng):
    """Return a clamp as they are sold: 1 to 3 %, 1 to 5 counts of 1 or 10 mA."""
    return MeterNoise(
        accuracy_fraction=rng.choice([0.01, 0.015, 0.02, 0.03]),
        counts=int(rng.integers(1, 6)),
        resolution=rng.choice([0.001, 0.01]),
        repeating_fraction=rng.choice([0.3, 0.5, 0.7]),
        limits=rng.choice(["rectangular", "normal"]),
    )


def simulated_bench(rng, *, rate_of=None, warm_up=False, rating_a=None):
    """Return a bench of 2 to 8 boards read in 3 to 12 rounds over 4 to 48 h.

    ``rate_of``: rate in A/h of the first board, as a function of the clamp, times and level; ``warm_up``: all boards
    approach their steady current by 1 to 6 % within hours.
    """
    noise = clamp_of(rng)
    boards, rounds = int(rng.integers(2, 9)), int(rng.integers(3, 13))
    time = np.sort(rng.uniform(0.0, 1.0, rounds)) * rng.uniform(4.0, 48.0)
    steady = rng.uniform(0.8, 2.5) * (1.0 + 0.05 * rng.standard_normal(boards))
    true = np.tile(steady, (rounds, 1))
    if warm_up:
        height = rng.uniform(0.01, 0.06) * steady
        true = true - height * np.exp(-time[:, None] / rng.uniform(0.3, 3.0))
    if rate_of is not None:
        true[:, 0] += rate_of(noise, time, steady[0]) * (time - time.mean())
    reading = read(rng, noise, true)
    log = CurrentLog.from_wide(time, {f"B{n + 1}": reading[:, n] for n in range(boards)})
    rating = float(steady.max() * (1.0 + 0.02 * rng.standard_normal())) if rating_a is None else rating_a
    return Bench(log=log, noise=noise, elapsed_h=time, true_a=true, steady_a=steady, rating_a=rating)
