"""For the rules on light over time and the notes about it: what fires them, what stays inside, what clears them."""

import dataclasses
import math
import sys
from pathlib import Path

import numpy as np
from scipy.integrate import trapezoid
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import Case

import ledcalc as lc
from ledcalc.light_views import at_heights
from ledcalc.photons import Spectrum
from ledcalc.records import with_values

# Invented: readings that fall as exp(-alpha t) exactly, so that what is left is known by hand.
HOURS = range(0, 9001, 1000)
LIMIT_H = 54_000.0
ALPHA_PER_H = 3.5e-6


def falling(celsius, alpha_per_h, tag="invented test", units_count=20):
    """Return the rows of a maintenance test."""
    return tuple(
        lc.MaintenancePoint(
            tag=tag,
            temperature_c=celsius,
            elapsed_h=float(hours),
            # As many digits as a cell keeps.
            flux_fraction=float(f"{math.exp(-alpha_per_h * hours):.12g}"),
            units_count=units_count,
        )
        for hours in HOURS
    )


def ageing_bench(fixture, rows=None, **site):
    """Return the example with a maintenance table that its boards name."""
    rows = falling(55.0, ALPHA_PER_H) if rows is None else rows
    return dataclasses.replace(
        fixture,
        site=dataclasses.replace(fixture.site, **site),
        boards=(dataclasses.replace(fixture.boards[0], maintenance=rows[0].tag), *fixture.boards[1:]),
        maintenance=rows,
    )


def planned_bench(fixture, **step):
    return dataclasses.replace(fixture, light_plan=(lc.PlanStep(from_week=1, **step),))


def untargeted(fixture, crop):
    site = {"target_dli_low_mol_m2_d": None, "target_dli_high_mol_m2_d": None, "crop": crop}
    return dataclasses.replace(fixture, site=dataclasses.replace(fixture.site, **site))


def dense_bench(fixture):
    """The example's boards side by side close to the canopy, so that the light on it is strong."""
    return with_values(
        fixture, {"fixture.row_pitch_m": 0.062, "fixture.column_pitch_m": 0.252, "fixture.height_m": 0.05}
    )


def cases_of_ageing(results):
    return {**_life(results), **_plan(results), **_published(results), **_notes(results.fixture)}


def _life(results):
    fixture, dli = results.fixture, results.light.dli_mean_mol_m2_d
    kept = math.exp(-ALPHA_PER_H * 30_000)
    aged = ageing_bench(fixture, wanted_life_h=30_000.0)
    faster = ageing_bench(fixture, falling(55.0, 3 * ALPHA_PER_H), wanted_life_h=30_000.0)
    low = "site.target_dli_low_mol_m2_d"
    return {
        "aged-light-below-target": [
            Case(base=aged, fires={low: 10.0}, inside={low: dli * kept * (1 - 1e-6)}),
            # Beyond the dial's reserve: 10 of 10.8 mol are left after ln(1.08) / alpha.
            Case(
                base=faster,
                fires={low: 10.0},
                inside={low: dli * kept**3 * (1 - 1e-6)},
                by_hand={"site.wanted_life_h": math.log(dli / 10.0) / (3 * ALPHA_PER_H) * (1 - 1e-6)},
            ),
        ],
        "aged-share-below-wanted": [
            Case(
                base=aged,
                fires={"site.maintained_share_fraction": 0.92},
                inside={"site.maintained_share_fraction": kept * (1 - 1e-6)},
            )
        ],
        "life-beyond-projection": [
            Case(
                base=ageing_bench(fixture),
                fires={"site.wanted_life_h": 60_000.0},
                inside={"site.wanted_life_h": LIMIT_H},
            ),
            Case(
                base=ageing_bench(fixture),
                fires={"site.wanted_life_h": LIMIT_H, "maintenance.units_count": 19},
                inside={"site.wanted_life_h": LIMIT_H / 6.0 * 5.5, "maintenance.units_count": 19},
            ),
        ],
        "board-hotter-than-tests": [
            Case(
                base=ageing_bench(fixture, falling(40.0, ALPHA_PER_H)),
                fires={},
                inside={"maintenance.temperature_c": float(results.boards.temperature_c.max()) + 1e-6},
            )
        ],
    }


