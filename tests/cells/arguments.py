"""Twenty sets of arguments for each cell function, from a seeded generator: within the function's range, and beyond."""

import random

CURRENTS, VOLTS = [[0.2], [0.5], [0.8]], [[21.0], [22.0], [22.8]]


def _sets(seed):
    r = random.Random(seed)
    u = r.uniform
    size = lambda: r.choice(["22 AWG", "18 AWG", "14 AWG", "12 AWG"])  # noqa: E731
    thick = lambda: r.choice(["14 AWG", "12 AWG", "10 AWG"])  # noqa: E731
    offset = u(-0.3, 0.3)
    points = [CURRENTS, [[volts[0] + offset] for volts in VOLTS]]
    grid = [[[0.1], [0.3], [0.1], [0.3]], [[0.1], [0.1], [0.3], [0.3]]]
    return {
        "LC_WIRE_OHM": [size(), u(0.1, 30), u(-10, 80)],
        "LC_WIRE_DROP": [u(0.1, 5), u(0.1, 9), size(), u(0, 75)],
        "LC_DROP_BY_OHM": [u(0.1, 5), u(0.1, 9), u(0.001, 0.1)],
        "LC_WIRE_AMPACITY": [thick(), r.choice(["flexible cord", "building wire"]), 60.0, None, u(20, 45)],
        "LC_WIRE_AREA": [size()],
        "LC_WIRE_SIZE": [u(0.5, 5), u(0.5, 5), u(0.2, 1), "flexible cord"],
        "LC_WIRE_TEMP": [u(0.1, 8), u(15, 40), 60.0, 10.0],
        "LC_MAINS_AMPS": [u(20, 900), u(100, 240), u(0.8, 1)],
        "LC_CIRCUIT_SHARE": [u(0.5, 20), r.choice([15.0, 20.0])],
        "LC_FIXTURES_FIT": [u(0.5, 6), r.choice([15.0, 20.0]), u(0, 3)],
        "LC_NEXT_RATING": [u(0.5, 60), "NEC fuse"],
        "LC_BUNDLE": [[[u(0.002, 0.006)] for _ in range(r.randint(1, 4))]],
        "LC_BOARD_VOLTS": [u(0.1, 0.9), *points, u(20, 70), 25.0, -0.02],
        "LC_BOARD_AMPS": [u(21.2, 22.6), *points, u(20, 40), 25.0, -0.01],
        "LC_BRANCH_AMPS": [[[u(0.05, 0.4)] for _ in range(3)], *points, u(0.8, 2), 24.0, 3.0, 25.0, -0.01, 0.4],
        "LC_TRIM_BY_READING": [[[u(0.4, 0.6)] for _ in range(4)], 0.55],
        "LC_BOARD_TEMP": [u(1, 60), u(0.5, 6), u(10, 35), u(0, 0.5)],
        "LC_JUNCTION_TEMP": [u(30, 80), u(1, 40), float(r.randint(10, 200)), u(4, 12)],
        "LC_CASE_TEMP": [u(1, 40), u(0.5, 4), u(10, 40)],
        "LC_AIR_RISE": [u(50, 900), u(20, 400), u(0, 20), u(10, 30)],
        "LC_FIN_SINK": [u(5, 60), 0.1, u(0.1, 0.4), float(r.randint(6, 14)), u(0.01, 0.05), 0.0015],
        "LC_PPFD": [
            u(0, 1),
            u(0, 1),
            [[0.3, 0.4, u(0.2, 0.6), 0.05, 0.28, u(20, 60)], [0.7, 0.4, 0.4, 0.05, 0.28, 33.0]],
        ],
        "LC_MAP_MEAN": [*grid, [[u(100, 300)] for _ in range(4)], 0.4, 0.4],
        "LC_MIN_OVER_MEAN": [[[u(100, 300), u(100, 300), u(100, 300)]]],
        "LC_EFFICACY": [u(10, 900), u(10, 500)],
        "LC_PHOTONS_PER_JOULE": [u(380, 780)],
        "LC_LUX_PER_PPFD": [[[400.0], [550.0], [700.0]], [[u(0, 1)], [u(0.1, 1)], [u(0, 1)]]],
        "LC_DLI": [u(10, 900), u(1, 24)],
        "LC_PPFD_FOR_DLI": [u(1, 40), u(1, 24)],
        "LC_HOURS_FOR_DLI": [u(1, 10), u(200, 900)],
        "LC_KWH_PER_MOL": [u(1, 3.5), u(0.4, 1)],
        "LC_KWH": [u(10, 900), u(1, 4000)],
        "LC_ENERGY_COST": [u(10, 4000), u(0.05, 0.5)],
        "LC_METER_WIDTH": [u(0.1, 900), u(0, 0.05), float(r.randint(0, 5)), r.choice([0.001, 0.1, 1.0])],
    }


def argument_sets(count=20):
    """Return (name, arguments) pairs, ``count`` of them for each function."""
    return [pair for seed in range(count) for pair in _sets(seed).items()]
