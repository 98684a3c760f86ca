"""Writes a beam or a whole fixture as a photometric file of the LM-63 form (2002 or 2019)."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.beams import Beam
from ledcalc.photons.far_field import (
    Emitter,
    far_field_intensity,
    grid_angles,
    several_emitters,
    smallest_planes,
    spreads_of,
    without_dark_half,
)
from ledcalc.version import __version__

__all__ = ["write_lm63"]

FIRST_LINES = {2002: "IESNA:LM-63-2002", 2019: "IES:LM-63-2019"}
# In 2019 this number says how the file came about; 1.00010: worked out by a computer (from memory of the standard).
SECOND_FACTORS = {2002: "1", 2019: "1.00010"}
REQUIRED = {
    "TEST": f"none: calculated by ledcalc {__version__}, not measured",
    "TESTLAB": "none: calculated, not measured",
    "MANUFAC": "not stated",
}
LONGEST_LINE_COUNT = 80
DIGITS = 7


def write_lm63(
    light: Beam | Emitter | Iterable[Emitter],
    *,
    lm_per_umol_s: ArrayLike,
    issue_date: str,
    photon_flux_umol_s: float | None = None,
    beams: Sequence[Beam | None] | None = None,
    edition: int = 2019,
    keywords: Mapping[str, str] | None = None,
    length_m: float = 0.0,
    width_m: float = 0.0,
    height_m: float = 0.0,
    power_w: float = 0.0,
    theta_step_deg: float = 2.5,
    phi_step_deg: float = 10.0,
) -> str:
    """Return the text of a photometric file: absolute photometry, type C, metres, lines ended by CR LF.

    Parameters
    ----------
    light : a beam, or the sources of a fixture (``LightSource``), whose far fields are added up
    lm_per_umol_s : lm for one umol/s, above 0: follows from the spectrum alone; one number, or one a source
    issue_date : the file's date as text
    photon_flux_umol_s : umol/s, above 0: of a beam; None for sources, which have their own
    beams : a beam for each source, as ``far_field_intensity``
    edition : 2002 or 2019
    keywords : further keywords or other texts for TEST, TESTLAB and MANUFAC, by name without brackets, in ASCII
    length_m, width_m, height_m : m, at least 0: luminous opening along x, along y and upright; all 0: a point
    power_w : W, at least 0, as it is to stand in the file
    theta_step_deg, phi_step_deg : deg, steps that go into 90 evenly; a tabulated beam keeps its own angles

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, no light, or a keyword that cannot stand in such a file

    References
    ----------
    ANSI/IES LM-63-2002 and LM-63-2019: structure as publicly described; first line of 2019 from memory.

    Examples
    --------
    >>> text = write_lm63(Beam.lambertian(), lm_per_umol_s=60.0, photon_flux_umol_s=100.0, issue_date="2024-01-31")
    >>> text.splitlines()[0]
    'IES:LM-63-2019'
    """
    if edition not in FIRST_LINES:
        raise ArgumentError("edition", edition, "2002 or 2019")
    factors = numbers("lm_per_umol_s", lm_per_umol_s, above=0)
    if isinstance(light, Beam):
        if photon_flux_umol_s is None:
            raise ArgumentError("photon_flux_umol_s", None, "a number above 0 with a beam")
        flux = float(numbers("photon_flux_umol_s", photon_flux_umol_s, above=0))
        if factors.ndim:
            raise ArgumentError("lm_per_umol_s", factors.tolist(), "one number with a beam")
        theta, phi, candela = _of_a_beam(light, flux * float(factors), theta_step_deg, phi_step_deg)
    else:
        if photon_flux_umol_s is not None:
            raise ArgumentError("photon_flux_umol_s", photon_flux_umol_s, "None with sources: they have their own")
        theta, phi, candela = _of_sources(several_emitters(light), beams, factors, theta_step_deg, phi_step_deg)
    sizes = numbers("length_m, width_m, height_m", [width_m, length_m, height_m], at_least=0)
    watts = float(numbers("power_w", power_w, at_least=0))
    lamp = ["1", "-1", "1", str(theta.size), str(phi.size), "1", "2", *(_plain(size) for size in sizes)]
    lines = [FIRST_LINES[edition], *_keyword_lines(issue_date, keywords or {}), "TILT=NONE", " ".join(lamp)]
    lines.append(f"1 {SECOND_FACTORS[edition]} {_plain(watts)}")
    for row in (theta, phi, *np.where(candela < 1e-9 * candela.max(), 0.0, candela)):
        lines += textwrap.wrap(" ".join(_plain(value) for value in row), LONGEST_LINE_COUNT)
    return "\r\n".join(lines) + "\r\n"


def _of_a_beam(
    beam: Beam, flux: float, theta_step: float, phi_step: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    table = beam.table
    if table is not None and table.theta_deg[0] in (0.0, 90.0) and table.theta_deg[-1] in (90.0, 180.0):
        theta, phi = table.theta_deg, table.phi_deg
        return theta, phi, flux * np.asarray(beam.intensity(np.deg2rad(theta), np.deg2rad(phi)[:, None]))
    theta, phi = grid_angles(theta_step, phi_step)
    values = flux * np.asarray(beam.intensity(np.deg2rad(theta), np.deg2rad(phi)[:, None]))
    theta, values = without_dark_half(theta, values)
    return theta, *smallest_planes(phi, values)


def _of_sources(
    sources: list[Emitter],
    beams: Sequence[Beam | None] | None,
    factors: FloatArray,
    theta_step: float,
    phi_step: float,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    theta, phi = grid_angles(theta_step, phi_step)
    angles = np.deg2rad(theta), np.deg2rad(phi)[:, None]
    if factors.shape not in ((), (len(sources),)):
        raise ArgumentError("lm_per_umol_s", factors.tolist(), f"one number, or one a source: {len(sources)}")
    own, spreads = np.broadcast_to(factors, len(sources)), spreads_of(sources, beams)
    values = np.zeros((phi.size, theta.size))
    # Sources of one spectrum are added up together.
    for factor in np.unique(own):
        alike = np.flatnonzero(own == factor).tolist()
        some, theirs = [sources[n] for n in alike], [spreads[n] for n in alike]
        values += factor * np.asarray(far_field_intensity(some, *angles, beams=theirs))
    if not values.any():
        raise ArgumentError("light", 0.0, "sources with a photon flux above 0")
    theta, values = without_dark_half(theta, values)
    return theta, *smallest_planes(phi, values)


def _keyword_lines(issue_date: str, keywords: Mapping[str, str]) -> list[str]:
    texts = {"TEST": REQUIRED["TEST"], "TESTLAB": REQUIRED["TESTLAB"], "ISSUEDATE": issue_date}
    texts["MANUFAC"] = REQUIRED["MANUFAC"]
    texts |= {name.strip("[]").upper(): text for name, text in keywords.items()}
    lines = []
    for name, text in texts.items():
        if not (name.isascii() and name.replace("_", "").isalnum()) or name == "MORE":
            raise ArgumentError(
                "keywords", name, "names of letters, digits and _; MORE is written where a text is long"
            )
        if not text.isascii() or not text.isprintable():
            raise ArgumentError("keywords", text, f"one line of ASCII text for {name}")
        parts = textwrap.wrap(text, LONGEST_LINE_COUNT - len(name) - 10) or [""]
        lines += [f"[{name}] {parts[0]}".rstrip(), *(f"[MORE] {part}" for part in parts[1:])]
    return lines


def _plain(value: float) -> str:
    """Return a number without an exponent, which not every reader of such files takes."""
    return np.format_float_positional(value, precision=DIGITS, unique=False, fractional=False, trim="-")
