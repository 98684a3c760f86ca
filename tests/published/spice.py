"""Boards, wires and heat as an ngspice deck: native diodes, thermal nodes; and what the simulator answers, "
"once checked."""

import re
import subprocess

import numpy as np

# kT/q at ngspice's nominal 27 degC, with its own constants.
THERMAL_VOLTAGE = 1.38064852e-23 * 300.15 / 1.6021766208e-19
REFERENCE_C = 25.0
SUPPLIES = {
    "constant voltage": "Vdrv P 0 {volts!r}",
    "constant current": "Idrv 0 P {amps!r}",
    "power limit": "Bdrv 0 P I={watts!r}/max(V(P),1)",
}


def deck(links, boards, mode, limits, ambient):
    """Return the netlist: links (from, to, ohm); boards as dicts with plus, minus and the diode's and sink's "
    "numbers."""
    lines = ["* boards", ".options temp=27 tnom=27 reltol=1e-10 abstol=1e-16 vntol=1e-13 gmin=1e-20"]
    lines += [f"Vair air 0 {ambient!r}", SUPPLIES[mode].format(**limits)]
    lines += [f"Rl{k} {_node(start)} {_node(end)} {ohm!r}" for k, (start, end, ohm) in enumerate(links)]
    for k, b in enumerate(boards):
        minus = _node(b["minus"])
        lines += [
            f"Vm{k} {_node(b['plus'])} b{k} 0",
            f"D{k} b{k} c{k} dm{k}",
            f".model dm{k} D(IS={b['i_s']!r} N={b['n'] / THERMAL_VOLTAGE!r})",
            f"Rs{k} c{k} d{k} {b['rs']!r}",
            f"Bt{k} d{k} {minus} V={b['v0']!r}+({b['tc']!r})*(V(t{k})-{REFERENCE_C})",
            f"Bh{k} 0 t{k} I=(V(b{k})-{f'V({minus})' if minus != '0' else '0'})*I(Vm{k})*{1 - b['radiant']!r}",
            f"Rt{k} t{k} air {max(b['rth'], 1e-9)!r}",
            f".nodeset V(t{k})={ambient + 10}",
        ]
    wanted = " ".join(f"i(vm{k}) v(t{k})" for k in range(len(boards)))
    return "\n".join([*lines, ".control", "set numdgt=15", "op", f"print v(p) {wanted}", ".endc", ".end"]) + "\n"


def _node(name):
    """The supply's minus is the simulator's ground."""
    return "0" if name == "N" else name


def simulate(links, boards, mode, limits, ambient, folder):
    """Return currents, temperatures and driver voltage; None where the simulator did not converge by its own laws."""
    path = folder / "case.cir"
    path.write_text(deck(links, boards, mode, limits, ambient))
    run = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, timeout=60, check=False)
    found = dict(re.findall(r"^(v\(\w+\)|i\(\w+\)) = ([-+.\deE]+)", run.stdout, re.MULTILINE))
    if f"i(vm{len(boards) - 1})" not in found:
        return None
    current = np.array([float(found[f"i(vm{k})"]) for k in range(len(boards))])
    temperature = np.array([float(found[f"v(t{k})"]) for k in range(len(boards))])
    for k, b in enumerate(boards):
        if current[k] <= 0:
            continue
        board = b["n"] * np.log1p(current[k] / b["i_s"]) + b["rs"] * current[k] + b["v0"]
        board += b["tc"] * (temperature[k] - REFERENCE_C)
        if abs(temperature[k] - ambient - b["rth"] * board * current[k] * (1 - b["radiant"])) > 1e-4:
            return None
    return current, temperature, float(found["v(p)"])


def valid_states(links, boards, limits, ambient, folder, total):
    """Return mode -> state of each supply whose circuit keeps all three limits; ``total`` gives the driver's "
    "current."""
    valid = {}
    for mode in SUPPLIES:
        found = simulate(links, boards, mode, limits, ambient, folder)
        if found is None:
            continue
        amps, volts = total(found[0]), found[2]
        keeps = volts <= limits["volts"] * (1 + 1e-9) and amps <= limits["amps"] * (1 + 1e-9)
        if keeps and volts * amps <= limits["watts"] * (1 + 1e-7):
            valid[mode] = found
    return valid