def _plan(results):
    fixture = results.fixture
    dimmed = lc.evaluate(planned_bench(fixture, target_dli_mol_m2_d=8.0)).dimmed
    most, least = dimmed.most_ppfd_umol_m2_s, dimmed.least_ppfd_umol_m2_s
    dose = "light_plan[0].target_dli_mol_m2_d"
    by_ppfd, ppfd = planned_bench(fixture, target_ppfd_umol_m2_s=100.0), "light_plan[0].target_ppfd_umol_m2_s"
    by_dose = planned_bench(fixture, target_dli_mol_m2_d=8.0)
    return {
        "plan-above-full-light": [
            Case(base=by_dose, fires={dose: 13.0}, inside={dose: most * 16 * 3600e-6}),
            Case(base=by_dose, fires={dose: 25.0}, inside={dose: 8.0}, by_hand={dose: 12.0}),
            Case(base=by_ppfd, fires={ppfd: 250.0}, inside={ppfd: most}),
        ],
        "plan-below-dimmer": [
            Case(base=by_dose, fires={dose: 0.5}, inside={dose: least * 16 * 3600e-6}),
            Case(base=by_ppfd, fires={ppfd: 12.0}, inside={ppfd: least}),
            # None at all is off, not dim.
            Case(base=by_dose, fires={dose: 0.5}, inside={dose: 0.0}),
        ],
    }


def _published(results):
    fixture, mean = results.fixture, results.light.statistics.mean
    dose_h = 1.0 / (mean * 3600e-6)
    hours = "site.photoperiod_h"
    return {
        "dose-off-published-range": [
            Case(base=untargeted(fixture, "full-sun plants"), fires={}, inside={hours: 14.0 * dose_h}),
            Case(base=untargeted(fixture, "Houseplants (mixed)"), fires={}, inside={hours: 6.0 * dose_h}),
            # About a single figure 10 % are allowed; above a least dose anything.
            Case(base=untargeted(fixture, "head lettuce"), fires={}, inside={hours: 0.9 * 17.0 * dose_h}),
            Case(base=untargeted(fixture, "bedding-plant plugs"), fires={hours: 12.0}, inside={hours: 20.0}),
            # A target of the user's own goes before what is published.
            Case(base=untargeted(fixture, "full-sun plants"), fires={}, inside={"site.target_dli_low_mol_m2_d": 9.0}),
        ],
    }


def height_with(results, highest):
    """Return the least height at which no point of the map has more than so much light."""

    def above(factor):
        return at_heights(results, (factor,))[0].maximum_umol_m2_s - highest

    height = brentq(above, 1.0, 20.0, xtol=1e-9) * results.fixture.height_m
    return math.ceil(1e4 * height) / 1e4


def _notes(fixture):
    dense = dense_bench(fixture)
    strong = lc.evaluate(dense)
    spectrum = Spectrum.from_table(
        [row.wavelength_nm for row in fixture.spectra], [row.value for row in fixture.spectra]
    )
    blue = spectrum.photon_flux_umol_s(400.0, 500.0) / spectrum.photon_flux_umol_s(400.0, 700.0)
    height, level = "fixture.height_m", "fixture.dimming_fraction"
    return {
        "ppfd-without-co2": [
            Case(base=dense, fires={}, inside={height: height_with(strong, 1000.0)}, by_hand={level: 0.6}),
            Case(
                base=dense,
                fires={"site.added_co2": "no"},
                inside={"site.added_co2": "yes"},
                by_hand={"site.added_co2": "yes"},
            ),
        ],
        "long-day": [Case(fires={"site.photoperiod_h": 20.5}, inside={"site.photoperiod_h": 20.0})],
        "ultraviolet": [
            Case(
                fires={"spectra[0].value": 2.0 * ultraviolet_value(fixture)},
                inside={"spectra[0].value": ultraviolet_value(fixture)},
                by_hand={"spectra[0].value": 0.0},
            )
        ],
        "blue-light": [
            Case(base=dense, fires={}, inside={height: height_with(strong, 125.0 / blue)}, by_hand={level: 0.4}),
            Case(base=dense, fires={}, inside={"boards[0].spectrum": None}, by_hand={level: 0.4}),
        ],
        "bright-source": [
            Case(base=dense, fires={}, inside={height: height_with(strong, 500.0)}, by_hand={level: 0.25})
        ],
    }


def ultraviolet_value(fixture):
    """Return the first row's value, 380 nm, that brings half a per cent of the power below 400 nm, by trapezoids."""
    nm = np.array([row.wavelength_nm for row in fixture.spectra])
    value = np.array([row.value for row in fixture.spectra])

    def beyond(first):
        changed = np.concatenate([[first], value[1:]])
        low = nm <= 400.0
        return trapezoid(changed[low], nm[low]) / trapezoid(changed, nm) - 0.005

    return float(brentq(beyond, 0.0, 10.0, xtol=1e-12)) * (1 - 1e-6)
