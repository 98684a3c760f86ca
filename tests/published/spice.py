"""Boards or single LEDs, wires and heat as an ngspice deck: native diodes, thermal nodes; and what the simulator "
"answers, once checked."""

import re
import subprocess
from dataclasses import dataclass

import numpy as np

# kT/q at ngspice's nominal 27 degC, with its own constants.
THERMAL_VOLTAGE = 1.38064852e-23 * 300.15 / 1.6021766208e-19
REFERENCE_C = 25.0
SUPPLIES = {
    "constant voltage": "Vdrv S 0 {volts!r}",
    "constant current": "Idrv 0 S {amps!r}",
    "power limit": "Bdrv 0 S I={watts!r}/max(V(S),1)",
}
# What an answer may miss its own laws by.
LAW_V, LAW_K, LAW_A = 1e-7, 1e-4, 1e-7
A_LINE = 30


@dataclass(frozen=True)
class Reading:
    """What the simulator answers: an entry a board, the supply's voltage and current, and the current of each link of "
    "no resistance by its number."""

    current: np.ndarray
    temperature: np.ndarray
    terminal: float
    total: float
    through: dict


def deck(links, boards, mode, limits, ambient, sinks=None):
    """Return the netlist: links (from, to, ohm); boards as dicts with plus, minus and the diode's and sink's "
    "numbers; sinks that several share, name -> K/W, named by a board's ``sink``, its ``rth`` being up to there."""
    lines = ["* boards", ".options temp=27 tnom=27 reltol=1e-10 abstol=1e-12 vntol=1e-10 gmin=1e-20"]
    lines += [f"Vair air 0 {ambient!r}", SUPPLIES[mode].format(**limits), "Vsup S P 0"]
    lines += [
        f"Rl{k} {_node(start)} {_node(end)} {ohm!r}" if ohm else f"Vl{k} {_node(start)} {_node(end)} 0"
        for k, (start, end, ohm) in enumerate(links)
    ]
    for name, ohm in (sinks or {}).items():
        lines += [f"Rsink{name} {name} air {ohm!r}" if ohm else f"Vsink{name} {name} air 0"]
    for k, b in enumerate(boards):
        minus = _node(b["minus"])
        lines += [
            f"Vm{k} {_node(b['plus'])} b{k} 0",
            f"D{k} b{k} c{k} dm{k}",
            f".model dm{k} D(IS={b['i_s']!r} N={b['n'] / THERMAL_VOLTAGE!r})",
            f"Rs{k} c{k} d{k} {b['rs']!r}",
            f"Bt{k} d{k} {minus} V={b['v0']!r}+({b['tc']!r})*(V(t{k})-{REFERENCE_C})",
            f"Bh{k} 0 t{k} I=(V(b{k})-{f'V({minus})' if minus != '0' else '0'})*I(Vm{k})*{1 - b['radiant']!r}",
            f"Rt{k} t{k} {b.get('sink', 'air')} {b['rth']!r}" if b["rth"] else f"Vt{k} t{k} {b.get('sink', 'air')} 0",
            f".nodeset V(t{k})={ambient + 10}" if b["rth"] else "",
        ]
    wanted = ["i(vsup)", *(f"i(vl{k})" for k, link in enumerate(links) if not link[2])]
    wanted += [f"{what}{k})" for k in range(len(boards)) for what in ("i(vm", "v(t")]
    wanted += [f"v({_node(name)})" for name in _nodes(links, boards) if name != "N"]
    prints = [f"print {' '.join(wanted[n : n + A_LINE])}" for n in range(0, len(wanted), A_LINE)]
    return "\n".join([*lines, ".control", "set numdgt=15", "op", *prints, ".endc", ".end"]) + "\n"


def _node(name):
    """The supply's minus is the simulator's ground."""
    return "0" if name == "N" else name


def _nodes(links, boards):
    ends = [end for link in links for end in link[:2]] + [b[side] for b in boards for side in ("plus", "minus")]
    return list(dict.fromkeys(["P", "N", *ends]))


