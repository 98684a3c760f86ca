"""Current split against ngspice, a general circuit simulator: native diodes, thermal nodes, every driver mode."""

import shutil
import sys
from pathlib import Path

import numpy as np
import pytest

from ledcalc.circuit import (
    BoardCurve,
    Branch,
    Driver,
    current_split,
    fault_table,
    offsets_from_currents,
    trim_driver,
    trim_from_measured,
)

sys.path.insert(0, str(Path(__file__).parent))
import spice

pytestmark = pytest.mark.ngspice
needs_ngspice = pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")


def random_case(seed):
    """Return boards as plain numbers (n, Is, Rs, V0, tc, Rth, radiant, wire) and a driver."""
    rng = np.random.default_rng(seed)
    boards = [
        {
            "n": rng.uniform(0.3, 0.9),
            "i_s": 10 ** rng.uniform(-14, -10),
            "rs": rng.uniform(0.5, 3.0),
            "v0": rng.uniform(0, 10),
            "tc": -rng.uniform(0, 0.02),
            "rth": rng.uniform(0, 1.5),
            "radiant": rng.uniform(0.3, 0.6),
            "wire": rng.uniform(0.01, 0.3),
        }
    ] * int(rng.integers(1, 7))
    boards = [board | {"wire": rng.uniform(0.01, 0.3), "v0": board["v0"] + rng.normal(0, 0.05)} for board in boards]
    knee = boards[0]["v0"] + boards[0]["n"] * np.log(1 / boards[0]["i_s"])
    limits = {
        "volts": knee + rng.uniform(0.0, 6.0),
        "amps": len(boards) * rng.uniform(0.2, 2.0),
        "watts": len(boards) * knee * rng.uniform(0.3, 3.0),
    }
    plain = [{name: float(value) for name, value in board.items()} for board in boards]
    return plain, {name: float(value) for name, value in limits.items()}, rng.uniform(5, 40)


def ours(boards, limits, ambient):
    branches = [
        Branch(
            curve=BoardCurve.from_diode(
                b["n"],
                b["i_s"],
                b["rs"],
                offset_v=b["v0"],
                reference_temperature_c=spice.REFERENCE_C,
                voltage_coefficient_v_per_k=b["tc"],
            ),
            wire_resistance_ohm=b["wire"],
            thermal_resistance_k_per_w=b["rth"],
            radiant_fraction=b["radiant"],
        )
        for b in boards
    ]
    driver = Driver(voltage_setting_v=limits["volts"], current_setting_a=limits["amps"], power_limit_w=limits["watts"])
    return current_split(branches, driver=driver, ambient_c=ambient)


@needs_ngspice
@pytest.mark.parametrize("seed", range(40))
def test_split_against_ngspice(seed, tmp_path):
    boards, limits, ambient = random_case(seed)
    split = ours(boards, limits, ambient)
    assert split.settled
    links = [("P", f"a{k}", board["wire"]) for k, board in enumerate(boards)]
    placed = [board | {"plus": f"a{k}", "minus": "N"} for k, board in enumerate(boards)]
    # The mode comes from the simulator alone: the one circuit that keeps all three limits.
    valid = spice.valid_states(links, placed, limits, ambient, tmp_path, np.sum)
    assert list(valid) == [split.mode]
    current, temperature, terminal = valid[split.mode]
    assert split.current_a == pytest.approx(current, abs=1e-6 * current.max())
    assert split.temperature_c == pytest.approx(temperature, abs=1e-3)
    assert split.driver_voltage_v == pytest.approx(terminal, rel=1e-7)


# Bench practice, common practice, no source: six 43 V boards on a supply of 48 V and 12.5 A.
SIX_BOARDS = BoardCurve.from_points([0.5, 1.0, 2.08, 2.5], [39.6, 41.0, 43.0, 43.6])
SUPPLY = Driver(voltage_setting_v=48.0, current_setting_a=12.5)
WIRE_OHM = 0.02
# One board 300 mA above the others, which makes it 2.33 A where 2.3 A is the rating.
ONE_HIGH_A = np.array([2.33, *[(12.5 - 2.33) / 5] * 5])


def six_boards(offsets=(0.0,) * 6):
    return [Branch(curve=SIX_BOARDS, wire_resistance_ohm=WIRE_OHM, offset_v=float(offset)) for offset in offsets]


def test_six_boards_on_one_supply_settle_in_current_limit():
    """Near 43 V, in current limit, 2.08 A on average; with the ceiling at 40 V constant voltage below that limit."""
    split = current_split(six_boards(), driver=SUPPLY)
    assert split.mode == "constant current"
    assert split.current_a.mean() == pytest.approx(2.083, abs=5e-3)
    assert split.driver_voltage_v == pytest.approx(43.0, abs=0.1)
    low = current_split(six_boards(), driver=Driver(voltage_setting_v=40.0, current_setting_a=12.5))
    assert low.mode == "constant voltage"
    assert low.driver_current_a < 12.5


