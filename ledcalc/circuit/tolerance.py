"""What spread between boards, wires and settings does to the board that takes the most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers, whole_numbers
from ledcalc.circuit.changed import Circuit, loads_of, with_offsets, with_sinks_scaled, with_wires_scaled
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Branch, CurrentSplit, Driver
from ledcalc.circuit.split import current_split

__all__ = ["Spread", "ToleranceResult", "highest_current_estimate", "tolerance_of"]

QUANTILES = (0.95, 0.99)
MOST_TURNS, TURNED_FRACTION = 12, 1e-5
MOST_BOARDS_TIMES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far parts of one kind differ.

    Parameters
    ----------
    board_sigma_v : V, at least 0: standard deviation of a whole board's voltage at one current (normal); not the width
        of an LED bin, see ``board_voltage_sigma``
    current_setting_fraction, voltage_setting_fraction : 0 to below 1: the driver's tolerance, evenly spread within
        plus or minus
    wire_fraction : 0 to below 1: of each wire's resistance, evenly spread within plus or minus
    sink_fraction : 0 to below 1: of each board's own thermal resistance, evenly spread within plus or minus; sinks that
        boards share (a thermal matrix) stay as they are

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    board_sigma_v: float = 0.0
    current_setting_fraction: float = 0.0
    voltage_setting_fraction: float = 0.0
    wire_fraction: float = 0.0
    sink_fraction: float = 0.0

    def __post_init__(self) -> None:
        numbers("board_sigma_v", self.board_sigma_v, at_least=0)
        for name in ("current_setting_fraction", "voltage_setting_fraction", "wire_fraction", "sink_fraction"):
            numbers(name, getattr(self, name), at_least=0, below=1)


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Draws:
    """Standard draws that serve every setting tried: differences between settings are then none of chance."""

    normal: FloatArray
    wires: FloatArray
    sinks: FloatArray
    current: FloatArray
    voltage: FloatArray


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
    draws = _draws(network, count, seed)
    present = float(np.asarray(driver.current_setting_a))

    # Settings are tried for two shares of the samples: what is the same for both is drawn once.
    @cache
    def current_at(setting_a: float) -> FloatArray:
        tried = replace(driver, current_setting_a=setting_a)
        return _lost_as_infinite(_sampled(network, spread, tried, ambient_c, draws).current_a)

    current = current_at(present)
    highest = current.max(axis=0)
    quantiles = [_quantile(highest, share) for share in QUANTILES]
    estimates = [
        highest_current_estimate(network, share, spread, driver=driver, ambient_c=ambient_c) for share in QUANTILES
    ]
    # Where the driver holds its voltage the dial does nothing until it is turned below what flows.
    flowing = float(np.asarray(current_split(network, driver=driver, ambient_c=ambient_c).driver_current_a))
    start = flowing if 0.0 < flowing < present * (1.0 - TURNED_FRACTION) else present
    settings = [_setting_for(current_at, rated, start, share) for share in QUANTILES]
    return ToleranceResult(
        highest_current_a=highest,
        chance_over_rating_fraction=float((current > rated[:, None] * (1.0 + 1e-9)).any(axis=0).mean()),
        quantile_95_a=quantiles[0],
        quantile_99_a=quantiles[1],
        estimate_95_a=estimates[0],
        estimate_99_a=estimates[1],
        setting_for_95_a=settings[0],
        setting_for_99_a=settings[1],
        boards_for_95_count=_boards_for(network, rated, spread, driver, ambient_c),
    )


def highest_current_estimate(
    network: Circuit, share_fraction: float, spread: Spread, *, driver: Driver, ambient_c: float = 25.0
) -> float:
    """Return, by a closed form and one solution a board, what the highest board current stays below with a chance.

    Parameters
    ----------
    network, spread, driver, ambient_c : as in ``tolerance_of``
    share_fraction : above 0, below 1: the chance, such as 0.95

    Returns
    -------
    A; NaN where no steady state exists

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    The board deviations keep their sum, so the highest of N is at q = z((1 - (1 - p)/N)) sigma sqrt(1 - 1/N), the
    others at -q/(N - 1). Within a hundredth of Monte Carlo up to 0.5 % spread of the board voltage; spread of wires and
    sinks is left out. Where the boards' wires differ it takes the worst board for the highest: on the high side.

    References
    ----------
    Bonferroni bound on the highest of N; root sum of squares with the driver's tolerance.
    """
    chance = float(numbers("share_fraction", share_fraction, above=0, below=1))
    middle = _worst_current(network, 0.5, 0.0, spread, driver, ambient_c)
    by_boards = _worst_current(network, chance, 0.0, spread, driver, ambient_c) - middle
    by_driver = _worst_current(network, 0.5, 2.0 * chance - 1.0, spread, driver, ambient_c) - middle
    return float(middle + np.hypot(by_boards, by_driver))


def _worst_current(
    network: Circuit, chance: float, turned: float, spread: Spread, driver: Driver, ambient_c: float
) -> float:
    """Return the highest current with one board, whichever, low by q and the driver's settings a part of their
    tolerance up."""
    from scipy.special import ndtri

    count = len(loads_of(network))
    q = float(ndtri(1.0 - (1.0 - chance) / count)) * spread.board_sigma_v * np.sqrt(1.0 - 1.0 / count)
    offsets = np.full((count, count), q / max(count - 1, 1))
    offsets[np.arange(count), np.arange(count)] = -q
    split = current_split(
        with_offsets(network, list(offsets)),
        driver=_turned(driver, spread, turned, turned),
        ambient_c=ambient_c,
    )
    return float(split.current_a.max())


def _draws(network: Circuit, count: int, seed: int) -> Draws:
    rng = np.random.default_rng(seed)
    boards = len(loads_of(network))
    wires = len(network.cables) if isinstance(network, Network) else boards
    return Draws(
        normal=rng.standard_normal((boards, count)),
        wires=rng.uniform(-1.0, 1.0, (wires, count)),
        sinks=rng.uniform(-1.0, 1.0, (boards, count)),
        current=rng.uniform(-1.0, 1.0, count),
        voltage=rng.uniform(-1.0, 1.0, count),
    )


def _sampled(network: Circuit, spread: Spread, driver: Driver, ambient_c: float, draws: Draws) -> CurrentSplit:
    tried = with_offsets(network, list(spread.board_sigma_v * draws.normal))
    if spread.wire_fraction > 0:
        tried = with_wires_scaled(tried, list(1.0 + spread.wire_fraction * draws.wires))
    if spread.sink_fraction > 0:
        tried = with_sinks_scaled(tried, list(1.0 + spread.sink_fraction * draws.sinks))
    settings = _turned(driver, spread, draws.current, draws.voltage)
    return current_split(tried, driver=settings, ambient_c=ambient_c)


def _turned(driver: Driver, spread: Spread, current: ArrayLike, voltage: ArrayLike) -> Driver:
    """Return the driver with its settings off by a part of their tolerance, -1 to 1."""
    amps = np.asarray(driver.current_setting_a) * (1.0 + spread.current_setting_fraction * np.asarray(current))
    volts = np.asarray(driver.voltage_setting_v) * (1.0 + spread.voltage_setting_fraction * np.asarray(voltage))
    return replace(driver, current_setting_a=amps, voltage_setting_v=volts)


def _setting_for(current_at: Callable[[float], FloatArray], rated: FloatArray, start_a: float, share: float) -> float:
    """Return the driver current at which a share of the samples has no board over its rating.

    Infinity: the voltage setting keeps them below at any current setting. NaN: none was found.
    """
    setting, before = start_a, np.nan
    for _ in range(MOST_TURNS):
        used = _quantile((current_at(setting) / rated[:, None]).max(axis=0), share)
        if abs(used - 1.0) < TURNED_FRACTION:
            return setting
        if used == 0.0:
            break
        if used < 1.0 and abs(used - before) < TURNED_FRACTION:
            return float("inf")
        before, setting = used, setting * (0.5 if np.isinf(used) else 1.0 / used)
    return float("nan")


def _boards_for(network: Circuit, rated: FloatArray, spread: Spread, driver: Driver, ambient_c: float) -> int:
    """Return the least number of boards whose highest current stays within the rating at 95 %, by the closed form."""
    if isinstance(network, Network):
        return 0
    boards: Sequence[Branch] = network
    present = len(boards)

    def is_enough(count: int) -> bool:
        tried = [boards[number % present] for number in range(count)]
        high = highest_current_estimate(tried, QUANTILES[0], spread, driver=driver, ambient_c=ambient_c)
        return high <= float(rated.min())

    count = present
    if is_enough(present):
        while count > 1 and is_enough(count - 1):
            count -= 1
        return count
    return next((more for more in range(present + 1, MOST_BOARDS_TIMES * present + 1) if is_enough(more)), 0)


def _lost_as_infinite(values: FloatArray) -> FloatArray:
    return np.asarray(np.where(np.isfinite(values), values, np.inf))


def _quantile(values: FloatArray, share: float) -> float:
    """Return the value that a share of the samples does not exceed; infinite samples may lie above it."""
    ranked = np.sort(values)
    return float(ranked[min(int(np.ceil(share * ranked.size)), ranked.size) - 1])
