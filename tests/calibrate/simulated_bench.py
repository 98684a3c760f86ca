"""Benches of known truth: a fixture, what it really is, and the readings that its meters give of that.

Noise as ``ledcalc.calibrate.instruments`` states it: of a meter's limit a share of 0.9 is the same in all its readings,
even within plus or minus that; the rest scatters normally; what the last digits hide is even within them and stays when
a reading is repeated.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

import ledcalc as lc
from ledcalc.calibrate.light_factors import unit_sources
from ledcalc.demo import seedling_bench
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.light import light_over_crop
from ledcalc.evaluation.parts import boards_on, driver_model

SHARE = 0.9
CLAMP = lc.Meter(tag="Clamp", quantity="current", accuracy_fraction=0.02, accuracy_digits_count=2, resolution=0.001)
VOLTS = lc.Meter(tag="Volts", quantity="voltage", accuracy_fraction=0.005, accuracy_digits_count=2, resolution=0.01)
WARMTH = lc.Meter(tag="Warmth", quantity="temperature", accuracy_fraction=0.0, accuracy_digits_count=15, resolution=0.1)
SENSOR = lc.Meter(tag="Sensor", quantity="PPFD", accuracy_fraction=0.05, accuracy_digits_count=1, resolution=1)
METERS = (CLAMP, VOLTS, WARMTH, SENSOR)
ROOM = {
    "site.room_width_m": 1.4,
    "site.room_depth_m": 0.8,
    "site.room_height_m": 1.6,
    "fixture.crop_x_m": 0.1,
    "fixture.crop_y_m": 0.1,
}
AIR_C = 22.0


@dataclass(frozen=True, kw_only=True)
class Truth:
    """What a bench really is."""

    offset_v: np.ndarray
    sink: float = 1.0
    flux: float = 1.0
    wall: float = 0.5
    driver: float = 1.0


def bench_of(boards: int, *, in_room: bool = True, meters=METERS) -> lc.Fixture:
    """The example with so many boards in rows of four, without readings."""
    base = lc.with_values(seedling_bench(), ROOM if in_room else {})
    rows = (boards + 3) // 4
    cables = [
        dataclasses.replace(base.cables[n % 8], tag=f"W{n + 1}", to_node=f"B{n + 1}", lead_set=1) for n in range(boards)
    ]
    return dataclasses.replace(
        base,
        rows_count=rows,
        columns_count=boards // rows,
        row_pitch_m=0.5 / max(rows, 2),
        current_setting_a=0.55 * boards,
        drivers=tuple(dataclasses.replace(one, current_high_a=20.0, power_limit_w=600.0) for one in base.drivers),
        cables=tuple(cables),
        meters=tuple(meters),
        current_log=(),
        light_readings=(),
        incoming_boards=(),
    )


def points(fixture: lc.Fixture, columns: int, rows: int) -> list[tuple[float, float]]:
    """Points at the centres of even cells over the crop, in whole millimetres."""
    return [
        (round((c + 0.5) * fixture.crop_width_m / columns, 3), round((r + 0.5) * fixture.crop_depth_m / rows, 3))
        for r in range(rows)
        for c in range(columns)
    ]


def drawn(fixture: lc.Fixture, rng: np.random.Generator) -> Truth:
    """A truth as the usual priors have it."""
    count = fixture.rows_count * fixture.columns_count
    spread, batch = fixture.boards[0].voltage_spread_v, 0.02 * 22.3
    tolerance = fixture.drivers[0].current_tolerance_fraction
    return Truth(
        offset_v=rng.normal(0.0, batch) + rng.normal(0.0, spread, count),
        sink=1.0 + 0.15 * float(np.clip(rng.normal(), -3, 3)),
        flux=1.0 + 0.10 * float(np.clip(rng.normal(), -3, 3)),
        wall=float(np.clip(0.5 + 0.10 * rng.normal(), 0.0, 0.95)),
        driver=1.0 + tolerance * rng.uniform(-1, 1),
    )


def as_built(fixture: lc.Fixture, truth: Truth) -> lc.Fixture:
    """The fixture as it really is; its light by its points, not by the factor that a calibration writes."""
    places = [
        dataclasses.replace(board.place, offset_v=float(offset), height_m=None)
        for board, offset in zip(boards_on(fixture), truth.offset_v, strict=True)
    ]
    return dataclasses.replace(
        fixture,
        positions=tuple(places),
        current_setting_a=fixture.current_setting_a * truth.driver,
        heat_sinks=tuple(
            dataclasses.replace(one, sink_resistance_k_per_w=one.sink_resistance_k_per_w * truth.sink)
            for one in fixture.heat_sinks
        ),
        board_points=tuple(
            dataclasses.replace(one, photon_flux_umol_s=one.photon_flux_umol_s * truth.flux)
            for one in fixture.board_points
        ),
        site=dataclasses.replace(fixture.site, wall_reflectance_fraction=truth.wall, air_temperature_c=AIR_C),
    )


def read(
    fixture: lc.Fixture,
    truth: Truth,
    rng: np.random.Generator | None,
    *,
    maps: dict[float, list[tuple[float, float]]],
    kinds: tuple[str, ...] = ("current", "voltage", "temperature"),
    hours: tuple[float, ...] = (3.0, 4.0),
) -> lc.Fixture:
    """The fixture with what its meters read of the truth; ``rng`` None: meters without errors, digits or rounding."""
    real = as_built(fixture, truth)
    placed = boards_on(real)
    settled = settle(real, placed, driver_model(real))
    heat = settled.split.power_w * (1.0 - settled.radiant_fraction)
    sink_c = settled.split.temperature_c - np.array([one.sink.interface_resistance_k_per_w for one in placed]) * heat
    by_meter = {meter.quantity: meter for meter in fixture.meters}
    true = {"current": settled.split.current_a, "voltage": settled.split.voltage_v, "temperature": sink_c}
    shown = {kind: reader(by_meter[kind], rng)(true[kind], len(hours)) for kind in kinds}
    log = [
        lc.CurrentReading(
            elapsed_h=hour,
            board=board.place.tag,
            air_temperature_c=AIR_C,
            meter="Clamp",
            current_a=float(shown["current"][turn, number]),
            voltage_v=float(shown["voltage"][turn, number]) if "voltage" in kinds else None,
            temperature_c=float(shown["temperature"][turn, number]) if "temperature" in kinds else None,
        )
        for turn, hour in enumerate(hours)
        for number, board in enumerate(placed)
        if kinds
    ]
    return dataclasses.replace(
        fixture, current_log=tuple(log), light_readings=_light(real, settled, by_meter, rng, maps)
    )


def _light(real, settled, by_meter, rng, maps):
    sources = [
        dataclasses.replace(source, photon_flux_umol_s=float(flux))
        for source, flux in zip(unit_sources(real, boards_on(real)), settled.photon_flux_umol_s, strict=True)
    ]
    fields = {
        height: light_over_crop(real, sources, *np.array(at).T, raised_m=height - real.height_m)
        for height, at in maps.items()
    }
    if not fields:
        return ()
    shown = reader(by_meter["PPFD"], rng)(np.concatenate(list(fields.values())), 1)[0]
    places = [(height, x, y) for height, at in maps.items() for x, y in at]
    return tuple(
        lc.LightReading(
            survey=f"map at {height}", height_m=height, x_m=x, y_m=y, ppfd_umol_m2_s=float(value), meter="Sensor"
        )
        for (height, x, y), value in zip(places, shown, strict=True)
    )


def reader(meter: lc.Meter, rng: np.random.Generator | None):
    """A meter with errors of its own: true values and how often each is read -> readings, a row a time."""
    if rng is None:
        return lambda true, times: np.tile(true, (times, 1))
    digits = meter.accuracy_digits_count * meter.resolution
    rest = np.sqrt((1.0 - SHARE**2) / 3.0)
    repeated = SHARE * rng.uniform(-1.0, 1.0)

    def readings(true, times):
        if meter.quantity == "temperature":
            limit = meter.accuracy_fraction * true + digits
            staying = 0.0
        else:
            limit = meter.accuracy_fraction * true
            staying = digits * rng.uniform(-1.0, 1.0, true.size)
        exact = true + limit * repeated + staying + rest * limit * rng.normal(size=(times, true.size))
        return np.round(exact / meter.resolution) * meter.resolution

    return readings