def test_one_board_high_of_six_wants_the_dial_a_little_lower():
    """Common practice, no source: 2.33 A against 2.3 A, so from 12.5 A down to about 12.3 A."""
    assert np.ptp(ONE_HIGH_A) == pytest.approx(0.3, abs=0.01)
    by_share = trim_from_measured(ONE_HIGH_A, 2.3)
    assert by_share == pytest.approx(12.5 * 2.3 / 2.33, rel=1e-12)
    assert by_share == pytest.approx(12.3, abs=0.05)


def test_offsets_explain_the_board_that_is_high_and_the_trim_follows():
    """Common practice, no source: the same six boards built from the offsets that their readings give away."""
    offsets = offsets_from_currents(SIX_BOARDS, ONE_HIGH_A, wire_resistance_ohm=WIRE_OHM)
    # The high board's voltage is lower by the slope between the two currents, wire included, times the difference.
    secant = np.diff(SIX_BOARDS.voltage([ONE_HIGH_A[1], 2.33]))[0] + WIRE_OHM * np.ptp(ONE_HIGH_A)
    assert offsets[1] - offsets[0] == pytest.approx(secant, rel=1e-12)
    boards = six_boards(offsets)
    assert current_split(boards, driver=SUPPLY).current_a == pytest.approx(ONE_HIGH_A, rel=1e-9)
    trim = trim_driver(boards, 2.3, (6.0, 12.5), driver=SUPPLY)
    assert trim.current_setting_a == pytest.approx(12.3, abs=0.05)
    assert trim.limiting_board == 0
    assert trim.current_a.max() == pytest.approx(2.3, rel=1e-5)
    # Unlike by share, the other five fall by as many milliamperes as the high one where slopes are alike.
    assert trim.current_setting_a < 12.5 * 2.3 / 2.33


def test_one_of_six_lost_leaves_the_others_its_share_until_the_ceiling_binds():
    """Common practice, no source: 12.5 A over five is 2.5 A each, above a rating of 2.3 A."""
    lost = fault_table(six_boards(), 2.3, (6.0, 12.5), driver=SUPPLY)[0]
    assert (lost.kind, lost.dark, lost.mode) == ("board open", (0,), "constant current")
    assert lost.current_a == pytest.approx([0.0, *[2.5] * 5], rel=1e-9)
    assert lost.exceeds == ("rated current",)
    assert lost.contained_by_a == pytest.approx(5 * 2.3, rel=1e-5)
    low = Driver(voltage_setting_v=43.2, current_setting_a=12.5)
    assert current_split(six_boards(), driver=low).mode == "constant current"
    held = fault_table(six_boards(), 2.3, (6.0, 12.5), driver=low)[0]
    assert held.mode == "constant voltage"
    assert held.driver_voltage_v == pytest.approx(43.2, rel=1e-9)
    assert (held.current_a[1:] < 2.5).all()
    assert (held.current_a[1:] > 12.5 / 6).all()
    assert held.exceeds == ()


def test_two_strings_read_apart_name_their_offset():
    """Two equal strings on 700 mA with 1 ohm each read 306 and 394 mA (source not traced)."""
    curve = BoardCurve.from_diode(0.25, 1e-15, 1.0)
    offsets = offsets_from_currents(curve, [0.306, 0.394], wire_resistance_ohm=1.0)
    # By hand: both strings at one voltage, n ln(394/306) + (Rs + 1) x 88 mA.
    assert offsets[0] - offsets[1] == pytest.approx(0.25 * np.log(394 / 306) + 2.0 * 0.088, rel=1e-9)
    strings = [Branch(curve=curve, wire_resistance_ohm=1.0, offset_v=float(offset)) for offset in offsets]
    split = current_split(strings, driver=Driver(voltage_setting_v=60.0, current_setting_a=0.7))
    assert split.current_a == pytest.approx([0.306, 0.394], rel=1e-9)


def test_the_offset_that_explains_two_strings_read_apart():
    """Two equal strings with 1 ohm each on 700 mA read 306 and 394 mA (source not traced): they sum, and 88 mV "
    "x slope explain them."""
    assert 306 + 394 == 700
    curve = BoardCurve.from_diode(0.25, 1e-15, 1.0)
    low, high = -2.0, 2.0
    for _ in range(60):
        offset = (low + high) / 2
        strings = [
            Branch(curve=curve, wire_resistance_ohm=1.0, offset_v=offset),
            Branch(curve=curve, wire_resistance_ohm=1.0),
        ]
        split = current_split(strings, driver=Driver(voltage_setting_v=60, current_setting_a=0.7))
        low, high = (offset, high) if split.current_a[0] > 0.306 else (low, offset)
    assert split.current_a == pytest.approx([0.306, 0.394], abs=1e-6)
    # By hand: both strings at one voltage, n ln(394/306) + (Rs + 1) x 88 mA.
    assert offset == pytest.approx(0.25 * np.log(394 / 306) + 2.0 * 0.088, rel=1e-4)
