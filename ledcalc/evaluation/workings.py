"""Each main figure with its formula, the figures put in, and its source, so that a reader can follow it by hand."""

from __future__ import annotations

import numpy as np

from ledcalc.evaluation.cost_workings import cost_workings
from ledcalc.evaluation.workings_over_time import workings_over_time
from ledcalc.fixture import HeatSink
from ledcalc.results import Evaluation, Working

__all__ = ["workings_of"]


def workings_of(results: Evaluation) -> tuple[Working, ...]:
    """Return the workings, shown for the board of the highest current and its run."""
    return (
        *_circuit(results),
        *_heat(results),
        *_wiring(results),
        *_mains(results),
        *_light(results),
        *workings_over_time(results),
        *cost_workings(results),
    )


def _circuit(results: Evaluation) -> list[Working]:
    operating, boards = results.operating, results.boards
    top = int(np.argmax(boards.current_a))
    parallel = results.fixture.arrangement != "single wires"
    added = boards.current_a if parallel else np.array(list(operating.lead_set_current_a.values()))
    what = "all boards" if parallel else "all wires at the driver's +"
    return [
        Working(
            topic="Currents",
            quantity="Sum of the branch currents",
            formula=f"sum of I over {what} = I of the driver",
            figures=" + ".join(f"{amps:.4g}" for amps in added[:12]) + (" + ..." if added.size > 12 else ""),
            value=float(added.sum()),
            unit="A",
            source="Kirchhoff's current law",
        ),
        _driver_voltage(results, top),
        Working(
            topic="Currents",
            quantity="Loop gain of current and heat",
            formula="largest of the circuit's own growth factors of a small warm-up; below 1 it dies out",
            figures=f"{operating.mode}, {boards.current_a.size} boards",
            value=operating.loop_gain,
            unit="",
            source="linear stability of the coupled network (spectral radius)",
        ),
    ]


def _driver_voltage(results: Evaluation, board: int) -> Working:
    boards = results.boards
    volts, amps = float(boards.voltage_v[board]), float(boards.current_a[board])
    if results.fixture.arrangement == "home runs":
        ohms = _run_resistance(results, boards.tag[board])
        formula, figures, value = (
            "V = V board + I R run",
            f"{volts:.5g} V + {amps:.4g} A x {ohms:.4g} ohm",
            volts + amps * ohms,
        )
    else:
        value = results.operating.voltage_v
        others = "drops" if results.fixture.arrangement == "shared trunk" else "drops and other boards"
        formula, figures = f"V = V board + {others} on the way", f"{volts:.5g} V + {value - volts:.4g} V"
    return Working(
        topic="Currents",
        quantity=f"Driver voltage seen through {boards.tag[board]}",
        formula=formula,
        figures=figures,
        value=value,
        unit="V",
        source="Kirchhoff's voltage law; board voltage from its points, monotone interpolation in ln I",
    )


def _heat(results: Evaluation) -> list[Working]:
    boards, air = results.boards, results.operating.air_temperature_c
    hot = int(np.argmax(boards.temperature_c))
    sink = next(entry for entry in results.fixture.heat_sinks if entry.tag == boards.heat_sink[hot])
    interface, to_air = sink.interface_resistance_k_per_w, float(boards.sink_resistance_k_per_w[hot])
    shared = " of all its boards" if boards.shared_sink[hot] else ""
    return [
        *_sink_by_dimensions(results, sink, hot),
        Working(
            topic="Heat",
            quantity=f"Heat of {boards.tag[hot]}",
            formula="Q = V I - light given off",
            figures=f"{boards.power_w[hot]:.4g} W - {boards.power_w[hot] - boards.heat_w[hot]:.4g} W",
            value=float(boards.heat_w[hot]),
            unit="W",
            source="conservation of energy; light given off = photon flux / photons per joule",
        ),
        Working(
            topic="Heat",
            quantity=f"Temperature of {boards.tag[hot]}",
            formula=f"T = T air + Q into the sink{shared} x R sink + own Q x R interface",
            figures=f"{air:.4g} degC + {boards.sink_heat_w[hot]:.4g} W x {to_air:.4g} K/W + {boards.heat_w[hot]:.4g} W "
            f"x {interface:.4g} K/W",
            value=float(boards.temperature_c[hot]),
            unit="degC",
            source="thermal resistance by definition",
        ),
    ]


def _sink_by_dimensions(results: Evaluation, sink: HeatSink, board: int) -> list[Working]:
    """Return how the sink's resistance was found, where it was not stated."""
    if sink.sink_resistance_k_per_w is not None:
        return []
    boards, air = results.boards, results.operating.air_temperature_c
    warm, watts = float(boards.sink_temperature_c[board]), float(boards.sink_heat_w[board])
    moving = "air blown along it" if sink.air_speed_m_per_s else "still air"
    fins = "channels between plates" if sink.fin_count else "bare plate"
    return [
        Working(
            topic="Heat",
            quantity=f"Sink to air of {sink.tag}",
            formula=f"R = (T sink - T air) / Q: {fins}, {moving}, fin efficiency and radiation included",
            figures=f"({warm:.4g} degC - {air:.4g} degC) / {watts:.4g} W",
            value=float(boards.sink_resistance_k_per_w[board]),
            unit="K/W",
            source="Bar-Cohen and Rohsenow, Churchill and Chu, horizontal plates; they hold within about 10 to 20 %",
        )
    ]


