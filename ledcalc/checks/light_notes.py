"""Notes about the light: what may not pay, what crops and eyes mind, what is published for the crop."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from ledcalc.checks.light import current_factor
from ledcalc.checks.limits import OVER, driver_of, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import Fixture
from ledcalc.model_curves import spectrum_of
from ledcalc.photons import CropTarget, LightNote, Spectrum, light_notes, match_crop, photoperiod_for_dose
from ledcalc.results import Evaluation
from ledcalc.schema import Value

__all__ = [
    "blue_fraction",
    "blue_light",
    "bright_source",
    "dose_off_published_range",
    "long_day",
    "ppfd_without_co2",
    "published_crop",
    "published_range",
    "ultraviolet",
]

PPFD_UNIT = "umol m-2 s-1"
BLUE_NM, PAR_NM = (400.0, 500.0), (400.0, 700.0)
LEVEL = "fixture.dimming_fraction"
# A single published figure stands for a range: least doses have no upper end.
LEAST = "least dose"


def ppfd_without_co2(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The crop gets more light than usually pays without added CO2."""
    field, given = results.light.ppfd_umol_m2_s, fixture.site.added_co2
    note = _note("ppfd-without-co2", light_notes(ppfd=float(field.max())))
    if note is None or given == "yes":
        return
    share = float((field > note.limit).mean())
    air = "no CO2 is added" if given == "no" else "whether CO2 is added is not said"
    yield _finding(
        note,
        path="site.added_co2",
        message=f"{share:.0%} of the crop gets more than {note.limit:.0f} {PPFD_UNIT}, {note.value:.0f} at most, and "
        f"{air}: {note.text}.",
        remedy=f"dim to {_level(fixture, results, note.limit / note.value)}, or add CO2 and say so on the Site sheet",
    )


