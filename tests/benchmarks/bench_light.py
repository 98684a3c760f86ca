"""Speed of the light field, as ratios to plain numpy in the same run.

    OMP_NUM_THREADS=1 python tests/benchmarks/bench_light.py

Direct light of 12 boards on 2,500 points beside a closed form written by hand; a room prepared at the default mesh, and
layouts of six boards in it; 10,000 dimmings of 12 boards beside one product of matrices.
"""

import time

import numpy as np

import ledcalc as lc
from ledcalc.photons import ppfd_per_flux

ROOM = lc.Room(
    width_m=2.0, depth_m=2.0, height_m=2.2, wall_reflectance=0.8, ceiling_reflectance=0.8, floor_reflectance=0.1
)


def best(call, rounds=15):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def in_turns(first, second, rounds=15):
    """Return the best time of each, measured by turns, so that a busy machine slows both."""
    pairs = [(best(first, 1), best(second, 1)) for _ in range(rounds)]
    return tuple(min(times) for times in zip(*pairs, strict=True))


def boards(count, rng, height=0.6):
    places = rng.uniform(0.2, 1.8, (count, 2))
    return [
        lc.LightSource(x_m=x, y_m=y, z_m=height, width_m=0.25, length_m=0.25, photon_flux_umol_s=100.0)
        for x, y in places
    ]


def by_hand(sources, points):
    """The closed form as one would write it, all boards at once."""
    centres = np.array([[s.x_m, s.y_m, s.z_m] for s in sources])
    total = np.zeros((len(sources), len(points)))
    x, y, c = (points[None, :, k] - centres[:, None, k] for k in range(3))
    for sx in (1, -1):
        for sy in (1, -1):
            a, b = 0.125 + sx * x, 0.125 + sy * y
            p, q = np.sqrt(a * a + c * c), np.sqrt(b * b + c * c)
            total += (a / p * np.arctan(b / p) + b / q * np.arctan(a / q)) / (2 * np.pi)
    return (total * 100 / 0.0625).sum(axis=0)


def main() -> None:
    rng = np.random.default_rng(2)
    points = np.column_stack([rng.uniform(0, 2, (2500, 2)), np.zeros(2500)])
    twelve = boards(12, rng)
    assert np.allclose(lc.ppfd_map(twelve, points), by_hand(twelve, points), rtol=1e-9)
    ours, hand = in_turns(lambda: lc.ppfd_map(twelve, points), lambda: by_hand(twelve, points), 30)
    print(f"direct, 12 boards x 2,500 points: {ours * 1e3:.2f} ms, {ours / hand:.2f} times a closed form by hand")

    once = best(lambda: ROOM.prepare(points, fixture_height_m=0.6), 5)
    room = ROOM.prepare(points, fixture_height_m=0.6)
    layouts = iter([boards(6, rng) for _ in range(30)])
    each = best(lambda: lc.ppfd_map(next(layouts), points, room=room), 30)
    six = boards(6, rng)
    print(f"room of {room.patch_count} patches: prepared in {once * 1e3:.0f} ms for 2,500 points")
    alone = best(lambda: lc.ppfd_map(six, points))
    print(f"  a layout of 6 boards: {each * 1e3:.2f} ms, {each / alone:.1f} times direct light alone")
    mirrored = lc.Room(
        width_m=2.0,
        depth_m=2.0,
        height_m=2.2,
        wall_reflectance=0.8,
        ceiling_reflectance=0.8,
        floor_reflectance=0.1,
        mirror_share=0.5,
    )
    prepared = mirrored.prepare(points, fixture_height_m=0.6)
    print(f"  the same with half-mirror walls: {best(lambda: lc.ppfd_map(six, points, room=prepared), 5) * 1e3:.0f} ms")

    fluxes = rng.uniform(0, 100, (10_000, 12))
    plain = rng.uniform(0, 1, (12, 2500))
    ours, product = in_turns(lambda: fluxes @ ppfd_per_flux(twelve, points, room=room), lambda: fluxes @ plain, 7)
    print(
        f"10,000 dimmings of 12 boards x 2,500 points in the room: {ours * 1e3:.0f} ms, {ours / product:.2f} times "
        "one product of matrices"
    )


if __name__ == "__main__":
    main()
