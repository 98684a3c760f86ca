"""Rules about the mains side: circuit, inrush, leakage, inlet, earth."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ledcalc.checks.limits import OVER, driver_of
from ledcalc.errors import ArgumentError
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.results import Evaluation
from ledcalc.schema import Value
from ledcalc.wiring import connector_rating, drivers_on_breaker, known_connectors

__all__ = [
    "circuit_overloaded",
    "has_earth",
    "inlet_overloaded",
    "inlet_without_earth",
    "inrush_may_trip",
    "leakage_high",
    "metal_not_earthed",
    "output_not_isolated",
]

CURVES_UP = ("C", "D")
ELECTRICIAN = "local code, and a licensed electrician, decide"


def circuit_overloaded(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Fixture and other loads draw more than the mains circuit may carry for hours."""
    operating, site = results.operating, fixture.site
    if operating.circuit_load_a <= operating.circuit_limit_a * OVER:
        return
    fits = results.mains.fixtures_fit_count
    surplus_w = math.ceil((operating.circuit_load_a - operating.circuit_limit_a) * site.mains_v)
    needed_a = site.circuit_a * operating.circuit_load_a / operating.circuit_limit_a
    enough = site.circuit_other_load_w >= surplus_w
    changes: dict[str, Value] = {"site.circuit_other_load_w": site.circuit_other_load_w - surplus_w} if enough else {}
    fewer = f"hang at most {fits:.0f} of these fixtures on it, " if 1 <= fits < fixture.fixtures_count else ""
    if fewer and not enough:
        changes = {"fixture.fixtures_count": int(fits)}
    many = "this fixture" if fixture.fixtures_count == 1 else f"{fixture.fixtures_count} such fixtures"
    yield Finding(
        code="circuit-overloaded",
        severity="stop",
        path="site.circuit_other_load_w" if enough else "site.circuit_a",
        message=f"The circuit carries {operating.circuit_load_a:.3g} A with {many}; for hours on end it may "
        "carry "
        f"{operating.circuit_limit_a:.3g} A.",
        value=operating.circuit_load_a,
        limit=operating.circuit_limit_a,
        unit="A",
        remedy=f"{fewer}take {surplus_w} W off the circuit, or have a licensed electrician provide one of at least "
        f"{needed_a:.1f} A",
        basis="NEC 210.19, 210.20: 80 % for continuous loads, as summarised in public"
        if site.rule_set == "NEC"
        else "IEC 60364-4-43: design current at most the device's rating (from memory)",
        changes=changes,
    )


