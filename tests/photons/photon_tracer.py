"""A photon tracer of the tests' own: an independent reference for rooms, with its own statistical error.

Photons leave even boards, fly straight to the nearest side of the box and are sent back diffusely (cosine law) or as by
a mirror. Each carries a weight that the sides' reflectances lessen; light photons are ended by chance (Russian
roulette), which keeps the mean. Emission and first bounce are spread by Sobol's sequence. Each batch is scrambled anew,
so that the batches' spread is the error.
"""

import warnings

import numpy as np
from scipy.stats import qmc

CELLS = 8
LEAST_WEIGHT = 0.1
# Sides in the order x = 0, x = width, y = 0, y = depth, floor, ceiling.


def trace(sizes, reflectances, sources, *, sensor_z=0.0, mirror_share=0.0, batches=4, photons=2**17, seed=1):
    """Return the mean irradiance of level sensors on 8 x 8 cells of the plan, and its standard error, both [x, y]."""
    found = np.array(
        [_batch(sizes, reflectances, sources, sensor_z, mirror_share, photons, seed + n) for n in range(batches)]
    )
    return found.mean(axis=0), found.std(axis=0, ddof=1) / np.sqrt(batches), found.mean(axis=(1, 2))


def _batch(sizes, reflectances, sources, sensor_z, mirror_share, photons, seed):
    rng = np.random.default_rng(seed)
    sizes, reflectances = np.asarray(sizes, dtype=float), np.asarray(reflectances, dtype=float)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        spread = qmc.Sobol(7, rng=rng).random(photons).T if _takes_rng() else qmc.Sobol(7, seed=rng).random(photons).T
    place, way = _emit(sources, spread)
    flux = sum(source.photon_flux_umol_s for source in sources)
    weight = np.full(photons, flux / photons)
    start_weight = flux / photons
    score = np.zeros(CELLS * CELLS)
    chance = spread[5:7]
    while weight.size:
        side, place = _fly(place, way, weight, sizes, sensor_z, score)
        weight = weight * reflectances[side]
        weight = _roulette(weight, start_weight, rng)
        alive = weight > 0
        place, way, weight, side = place[:, alive], way[:, alive], weight[alive], side[alive]
        chance = chance[:, alive] if chance is not None else rng.random((2, weight.size))
        bounced = _diffuse(side, chance)
        if mirror_share > 0:
            mirrored = (side < 4) & (rng.random(side.size) < mirror_share)
            back = way.copy()
            back[side // 2, np.arange(side.size)] *= -1.0
            bounced = np.where(mirrored, back, bounced)
        way, chance = bounced, None
    return score.reshape(CELLS, CELLS) / (sizes[0] * sizes[1] / CELLS**2)


def _takes_rng():
    import inspect

    return "rng" in inspect.signature(qmc.Sobol.__init__).parameters


def _emit(sources, spread):
    fluxes = np.array([source.photon_flux_umol_s for source in sources])
    number = np.minimum(np.searchsorted(np.cumsum(fluxes) / fluxes.sum(), spread[4], side="right"), fluxes.size - 1)
    place, way = np.empty((3, number.size)), np.empty((3, number.size))
    for n, source in enumerate(sources):
        own = number == n
        axes = source.axes()
        u, v = (spread[0, own] - 0.5) * source.width_m, (spread[1, own] - 0.5) * source.length_m
        centre = np.array([source.x_m, source.y_m, source.z_m])
        place[:, own] = centre[:, None] + axes[0][:, None] * u + axes[1][:, None] * v
        # cos^m by the share of light within an angle: 1 - cos^(m + 1).
        cosine = (1.0 - spread[2, own]) ** (1.0 / (source.cosine_exponent + 1.0))
        sine, turn = np.sqrt(np.maximum(1.0 - cosine**2, 0.0)), 2.0 * np.pi * spread[3, own]
        local = np.array([sine * np.cos(turn), sine * np.sin(turn), cosine])
        way[:, own] = axes.T @ local
    return place, way


def _fly(place, way, weight, sizes, sensor_z, score):
    with np.errstate(divide="ignore"):
        reach = np.where(way > 0, (sizes[:, None] - place) / way, np.where(way < 0, -place / way, np.inf))
    np.maximum(reach, 0.0, out=reach)
    axis = reach.argmin(axis=0)
    arrived = place + way * np.take_along_axis(reach, axis[None], axis=0)
    np.clip(arrived, 0.0, sizes[:, None], out=arrived)
    side = 2 * axis + (way[axis, np.arange(axis.size)] > 0)
    arrived[axis, np.arange(axis.size)] = np.where(side % 2 == 1, sizes[axis], 0.0)
    down = (side == 4) if sensor_z == 0.0 else (place[2] > sensor_z) & (arrived[2] < sensor_z)
    crossing = arrived[:2, down]
    if sensor_z > 0.0:
        share = (place[2, down] - sensor_z) / (place[2, down] - arrived[2, down])
        crossing = place[:2, down] + share * (arrived[:2, down] - place[:2, down])
    cell = np.minimum((crossing / sizes[:2, None] * CELLS).astype(int), CELLS - 1)
    score += np.bincount(cell[0] * CELLS + cell[1], weights=weight[down], minlength=CELLS**2)
    return side, arrived


def _roulette(weight, start_weight, rng):
    light = weight < LEAST_WEIGHT * start_weight
    survives = rng.random(weight.size) * LEAST_WEIGHT * start_weight < weight
    return np.where(light, np.where(survives, LEAST_WEIGHT * start_weight, 0.0), weight)


def _diffuse(side, chance):
    cosine = np.sqrt(1.0 - chance[0])
    sine, turn = np.sqrt(chance[0]), 2.0 * np.pi * chance[1]
    way = np.empty((3, side.size))
    axis, count = side // 2, np.arange(side.size)
    way[axis, count] = np.where(side % 2 == 1, -cosine, cosine)
    way[(axis + 1) % 3, count] = sine * np.cos(turn)
    way[(axis + 2) % 3, count] = sine * np.sin(turn)
    return way
