"""One full round on the invented school bench: designed, measured, judged, calibrated, and predicted once more.

    python examples/bench_round.py [FOLDER]

What is "measured" here is drawn by this file from a bench that differs from its design in ways that the calibration is
not told: invented data throughout. The last map, at a height of its own, and currents at another dial setting are kept
back; the calibrated fixture predicts them closer than the design did. With a folder, the workbooks before and after go
there.
"""

import dataclasses
import sys
from pathlib import Path

import numpy as np

import ledcalc as lc
from ledcalc.calibrate import Calibration, Compared, calibrate, predicted_against_measured, text_of
from ledcalc.demo import seedling_bench
from ledcalc.workbook.template import write_inputs

AIR_C = 21.5
HOURS = (0.25, 1.0, 3.0, 4.0, 5.0)
# The sinks come within 1/e of their rise in this time.
WARM_UP_H = 0.6
SETTING_A, OTHER_SETTING_A = 4.4, 3.6
METERS = (
    lc.Meter(tag="Clamp 1", quantity="current", accuracy_fraction=0.02, accuracy_digits_count=2, resolution=0.001),
    lc.Meter(tag="Volts 1", quantity="voltage", accuracy_fraction=0.005, accuracy_digits_count=2, resolution=0.01),
    lc.Meter(tag="Probe 1", quantity="temperature", accuracy_fraction=0.0, accuracy_digits_count=15, resolution=0.1),
    lc.Meter(tag="Sensor 1", quantity="PPFD", accuracy_fraction=0.05, accuracy_digits_count=1, resolution=1.0),
)
# What each of these four meters really shows, a factor or kelvins, in all its readings; and how these scatter.
CLAMP, VOLTS, PROBE_K, SENSOR = 1.008, 0.998, 0.6, 0.985
CLAMP_SCATTER, VOLTS_SCATTER, PROBE_SCATTER_K, SENSOR_SCATTER = 0.005, 0.0013, 0.35, 0.012
SURVEYS = {"first map": 0.28, "second map": 0.55, "map kept back": 0.40}


def designed() -> lc.Fixture:
    """Return the bench as designed, in an invented grow cupboard, before anything was measured on it."""
    room = {
        "site.room_width_m": 1.5,
        "site.room_depth_m": 0.9,
        "site.room_height_m": 1.8,
        "site.wall_reflectance_fraction": 0.6,
        "fixture.crop_x_m": 0.15,
        "fixture.crop_y_m": 0.15,
        "fixture.current_setting_a": SETTING_A,
    }
    return dataclasses.replace(
        lc.with_values(seedling_bench(), room), meters=METERS, current_log=(), light_readings=(), incoming_boards=()
    )


def as_it_is(design: lc.Fixture) -> lc.Fixture:
    """Return the bench as it really is: boards of a higher voltage, warmer sinks, less light, darker walls."""
    boards = lc.evaluate(design).boards
    offsets_v = (0.31, 0.24, 0.28, 0.22, 0.35, 0.27, 0.25, 0.29)
    return dataclasses.replace(
        design,
        positions=tuple(
            lc.Position(tag=tag, x_m=float(x), y_m=float(y), offset_v=offset)
            for tag, x, y, offset in zip(boards.tag, boards.x_m, boards.y_m, offsets_v, strict=True)
        ),
        heat_sinks=tuple(dataclasses.replace(sink, sink_resistance_k_per_w=4.25) for sink in design.heat_sinks),
        board_points=tuple(
            dataclasses.replace(point, photon_flux_umol_s=0.9 * point.photon_flux_umol_s)
            for point in design.board_points
        ),
        site=dataclasses.replace(design.site, air_temperature_c=AIR_C, wall_reflectance_fraction=0.48),
    )


def measured(design: lc.Fixture, truth: lc.Fixture, setting_a: float, surveys: tuple[str, ...]) -> lc.Fixture:
    """Return the design with what the meters read of the truth at a dial setting: a log, and light surveys."""
    rng = np.random.default_rng(6)
    grid = [(x, y) for y in (0.06, 0.18, 0.3, 0.42, 0.54) for x in (0.1, 0.3, 0.5, 0.7, 0.9, 1.1)]
    wanted = tuple(
        lc.LightReading(survey=name, height_m=SURVEYS[name], x_m=x, y_m=y, ppfd_umol_m2_s=0.0, meter="Sensor 1")
        for name in surveys
        for x, y in grid
    )
    # The driver gives a little less than its dial says.
    real = lc.evaluate(dataclasses.replace(truth, current_setting_a=0.985 * setting_a, light_readings=wanted))
    light = np.concatenate([survey.predicted_umol_m2_s for survey in real.surveys])
    shown = np.round(light * SENSOR * (1.0 + SENSOR_SCATTER * rng.normal(size=light.size)))
    return dataclasses.replace(
        design,
        current_setting_a=setting_a,
        current_log=_log(real, rng),
        light_readings=tuple(
            dataclasses.replace(entry, ppfd_umol_m2_s=float(value)) for entry, value in zip(wanted, shown, strict=True)
        ),
    )


