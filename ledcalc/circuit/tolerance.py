"""What spread between boards, wires and settings does to the board that takes the most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.circuit.changed import Circuit, loads_of
from ledcalc.circuit.highest import highest_current_estimate, highest_current_estimates
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Branch, Driver
from ledcalc.circuit.split import current_split
from ledcalc.circuit.spread import Spread, drawn, split_with

__all__ = ["Spread", "ToleranceResult", "highest_current_estimate", "tolerance_of"]

QUANTILES = (0.95, 0.99)
MOST_TURNS, TURNED_FRACTION = 16, 1e-5
# Where so small a step of the setting lifts the use by so much, it jumps: boards begin to hog between the two.
NEAR_JUMP, JUMP = 1.01, 0.2
MOST_BOARDS_TIMES = 4
# Samples this far below the edge are not followed, so long as those followed move together this closely.
NEAR_FRACTION, ALIKE_FRACTION = 0.01, 0.004


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToleranceResult:
    """The highest board current among many fixtures of one design.

    ``highest_current_a``: an entry a sample. ``quantile_95_a`` and ``quantile_99_a``: what 95 % and 99 % of the samples
    stay below; ``estimate_95_a`` and ``estimate_99_a``: the same by the closed form. ``chance_over_rating_fraction``:
    share of samples with a board over its rating. ``setting_for_95_a`` and ``setting_for_99_a``: the driver current at
    which 95 % and 99 % of the samples have none, infinity where the voltage setting alone sees to that.
    ``boards_for_95_count``: how many boards would do at the present driver current; 0 where that is
    unknown (no home runs) or more than four times as many.
    """

    highest_current_a: FloatArray
    chance_over_rating_fraction: float
    quantile_95_a: float
    quantile_99_a: float
    estimate_95_a: float
    estimate_99_a: float
    setting_for_95_a: float
    setting_for_99_a: float
    boards_for_95_count: int


def tolerance_of(
    network: Circuit,
    rated_current_a: ArrayLike,
    spread: Spread,
    *,
    driver: Driver,
    ambient_c: float = 25.0,
    samples: int = 10_000,
    seed: int = 1,
) -> ToleranceResult:
    """Return how high the highest board current goes among fixtures whose parts differ by chance.

    Parameters
    ----------
    network : as in ``current_split``, single numbers only
    rated_current_a : A, above 0: one for all boards, or one a board
    spread : how far the parts differ
    driver : its settings
    ambient_c : degC
    samples : at least 100
    seed : of the random numbers: the same seed gives the same answer

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Boards drawn independently of each other; steady state, each sample with its own heat. A sample without a steady
    state counts as over the rating.

    References
    ----------
    JCGM 101:2008 (propagation of distributions by Monte Carlo); the closed form as ``highest_current_estimate``.

    Examples
    --------
    >>> from ledcalc.circuit import BoardCurve
    >>> boards = [Branch(curve=BoardCurve.from_diode(0.6, 1e-12, 1.0))] * 6
    >>> driver = Driver(voltage_setting_v=40.0, current_setting_a=6.0)
    >>> result = tolerance_of(boards, 1.1, Spread(board_sigma_v=0.05), driver=driver, samples=2000)
    >>> 1.0 < result.quantile_95_a < 1.1, result.chance_over_rating_fraction < 0.05
    (True, True)
    """
    count = int(whole_numbers("samples", samples, at_least=100))
    rated = np.broadcast_to(numbers("rated_current_a", rated_current_a, above=0), (len(loads_of(network)),))
    parts = drawn(network, count, seed)
    present = float(np.asarray(driver.current_setting_a))

    def used_at(setting_a: float, only: NDArray[np.bool_] | None = None) -> FloatArray:
        tried, some = replace(driver, current_setting_a=setting_a), parts if only is None else parts.only(only)
        current = _lost_as_infinite(split_with(some, network, spread, tried, ambient_c).current_a)
        return np.asarray((current / rated[:, None]).max(axis=0))

    current = _lost_as_infinite(split_with(parts, network, spread, driver, ambient_c).current_a)
    highest = current.max(axis=0)
    quantiles = [_quantile(highest, share) for share in QUANTILES]
    estimates = highest_current_estimates(network, QUANTILES, spread, driver=driver, ambient_c=ambient_c)
    # Where the driver holds its voltage the dial does nothing until it is turned below what flows.
    flowing = float(np.asarray(current_split(network, driver=driver, ambient_c=ambient_c).driver_current_a))
    is_idle = 0.0 < flowing < present * (1.0 - TURNED_FRACTION)
    start = flowing if is_idle else present
    edge = Edge(used_at=used_at, known={present: (current / rated[:, None]).max(axis=0)})
    settings = [_setting_for(edge, start, share) for share in QUANTILES]
    return ToleranceResult(
        highest_current_a=highest,
        chance_over_rating_fraction=float((current > rated[:, None] * (1.0 + 1e-9)).any(axis=0).mean()),
        quantile_95_a=quantiles[0],
        quantile_99_a=quantiles[1],
        estimate_95_a=estimates[0],
        estimate_99_a=estimates[1],
        setting_for_95_a=settings[0],
        setting_for_99_a=settings[1],
        boards_for_95_count=_boards_for(network, rated, spread, driver, ambient_c, estimates[0]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edge:
    """How far the worst board is used at the edge of a share of the samples, at any driver current.

    ``known``: settings at which all samples are solved. Elsewhere, only those near the edge and above it at the nearest
    of these are, unless the change of the setting moves some of them much more than others.
    """

    used_at: Callable[..., FloatArray]
    known: dict[float, FloatArray]

    def at(self, setting_a: float, share: float) -> float:
        """Return the part of its rating that no board passes in a share of the samples."""
        base = self.known[min(self.known, key=lambda known: abs(np.log(known / setting_a)))]
        edge, rank = _quantile(base, share), _rank(base.size, share)
        if setting_a not in self.known and 0.0 < edge < np.inf:
            is_near = base >= edge * (1.0 - NEAR_FRACTION)
            if np.isfinite(base[is_near]).all():
                near = self.used_at(setting_a, is_near)
                moved = near / base[is_near]
                if np.isfinite(moved).all() and np.ptp(moved) < ALIKE_FRACTION * moved.max():
                    return float(np.sort(near)[rank - np.count_nonzero(~is_near)])
        if setting_a not in self.known:
            self.known[setting_a] = self.used_at(setting_a)
        return _quantile(self.known[setting_a], share)


def _setting_for(edge: Edge, start_a: float, share: float) -> float:
    """Return the driver current at which a share of the samples has no board over its rating; where boards begin to
    hog, so that what they carry jumps or nearly so, to a hundredth below.

    Infinity: the voltage setting keeps them below at any current setting. NaN: none was found.
    """
    setting, before = start_a, np.nan
    within, over, jump = 0.0, np.inf, [0.0, np.inf]
    for _ in range(MOST_TURNS):
        used = edge.at(setting, share)
        if abs(used - 1.0) < TURNED_FRACTION:
            return setting
        if used == 0.0:
            return float("nan")
        if used < 1.0 and abs(used - before) < TURNED_FRACTION:
            return float("inf")
        if used > 1.0 and setting < over:
            over, jump[1] = setting, used
        elif used < 1.0 and setting > within:
            within, jump[0] = setting, used
        if within < over <= within * NEAR_JUMP and jump[1] - jump[0] > JUMP:
            return within
        # In proportion; where that leads out of what is known, the middle.
        following = setting * (0.5 if np.isinf(used) else 1.0 / used)
        before, setting = used, following if within < following < over else float(np.sqrt(within * over))
    return within if within < over <= within * NEAR_JUMP else float("nan")


def _boards_for(
    network: Circuit, rated: FloatArray, spread: Spread, driver: Driver, ambient_c: float, present_a: float
) -> int:
    """Return the least number of boards whose highest current stays within the rating at 95 %, by the closed form;
    ``present_a``: what it is with the present number."""
    if isinstance(network, Network):
        return 0
    boards: Sequence[Branch] = network
    present = len(boards)

    def is_enough(count: int) -> bool:
        tried = [boards[number % present] for number in range(count)]
        high = highest_current_estimate(tried, QUANTILES[0], spread, driver=driver, ambient_c=ambient_c)
        return high <= float(rated.min())

    count = present
    if present_a <= float(rated.min()):
        while count > 1 and is_enough(count - 1):
            count -= 1
        return count
    return next((more for more in range(present + 1, MOST_BOARDS_TIMES * present + 1) if is_enough(more)), 0)


def _lost_as_infinite(values: FloatArray) -> FloatArray:
    return np.asarray(np.where(np.isfinite(values), values, np.inf))


def _quantile(values: FloatArray, share: float) -> float:
    """Return the value that a share of the samples does not exceed; infinite samples may lie above it."""
    return float(np.sort(values)[_rank(values.size, share)])


def _rank(count: int, share: float) -> int:
    return min(int(np.ceil(share * count)), count) - 1
