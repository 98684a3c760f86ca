"""Speed of the array formulas as ratios within one run.

python tests/benchmarks/bench_formulas.py
"""

import time

import numpy as np

import ledcalc as lc


def best(call, rounds=5):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def split_of(count):
    rng = np.random.default_rng(1)
    curve = lc.BoardCurve.from_diode(0.6, 1e-12, 1.0, voltage_coefficient_v_per_k=-0.02)
    shape = () if count == 1 else (count,)
    branches = [
        lc.Branch(
            curve=curve,
            wire_resistance_ohm=rng.uniform(0.02, 0.1, shape),
            thermal_resistance_k_per_w=1.5,
            radiant_fraction=0.5,
        )
        for _ in range(6)
    ]
    driver = lc.Driver(voltage_setting_v=24.0, current_setting_a=rng.uniform(3, 9, shape))
    return lambda: lc.current_split(branches, driver=driver)


def corner_sum(boards, points):
    """The closed form as one would write it by hand, all boards at once."""
    total = np.zeros((len(boards), len(points)))
    x, y, c = (points[None, :, k] - boards[:, None, k] for k in range(3))
    c = -c
    for sx in (1, -1):
        for sy in (1, -1):
            a, b = 0.1 + sx * x, 0.1 + sy * y
            p, q = np.sqrt(a * a + c * c), np.sqrt(b * b + c * c)
            total += (a / p * np.arctan(b / p) + b / q * np.arctan(a / q)) / (2 * np.pi)
    return (total * 100 / 0.04).sum(axis=0)


def main() -> None:
    many, single = best(split_of(10_000)), best(split_of(1), rounds=50)
    print(f"6 boards, 10,000 variants: {10_000 / many:,.0f} variants/s; a single split {single * 1e3:.2f} ms")
    print(f"ratio of single splits one by one to the batch: {single * 10_000 / many:.0f}")
    rng = np.random.default_rng(2)
    centres = np.column_stack([rng.uniform(0, 2, (12, 2)), np.full(12, 0.5)])
    points = np.column_stack([rng.uniform(0, 2, (2500, 2)), np.zeros(2500)])
    sources = [
        lc.LightSource(x_m=x, y_m=y, z_m=z, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0) for x, y, z in centres
    ]
    ours, by_hand = best(lambda: lc.ppfd_map(sources, points)), best(lambda: corner_sum(centres, points))
    assert np.allclose(lc.ppfd_map(sources, points), corner_sum(centres, points), rtol=1e-10)
    print(f"12 boards x 2,500 points: {ours * 1e3:.1f} ms, {ours / by_hand:.2f} times a hand-written closed form")


if __name__ == "__main__":
    main()