def read(links, boards, mode, limits, ambient, folder, sinks=None):
    """Return a Reading; None where the simulator did not converge by its own laws."""
    path = folder / "case.cir"
    path.write_text(deck(links, boards, mode, limits, ambient, sinks))
    run = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, timeout=60, check=False)
    found = dict(re.findall(r"^(v\(\w+\)|i\(\w+\)) = ([-+.\deE]+)", run.stdout, re.MULTILINE))
    if f"i(vm{len(boards) - 1})" not in found:
        return None
    volts = {name: float(found[f"v({name.lower()})"]) for name in _nodes(links, boards) if name != "N"} | {"N": 0.0}
    answer = Reading(
        current=np.array([float(found[f"i(vm{k})"]) for k in range(len(boards))]),
        temperature=np.array([float(found[f"v(t{k})"]) for k in range(len(boards))]),
        terminal=volts["P"],
        total=float(found["i(vsup)"]),
        through={k: float(found[f"i(vl{k})"]) for k, link in enumerate(links) if not link[2]},
    )
    lawful = _currents_add_up(links, boards, volts, answer) and _boards_obey(boards, volts, answer, ambient, sinks)
    return answer if lawful else None


def _currents_add_up(links, boards, volts, answer):
    """Whether no node keeps current."""
    kept = dict.fromkeys(volts, 0.0)
    kept["P"], kept["N"] = answer.total, -answer.total
    flows = [
        (start, end, (volts[start] - volts[end]) / ohm if ohm else answer.through[k])
        for k, (start, end, ohm) in enumerate(links)
    ]
    flows += [(b["plus"], b["minus"], amps) for b, amps in zip(boards, answer.current, strict=True)]
    for start, end, amps in flows:
        kept[start] -= amps
        kept[end] += amps
    return max(map(abs, kept.values())) < LAW_A


def _boards_obey(boards, volts, answer, ambient, sinks):
    """Whether each lit board follows its curve, and heat its way into the air."""
    heat = np.zeros(len(boards))
    for k, b in enumerate(boards):
        amps = answer.current[k]
        if amps <= 0:
            continue
        board = b["n"] * np.log1p(amps / b["i_s"]) + b["rs"] * amps + b["v0"]
        board += b["tc"] * (answer.temperature[k] - REFERENCE_C)
        heat[k] = board * amps * (1 - b["radiant"])
        # Below a nanoampere the simulator's own leaks are as large.
        if amps > 1e-9 and abs(volts[b["plus"]] - volts[b["minus"]] - board) > LAW_V:
            return False
    rise = np.array([b["rth"] for b in boards]) * heat
    for name, thermal in (sinks or {}).items():
        on_it = np.array([b.get("sink") == name for b in boards])
        rise[on_it] += thermal * heat[on_it].sum()
    return bool((np.abs(answer.temperature - ambient - rise) < LAW_K).all())


def simulate(links, boards, mode, limits, ambient, folder):
    """Return currents, temperatures and driver voltage; None where the simulator did not converge by its own laws."""
    found = read(links, boards, mode, limits, ambient, folder)
    return None if found is None else (found.current, found.temperature, found.terminal)


def valid_readings(links, boards, limits, ambient, folder, sinks=None):
    """Return mode -> Reading of each supply whose circuit keeps all three limits."""
    valid = {}
    for mode in SUPPLIES:
        found = read(links, boards, mode, limits, ambient, folder, sinks)
        if found is None:
            continue
        keeps = found.terminal <= limits["volts"] * (1 + 1e-9) and found.total <= limits["amps"] * (1 + 1e-9)
        if keeps and found.terminal * found.total <= limits["watts"] * (1 + 1e-7):
            valid[mode] = found
    return valid


def valid_states(links, boards, limits, ambient, folder, total):
    """Return mode -> (currents, temperatures, driver voltage) of each supply whose circuit keeps all three limits; "
    "``total`` gives the driver's current from the boards', which must be what the supply gives."""
    valid = valid_readings(links, boards, limits, ambient, folder)
    for found in valid.values():
        assert abs(total(found.current) - found.total) < LAW_A
    return {mode: (found.current, found.temperature, found.terminal) for mode, found in valid.items()}
