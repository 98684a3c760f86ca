"""What a spectrum says: photons a joule and their ceiling, lux a PPFD, shares of bands."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, choice, numbers
from ledcalc.photons.figure_labels import FIGURE_LABELS
from ledcalc.photons.spectrum import Spectrum
from ledcalc.ppfd.dose import photons_per_joule
from ledcalc.tables import table

__all__ = [
    "EfficacyClaim",
    "LabelledFigure",
    "SpectrumFigures",
    "check_efficacy_claim",
    "lux_from_ppfd",
    "photon_flux_from_lumens",
    "ppfd_from_lux",
    "spectrum_figures",
]

# How far beyond the ceiling a claim must be, so that rounding alone does not condemn it.
ROUNDING_FRACTION = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelledFigure:
    """One figure with what is needed to read it."""

    name: str
    label: str
    value: float
    unit: str
    definition: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpectrumFigures:
    """Figures of one spectrum; NaN where its table does not reach. ``labelled`` gives each with unit and definition.

    A ``_per_ppf_fraction`` counts photons of its band for each photon of 400-700 nm, so far red and ultraviolet come on
    top of 1. ``notes`` say what the table leaves unknown.
    """

    name: str
    ppf_umol_per_j: float
    epar_umol_per_j: float
    ppf_per_epar_fraction: float
    lux_per_umol_m2_s: float
    luminous_lm_per_w: float
    blue_per_ppf_fraction: float
    green_per_ppf_fraction: float
    red_per_ppf_fraction: float
    far_red_to_750_per_ppf_fraction: float
    far_red_to_800_per_ppf_fraction: float
    ultraviolet_per_ppf_fraction: float
    red_to_far_red_narrow: float
    red_to_far_red_broad: float
    notes: tuple[str, ...]

    def labelled(self) -> tuple[LabelledFigure, ...]:
        """Return every figure with its label, unit and definition, in order."""
        return tuple(
            LabelledFigure(name=name, label=label, value=getattr(self, name), unit=unit, definition=definition)
            for name, (label, unit, definition) in FIGURE_LABELS.items()
        )


def spectrum_figures(spectrum: Spectrum) -> SpectrumFigures:
    """Return what a spectrum says, each figure by its stated bands.

    Parameters
    ----------
    spectrum : on any scale

    Returns
    -------
    SpectrumFigures

    Validity
    --------
    A joule is one of radiant power over the whole table, so a table cut short of the light makes photons a joule too
    high. Lux counts the whole visible range as far as the table goes; of ultraviolet, what the table covers.

    References
    ----------
    Bands: table ``photon_bands``. V(lambda): table ``cie_v_lambda``.

    Examples
    --------
    >>> from ledcalc.photons.spectrum_shapes import led_spectrum
    >>> figures = spectrum_figures(led_spectrum(660.0, 20.0))
    >>> round(figures.ppf_umol_per_j, 2), round(figures.lux_per_umol_m2_s, 1)
    (5.52, 8.3)
    """
    watts, lumens = spectrum.radiant_flux_w(), spectrum.luminous_flux_lm()
    ppf, epar = _photons(spectrum, "par"), _photons(spectrum, "epar")
    starts_at = float(spectrum.wavelength_nm[0])
    ultraviolet = spectrum.photon_flux_umol_s(*_band("ultraviolet")) if starts_at < 400.0 else float("nan")
    return SpectrumFigures(
        name=spectrum.name,
        ppf_umol_per_j=ppf / watts,
        epar_umol_per_j=epar / watts,
        ppf_per_epar_fraction=_ratio(ppf, epar),
        lux_per_umol_m2_s=_ratio(lumens, ppf),
        luminous_lm_per_w=lumens / watts,
        blue_per_ppf_fraction=_ratio(_photons(spectrum, "blue"), ppf),
        green_per_ppf_fraction=_ratio(_photons(spectrum, "green"), ppf),
        red_per_ppf_fraction=_ratio(_photons(spectrum, "red"), ppf),
        far_red_to_750_per_ppf_fraction=_ratio(_photons(spectrum, "far_red_to_750"), ppf),
        far_red_to_800_per_ppf_fraction=_ratio(_photons(spectrum, "far_red_to_800"), ppf),
        ultraviolet_per_ppf_fraction=_ratio(ultraviolet, ppf),
        red_to_far_red_narrow=_ratio(_photons(spectrum, "narrow_red"), _photons(spectrum, "narrow_far_red")),
        red_to_far_red_broad=_ratio(_photons(spectrum, "red"), _photons(spectrum, "far_red_to_800")),
        notes=_notes(spectrum),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EfficacyClaim:
    """A claimed photon efficacy against what light of the spectrum can give; ``text`` says it in words.

    ``needed_fraction`` is the share of the electricity that would have to become this light; above 1: impossible.
    """

    claimed_umol_per_j: float
    ceiling_umol_per_j: float
    needed_fraction: float
    impossible: bool
    basis: str
    text: str


def check_efficacy_claim(
    claimed_umol_per_j: float, spectrum: Spectrum | None = None, *, band: str = "par"
) -> EfficacyClaim:
    """Say whether a claimed photon efficacy is beyond what physics allows for the light's spectrum.

    Parameters
    ----------
    claimed_umol_per_j : umol/J, above 0: photons of the band over electrical power
    spectrum : None: for any light at all, the ceiling is that of the band's longest wavelength
    band : ``par`` (400 to 700 nm) or ``epar`` (400 to 750 nm): which photons the claim counts

    Returns
    -------
    EfficacyClaim

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, an unknown band, or a table that ends within the band

    Validity
    --------
    A ceiling of energy conservation: electricity in, light of this spectrum out, nothing lost. Real fixtures reach a
    part of it. Beyond means by more than 0.1 %, so that a rounded figure passes.

    References
    ----------
    Photon energy h c / lambda.

    Examples
    --------
    >>> from ledcalc.photons.spectrum_shapes import led_spectrum
    >>> check_efficacy_claim(5.8, led_spectrum(660.0, 20.0)).text
    '5.8 umol/J is impossible here: with nothing lost this light gives 5.52 umol/J (photons of 400-700 nm)'
    """
    claimed = float(numbers("claimed_umol_per_j", claimed_umol_per_j, above=0))
    low, high = _band(choice("band", band, ("par", "epar")))
    if spectrum is None:
        ceiling, light = float(photons_per_joule(high)), "any light"
    else:
        numbers("end of the spectrum's table in nm", spectrum.wavelength_nm[-1], at_least=high)
        ceiling, light = spectrum.photon_flux_umol_s(low, high) / spectrum.radiant_flux_w(), "this light"
    basis = f"photons of {low:g}-{high:g} nm"
    impossible = claimed > ceiling * (1.0 + ROUNDING_FRACTION)
    needed = claimed / ceiling if ceiling > 0 else float("inf")
    if impossible:
        text = f"{claimed:g} umol/J is impossible here: with nothing lost {light} gives {ceiling:.2f} umol/J ({basis})"
    else:
        text = f"{claimed:g} umol/J is {needed:.0%} of the {ceiling:.2f} umol/J that {light} gives at most ({basis})"
    return EfficacyClaim(
        claimed_umol_per_j=claimed,
        ceiling_umol_per_j=ceiling,
        needed_fraction=needed,
        impossible=impossible,
        basis=basis,
        text=text,
    )


def ppfd_from_lux(lux: ArrayLike, spectrum: Spectrum) -> Numbers:
    """Return the PPFD (400-700 nm) that a light of the spectrum gives with an illuminance.

    Parameters
    ----------
    lux : lx, at least 0, any shape
    spectrum : with light in 400 to 700 nm

    Returns
    -------
    umol m-2 s-1, in the shape of ``lux``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or a spectrum that the eye does not see

    Validity
    --------
    A meter whose response is V(lambda). Cheap ones stray by tens of per cent in blue and red light (common practice,
    no source).

    Examples
    --------
    >>> round(ppfd_from_lux(10_000.0, Spectrum(wavelength_nm=[400, 700], radiant_w_per_nm=[1, 1])), 1)
    189.1
    """
    return answer(numbers("lux", lux, at_least=0) / _visible_ratio(spectrum))


def lux_from_ppfd(ppfd: ArrayLike, spectrum: Spectrum) -> Numbers:
    """Return the illuminance in lx that a light of the spectrum gives with a PPFD (umol m-2 s-1, at least 0).

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or a spectrum without PPF or that the eye does not see

    Examples
    --------
    >>> round(lux_from_ppfd(189.1, Spectrum(wavelength_nm=[400, 700], radiant_w_per_nm=[1, 1])), -1)
    10000.0
    """
    return answer(numbers("ppfd", ppfd, at_least=0) * _visible_ratio(spectrum))


def photon_flux_from_lumens(luminous_flux_lm: ArrayLike, spectrum: Spectrum) -> Numbers:
    """Return the PPF in umol/s (400-700 nm) of a light of the spectrum whose luminous flux (lm, at least 0) is known.

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or a spectrum without PPF or that the eye does not see

    Examples
    --------
    >>> round(photon_flux_from_lumens(1000.0, Spectrum(wavelength_nm=[400, 700], radiant_w_per_nm=[1, 1])), 2)
    18.91
    """
    return answer(numbers("luminous_flux_lm", luminous_flux_lm, at_least=0) / _visible_ratio(spectrum))


def _visible_ratio(spectrum: Spectrum) -> float:
    lumens, ppf = spectrum.luminous_flux_lm(), _photons(spectrum, "par")
    numbers("PPF of the spectrum", ppf, above=0)
    numbers("luminous flux of the spectrum", lumens, above=0)
    return lumens / ppf


@cache
def _bands() -> dict[str, tuple[float, float]]:
    return {row["band"]: (float(row["low_nm"]), float(row["high_nm"])) for row in table("photon_bands")}


def _band(name: str) -> tuple[float, float]:
    return _bands()[name]


def _photons(spectrum: Spectrum, band: str) -> float:
    low, high = _band(band)
    return spectrum.photon_flux_umol_s(low, high) if spectrum.covers(low, high) else float("nan")


def _ratio(upper: float, lower: float) -> float:
    return upper / lower if lower > 0 else float("nan")


def _notes(spectrum: Spectrum) -> tuple[str, ...]:
    first, last = float(spectrum.wavelength_nm[0]), float(spectrum.wavelength_nm[-1])
    notes = []
    if last < 800.0:
        notes.append(f"the table ends at {last:g} nm: far red beyond it is unknown and missing from the radiant power")
    if first >= 400.0:
        notes.append(f"the table begins at {first:g} nm: ultraviolet is unknown and missing from the radiant power")
    return tuple(notes)
