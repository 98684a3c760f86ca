"""Networks of every wiring against ngspice: trunks fed at one end, at both, crossed; series; strings; groups; "
"open branches."""

import shutil
import sys
from pathlib import Path

import numpy as np
import pytest

from ledcalc.circuit import BoardCurve, Driver, Link, Load, Network, current_split

sys.path.insert(0, str(Path(__file__).parent))
import itertools

import spice

pytestmark = [
    pytest.mark.ngspice,
    pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed"),
]
WIRINGS = ("trunk", "both ends", "crossed", "series", "strings", "groups", "two trunks", "open branch")


def wires_of(wiring, count, rng):
    """Return links (from, to, ohm), the ends of each board, and how many boards lie in series."""

    def ohm():
        return float(rng.uniform(0.005, 0.2))

    trunk = [link for n in range(1, count) for link in ((f"p{n}", f"p{n + 1}", ohm()), (f"m{n}", f"m{n + 1}", ohm()))]
    across = [(f"p{n}", f"m{n}") for n in range(1, count + 1)]
    first = [("P", "p1", ohm()), ("N", "m1", ohm())]
    if wiring == "trunk":
        return trunk + first, across, 1
    if wiring == "both ends":
        return [*trunk, *first, ("P", f"p{count}", ohm()), ("N", f"m{count}", ohm())], across, 1
    if wiring == "crossed":
        return [*trunk, ("P", "p1", ohm()), ("N", f"m{count}", ohm())], across, 1
    if wiring == "series":
        nodes = ["x0", *(f"x{n}" for n in range(1, count)), "N"]
        return [("P", "x0", ohm())], list(itertools.pairwise(nodes)), count
    if wiring == "two trunks":
        half = count // 2
        kept = [
            link
            for link in trunk
            if {link[0], link[1]} not in ({f"p{half}", f"p{half + 1}"}, {f"m{half}", f"m{half + 1}"})
        ]
        return [*kept, *first, ("P", f"p{half + 1}", ohm()), ("N", f"m{half + 1}", ohm())], across, 1
    if wiring == "open branch":
        links = [link for n in range(1, count + 1) for link in (("P", f"p{n}", ohm()), (f"m{n}", "N", ohm()))]
        return links[2:], [("P", "nowhere"), *across[1:]], 1
    joined = [("P", f"s{n}", ohm()) for n in range(count // 2)]
    ends = [end for n in range(count // 2) for end in ((f"s{n}", f"mid{n}"), (f"mid{n}", "N"))]
    if wiring == "groups":
        joined += [(f"mid{n}", f"mid{n + 1}", ohm()) for n in range(count // 2 - 1)]
    return joined, ends, 2


def random_case(seed):
    rng = np.random.default_rng(1000 + seed)
    wiring, count = WIRINGS[seed % len(WIRINGS)], 2 * int(rng.integers(1, 4))
    links, ends, in_series = wires_of(wiring, count, rng)
    n, i_s, v0 = rng.uniform(0.3, 0.9), 10 ** rng.uniform(-14, -10), rng.uniform(0, 10)
    boards = [
        {
            "plus": plus,
            "minus": minus,
            "n": float(n),
            "i_s": float(i_s),
            "rs": float(rng.uniform(0.8, 1.2) * 1.5),
            "v0": float(v0 + rng.normal(0, 0.05)),
            "tc": -float(rng.uniform(0, 0.015)),
            "rth": float(rng.uniform(0, 1.2)),
            "radiant": float(rng.uniform(0.3, 0.6)),
        }
        for plus, minus in ends
    ]
    knee = in_series * (v0 + n * np.log(1 / i_s))
    parallel = max(count // in_series, 1)
    limits = {
        "volts": float(knee + in_series * rng.uniform(0.2, 5.0)),
        "amps": float(parallel * rng.uniform(0.3, 2.0)),
        "watts": float(parallel * knee * rng.uniform(0.3, 3.0)),
    }
    return links, boards, limits, float(rng.uniform(5, 40))


def ours(links, boards, limits, ambient):
    loads = [
        Load(
            board["plus"],
            board["minus"],
            BoardCurve.from_diode(
                board["n"],
                board["i_s"],
                board["rs"],
                offset_v=board["v0"],
                reference_temperature_c=spice.REFERENCE_C,
                voltage_coefficient_v_per_k=board["tc"],
            ),
            thermal_resistance_k_per_w=board["rth"],
            radiant_fraction=board["radiant"],
        )
        for board in boards
    ]
    driver = Driver(voltage_setting_v=limits["volts"], current_setting_a=limits["amps"], power_limit_w=limits["watts"])
    return current_split(
        Network(cables=[Link(*link) for link in links], boards=loads), driver=driver, ambient_c=ambient
    )


def fed(links):
    """Return the nodes that wires join to the supply's plus."""
    reached = {"P"}
    for _ in links:
        for start, end, _ in links:
            if start in reached or end in reached:
                reached |= {start, end}
    return reached


@pytest.mark.parametrize("seed", range(200))
def test_network_against_ngspice(seed, tmp_path):
    links, boards, limits, ambient = random_case(seed)
    split = ours(links, boards, limits, ambient)
    assert split.settled
    plus = fed(links)
    # A branch that ends in the air carries nothing; the simulator cannot solve it, so it is left out of its deck.
    closed = [number for number, board in enumerate(boards) if board["minus"] != "nowhere"]
    assert np.delete(split.current_a, closed) == pytest.approx(0.0, abs=1e-9)
    kept = [boards[number] for number in closed]
    into = np.array([float(board["plus"] in plus) - float(board["minus"] in plus) for board in kept])
    valid = spice.valid_states(links, kept, limits, ambient, tmp_path, lambda current: float(into @ current))
    assert list(valid) == [split.mode]
    current, temperature, terminal = valid[split.mode]
    assert split.current_a[closed] == pytest.approx(current, abs=1e-6 * current.max())
    assert split.temperature_c[closed] == pytest.approx(temperature, abs=1e-3)
    assert split.driver_voltage_v == pytest.approx(terminal, rel=1e-6)
