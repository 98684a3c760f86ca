"""Speed of current splits, and beside it that of ngspice on the same circuits in the same run.

    OMP_NUM_THREADS=1 python tests/benchmarks/bench_circuit.py

On one core: faults, trim, tolerance and warm-up of six boards; boards that are followed from cold; home runs and a
trunk of six boards with heat, 10,000 variants, single cases, up to 1,000,000 variants and the memory these take.
ngspice solves the same kind of variants in one process, every cable and the driver's amps altered for each
("altered"). What it needs for one variant more is the difference of a long and a short run. A sweep of the driver's
current alone ("swept") is shown as well: each point starts from its close neighbour there, so that few iterations do;
it is no way to vary more than one number. Without ngspice that part is left out.
"""

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

import ledcalc as lc
from ledcalc import circuit

sys.path.insert(0, str(Path(__file__).parents[1] / "published"))
import spice

BOARDS, VARIANTS = 6, 10_000
RTH, RADIANT, VOLTS, AMBIENT = 1.5, 0.5, 24.0, 25.0
DIODE = {"n": 0.6, "i_s": 1e-12, "rs": 1.0, "v0": 0.0, "tc": -0.02, "rth": RTH, "radiant": RADIANT}
CURVE = lc.BoardCurve.from_diode(
    DIODE["n"], DIODE["i_s"], DIODE["rs"], reference_temperature_c=25.0, voltage_coefficient_v_per_k=DIODE["tc"]
)
POINTS_A = [0.2, 0.5, 0.9, 1.4, 2.0]
POINTS = lc.BoardCurve.from_points(POINTS_A, CURVE.voltage(POINTS_A), voltage_coefficient_v_per_k=DIODE["tc"])
HEAT = {"thermal_resistance_k_per_w": RTH, "radiant_fraction": RADIANT}


def best(call, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def driver_of(rng, shape):
    return lc.Driver(voltage_setting_v=VOLTS, current_setting_a=rng.uniform(3, 9, shape))


def home_runs(shape, curve=CURVE):
    """Six boards, each on its own cable; every cable and the driver's current vary."""
    rng = np.random.default_rng(1)
    branches = [
        lc.Branch(curve=curve, wire_resistance_ohm=rng.uniform(0.02, 0.1, shape), **HEAT) for _ in range(BOARDS)
    ]
    driver = driver_of(rng, shape)
    return lambda: lc.current_split(branches, driver=driver, ambient_c=AMBIENT)


def trunk_links(rng, shape):
    ends = [(side, f"{side.lower()}0", 0.02, 0.1) for side in "PN"]
    ends += [(f"{side}{n}", f"{side}{n + 1}", 0.005, 0.02) for n in range(BOARDS - 1) for side in "pn"]
    return [(start, end, rng.uniform(low, high, shape)) for start, end, low, high in ends]


def trunk(shape, curve=CURVE, both_ends=False):
    """Six boards between two conductors, compiled anew at each call; every piece and the driver's current vary."""
    rng = np.random.default_rng(1)
    links = trunk_links(rng, shape)
    if both_ends:
        links += [(side, f"{side.lower()}{BOARDS - 1}", rng.uniform(0.02, 0.1, shape)) for side in "PN"]
    driver = driver_of(rng, shape)

    def call():
        network = lc.Network(
            cables=[lc.Link(*link) for link in links],
            boards=[lc.Load(f"p{n}", f"n{n}", curve, **HEAT) for n in range(BOARDS)],
        )
        return lc.current_split(network, driver=driver, ambient_c=AMBIENT)

    return call


def spice_seconds_per_variant(links, ends, changes, folder, short=200, long=1700):
    """Return what one variant more costs in one process: ``changes`` gives the commands for a number of variants."""
    boards = [DIODE | {"plus": plus, "minus": minus} for plus, minus in ends]
    head = spice.deck(links, boards, "constant current", {"amps": 6.0}, AMBIENT).split(".control")[0]

    def run(count):
        path = Path(folder) / "many.cir"
        path.write_text("\n".join([head, ".control", *changes(count), "quit", ".endc", ".end", ""]))
        found = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, check=False)
        if "error" in (found.stdout + found.stderr).lower():
            raise RuntimeError(found.stdout + found.stderr)

    return (best(lambda: run(long), 3) - best(lambda: run(short), 3)) / (long - short)


def sweep(count):
    return [f"dc Idrv 3 9 {6.0 / count!r}"]


def altered(links):
    rng = np.random.default_rng(1)

    def changes(count):
        lines = []
        for _ in range(count):
            lines += [f"alter Rl{k} = {ohm * rng.uniform(0.5, 2.0)!r}" for k, (_, _, ohm) in enumerate(links)]
            lines += [f"alter Idrv = {rng.uniform(3, 9)!r}", "op", "destroy"]
        return lines

    return changes


def against_ngspice(ours_s):
    if shutil.which("ngspice") is None:
        print("ngspice is not installed: no comparison")
        return
    rng = np.random.default_rng(1)
    runs = [("P", f"a{n}", float(rng.uniform(0.02, 0.1))) for n in range(BOARDS)]
    circuits = {
        "home runs": (runs, [(f"a{n}", "N") for n in range(BOARDS)]),
        "trunk": (
            [(start, end, float(ohm)) for start, end, ohm in trunk_links(rng, ())],
            [(f"p{n}", f"n{n}") for n in range(BOARDS)],
        ),
    }
    with tempfile.TemporaryDirectory() as folder:
        for name, (links, ends) in circuits.items():
            for how, changes in (("altered", altered(links)), ("swept", sweep)):
                theirs = spice_seconds_per_variant(links, ends, changes, folder)
                print(
                    f"ngspice, {name}, {how}: {theirs * 1e6:.0f} us a variant, {theirs / ours_s[name]:.0f} times ours"
                )


