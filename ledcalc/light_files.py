"""Photometric files (LM-63) and the fixture: a file as rows of the Beams sheet, a fixture's far field as a file."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

import numpy as np

from ledcalc.errors import FileProblem
from ledcalc.fixture import BeamPoint, Fixture
from ledcalc.light_views import hung_sources
from ledcalc.model_curves import spectrum_of
from ledcalc.photons import Photometry, lux_from_ppfd, parse_lm63, write_lm63
from ledcalc.results import Evaluation

__all__ = ["FarFieldFile", "beam_rows", "far_field_file", "words_on"]

SYMMETRIES = {
    (0.0, 0.0): "round: the same all about the axis",
    (0.0, 90.0): "symmetry: four quarters alike",
    (0.0, 180.0): "symmetry: alike on both sides of the plane 0-180",
    (90.0, 270.0): "symmetry: alike on both sides of the plane 90-270",
    (0.0, 360.0): "no symmetry stated",
}
# Steps from the axis and about it, the first that keep the flux are used.
STEPS_DEG = ((2.5, 10.0), (1.0, 5.0), (0.5, 2.5))
MOST_FLUX_ERROR_FRACTION = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class FarFieldFile:
    """A fixture's far field as the text of a file; how far the flux it adds up to is off that of the boards."""

    text: str
    photometry: Photometry
    lumens_per_umol: tuple[float, ...]
    flux_error_fraction: float


def beam_rows(photometry: Photometry, tag: str) -> tuple[BeamPoint, ...]:
    """Return a distribution as rows of the Beams sheet, plane by plane, in candela.

    Examples
    --------
    >>> from ledcalc.photons import Beam, write_lm63
    >>> text = write_lm63(Beam.lambertian(), lm_per_umol_s=60.0, photon_flux_umol_s=1.0, issue_date="2001-01-31")
    >>> rows = beam_rows(parse_lm63(text), "matt")
    >>> len(rows), rows[0].angle_deg, rows[0].plane_deg
    (37, 0.0, 0.0)
    """
    return tuple(
        BeamPoint(tag=tag, plane_deg=float(plane), angle_deg=float(angle), intensity=float(value))
        for plane, values in zip(photometry.horizontal_deg, photometry.intensity_cd, strict=True)
        for angle, value in zip(photometry.vertical_deg, values, strict=True)
    )


def words_on(photometry: Photometry) -> tuple[str, ...]:
    """Return what a photometric file holds, a line each; then what is odd about it."""
    vertical, horizontal = photometry.vertical_deg, photometry.horizontal_deg
    ends = (float(horizontal[0]), float(horizontal[-1]))
    beam, watts = photometry.beam(), photometry.power_w
    half = [f"{beam.half_angle_deg(plane):.0f} deg in the plane of {plane:g}" for plane in (0.0, 90.0)]
    lines = [
        f"LM-63 of {photometry.edition}, type C; {_basis(photometry)}",
        f"flux: {photometry.luminous_flux_lm:.4g} lm in all; highest {photometry.intensity_cd.max():.4g} cd; "
        + (f"{watts:.4g} W by the file" if watts > 0 else "no watts given"),
        f"planes: {horizontal.size}{f', {ends[0]:g} to {ends[1]:g} deg' if ends[1] else ''}; {SYMMETRIES[ends]}",
        f"angles: {vertical.size} a plane, {vertical[0]:g} to {vertical[-1]:g} deg from straight down",
        f"half of the highest intensity at {' and '.join(half[:1] if beam.is_round else half)}",
        f"luminous opening: {_opening(photometry)}",
    ]
    lines += [
        f"{name.lower()}: {text}" for name in ("LUMINAIRE", "TEST", "ISSUEDATE") if (text := photometry.keyword(name))
    ]
    return (*lines, *(f"odd: {remark}" for remark in photometry.remarks))


def _basis(photometry: Photometry) -> str:
    factor = (
        "" if photometry.factor == 1.0 else f", candela values multiplied by {photometry.factor:g} as the file says"
    )
    if photometry.lamp_flux_lm is None:
        return f"absolute: candela of the whole light{factor}"
    lamps = photometry.lamp_count
    return f"relative to {lamps} lamp{'s' if lamps > 1 else ''} of {photometry.lamp_flux_lm:g} lm{factor}"