def long_day(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The light is on for nearly the whole day, which some crops do not bear."""
    hours = fixture.site.photoperiod_h
    note = _note("long-day", light_notes(photoperiod_h=hours))
    if note is None or results.light.statistics.mean <= 0:
        return
    dose = results.light.dli_mean_mol_m2_d
    ppfd = results.light.statistics.mean * hours / note.limit
    yield _finding(
        note,
        path="site.photoperiod_h",
        message=f"The light is on for {hours:.4g} h a day: {note.text}.",
        remedy=f"light for {note.limit:g} h a day; {ppfd:.0f} {PPFD_UNIT} would then give the same {dose:.1f} mol m-2 "
        "d-1",
        changes={"site.photoperiod_h": note.limit},
    )


def ultraviolet(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board's spectrum holds ultraviolet that skin, eyes and plastics mind."""
    for spectrum in _spectra(fixture, results.boards.model):
        note = _note("ultraviolet", light_notes(spectrum=spectrum))
        if note is not None:
            row = [model.spectrum for model in fixture.boards].index(spectrum.name)
            yield _finding(
                note,
                path=f"boards[{row}].spectrum",
                message=f"{spectrum.name}: {note.value:.1%} of the radiant power lies below 400 nm: "
                f"{note.text.partition(': ')[2]}.",
                remedy=f"take boards or a cover with {note.limit:.1%} or less, or check the spectrum's rows below "
                "400 nm",
            )


def blue_light(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """There is much blue light on the crop, where eyes come when people work."""
    blue = blue_fraction(fixture, results.boards.model) * float(results.light.ppfd_umol_m2_s.max())
    yield from _bright(fixture, results, "blue-light", blue, "blue_ppfd_umol_m2_s", "of 400 to 500 nm ")


def bright_source(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The light on the crop is strong enough to dazzle who works in it."""
    most = float(results.light.ppfd_umol_m2_s.max())
    yield from _bright(fixture, results, "bright-source", most, "bright_ppfd_umol_m2_s", "")


def _bright(
    fixture: Fixture, results: Evaluation, code: str, most: float, limit_name: str, band: str
) -> Iterator[Finding]:
    least, note = limit(limit_name), _note(code, light_notes())
    if note is None or most <= least * OVER:
        return
    source = limit_source(limit_name)
    yield _finding(
        replace(note, value=most, limit=least, unit=PPFD_UNIT, basis=f"{note.basis}; limit: {source}"),
        path=LEVEL,
        message=f"Up to {most:.0f} {PPFD_UNIT} {band}on the crop, where hands and eyes work: {note.text}.",
        remedy=f"dim to {_level(fixture, results, least / most)} while somebody works under the boards",
    )


def dose_off_published_range(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """The dose lies outside the published range of the crop, and the site names no target of its own."""
    crop, dose = published_crop(fixture), results.light.dli_mean_mol_m2_d
    if crop is None or dose <= 0:
        return
    low, high = published_range(crop)
    if low <= dose * OVER and dose <= high * OVER:
        return
    bound = low if dose < low else high
    hours = float(photoperiod_for_dose(bound, results.light.statistics.mean))
    # Rounded into the range.
    hours = math.ceil(10.0 * hours) / 10.0 if dose < low else math.floor(10.0 * hours) / 10.0
    can_light = 0.0 < hours <= 24.0
    share = bound / dose
    published = (
        f"{crop.low_mol_m2_d:g} to {crop.high_mol_m2_d:g}"
        if crop.high_mol_m2_d > crop.low_mol_m2_d
        else (f"{crop.low_mol_m2_d:g}")
    )
    yield Finding(
        code="dose-off-published-range",
        severity="note",
        path="site.crop",
        message=f"Mean DLI is {dose:.1f} mol m-2 d-1; published for {crop.crop} ({crop.quantity}, confidence "
        f"{crop.confidence}): {published} mol m-2 d-1.",
        value=dose,
        limit=bound,
        unit="mol m-2 d-1",
        remedy=(f"light for {hours:g} h a day, or " if can_light else "")
        + f"give {share:.2g} times the light, or name a target of your own",
        basis=crop.source if crop.read_from in crop.source else f"{crop.source}, {crop.read_from}",
        changes={"site.photoperiod_h": hours} if can_light else {},
    )


def published_crop(fixture: Fixture) -> CropTarget | None:
    """Return the crop whose published dose the site's light is judged by; None where it has targets of its own."""
    site = fixture.site
    own = (site.target_ppfd_umol_m2_s, site.target_dli_low_mol_m2_d, site.target_dli_high_mol_m2_d)
    return match_crop(site.crop).target if site.crop and all(target is None for target in own) else None


def published_range(crop: CropTarget) -> tuple[float, float]:
    """Return the doses that count as the crop's: about a single figure a margin, above a least dose anything."""
    margin = limit("ppfd_tolerance_fraction") if crop.high_mol_m2_d == crop.low_mol_m2_d else 0.0
    high = math.inf if crop.quantity == LEAST else crop.high_mol_m2_d * (1.0 + margin)
    return crop.low_mol_m2_d * (1.0 - margin), high


def blue_fraction(fixture: Fixture, models: Iterable[str]) -> float:
    """Return the most of its photons that a spectrum of the boards has at 400 to 500 nm; 0 where none is named."""
    spectra = _spectra(fixture, models)
    return max((one.photon_flux_umol_s(*BLUE_NM) / one.photon_flux_umol_s(*PAR_NM) for one in spectra), default=0.0)


def _spectra(fixture: Fixture, models: Iterable[str]) -> list[Spectrum]:
    used = set(models)
    tags = dict.fromkeys(model.spectrum for model in fixture.boards if model.tag in used and model.spectrum)
    return [spectrum_of(str(tag), fixture.spectra) for tag in tags]


def _note(code: str, notes: tuple[LightNote, ...]) -> LightNote | None:
    return next((note for note in notes if note.code == code), None)


def _level(fixture: Fixture, results: Evaluation, factor: float) -> str:
    """Return the dimming level for a part of today's light, rounded down; cooler boards give a little more."""
    _, model = driver_of(fixture)
    amps = results.operating.set_current_a * current_factor(fixture, results, factor)
    level = amps * (1.0 - 4.0 * limit("remedy_reserve_fraction")) / fixture.current_setting_a
    percent = float(np.floor(100.0 * level))
    if percent < 100.0 * model.dimming_low_fraction:
        return f"{100 * model.dimming_low_fraction:.3g} %, the least that {model.tag} gives, and shield the view"
    return f"{percent:.0f} %"


def _finding(
    note: LightNote, *, path: str, message: str, remedy: str, changes: dict[str, Value] | None = None
) -> Finding:
    return Finding(
        code=note.code,
        severity="note",
        path=path,
        message=message,
        value=note.value,
        limit=note.limit,
        unit=note.unit,
        remedy=remedy,
        basis=note.basis,
        changes=changes or {},
    )