def _wiring(results: Evaluation) -> list[Working]:
    wires = results.wires
    worst = int(np.argmax(wires.drop_v))
    wire = "the wire" if wires.conductors_count[worst] == 1 else "both conductors"
    found = [
        Working(
            topic="Wiring",
            quantity=f"Drop of {wires.tag[worst]}",
            formula=f"drop = I x R of {wire} and contacts",
            figures=f"{wires.current_a[worst]:.4g} A x {wires.resistance_ohm[worst]:.4g} ohm ({wires.size[worst]}, "
            f"{wires.one_way_length_m[worst]:.3g} m one way, {wires.conductor_temperature_c[worst]:.3g} degC)",
            value=float(wires.drop_v[worst]),
            unit="V",
            source=_resistance_source(results.fixture.site.rule_set),
        )
    ]
    if np.isfinite(wires.ampacity_a[worst]):
        found.append(
            Working(
                topic="Wiring",
                quantity=f"Ampacity of {wires.tag[worst]}",
                formula="table value x ambient factor x bundle factor",
                figures=f"{wires.table_ampacity_a[worst]:.4g} A x {wires.ambient_factor[worst]:.3g} "
                f"x {wires.grouping_factor[worst]:.3g}",
                value=float(wires.ampacity_a[worst]),
                unit="A",
                source=wires.ampacity_table[worst],
            )
        )
    return found


def _mains(results: Evaluation) -> list[Working]:
    operating, fixture = results.operating, results.fixture
    return [
        Working(
            topic="Mains",
            quantity="Mains power",
            formula="P mains = V I / efficiency",
            figures=f"{operating.voltage_v:.4g} V x {operating.current_a:.4g} A / {operating.efficiency_fraction:.3g}",
            value=operating.mains_power_w,
            unit="W",
            source="driver's efficiency, as stated or by its points",
        ),
        Working(
            topic="Mains",
            quantity="Mains current of this fixture",
            formula="I = P mains / (V mains x power factor)",
            figures=f"{operating.mains_power_w:.4g} W / ({fixture.site.mains_v:.4g} V "
            f"x {operating.power_factor_fraction:.3g})",
            value=operating.mains_current_a,
            unit="A",
            source="definition of the power factor",
        ),
    ]


def _light(results: Evaluation) -> list[Working]:
    light, fixture, operating = results.light, results.fixture, results.operating
    return [
        Working(
            topic="Light",
            quantity="Mean PPFD",
            formula="mean over the map of the sum over boards of PPF x configuration factor / board area",
            figures=f"{light.room_photon_flux_umol_s:.4g} umol/s from "
            f"{results.boards.current_a.size * light.in_room_count} boards; {light.basis}",
            value=light.statistics.mean,
            unit="umol m-2 s-1",
            source="element to parallel and tilted rectangle, Howell's catalogue of configuration factors B-3, B-4",
        ),
        Working(
            topic="Light",
            quantity="Daily light integral, mean",
            formula="DLI = PPFD x 3600 x h / 1 000 000",
            figures=f"{light.statistics.mean:.4g} umol m-2 s-1, {fixture.site.photoperiod_h:g} h",
            value=light.dli_mean_mol_m2_d,
            unit="mol m-2 d-1",
            source="definition",
        ),
        Working(
            topic="Light",
            quantity="Photon efficacy, DC basis",
            formula="PPF / DC output power of the driver",
            figures=f"{light.photon_flux_umol_s:.4g} umol/s / {operating.power_w:.4g} W",
            value=light.dc_efficacy_umol_per_j,
            unit="umol/J",
            source="photon efficacy as in ANSI/ASABE S640 (public summaries), on the named basis",
        ),
        Working(
            topic="Light",
            quantity="Photon efficacy, AC basis",
            formula="PPF / mains power",
            figures=f"{light.photon_flux_umol_s:.4g} umol/s / {operating.mains_power_w:.4g} W",
            value=light.ac_efficacy_umol_per_j,
            unit="umol/J",
            source="photon efficacy as in ANSI/ASABE S640 (public summaries), on the named basis",
        ),
    ]


def _run_resistance(results: Evaluation, board: str) -> float:
    return float(results.wires.resistance_ohm[results.wires.to_node.index(board)])


def _resistance_source(rule_set: str) -> str:
    if rule_set == "IEC":
        return "IEC 60228 maximum resistance at 20 degC, brought to the conductor's temperature"
    return "NEC Chapter 9 Table 8, brought to the conductor's temperature by the table's own law"
