"""An invented catalogue of parts about the invented seedling bench, from stated seeds; and a search by brute force."""

import dataclasses

import numpy as np

import ledcalc as lc
from ledcalc.errors import LedcalcError
from ledcalc.evaluation.cost import cost_results
from ledcalc.evaluation.electrical import settle
from ledcalc.evaluation.parts import boards_on, driver_model
from ledcalc.fixture import Part
from ledcalc.variants.search.built import Candidate, built, wire_sizes
from ledcalc.variants.search.catalogue import board_items

__all__ = ["brute_force", "catalogue_of"]


def catalogue_of(bench, seed, boards_count, drivers_count, sinks_count):
    """Boards of other voltages, ratings and efficacies, drivers of other ranges, heat sinks of other sizes, priced."""
    draw = np.random.default_rng(seed)
    boards, points, drivers, sinks, parts = [], [], [], [], []
    for number in range(boards_count):
        tag, volts, light = f"Board {number}", draw.uniform(0.55, 1.6), draw.uniform(0.75, 1.15)
        rated = round(float(draw.uniform(0.45, 1.1)), 2)
        share = rated / bench.boards[0].rated_current_a
        weight = round(float(draw.uniform(0.05, 0.2)), 3)
        boards.append(dataclasses.replace(bench.boards[0], tag=tag, rated_current_a=rated, weight_kg=weight))
        points += [
            dataclasses.replace(
                point,
                board=tag,
                current_a=point.current_a * share,
                voltage_v=point.voltage_v * volts,
                photon_flux_umol_s=point.photon_flux_umol_s * share * volts * light,
            )
            for point in bench.board_points
        ]
        parts.append(Part(tag=tag, price=round(float(8 * share * volts * light**2 * draw.uniform(0.8, 1.25)), 2)))
    for number in range(drivers_count):
        high, power = round(float(draw.uniform(20, 60)), 1), round(float(draw.uniform(60, 200)))
        top = round(power / high * draw.uniform(0.95, 1.3), 1)
        efficiency = round(float(draw.uniform(0.84, 0.94)), 3)
        drivers.append(
            dataclasses.replace(
                bench.drivers[0],
                tag=f"Driver {number}",
                voltage_low_v=round(0.6 * high, 1),
                voltage_high_v=high,
                current_low_a=round(0.3 * top, 1),
                current_high_a=top,
                power_limit_w=float(power),
                efficiency_fraction=efficiency,
                window_min_v=round(0.5 * high, 1),
            )
        )
        parts.append(Part(tag=f"Driver {number}", price=round(0.25 * power * draw.uniform(0.8, 1.25), 2)))
    for number in range(sinks_count):
        k_per_w = round(float(draw.uniform(2.0, 9.0)), 2)
        sinks.append(dataclasses.replace(bench.heat_sinks[0], tag=f"Sink {number}", sink_resistance_k_per_w=k_per_w))
        parts.append(Part(tag=f"Sink {number}", price=round(15 / k_per_w * draw.uniform(0.8, 1.25), 2)))
    parts.append(Part(tag="18 AWG", price=1.1))
    return dataclasses.replace(
        bench,
        # Where more than one board in series is a choice at all.
        site=dataclasses.replace(bench.site, location="dry"),
        boards=tuple(boards),
        board_points=tuple(points),
        drivers=tuple(drivers),
        driver_points=(),
        heat_sinks=tuple(sinks),
        parts=tuple(parts),
    )


def brute_force(catalogue, target, space, book, objective):
    """Every candidate worked out, without bounds, the driver's dial turned step by step; the best that passes all
    rules, with its objective, and how many were worked out."""
    worked = []
    count = 0
    for item in board_items(catalogue):
        for layout in book.of(item.model):
            for in_series in space.in_series_counts:
                for sink in catalogue.heat_sinks:
                    for driver in catalogue.drivers:
                        for wire in wire_sizes(catalogue, space):
                            count += 1
                            candidate = Candidate(
                                board=item,
                                heat_sink=sink,
                                driver=driver,
                                layout=layout,
                                in_series=in_series,
                                wire_size=wire,
                            )
                            found = _dialled(catalogue, target, space, candidate)
                            if found is not None:
                                worked.append((found[1][objective], len(worked), candidate, found[0]))
    for value, _, candidate, fixture in sorted(worked, key=lambda one: one[:2]):
        results = lc.evaluate(fixture)
        hot = results.boards.temperature_c.max() > target.most_board_c
        if not hot and not any(found.severity in {"stop", "act"} for found in results.findings):
            return candidate.parts, value, count
    return None, float("nan"), count


def _dialled(catalogue, target, space, candidate):
    """The candidate at the lowest step of the dial that reaches the mean; None where no step within the boards' rating
    does, or the driver does not hold its current there."""
    bare, driver = built(catalogue, target, space, candidate), candidate.driver
    highest = min(driver.current_high_a, candidate.strings * candidate.board.model.rated_current_a)
    steps = int((highest - driver.current_low_a) / space.setting_step_a + 1e-9)
    if steps < 0:
        return None

    def at(step):
        amps = round(driver.current_low_a + step * space.setting_step_a, 9)
        fixture = dataclasses.replace(bare, current_setting_a=amps)
        return fixture, settle(fixture, boards_on(fixture), driver_model(fixture))

    def mean(step):
        return float(candidate.layout.mean_per_flux @ at(step)[1].photon_flux_umol_s)

    try:
        top = mean(steps)
        if top < target.mean_ppfd_umol_m2_s:
            return None
        step = steps
        for _ in range(3):
            amps = (driver.current_low_a + step * space.setting_step_a) * target.mean_ppfd_umol_m2_s / mean(step)
            step = min(max(int((amps - driver.current_low_a) / space.setting_step_a), 0), steps)
        while step > 0 and mean(step - 1) >= target.mean_ppfd_umol_m2_s:
            step -= 1
        while mean(step) < target.mean_ppfd_umol_m2_s:
            step += 1
        fixture, settled = at(step)
    except LedcalcError:
        return None
    if settled.split.mode != "constant current":
        return None
    watts, flux = settled.draw.mains_power_w, float(settled.photon_flux_umol_s.sum())
    cost = cost_results(fixture, mains_power_w=watts, photon_flux_umol_s=flux, canopy_flux_umol_s=1.0)
    return fixture, {
        "mains_power_w": watts,
        "purchase_cost": cost.purchase.total_cost,
        "owning_cost": cost.owning_cost,
    }
