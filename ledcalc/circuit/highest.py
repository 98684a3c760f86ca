"""The highest board current that parts differing by chance lead to, by a closed form and few solutions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray, numbers
from ledcalc.circuit.changed import Circuit, loads_of
from ledcalc.circuit.parts import Driver
from ledcalc.circuit.spread import Parts, Spread, split_with, wires_of

__all__ = ["highest_current_estimate", "highest_current_estimates"]

# Boards are solved at so many standard deviations of their own current; between these it is taken to be straight.
LEVELS = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
# Where the driver holds one limit whatever its tolerance, its setting is taken at the ends and the middle; where it
# changes between its limits, at so many points of each.
ENDS, GRID = np.linspace(-1.0, 1.0, 3), np.linspace(-1.0, 1.0, 5)
# Midpoints of the driver's tolerance (where two matter, of each), and currents tried in each of some rounds.
MIDPOINTS, MIDPOINTS_EACH, TRIALS, ROUNDS = 64, 20, 25, 3
# Boards whose currents go together so closely count as one.
ALIKE = 0.999
# Standard deviation of what is spread evenly over -1 to 1.
EVEN_SIGMA = 1.0 / np.sqrt(3.0)


def highest_current_estimate(
    network: Circuit, share_fraction: float, spread: Spread, *, driver: Driver, ambient_c: float = 25.0
) -> float:
    """Return, by a closed form and a few solutions a board, what the highest board current stays below with a chance.

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
    Each board's current is solved along the direction in which parts most likely drive it up, and board currents are
    taken to be independent of each other otherwise. Within half a hundredth of Monte Carlo up to 0.5 % spread of the
    board voltage where boards and driver differ (loop gain up to 0.3), within a hundredth where wires and sinks do as
    well: their spread counts as normal, of the same standard deviation.

    References
    ----------
    Hasofer & Lind 1974, J. Eng. Mech. Div. ASCE 100(1):111-121 (first-order reliability, from memory); the product of
    the boards' chances for the highest of them.
    """
    chance = float(numbers("share_fraction", share_fraction, above=0, below=1))
    return highest_current_estimates(network, [chance], spread, driver=driver, ambient_c=ambient_c)[0]


def highest_current_estimates(
    network: Circuit, chances: Sequence[float], spread: Spread, *, driver: Driver, ambient_c: float
) -> list[float]:
    """Return ``highest_current_estimate`` for several chances, by the same solutions."""
    moved, nodes, weights = _moved(network, spread, driver, ambient_c)
    if not np.isfinite(moved).all():
        return [float("nan")] * len(chances)
    length = np.sqrt((moved**2).sum(axis=1, keepdims=True))
    directions = moved / np.maximum(length, 1e-300)
    # Each board in turn, at each node of the driver's tolerance and each level.
    off = np.repeat(directions.T, len(nodes) * LEVELS.size, axis=1) * np.tile(LEVELS, len(nodes) * len(directions))
    turned = np.tile(np.repeat(nodes, LEVELS.size, axis=0), (len(directions), 1)).T
    split = split_with(_parts(network, off, turned), network, spread, driver, ambient_c)
    boards = np.arange(len(directions))
    current = split.current_a.reshape(-1, len(directions), len(nodes), LEVELS.size)[boards, boards]
    if not np.isfinite(current).all():
        return [float("nan")] * len(chances)
    current = current[_apart(directions, current)]
    # A board that nothing moves rises as well, by next to nothing.
    rising = np.maximum.accumulate(current, axis=-1) + 1e-14 * max(float(current.max()), 1e-9) * LEVELS
    return [_quantile(rising, weights, chance) for chance in chances]


def _moved(
    network: Circuit, spread: Spread, driver: Driver, ambient_c: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return by how much each part, a standard deviation off, moves each board's current, a row a board; where in the
    driver's tolerance to look (current, voltage); and what each midpoint of it takes of these, a row a midpoint."""
    count, wires = len(loads_of(network)), wires_of(network)
    spreads = [spread.board_sigma_v] * count + [spread.wire_fraction] * wires + [spread.sink_fraction] * count
    moving = np.flatnonzero(np.array(spreads) > 0)
    number = np.arange(moving.size)
    off, turned = np.zeros((len(spreads), 2 * moving.size + 4)), np.zeros((2, 2 * moving.size + 4))
    off[moving, number], off[moving, moving.size + number] = 1.0, -1.0
    turned[:, -4:] = [[-1.0, -1.0, 1.0, 1.0], [-1.0, 1.0, -1.0, 1.0]]
    split = split_with(_parts(network, off, turned), network, spread, driver, ambient_c)
    moved = np.zeros((count, len(spreads)))
    moved[:, moving] = 0.5 * (split.current_a[:, : moving.size] - split.current_a[:, moving.size : -4])
    return moved, *_nodes(spread, set(np.asarray(split.mode)[-4:].tolist()))


