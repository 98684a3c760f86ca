"""For every rule: changes to the example that fire it, changes just inside its limit, and the remedy by hand."""

import dataclasses

from scipy.optimize import brentq

import ledcalc as lc
from ledcalc.records import with_values

LATEST_OF_B1 = "current_log[16].current_a"
FLUXES = (6.3, 12.4, 24.1, 35.3, 46.0)
SINK = "heat_sinks[0].sink_resistance_k_per_w"


@dataclasses.dataclass(frozen=True, kw_only=True)
class Case:
    """Changes to the example, or to ``base``, that fire a rule; changes that stay just inside; the remedy where no
    program can apply it."""

    fires: dict
    inside: dict
    by_hand: dict | None = None
    severity: str | None = None
    base: lc.Fixture | None = None


def shorted_a(results):
    """The highest board current of all faults of single LEDs."""
    return max(float(found.current_a.max()) for found in results.what_if.faults if found.kind.startswith("LED"))


def cases_of_design(results):
    boards, operating, light = results.boards, results.operating, results.light
    big = {
        "drivers[0].current_high_a": 40,
        "drivers[0].power_limit_w": 2000,
        "drivers[0].voltage_high_v": 60,
        "fixture.voltage_setting_v": 29,
    }
    hot_bundle = {**big, "cables.grouped_circuits_count": 40, "cables.ambient_c": 55}
    other_w = (12.0 - operating.mains_current_a) * 120.0
    return {
        "board-over-current": [
            Case(
                fires={"boards[0].rated_current_a": 0.55},
                inside={"boards[0].rated_current_a": float(boards.current_a.max())},
            )
        ],
        "board-over-temperature": [
            Case(
                fires={"boards[0].rated_temperature_c": 42.0},
                inside={"boards[0].rated_temperature_c": float(boards.temperature_c.max())},
            )
        ],
        "driver-below-window": [
            Case(
                fires={"drivers[0].window_min_v": 23.0},
                inside={"drivers[0].window_min_v": operating.voltage_v - 1e-9},
                by_hand={"drivers[0].window_min_v": 22.0},
            )
        ],
        "boards-dark": [
            Case(
                fires={"drivers[0].voltage_low_v": 1.0, "fixture.voltage_setting_v": 12.0},
                inside={"drivers[0].voltage_low_v": 1.0, "fixture.voltage_setting_v": 18.0},
            )
        ],
        "driver-setting-out-of-range": [
            Case(fires={"fixture.voltage_setting_v": 26.5}, inside={"fixture.voltage_setting_v": 26.0}),
            Case(fires={"fixture.current_setting_a": 5.2}, inside={"fixture.current_setting_a": 5.0}),
            Case(fires={"fixture.current_setting_a": 1.5}, inside={"fixture.current_setting_a": 2.0}),
        ],
        "wire-over-ampacity": [
            Case(
                fires={**hot_bundle, "fixture.current_setting_a": 16.0},
                inside={**hot_bundle, "fixture.current_setting_a": 10.9},
            )
        ],
        "circuit-overloaded": [
            Case(fires={"site.circuit_other_load_w": 1400.0}, inside={"site.circuit_other_load_w": other_w})
        ],
        "measured-over-rating": [
            Case(
                fires={LATEST_OF_B1: 0.83},
                inside={LATEST_OF_B1: (0.8 - 0.002) / 1.02},
                by_hand={LATEST_OF_B1: 0.77},
                severity="stop",
            ),
            Case(fires={LATEST_OF_B1: 0.79}, inside={LATEST_OF_B1: 0.78}, by_hand={LATEST_OF_B1: 0.77}, severity="act"),
        ],
        "one-lost-over-current": [
            Case(
                fires={"boards[0].rated_current_a": 0.6},
                inside={"boards[0].rated_current_a": float(boards.one_lost_current_a.max())},
            )
        ],
        "one-board-hogs": [Case(fires={SINK: 12.0}, inside={SINK: 10.0})],
        "fault-over-limits": [
            Case(
                fires={},
                inside={"boards[0].rated_current_a": shorted_a(results) * (1 + 1e-6)},
                severity="note",
            )
        ],
        "spread-over-rating": [
            Case(fires={"boards[0].voltage_spread_v": 0.5}, inside={"boards[0].voltage_spread_v": 0.1})
        ],
        "cold-start-dim": [
            Case(
                fires={"fixture.voltage_setting_v": results.what_if.cold_voltage_v - 0.01},
                inside={"fixture.voltage_setting_v": results.what_if.cold_voltage_v},
            )
        ],
        "thermal-margin-thin": [Case(fires={SINK: 9.8}, inside={SINK: resistance_at_margin(results.fixture)})],
        "driver-at-power-limit": [
            Case(
                fires={"drivers[0].power_limit_w": 90.0},
                inside={"drivers[0].power_limit_w": operating.power_w * (1 + 1e-6)},
            )
        ],
        "voltage-above-touch-limit": [
            Case(
                fires={"drivers[0].voltage_high_v": 40.0, "fixture.voltage_setting_v": 31.0},
                inside={"drivers[0].voltage_high_v": 40.0, "fixture.voltage_setting_v": 30.0},
            )
        ],
        "ampacity-not-covered": [
            Case(fires={"cables[0].size": "20 AWG"}, inside={"cables[0].size": "18 AWG"}),
            Case(
                fires={"cables[0].ambient_c": 60.0},
                inside={"cables[0].ambient_c": 55.0},
                by_hand={"cables[0].insulation_c": 90.0},
                severity="stop",
            ),
            Case(fires={"cables.material": "aluminium", "cables.size": "12 AWG"}, inside={"cables.size": "12 AWG"}),
        ],
        "wire-drop-high": [Case(fires={"cables.one_way_length_m": 32.0}, inside={"cables.one_way_length_m": 28.0})],
        "curve-extrapolated": [
            Case(
                fires={**big, "fixture.current_setting_a": 7.0},
                inside={**big, "fixture.current_setting_a": 6.25},
                by_hand={
                    "board_points[4].current_a": 1.0,
                    "board_points[4].voltage_v": 23.65,
                    "board_points[4].photon_flux_umol_s": 56.0,
                },
            )
        ],
        "light-share-high": [
            Case(
                fires={"boards[0].spectrum": None, "boards[0].photons_per_joule_umol_per_j": 3.0},
                inside={"boards[0].spectrum": None, "boards[0].photons_per_joule_umol_per_j": 3.4},
            ),
            Case(
                fires={f"board_points[{row}].photon_flux_umol_s": 1.5 * flux for row, flux in enumerate(FLUXES)},
                inside={f"board_points[{row}].photon_flux_umol_s": 1.3 * flux for row, flux in enumerate(FLUXES)},
                by_hand={f"board_points[{row}].photon_flux_umol_s": flux for row, flux in enumerate(FLUXES)},
            ),
        ],
        "light-below-target": [
            Case(
                fires={"site.target_dli_low_mol_m2_d": 11.5},
                inside={"site.target_dli_low_mol_m2_d": light.dli_mean_mol_m2_d},
            ),
            Case(
                fires={"site.target_ppfd_umol_m2_s": 220.0},
                inside={"site.target_ppfd_umol_m2_s": light.statistics.mean / 0.9},
            ),
        ],
        "light-above-target": [
            Case(
                fires={"site.target_dli_high_mol_m2_d": 9.5},
                inside={"site.target_dli_high_mol_m2_d": light.dli_mean_mol_m2_d},
            ),
            Case(
                fires={"site.target_ppfd_umol_m2_s": 150.0},
                inside={"site.target_ppfd_umol_m2_s": light.statistics.mean / 1.1},
            ),
        ],
        "light-uneven": [Case(fires={}, inside={"site.target_min_over_mean_fraction": light.statistics.min_over_mean})],
        "canopy-above-fixture": [
            Case(
                fires={"light_readings.ppfd_umol_m2_s": 380.0},
                inside={"light_readings.ppfd_umol_m2_s": light.photon_flux_umol_s / 0.72},
                by_hand={"light_readings.ppfd_umol_m2_s": 190.0},
            )
        ],
        "measured-off-prediction": [
            Case(fires={LATEST_OF_B1: 0.65}, inside={LATEST_OF_B1: 0.585}, by_hand={LATEST_OF_B1: 0.55})
        ],
    }


def resistance_at_margin(fixture):
    def above(resistance):
        return lc.evaluate(with_values(fixture, {SINK: resistance})).operating.loop_gain - 0.7

    return float(brentq(above, 5.0, 9.8, xtol=1e-9)) - 1e-6