def _opening(photometry: Photometry) -> str:
    opening = photometry.opening
    if opening.shape == "point":
        return "a point"
    sizes = f"{opening.length_m:.4g} m along the plane of 0, {opening.width_m:.4g} m across"
    return f"{opening.shape}, {sizes}" + (f", {opening.height_m:.4g} m high" if opening.height_m else "")


def far_field_file(
    results: Evaluation, *, issue_date: str, lumens_per_umol: float | None = None, edition: int = 2019
) -> FarFieldFile:
    """Return the fixture's own far field as a photometric file: candela through the boards' spectra.

    Parameters
    ----------
    results : from ``evaluate``: the boards as they settled, turned and tilted as they hang
    issue_date : the file's date as text
    lumens_per_umol : lm for one umol/s of every board, above 0; None: by the spectrum that each board model names
    edition : 2002 or 2019

    Raises
    ------
    FileProblem: no light, or a board model without a spectrum and no ``lumens_per_umol``
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Farther than five times the fixture's size; boards do not shade each other. Angles are so fine that the file's flux
    is that of the boards within 0.1 % where steps of 0.5 deg from the axis reach that.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.evaluation.evaluate import evaluate
    >>> far_field_file(evaluate(seedling_bench()), issue_date="2001-01-31").text.splitlines()[0]
    'IES:LM-63-2019'
    """
    sources = hung_sources(results)
    flux = np.array([source.photon_flux_umol_s for source in sources])
    if not flux.any():
        raise FileProblem("there is no light to write: no board is lit")
    factors = np.array([_lumens_per_umol(results.fixture, tag, lumens_per_umol) for tag in results.boards.model])
    corners = np.concatenate([source.corners() for source in sources])
    size = corners.max(axis=0) - corners.min(axis=0)
    for theta_step, phi_step in STEPS_DEG:
        text = write_lm63(
            sources,
            lm_per_umol_s=factors,
            issue_date=issue_date,
            edition=edition,
            keywords=_keywords(results),
            length_m=float(size[0]),
            width_m=float(size[1]),
            height_m=float(size[2]),
            power_w=round(results.operating.mains_power_w, 2),
            theta_step_deg=theta_step,
            phi_step_deg=phi_step,
        )
        photometry = parse_lm63(text, name="the far field")
        error = photometry.luminous_flux_lm / float(flux @ factors) - 1.0
        if abs(error) <= MOST_FLUX_ERROR_FRACTION:
            break
    used = tuple(np.unique(factors).tolist())
    return FarFieldFile(text=text, photometry=photometry, lumens_per_umol=used, flux_error_fraction=float(error))


def _lumens_per_umol(fixture: Fixture, model_tag: str, given: float | None) -> float:
    if given is not None:
        return given
    model = next(model for model in fixture.boards if model.tag == model_tag)
    if model.spectrum is None:
        raise FileProblem(
            f"the lumens in a umol of the board model {model_tag!r} are unknown, for it names no spectrum: fill in the "
            "Spectra sheet and name the spectrum on the Boards sheet, or give the number (--lumens-per-umol)"
        )
    return float(lux_from_ppfd(1.0, spectrum_of(model.spectrum, fixture.spectra)))


def _keywords(results: Evaluation) -> dict[str, str]:
    operating, count = results.operating, len(results.boards.tag)
    conditions = (
        f"{count} board{'s' if count > 1 else ''}, driver at {operating.current_a:.3g} A, {operating.voltage_v:.3g} V; "
        f"settled in air of {operating.air_temperature_c:.3g} degC; {results.light.photon_flux_umol_s:.4g} umol/s; "
        "plane 0 along x, counter-clockwise seen from above"
    )
    return {"LUMINAIRE": _ascii(results.fixture.name), "OTHER": conditions}


def _ascii(text: str) -> str:
    """Return a text in the plain letters that such a file may hold."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return " ".join("".join(letter if letter.isprintable() else " " for letter in plain).split()) or "not stated"
