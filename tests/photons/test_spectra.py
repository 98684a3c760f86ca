"""Spectra: what does not depend on scale, mixes between their parts, and what is refused."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.photons import (
    Spectrum,
    check_efficacy_claim,
    led_spectrum,
    light_notes,
    lux_from_ppfd,
    mix_spectra,
    photon_flux_from_lumens,
    photopic_efficiency,
    ppfd_from_lux,
    spectrum_figures,
    spectrum_of_leds,
)
from ledcalc.photons.figure_labels import FIGURE_LABELS

EVEN = {"wavelength_nm": [380.0, 550.0, 810.0], "radiant_w_per_nm": [1.0, 1.0, 1.0]}
SHARES = ["blue_per_ppf_fraction", "green_per_ppf_fraction", "red_per_ppf_fraction", "far_red_to_800_per_ppf_fraction"]


@st.composite
def tables(draw):
    """Tables over 350 to 850 nm at uneven steps, with light in them."""
    inner = draw(st.lists(st.integers(351, 849), min_size=1, max_size=25, unique=True))
    nm = np.array([350, *sorted(inner), 850], dtype=float)
    values = draw(st.lists(st.floats(1e-3, 10), min_size=nm.size, max_size=nm.size))
    return Spectrum(wavelength_nm=nm, radiant_w_per_nm=values)


def numbers_of(figures):
    return np.array([figure.value for figure in figures.labelled()])


@settings(max_examples=40, deadline=None)
@given(tables(), st.floats(1e-6, 1e6))
def test_ratios_do_not_depend_on_the_scale_and_fluxes_carry_it(spectrum, factor):
    scaled = spectrum.scaled(factor)
    assert numbers_of(spectrum_figures(scaled)) == pytest.approx(numbers_of(spectrum_figures(spectrum)), rel=1e-10)
    for name in ("radiant_flux_w", "photon_flux_umol_s", "luminous_flux_lm"):
        assert getattr(scaled, name)() == pytest.approx(factor * getattr(spectrum, name)(), rel=1e-10)


@settings(max_examples=40, deadline=None)
@given(tables())
def test_shares_part_the_whole_and_figures_stay_in_their_bounds(spectrum):
    figures = spectrum_figures(spectrum)
    assert sum(getattr(figures, name) for name in SHARES[:3]) == pytest.approx(1.0, rel=1e-12)
    assert figures.ppf_umol_per_j < 5.8516
    assert figures.ppf_umol_per_j <= figures.epar_umol_per_j < 6.2696
    assert figures.ppf_per_epar_fraction == pytest.approx(1 / (1 + figures.far_red_to_750_per_ppf_fraction), rel=1e-9)
    assert figures.far_red_to_750_per_ppf_fraction < figures.far_red_to_800_per_ppf_fraction
    assert 0 < figures.luminous_lm_per_w < 683
    broad = figures.red_per_ppf_fraction / figures.far_red_to_800_per_ppf_fraction
    assert figures.red_to_far_red_broad == pytest.approx(broad, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(tables(), st.lists(st.floats(350.1, 849.9), min_size=1, max_size=6, unique=True))
def test_points_put_in_on_the_lines_change_nothing(spectrum, more):
    nm = np.union1d(spectrum.wavelength_nm, more)
    denser = Spectrum(wavelength_nm=nm, radiant_w_per_nm=spectrum.radiant(nm))
    assert numbers_of(spectrum_figures(denser)) == pytest.approx(numbers_of(spectrum_figures(spectrum)), rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(tables(), tables(), st.floats(0.05, 0.95), st.sampled_from(["radiant", "photon", "ppf"]))
def test_a_mix_lies_between_its_parts(one, other, share, basis):
    mix = mix_spectra([one, other], [share, 1 - share], basis=basis)
    parts = np.array([numbers_of(spectrum_figures(part)) for part in (one, other)])
    got = numbers_of(spectrum_figures(mix))
    low, high = parts.min(axis=0), parts.max(axis=0)
    assert (got >= low * (1 - 1e-9)).all()
    assert (got <= high * (1 + 1e-9)).all()


@settings(max_examples=40, deadline=None)
@given(tables(), tables(), st.floats(0.0, 50.0), st.floats(0.1, 50.0))
def test_a_mix_holds_what_its_channels_give(one, other, first, second):
    mix = mix_spectra([one, other], [first, second])
    scale = [first / one.radiant_flux_w(), second / other.radiant_flux_w()]
    for band in ((400.0, 500.0), (655.0, 665.0), (700.0, 800.0)):
        expected = sum(k * part.photon_flux_umol_s(*band) for k, part in zip(scale, (one, other), strict=True))
        assert mix.photon_flux_umol_s(*band) == pytest.approx(expected, rel=1e-9, abs=1e-12)
    assert mix.radiant_flux_w() == pytest.approx(first + second, rel=1e-9)


def test_by_ppf_shares_of_a_mix_are_those_of_its_parts_by_weight():
    """Blue shares weigh by PPF: 0.3 x 1 + 0.7 x 0."""
    mix = spectrum_of_leds([440.0, 640.0], [10.0, 10.0], [0.3, 0.7], basis="ppf")
    figures = spectrum_figures(mix)
    assert figures.blue_per_ppf_fraction == pytest.approx(0.3, abs=1e-9)
    assert figures.red_per_ppf_fraction == pytest.approx(0.7, rel=1e-4)


def test_bases_of_a_mix():
    """A watt at 660 nm holds 660/440 times the photons of a watt at 440 nm."""
    by_power = spectrum_figures(spectrum_of_leds([440.0, 660.0], 4.0, [1.0, 1.0]))
    by_photons = spectrum_figures(spectrum_of_leds([440.0, 660.0], 4.0, [1.0, 1.0], basis="photon"))
    assert by_power.blue_per_ppf_fraction == pytest.approx(440 / 1100, rel=1e-4)
    assert by_photons.blue_per_ppf_fraction == pytest.approx(0.5, rel=1e-4)


def test_a_channel_is_dark_beyond_its_table():
    short = Spectrum(wavelength_nm=[400, 700], radiant_w_per_nm=[1.0, 1.0])
    mix = mix_spectra([short, led_spectrum(730.0, 20.0)], [300.0, 30.0])
    assert mix.radiant_flux_w(400, 700) == pytest.approx(300.0 + 30 * led_spectrum(730, 20).radiant_flux_w(400, 700))
    assert mix.radiant(390.0) == 0.0
    assert mix.radiant_flux_w() == pytest.approx(330.0, rel=1e-6)


@pytest.mark.parametrize("shape", ["gaussian", "ohno"])
def test_shape_has_its_peak_width_and_flux(shape):
    led = led_spectrum(660.0, 20.0, shape=shape, radiant_w=2.5)
    peak = led.radiant(660.0)
    assert led.radiant([650.0, 670.0]) == pytest.approx([peak / 2, peak / 2], rel=1e-9)
    assert led.radiant_flux_w() == pytest.approx(2.5, rel=1e-12)
    assert led.wavelength_nm[led.radiant_w_per_nm.argmax()] == 660.0


def test_ohno_has_wider_feet_than_a_gaussian():
    gaussian, ohno = (led_spectrum(660.0, 20.0, shape=shape) for shape in ("gaussian", "ohno"))
    assert ohno.radiant(630.0) / ohno.radiant(660.0) > 2 * gaussian.radiant(630.0) / gaussian.radiant(660.0)
    assert spectrum_figures(ohno).ppf_umol_per_j == pytest.approx(spectrum_figures(gaussian).ppf_umol_per_j, rel=5e-3)


def test_photon_basis_counts_photons():
    """Equal photons at every wavelength: shares are those of the widths."""
    spectrum = Spectrum.from_table([400, 800], [3.0, 3.0], basis="photon")
    assert spectrum.photon_flux_umol_s(400, 700) == pytest.approx(900.0, rel=1e-6)
    assert spectrum_figures(spectrum).blue_per_ppf_fraction == pytest.approx(1 / 3, rel=1e-6)
    assert spectrum_figures(spectrum).red_to_far_red_broad == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize(
    "text",
    [
        "wavelength_nm,value\n400,1\n550,2\n700,1\n",
        "\N{ZERO WIDTH NO-BREAK SPACE}400;1\n550;2\n\n700;1",
        "# read off a curve\n400\t1\n550\t2\n700\t1\n",
        "nm  W\n400 1\n  550   2\n700 1.0\n",
    ],
)
def test_csv_text(text):
    spectrum = Spectrum.from_csv_text(text, name="curve")
    assert spectrum.wavelength_nm.tolist() == [400.0, 550.0, 700.0]
    assert spectrum.radiant_w_per_nm.tolist() == [1.0, 2.0, 1.0]
    assert spectrum.name == "curve"


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "empty"),
        ("nm,W\n", "empty"),
        ("400,1\n550,x\n700,1\n", "line 2 of the spectrum is '550,x'"),
        ("nm,W\nnm,W\n400,1\n", "line 2"),
        ("400,1\n550,1,3\n700,1\n", "line 2"),
        ("400;1\n550;0,5\n700;1\n", "decimal points"),
        ("400,1\n550,nan\n700,1\n", "finite"),
    ],
)
def test_csv_text_that_is_no_spectrum(text, part):
    with pytest.raises(ArgumentError, match=part):
        Spectrum.from_csv_text(text)


@pytest.mark.parametrize(
    ("nm", "values", "part"),
    [
        ([], [], "this spectrum is empty"),
        ([400, 550, 700], [1, 1], "one value a wavelength"),
        ([[400, 700]], [[1, 1]], "one-dimensional"),
        ([400, 550, 540, 700], [1, 1, 1, 1], "540.0; allowed: rising, each once; point 3 follows 550"),
        ([400, 550, 550, 700], [1, 1, 1, 1], "point 3 stands twice"),
        ([700, 550, 400], [1, 1, 1], "point 2 follows 700"),
        ([400, 550, 700], [1, -0.1, 1], "-0.1; allowed: at least 0; at 550 nm"),
        ([401, 700], [1, 1], "401 to 700"),
        ([400, 699], [1, 1], "add rows of 0"),
        ([550], [1], "550 to 550"),
        ([400, 700], [0, 0], "every value is 0"),
        ([0.4, 0.7], [1, 1], "0.4; allowed: a finite number, at least 100"),
        ([400, 700], [1, np.inf], "finite"),
    ],
)
@pytest.mark.parametrize("basis", ["radiant", "photon"])
def test_bad_tables_are_named(nm, values, part, basis):
    with pytest.raises(ArgumentError, match=part):
        Spectrum.from_table(nm, values, basis=basis)


def test_a_spectrum_made_directly_is_checked_and_kept_from_change():
    with pytest.raises(ArgumentError, match="stands twice"):
        Spectrum(wavelength_nm=[400, 400, 700], radiant_w_per_nm=[1, 1, 1])
    given_nm = np.array([400.0, 700.0])
    spectrum = Spectrum(wavelength_nm=given_nm, radiant_w_per_nm=[1.0, 1.0])
    given_nm[0] = 500.0
    assert spectrum.wavelength_nm[0] == 400.0
    with pytest.raises(ValueError, match="read-only"):
        spectrum.radiant_w_per_nm[0] = 5.0


@pytest.mark.parametrize(
    ("call", "part"),
    [
        (lambda: Spectrum.from_table([400, 700], [1, 1], basis="energy"), "'radiant' or 'photon'"),
        (lambda: led_spectrum(300.0, 20.0), "at least 350"),
        (lambda: led_spectrum(450.0, 1.0), "at least 2"),
        (lambda: led_spectrum(450.0, 20.0, shape="lorentz"), "'gaussian' or 'ohno'"),
        (lambda: led_spectrum(450.0, 20.0, radiant_w=0.0), "radiant_w"),
        (lambda: mix_spectra([], []), "at least one"),
        (lambda: mix_spectra([led_spectrum(450.0, 20.0)], [1.0, 2.0]), "one a channel"),
        (lambda: mix_spectra([led_spectrum(450.0, 20.0)], [0.0]), "at least one above 0"),
        (lambda: mix_spectra([led_spectrum(450.0, 20.0)], [-1.0]), "at least 0"),
        (lambda: mix_spectra([led_spectrum(450.0, 20.0)], [1.0], basis="lumen"), "ppf"),
        (lambda: mix_spectra([led_spectrum(850.0, 2.0, name="IR")], [1.0], basis="ppf"), "IR has no PPF"),
        (lambda: spectrum_of_leds([450.0, 660.0], [20.0, 20.0, 20.0], [1.0, 1.0]), "one a peak"),
        (lambda: check_efficacy_claim(0.0), "above 0"),
        (lambda: check_efficacy_claim(3.0, band="uv"), "'par' or 'epar'"),
        (lambda: ppfd_from_lux(-1.0, Spectrum(**EVEN)), "lux"),
        (lambda: ppfd_from_lux(1.0, led_spectrum(850.0, 2.0)), "PPF of the spectrum"),
    ],
)
def test_what_is_refused(call, part):
    with pytest.raises(ArgumentError, match=part):
        call()


def test_a_table_cut_short_leaves_figures_unknown_and_says_so():
    figures = spectrum_figures(Spectrum(wavelength_nm=[400, 740], radiant_w_per_nm=[1, 1]))
    for name in ("epar_umol_per_j", "far_red_to_750_per_ppf_fraction", "red_to_far_red_broad", "ppf_per_epar_fraction"):
        assert np.isnan(getattr(figures, name)), name
    assert np.isnan(figures.ultraviolet_per_ppf_fraction)
    assert figures.red_to_far_red_narrow == pytest.approx(660 / 730)
    assert len(figures.notes) == 2
    assert "740 nm" in figures.notes[0]
    assert spectrum_figures(Spectrum(**EVEN)).notes == ()
    with pytest.raises(ArgumentError, match="at least 750"):
        check_efficacy_claim(3.0, Spectrum(wavelength_nm=[400, 740], radiant_w_per_nm=[1, 1]), band="epar")


def test_every_figure_has_its_label_unit_and_definition():
    figures = spectrum_figures(Spectrum(**EVEN))
    fields = [name for name in type(figures).__dataclass_fields__ if name not in {"name", "notes"}]
    assert list(FIGURE_LABELS) == fields
    for figure in figures.labelled():
        assert figure.value == getattr(figures, figure.name)
        assert figure.label
        assert figure.unit
        assert "nm" in figure.label + figure.definition or "whole table" in figure.definition or "lx" in figure.unit


def test_lux_and_ppfd_go_back_and_forth_at_any_shape():
    light = Spectrum(**EVEN)
    ppfd = np.array([[100.0, 200.0], [0.0, 800.0]])
    lux = lux_from_ppfd(ppfd, light)
    assert ppfd_from_lux(lux, light) == pytest.approx(ppfd)
    assert lux[0, 1] == lux_from_ppfd(200.0, light)
    # Lumens over umol/s are lux over umol m-2 s-1.
    assert photon_flux_from_lumens(1000.0, light) == pytest.approx(ppfd_from_lux(1000.0, light))


def test_v_lambda_between_and_beyond_its_steps():
    assert photopic_efficiency([359.0, 831.0]).tolist() == [0.0, 0.0]
    middle = (photopic_efficiency(600.0) + photopic_efficiency(601.0)) / 2
    assert photopic_efficiency(600.5) == pytest.approx(middle, rel=1e-12)
    assert isinstance(photopic_efficiency(555.0), float)


def test_claims_at_just_about_the_ceiling():
    light = led_spectrum(660.0, 20.0)
    ceiling = spectrum_figures(light).ppf_umol_per_j
    assert not check_efficacy_claim(ceiling, light).impossible
    assert not check_efficacy_claim(1.0009 * ceiling, light).impossible
    beyond = check_efficacy_claim(1.0011 * ceiling, light)
    assert beyond.impossible
    assert "impossible here" in beyond.text
    assert "at most" in check_efficacy_claim(3.0, light).text
    assert "any light" in check_efficacy_claim(7.0).text


def test_a_light_without_par_cannot_have_any_efficacy_there():
    dark = Spectrum(wavelength_nm=[400, 700, 800, 900], radiant_w_per_nm=[0, 0, 1, 0])
    claim = check_efficacy_claim(0.1, dark)
    assert claim.impossible
    assert claim.needed_fraction == np.inf
    assert np.isnan(spectrum_figures(dark).blue_per_ppf_fraction)


def test_ultraviolet_is_noted_with_its_share():
    ultraviolet = spectrum_of_leds([385.0, 660.0], 12.0, [0.02, 0.98])
    codes = {note.code: note for note in light_notes(spectrum=ultraviolet)}
    # 385 nm of 12 nm width lies below 400 nm but for 0.2 %.
    assert codes["ultraviolet"].value == pytest.approx(0.02, rel=0.005)
    assert "ultraviolet" not in {note.code for note in light_notes(spectrum=led_spectrum(450.0, 20.0))}