def growth():
    """Each size in a process of its own, so that the peak of one does not hide another's."""
    for kind in ("home_runs", "trunk"):
        for count in (10_000, 100_000, 1_000_000):
            found = subprocess.run(
                [sys.executable, __file__, kind, str(count)], capture_output=True, text=True, check=True
            )
            print(found.stdout.strip())


def one_size(kind, count):
    call = {"home_runs": home_runs, "trunk": trunk}[kind](count)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    split = call()
    peak_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    result_mb = sum(np.asarray(getattr(split, name)).nbytes for name in split.__slots__) / 2**20
    del split
    seconds = best(call, 3)
    print(
        f"{kind}, {count:,} variants: {seconds:.3f} s, {seconds / count * 1e6:.2f} us a variant; peak memory "
        f"+{peak_mb:.0f} MB, of which the results {result_mb:.0f} MB"
    )


def what_else():
    """Faults, trim, tolerance and warm-up of six boards on home runs, on a trunk, and on one sink that they share."""
    ohms = np.linspace(0.05, 0.3, BOARDS)
    boards = [lc.Branch(curve=POINTS, wire_resistance_ohm=ohm, **HEAT) for ohm in ohms]
    wirings = {
        "home runs": boards,
        "trunk": circuit.trunk_network(boards, [0.02] * BOARDS, [0.02] * BOARDS),
        "shared sink": circuit.home_run_network(boards, thermal_matrix_k_per_w=np.eye(BOARDS) + 0.1),
    }
    driver = lc.Driver(voltage_setting_v=VOLTS, current_setting_a=0.9 * BOARDS)
    conditions = circuit.FaultConditions(
        leds=[circuit.LedLayout(series_count=6, parallel_count=4)] * BOARDS, fans_off_factor=1.5
    )
    spread = circuit.Spread(board_sigma_v=0.04, current_setting_fraction=0.03)
    dial = (0.5, 8.0)
    for name, wiring in wirings.items():
        works = {
            "faults": lambda on=wiring: circuit.fault_table(on, 1.1, dial, driver=driver, conditions=conditions),
            "trim": lambda on=wiring: circuit.trim_driver(on, 1.1, dial, driver=driver),
            "tolerance": lambda on=wiring: circuit.tolerance_of(on, 1.1, spread, driver=driver, samples=2000),
            "warm-up": lambda on=wiring: circuit.warm_up(on, 300.0, driver=driver),
        }
        print(f"{name}: " + ", ".join(f"{work} {best(call, 5) * 1e3:.1f} ms" for work, call in works.items()))


def hot():
    """Eight boards too hot to be solved by a few steps: on one plate, where they hog, where they run away."""
    curve = lc.BoardCurve.from_diode(0.6, 1e-14, 1.5, voltage_coefficient_v_per_k=-0.018)
    boards = [
        lc.Branch(
            curve=curve, wire_resistance_ohm=0.1 + 0.01 * n, thermal_resistance_k_per_w=20.0, radiant_fraction=0.5
        )
        for n in range(8)
    ]
    limited, free = (lc.Driver(voltage_setting_v=v, current_setting_a=a) for v, a in ((80.0, 4.4), (22.0, np.inf)))
    spread = circuit.Spread(board_sigma_v=0.03)
    for name, sink, interface in (("one plate", 2.0, 0.4), ("hogging", 1.0, 17.0)):
        matrix = np.full((8, 8), sink) + interface * np.eye(8)
        network = circuit.home_run_network(boards, thermal_matrix_k_per_w=matrix)
        works = {
            "a split": lambda on=network: lc.current_split(on, driver=limited),
            "tolerance": lambda on=network: circuit.tolerance_of(on, 0.9, spread, driver=limited, samples=2000),
        }
        print(f"hot, {name}: " + ", ".join(f"{work} {best(call, 2) * 1e3:.1f} ms" for work, call in works.items()))
    print(f"hot, running away: a split {best(lambda: lc.current_split(boards, driver=free), 5) * 1e3:.1f} ms")
    print(f"hot, running away: advice {best(lambda: circuit.stability_advice(boards, driver=free), 2) * 1e3:.1f} ms")


def main() -> None:
    if len(sys.argv) == 3:
        one_size(sys.argv[1], int(sys.argv[2]))
        return
    what_else()
    hot()
    ours = {name: best(build(VARIANTS), 15) / VARIANTS for name, build in (("home runs", home_runs), ("trunk", trunk))}
    for name, seconds in ours.items():
        print(f"{name}, {BOARDS} boards, {VARIANTS:,} variants: {1 / seconds:,.0f} variants/s")
    both = best(lambda: trunk(VARIANTS, both_ends=True)(), 10) / VARIANTS
    print(f"trunk fed at both ends: {1 / both:,.0f} variants/s")
    for name, build in (("home runs", home_runs), ("trunk", trunk)):
        print(f"{name}, curve through points: {VARIANTS / best(build(VARIANTS, POINTS), 10):,.0f} variants/s")
    for name, build in (("home runs", home_runs), ("trunk, compiled anew", trunk)):
        print(f"a single split, {name}: {best(build(()), 200) * 1e3:.2f} ms")
    against_ngspice(ours)
    growth()


if __name__ == "__main__":
    main()