def _log(real: lc.Evaluation, rng: np.random.Generator) -> tuple[lc.CurrentReading, ...]:
    boards, entries = real.boards, []
    for hour in HOURS:
        rise = (boards.sink_temperature_c - AIR_C) * (1.0 - np.exp(-hour / WARM_UP_H))
        for n, tag in enumerate(boards.tag):
            current = boards.current_a[n] * CLAMP * (1.0 + CLAMP_SCATTER * rng.normal())
            voltage = boards.voltage_v[n] * VOLTS * (1.0 + VOLTS_SCATTER * rng.normal())
            warmth = AIR_C + rise[n] + PROBE_K + PROBE_SCATTER_K * rng.normal()
            entries.append(
                lc.CurrentReading(
                    elapsed_h=hour,
                    board=tag,
                    current_a=round(float(current), 3),
                    voltage_v=round(float(voltage), 2),
                    temperature_c=round(float(warmth), 1),
                    air_temperature_c=AIR_C,
                    meter="Clamp 1",
                )
            )
    return tuple(entries)


@dataclasses.dataclass(frozen=True, kw_only=True)
class Round:
    """The bench before and after, and how well each predicts what was kept back."""

    design: lc.Fixture
    measured: lc.Fixture
    calibration: Calibration
    first: Compared
    second: Compared


def whole_round() -> Round:
    """Design, measure, calibrate, and predict what was kept back, by the design and by the calibrated fixture."""
    design = designed()
    truth = as_it_is(design)
    taken = measured(design, truth, SETTING_A, ("first map", "second map"))
    kept_back = measured(design, truth, OTHER_SETTING_A, ("map kept back",))
    found = calibrate(taken)
    # The dial is turned from where it stood: the driver stays off it by the factor that was found.
    after = dataclasses.replace(
        found.fixture,
        current_setting_a=found.fixture.current_setting_a * OTHER_SETTING_A / SETTING_A,
        current_log=kept_back.current_log,
        light_readings=kept_back.light_readings,
    )
    return Round(
        design=design,
        measured=taken,
        calibration=found,
        first=predicted_against_measured(kept_back),
        second=predicted_against_measured(after),
    )


def main() -> None:
    """Print the round, step by step."""
    done = whole_round()
    plan, judged = lc.evaluate(done.design), lc.evaluate(done.measured)
    print(f"Designed: mean PPFD {plan.light.statistics.mean:.0f}, {plan.operating.voltage_v:.2f} V")
    print("Measured, latest currents:")
    assert judged.logged is not None
    for tag, current, half, said in zip(
        judged.logged.tag,
        judged.logged.current_a,
        judged.logged.half_width_a,
        judged.logged.against_rating,
        strict=True,
    ):
        print(f"  {tag}: {current:.3f} A +- {half:.3f} A, {said}")
    for survey in judged.surveys:
        print(
            f"  {survey.survey} at {survey.height_m:.2f} m: mean {survey.statistics.mean:.0f}, "
            f"predicted {survey.predicted_mean_umol_m2_s:.0f} umol m-2 s-1"
        )
    print(f"\n{text_of(done.calibration)}\n")
    print(f"Kept back, at {OTHER_SETTING_A} A and another height, by the design: {done.first.agreement}")
    print(f"The same by the calibrated fixture: {done.second.agreement}")
    for one, other in zip(done.first.kinds, done.second.kinds, strict=True):
        print(f"  {one.kind}: off by {one.rms_difference:.3g} {one.unit} before, {other.rms_difference:.3g} after")
    if len(sys.argv) > 1:
        folder = Path(sys.argv[1])
        folder.mkdir(parents=True, exist_ok=True)
        write_inputs(done.measured, folder / "bench-measured.xlsx", overwrite=True)
        write_inputs(done.calibration.fixture, folder / "bench-calibrated.xlsx", overwrite=True)
        print(f"wrote bench-measured.xlsx and bench-calibrated.xlsx into {folder}")


if __name__ == "__main__":
    main()
