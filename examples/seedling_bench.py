"""The invented school bench of the example workbook, built in Python: eight boards on one driver over seedlings."""

import dataclasses
import math

import ledcalc as lc
from ledcalc.demo import seedling_bench


def warm_white() -> tuple[lc.SpectrumPoint, ...]:
    """Return an invented spectrum of white LEDs: a blue peak and the broad band of its phosphor."""
    wavelengths_nm = range(380, 790, 10)
    return tuple(
        lc.SpectrumPoint(
            tag="Warm white", wavelength_nm=nm, value=round(0.62 * bell(nm, 450, 24) + bell(nm, 598, 128), 3)
        )
        for nm in wavelengths_nm
    )


def bell(nm: float, peak_nm: float, width_nm: float) -> float:
    """Return a peak of a given width at half its height."""
    return math.exp(-4.0 * math.log(2.0) * ((nm - peak_nm) / width_nm) ** 2)


def school_bench() -> lc.Fixture:
    """Return the fixture; every part, price and place is invented."""
    points = ((0.1, 21.10, 6.3), (0.2, 21.58, 12.4), (0.4, 22.21, 24.1), (0.6, 22.73, 35.3), (0.8, 23.20, 46.0))
    lengths_m = (1.4, 1.1, 0.8, 0.5, 1.7, 1.4, 1.1, 0.8)
    loads = ((0.25, 0.83, 0.82), (0.50, 0.88, 0.92), (0.75, 0.896, 0.95), (1.00, 0.902, 0.97))
    return lc.Fixture(
        name="Winter seedling bench (invented example)",
        driver="Twin-dial 120",
        voltage_setting_v=24.0,
        current_setting_a=4.4,
        board="Bench bar 250",
        heat_sink="Channel 300",
        rows_count=2,
        columns_count=4,
        row_pitch_m=0.36,
        column_pitch_m=0.30,
        height_m=0.28,
        metal_earthed="yes",
        crop_width_m=1.2,
        crop_depth_m=0.6,
        site=lc.Site(
            air_temperature_c=20.0,
            hottest_air_c=32.0,
            coldest_air_c=5.0,
            location="damp",
            mains_v=120.0,
            circuit_a=15.0,
            circuit_other_load_w=300.0,
            price_per_kwh=0.22,
            currency="USD",
            photoperiod_h=16.0,
            days_lit_count=150,
            target_dli_low_mol_m2_d=8.0,
            target_dli_high_mol_m2_d=14.0,
            target_min_over_mean_fraction=0.6,
            rule_set="NEC",
        ),
        boards=(
            lc.BoardModel(
                tag="Bench bar 250",
                rated_current_a=0.8,
                rated_temperature_c=75.0,
                width_m=0.25,
                length_m=0.06,
                voltage_coefficient_v_per_k=-0.018,
                flux_coefficient_fraction_per_k=-0.001,
                photons_per_joule_umol_per_j=4.7,
                led_series_count=8,
                led_parallel_count=5,
                spectrum="Warm white",
                voltage_spread_v=0.035,
                junction_resistance_k_per_w=8.0,
                rated_junction_temperature_c=105.0,
                weight_kg=0.09,
                hole_spacing_m=0.23,
            ),
        ),
        board_points=tuple(
            lc.BoardPoint(board="Bench bar 250", current_a=amps, voltage_v=volts, photon_flux_umol_s=flux)
            for amps, volts, flux in points
        ),
        spectra=warm_white(),
        heat_sinks=(
            lc.HeatSink(
                tag="Channel 300",
                sink_resistance_k_per_w=3.6,
                interface_resistance_k_per_w=0.4,
                heat_capacity_j_per_k=290.0,
                weight_kg=0.31,
            ),
        ),
        drivers=(
            lc.DriverModel(
                tag="Twin-dial 120",
                voltage_low_v=20.0,
                voltage_high_v=26.0,
                current_low_a=2.0,
                current_high_a=5.0,
                power_limit_w=120.0,
                window_min_v=12.0,
                efficiency_fraction=0.90,
                power_factor_fraction=0.96,
                dimming_low_fraction=0.10,
                case_resistance_k_per_w=3.0,
                rated_case_temperature_c=85.0,
                isolated_output="yes",
                inrush_a=40.0,
                inrush_ms=0.25,
                leakage_a=0.0005,
                inlet="C14",
                weight_kg=0.9,
                control="dial",
                current_tolerance_fraction=0.03,
                voltage_tolerance_fraction=0.01,
            ),
        ),
        driver_points=tuple(
            lc.DriverPoint(
                driver="Twin-dial 120", load_fraction=load, efficiency_fraction=share, power_factor_fraction=factor
            )
            for load, share, factor in loads
        ),
        cables=tuple(
            lc.Cable(
                tag=f"W{number}",
                to_node=f"B{number}",
                size="18 AWG",
                wire_kind="flexible cord",
                insulation_c=60.0,
                one_way_length_m=length,
                grouped_circuits_count=4,
                contact_resistance_ohm=0.010,
                outside_diameter_m=0.0062,
                clamp="spring",
                sleeve=f"Sleeve {place}",
                gland=f"Gland {place}",
            )
            for number, length in enumerate(lengths_m, start=1)
            for place in ("front" if number <= 4 else "rear",)
        ),
        entries=(
            *(lc.Entry(tag=f"Sleeve {place}", kind="sleeve", inner_diameter_m=0.020) for place in ("front", "rear")),
            *(
                lc.Entry(tag=f"Gland {place}", kind="gland", clamping_low_m=0.005, clamping_high_m=0.007, holes_count=4)
                for place in ("front", "rear")
            ),
        ),
        stock=(
            lc.Stock(tag="Spool 5", serves="18 AWG", stock_length_m=5.0, price=9.50),
            lc.Stock(tag="Spool 10", serves="18 AWG", stock_length_m=10.0, price=16.00),
            lc.Stock(tag="Rail 2.5", serves="rail", stock_length_m=2.5, price=7.80),
        ),
        build=lc.Build(
            service_loop_m=0.08,
            cable_spare_fraction=0.05,
            ports_per_terminal_count=5,
            rails_per_row_count=2,
            rail_length_m=1.18,
            rail_margin_m=0.02,
            cut_loss_m=0.003,
            rail_weight_kg_per_m=0.45,
            other_weight_kg=0.6,
            hangers_count=4,
            hanger_rated_kg=40.0,
        ),
    )


def main() -> None:
    """Evaluate the bench, then the same bench with its current dial turned down."""
    for fixture in (school_bench(), dataclasses.replace(school_bench(), current_setting_a=3.6)):
        results = lc.evaluate(fixture)
        light = results.light
        print(f"{fixture.current_setting_a:.1f} A: {results.operating.mode}, {results.operating.voltage_v:.2f} V")
        print(f"  hottest board {results.boards.temperature_c.max():.1f} degC, mean PPFD {light.statistics.mean:.0f}")
        print(
            f"  DLI {light.dli_mean_mol_m2_d:.1f} mol m-2 d-1, {light.ac_efficacy_umol_per_j:.2f} umol/J at the mains"
        )
        for finding in results.findings:
            print(f"  {finding.severity}: {finding.message} Remedy: {finding.remedy}")
    workbook = lc.evaluate(seedling_bench())
    print(f"from the example's own sheets: mean PPFD {workbook.light.statistics.mean:.0f}")


if __name__ == "__main__":
    main()