def _parts(network: Circuit, off: FloatArray, turned: FloatArray) -> Parts:
    """Return parts off by standard deviations (boards, wires, sinks on the first axis) and the driver turned."""
    count = len(loads_of(network))
    return Parts(
        boards=off[:count],
        wires=np.clip(EVEN_SIGMA * off[count:-count], -1.0, 1.0),
        sinks=np.clip(EVEN_SIGMA * off[-count:], -1.0, 1.0),
        current=turned[0],
        voltage=turned[1],
    )


def _nodes(spread: Spread, modes: set[str]) -> tuple[FloatArray, FloatArray]:
    """Return nodes within the driver's tolerance, a row each, and what each midpoint of it takes of them."""
    one = np.zeros(1)
    if modes == {"constant voltage"}:
        axes = [one, ENDS if spread.voltage_setting_fraction > 0 else one]
    elif "constant voltage" not in modes:
        axes = [ENDS if spread.current_setting_fraction > 0 else one, one]
    else:
        axes = [
            GRID if fraction > 0 else one
            for fraction in (spread.current_setting_fraction, spread.voltage_setting_fraction)
        ]
    nodes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    return nodes, np.asarray(np.kron(_weights(axes[0]), _weights(axes[1])), dtype=float)


def _weights(nodes: FloatArray) -> FloatArray:
    """Return how values at nodes make up those at the midpoints of -1 to 1, a row a midpoint: along the parabola
    through three, by straight lines between more."""
    if nodes.size == 1:
        return np.ones((1, 1))
    count = MIDPOINTS if nodes.size == ENDS.size else MIDPOINTS_EACH
    middles = (np.arange(count) + 0.5) * 2.0 / count - 1.0
    if nodes.size == ENDS.size:
        return np.stack([0.5 * middles * (middles - 1.0), 1.0 - middles**2, 0.5 * middles * (middles + 1.0)], axis=1)
    return np.array([np.interp(middles, nodes, unit) for unit in np.eye(nodes.size)]).T


def _apart(directions: FloatArray, current: FloatArray) -> list[int]:
    """Return boards of which no two go together: of those that do, as in series, the one with the most current."""
    kept: list[int] = []
    for board in np.argsort(-current[:, :, 2].max(axis=1), kind="stable"):
        if not any(directions[board] @ directions[other] > ALIKE for other in kept):
            kept.append(int(board))
    return kept


def _quantile(current: FloatArray, weights: FloatArray, chance: float) -> float:
    """Return the current that no board passes with a chance: the mean over the driver's tolerance of the product of
    the boards' chances. ``current``: boards, nodes and levels."""
    from scipy.special import ndtr

    low, high = float(current.min()), float(current.max())
    for _ in range(ROUNDS):
        trials = np.linspace(low, high, TRIALS)
        levels = _levels(trials, current)
        within = ndtr(np.einsum("mk,bkx->mbx", weights, levels)).prod(axis=1).mean(axis=0)
        place = int(np.clip(np.searchsorted(within, chance), 1, TRIALS - 1))
        low, high = float(trials[place - 1]), float(trials[place])
        first, second = float(within[place - 1]), float(within[place])
    return low + (high - low) * min(max((chance - first) / max(second - first, 1e-300), 0.0), 1.0)


def _levels(trials_a: FloatArray, current_a: FloatArray) -> FloatArray:
    """Return at how many standard deviations each board, at each node, has the currents tried, on the last axis; beyond
    the ends of ``LEVELS`` along the end pieces."""
    start, end = current_a[..., :-1, None], current_a[..., 1:, None]
    part = (trials_a - start) / (end - start)
    part[..., 1:, :] = np.maximum(part[..., 1:, :], 0.0)
    part[..., :-1, :] = np.minimum(part[..., :-1, :], 1.0)
    return np.asarray(LEVELS[0] + (part * np.diff(LEVELS)[:, None]).sum(axis=-2))