def inrush_may_trip(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Switched on together, the drivers' inrush may trip the breaker."""
    mains, site = results.mains, fixture.site
    _, model = driver_of(fixture)
    if not mains.inrush_share_fraction > OVER:
        return
    fits = int(mains.inrush_fit_count)
    curve = _curve_that_holds(fixture)
    changes: dict[str, Value] = {}
    if curve:
        changes = {"site.breaker_curve": curve}
    elif fits >= 1:
        changes = {"fixture.fixtures_count": fits}
    better = f"a breaker of curve {curve} holds it; or " if curve else ""
    together = f"switch on at most {fits} at a time" if fits >= 1 else "put an inrush limiter before each driver"
    yield Finding(
        code="inrush-may-trip",
        severity="act",
        path="site.breaker_curve",
        message=f"{fixture.fixtures_count} x {model.inrush_a:g} A for {model.inrush_ms:g} ms at switch-on: "
        f"{mains.inrush_share_fraction:.1f} times what the {site.circuit_a:g} A breaker holds by a cautious reading, "
        "so it may trip.",
        value=mains.inrush_share_fraction,
        limit=1.0,
        unit="of what it holds",
        remedy=f"{better}{together}, or go by the driver maker's own table of drivers a breaker",
        basis="IEC 60898-1 instantaneous ranges, low end; short pulses by equal I2t (common practice, no source)",
        changes=changes,
    )


def _curve_that_holds(fixture: Fixture) -> str | None:
    _, model = driver_of(fixture)
    present = CURVES_UP.index(fixture.site.breaker_curve) if fixture.site.breaker_curve in CURVES_UP else -1
    for curve in CURVES_UP[present + 1 :]:
        fit = drivers_on_breaker(
            float(model.inrush_a or 0.0), float(model.inrush_ms or 0.0) / 1000.0, fixture.site.circuit_a, curve
        )
        if fit.by_inrush_count >= fixture.fixtures_count:
            return curve
    return None


def leakage_high(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The drivers' standing leakage is more than a residual-current device should see."""
    mains, site = results.mains, fixture.site
    if not mains.leakage_share_fraction > OVER:
        return
    fits = int(mains.leakage_fit_count)
    few = f"hang at most {fits} of these fixtures behind it" if fits >= 1 else "give the fixture a device of its own"
    yield Finding(
        code="leakage-high",
        severity="act",
        path="site.residual_device_a",
        message=f"{1000 * mains.leakage_a:.3g} mA stand behind a residual-current device of "
        f"{1000 * float(site.residual_device_a or 0.0):g} mA: it may trip without a fault.",
        value=mains.leakage_share_fraction,
        limit=1.0,
        unit="of what should stand",
        remedy=f"{few}, or split the circuits; {ELECTRICIAN}",
        basis="IEC 60364-5-53 531.3: standing leakage at most 30 % of the rated residual current (from memory)",
        changes={"fixture.fixtures_count": fits} if fits >= 1 else {},
    )


def inlet_overloaded(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver's mains connector carries more than it may for hours."""
    row, model = driver_of(fixture)
    own, may = results.operating.mains_current_a, results.mains.inlet_limit_a
    if not own > may * OVER:
        return
    yield Finding(
        code="inlet-overloaded",
        severity="stop",
        path=f"drivers[{row}].inlet",
        message=f"The fixture draws {own:.3g} A through its {model.inlet}, which may carry {may:.3g} A for hours.",
        value=own,
        limit=may,
        unit="A",
        remedy=f"take a connector for {own:.3g} A or more, or wire it in; {ELECTRICIAN}",
        basis="the connector's standard rating (from memory), less a fifth for continuous load under NEC",
    )


def metal_not_earthed(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """Metal that asks for protective earth has none, or it is not known whether it has."""
    mains = results.mains
    asked = [
        word
        for word, needed in (("driver case", mains.earth_driver_case), ("sinks and frame", mains.earth_fixture_metal))
        if needed
    ]
    if not asked or fixture.metal_earthed == "yes":
        return
    missing = fixture.metal_earthed == "no"
    yield Finding(
        code="metal-not-earthed",
        severity="stop" if missing else "note",
        path="fixture.metal_earthed",
        message=f"{'Metal is not earthed' if missing else 'Nobody says whether metal is earthed'}, and it asks for "
        f"it: {'; '.join(mains.earth_reasons)}.",
        value=None,
        limit=None,
        unit="",
        remedy=f"join {' and '.join(asked)} to protective earth, {mains.earth_conductor}, and measure it from "
        f"the plug's earth: well under 1 ohm; {ELECTRICIAN}",
        basis="IEC 61140 classes of protection (from memory)",
    )


def inlet_without_earth(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver relies on an earth, and its mains connector has no earth pin."""
    row, model = driver_of(fixture)
    if model.inlet is None or not results.mains.earth_driver_case or model.inlet not in known_connectors():
        return
    if any(has_earth(model.inlet, rule_set) for rule_set in ("NEC", "IEC")):
        return
    yield Finding(
        code="inlet-without-earth",
        severity="stop",
        path=f"drivers[{row}].inlet",
        message=f"{model.tag} is of protection class I and relies on its earth; a {model.inlet} has no earth pin.",
        value=None,
        limit=None,
        unit="",
        remedy=f"take an inlet with an earth pin, such as C14, for {results.operating.mains_current_a:.3g} A or more; "
        f"{ELECTRICIAN}",
        basis="IEC 61140 class I; connector standards (from memory)",
    )


def has_earth(inlet: str, rule_set: str) -> bool:
    """Return whether a connector has an earth pin under a rule set; one that has no rating there has none."""
    try:
        return connector_rating(inlet, rule_set).has_earth
    except ArgumentError:
        return False


def output_not_isolated(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The driver's output is not separated from the mains."""
    row, model = driver_of(fixture)
    if model.isolated_output != "no":
        return
    yield Finding(
        code="output-not-isolated",
        severity="act",
        path=f"drivers[{row}].isolated_output",
        message=f"The output of {model.tag} is not separated from the mains: boards, sinks and every joint count "
        f"as live at {fixture.site.mains_v:g} V.",
        value=fixture.site.mains_v,
        limit=None,
        unit="V",
        remedy=f"take an isolated driver, or enclose and earth everything as for {fixture.site.mains_v:g} V mains; "
        f"measure nothing on it while it is plugged in; {ELECTRICIAN}",
        basis="common practice, no source",
    )
