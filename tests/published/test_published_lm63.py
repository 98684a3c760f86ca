"""Photometric files against the structure of ANSI/IES LM-63-2002 and LM-63-2019 as publicly described.

Every luminaire in here is invented. Structure: first line, keywords, TILT, a line of ten numbers, a line of three,
vertical angles, horizontal angles, then candela values, a group of them for each horizontal angle. From memory: the
first line of 2019, the meaning of its second number of the ballast line, codes of rounded openings.
"""

import contextlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import ledcalc as lc
from ledcalc.errors import ArgumentError, FileProblem
from ledcalc.photons import Beam, far_field_beam, far_field_intensity, parse_lm63, read_lm63, write_lm63

PLAIN = """IESNA:LM-63-2002
[TEST] invented, no measurement
[TESTLAB] none
[ISSUEDATE] 2001-01-01
[MANUFAC] invented
[OTHER] first part
[MORE] and the rest
TILT=NONE
1 -1 1 4 1 1 2 0.2 0.3 0
1 1 40
0 30 60 90
0
100 86.6 50 0
"""
# PLAIN's lines, from 1: 8 TILT, 9 lamp line, 10 ballast line, 11 vertical, 12 horizontal, 13 candela.
PLANES = {
    "quadrants": ([0, 45, 90], [[100, 90, 50, 0], [100, 70, 40, 0], [100, 60, 20, 0]]),
    "sides": ([0, 90, 180], [[100, 90, 50, 0], [100, 70, 40, 0], [100, 60, 20, 0]]),
    "sides of 90-270": ([90, 180, 270], [[100, 90, 50, 0], [100, 70, 40, 0], [100, 60, 20, 0]]),
    "none": (
        [0, 90, 180, 270, 360],
        [[100, 90, 50, 0], [100, 70, 40, 0], [100, 60, 20, 0], [100, 50, 10, 0], [100, 90, 50, 0]],
    ),
}


def changed(line, text, base=PLAIN):
    lines = base.splitlines()
    lines[line - 1] = text
    return "\n".join(lines) + "\n"


def with_planes(name):
    angles, rows = PLANES[name]
    head = changed(9, f"1 -1 1 4 {len(angles)} 1 2 0.2 0.3 0").splitlines()[:11]
    return "\n".join([*head, " ".join(map(str, angles)), *(" ".join(map(str, row)) for row in rows)])


def test_a_plain_file():
    got = parse_lm63(PLAIN)
    assert (got.edition, got.lamp_count, got.lamp_flux_lm, got.power_w, got.factor) == (2002, 1, None, 40.0, 1.0)
    assert got.vertical_deg.tolist() == [0, 30, 60, 90]
    assert got.intensity_cd.tolist() == [[100, 86.6, 50, 0]]
    assert (got.opening.shape, got.opening.width_m, got.opening.length_m) == ("rectangle", 0.2, 0.3)
    assert got.keyword("[other]") == "first part and the rest"
    assert got.keyword("LAMP") == ""
    assert got.remarks == ()


def test_lambertian_file_has_the_flux_of_its_closed_form():
    """Integral of I0 cos over the half sphere: pi I0, here to 0.1 % and far better; per plane table and by photons."""
    vertical = np.arange(0, 91, 5.0)
    row = " ".join(f"{value:.4f}" for value in 250.0 * np.cos(np.deg2rad(vertical)))
    text = changed(9, "1 -1 2 19 1 1 2 0 0 0").splitlines()[:10]
    got = parse_lm63("\n".join([*text, " ".join(map(str, vertical)), "0", row]))
    assert got.luminous_flux_lm == pytest.approx(500.0 * np.pi, rel=1e-4)
    assert got.photon_flux_umol_s(70.0) == pytest.approx(500.0 * np.pi / 70.0, rel=1e-4)
    assert got.photon_intensity(70.0)[0, 0] == pytest.approx(500.0 / 70.0)
    assert got.beam().intensity(0.0) == pytest.approx(1 / np.pi, rel=1e-4)
    assert got.opening.shape == "point"


@pytest.mark.parametrize("name", PLANES)
def test_each_symmetry_by_its_own_mirrors(name):
    """Angles 0-90 stand for all quadrants, 0-180 for both sides of that plane, 90-270 likewise, 0-360 for none."""
    beam = parse_lm63(with_planes(name)).beam()
    at = {angle: float(beam.intensity(np.deg2rad(60.0), np.deg2rad(angle))) for angle in range(0, 360, 45)}
    scale = {"quadrants": 50, "sides": 50, "sides of 90-270": 40, "none": 50}[name] / at[0]
    want = {
        "quadrants": {0: 50, 45: 40, 90: 20, 135: 40, 180: 50, 225: 40, 270: 20, 315: 40},
        "sides": {0: 50, 90: 40, 180: 20, 270: 40},
        "sides of 90-270": {0: 40, 90: 50, 180: 40, 270: 20},
        "none": {0: 50, 90: 40, 180: 20, 270: 10},
    }[name]
    assert {angle: at[angle] * scale for angle in want} == pytest.approx(want, rel=1e-9)


def test_factors_units_and_relative_photometry():
    text = changed(9, "2 900 3 4 1 1 1 1 2 0.5")
    got = parse_lm63(changed(10, "0.9 1 40", text))
    assert got.intensity_cd[0, 0] == pytest.approx(100 * 3 * 0.9)
    assert got.lamp_flux_lm == 900
    assert (got.opening.width_m, got.opening.length_m, got.opening.height_m) == pytest.approx((0.3048, 0.6096, 0.1524))
    got = parse_lm63(changed(10, "1 0.8 40"))
    assert got.intensity_cd[0, 0] == pytest.approx(80.0)
    assert "line 10" in got.remarks[0]
    # From 2019 on that number says how the file came about.
    got = parse_lm63(changed(1, "IES:LM-63-2019", changed(10, "1 1.10000 40")))
    assert (got.edition, got.intensity_cd[0, 0], got.remarks) == (2019, 100.0, ())


def test_a_last_line_without_end_is_odd_for_its_number_may_be_cut_short():
    assert parse_lm63(PLAIN[:-1]).remarks == (
        "line 13: the last line has no end; if the file was cut short, its last number 0 may be",
    )
    for end in ("\n", "\r", "\r\n", "\n \n", "\r\n\x1a", " \n\t"):
        assert parse_lm63(PLAIN[:-1] + end).remarks == ()
    [remark] = parse_lm63(changed(13, "100 86.6 50 12.5")[:-3]).remarks
    assert "last number 12 may be" in remark


def test_digits_of_other_scripts_are_no_numbers():
    with pytest.raises(FileProblem, match=r"line 13.*no number"):
        parse_lm63(changed(13, "100 86.6 \u0665\u0660 0"))


@pytest.mark.parametrize(
    ("first", "year"),
    [("IESNA91", 1991), ("IESNA:LM-63-1995", 1995), ("iesna:lm-63-2002  ", 2002), ("IES:LM-63-2019", 2019)],
)
def test_editions(first, year):
    assert parse_lm63(changed(1, first)).edition == year


def test_rounded_openings():
    for first, sizes in (("IESNA:LM-63-2002", "-0.2 -0.2 0"), ("IESNA:LM-63-1995", "-0.2 0 0")):
        opening = parse_lm63(changed(1, first, changed(9, f"1 -1 1 4 1 1 2 {sizes}"))).opening
        assert (opening.shape, opening.width_m, opening.length_m) == ("rounded", 0.2, 0.2)


def test_lamp_tilt_block():
    text = changed(8, "TILT=INCLUDE\n1\n3\n0 45 90\n0.95 0.9 0.8")
    got = parse_lm63(text)
    assert (got.tilt.lamp_position, got.tilt.angles_deg.tolist()) == (1, [0, 45, 90])
    assert got.tilt.multiplier_at(22.5) == pytest.approx(0.925)
    assert got.intensity_cd[0, 0] == pytest.approx(95.0)
    assert any("tilt" in remark for remark in got.remarks)


def test_line_ends_delimiters_and_wrapped_groups_read_the_same(tmp_path):
    plain = parse_lm63(PLAIN)
    tabs = "\n".join(
        line.replace(" ", "\t ") if number >= 8 else line for number, line in enumerate(PLAIN.splitlines())
    )
    wrapped = changed(13, "100 86.6\n50\n0").replace("1 -1 1 4 1 1", "1 -1 1\n4 1 1")
    commas = "\n".join(
        line.replace(" ", ", ") if number >= 8 else line for number, line in enumerate(PLAIN.splitlines())
    )
    variants = [PLAIN.replace("\n", "\r\n"), PLAIN.replace("\n", "\r"), tabs, wrapped, commas, PLAIN.rstrip()]
    variants += ["\ufeff" + PLAIN, PLAIN + "\x1a", PLAIN + "\r\n \r\n", PLAIN.replace("86.6", "8.66E+01")]
    for text in variants:
        for content in (text, text.encode("utf-8")):
            got = parse_lm63(content)
            assert got.intensity_cd.tolist() == plain.intensity_cd.tolist()
            assert got.keywords == plain.keywords
            assert got.opening == plain.opening
    latin = tmp_path / "invented.ies"
    latin.write_bytes(PLAIN.replace("none", "für").encode("latin-1"))
    assert read_lm63(latin).keyword("TESTLAB") == "für"


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (changed(1, "SOMETHING"), 1, "begins with"),
        (changed(1, "IESNA:LM-63-1986"), 1, "begins with"),
        ("\n".join(PLAIN.splitlines()[:7]), 7, "TILT="),
        (changed(8, "TILT=lamp.tlt"), 8, "names another file"),
        (changed(8, "TILT=INCLUDE\n4\n1\n0\n1"), 9, "lamp's position"),
        (changed(8, "TILT=INCLUDE\n1\n2\n0\n1"), 13, "tilt multipliers"),
        (changed(8, "TILT=INCLUDE\n1\n2\n45 0\n1 1"), 11, "rise"),
        (changed(8, "TILT=INCLUDE\n1\n2\n0 45\n1 -1"), 12, "multiplier"),
        (changed(9, "1 -1 1 4 1 2 2 0 0 0"), 9, "type B"),
        (changed(9, "1 -1 1 4 1 3 2 0 0 0"), 9, "type A"),
        (changed(9, "1 -1 1 4 1 4 2 0 0 0"), 9, "photometric type"),
        (changed(9, "1 -1 1 4 1 1 3 0 0 0"), 9, "units"),
        (changed(9, "1 -1 1 4 1 1 2 0 0"), 10, "numbers where 10"),
        (changed(9, "1 -1 1 4 1 1 2 0 0 0 0"), 9, "11 numbers where 10"),
        (changed(9, "0 -1 1 4 1 1 2 0 0 0"), 9, "number of lamps"),
        (changed(9, "1 -2 1 4 1 1 2 0 0 0"), 9, "lumens"),
        (changed(9, "1 -1 0 4 1 1 2 0 0 0"), 9, "multiplier"),
        (changed(9, "1 -1 -1 4 1 1 2 0 0 0"), 9, "multiplier"),
        (changed(9, "1 -1 1e9 4 1 1 2 0 0 0"), 9, "multiplier"),
        (changed(9, "1 -1 1e999 4 1 1 2 0 0 0"), 9, "too large"),
        (changed(9, "1 -1 1 4.5 1 1 2 0 0 0"), 9, "whole number"),
        (changed(9, "1 -1 1 1e99 1 1 2 0 0 0"), 9, "whole number"),
        (changed(9, "1 -1 1 4 0 1 2 0 0 0"), 9, "horizontal"),
        (changed(9, "1 -1 1 4 1 1 2 0 600 0"), 9, "larger than"),
        (changed(9, "1 -1 x 4 1 1 2 0 0 0"), 9, "'x' is no number"),
        (changed(9, "1 -1 1,,4 1 1 2 0 0 0"), 9, "two commas"),
        (changed(10, "0 1 40"), 10, "ballast factor"),
        (changed(10, "1 1 -40"), 10, "watts"),
        (changed(10, "1 nan 40"), 10, "'nan' is no number"),
        (changed(11, "0 30 30 90"), 11, "each above"),
        (changed(11, "0 60 30 90"), 11, "each above"),
        (changed(11, "0 30 60 80"), 11, "0 to 80"),
        (changed(11, "10 30 60 90"), 11, "10 to 90"),
        (changed(11, "0 30 60"), 12, "0 follows 60"),
        (changed(11, "0 30 60 75 90"), 11, "5 numbers where 4"),
        (changed(12, "45"), 12, "45 to 45"),
        (changed(12, "0 90"), 12, "2 numbers where 1"),
        (changed(13, "100 86,6 50 0"), 13, "5 numbers where 4"),
        (changed(13, "100 -86.6 50 0"), 13, "negative"),
        (changed(13, "100 1_0 50 0"), 13, "no number"),
        (changed(13, "100 1e12 50 0"), 13, "above"),
        (changed(13, "0 0 0 0"), 13, "some light"),
        (changed(13, "100 86.6 50"), 13, "3 of 4"),
        (changed(13, "100 86.6 50 0 7"), 13, "5 numbers where 4"),
        (PLAIN + "\n7\n", 15, "after the last candela"),
        ("\n".join(PLAIN.splitlines()[:12]), 12, "file ends"),
        (with_planes("none").rsplit("\n", 1)[0], 16, "horizontal angle 360"),
        (with_planes("none").replace("0 90 180 270 360", "0 90 270 180 360"), 12, "180 follows 270"),
        (with_planes("none").rsplit("\n", 1)[0] + "\n10 10 10 0", 17, "at 360 deg as at 0"),
        (with_planes("quadrants").replace("0 45 90\n", "0 45 80\n"), 12, "0 to 80"),
    ],
)
def test_malformed_files_are_named_with_their_line(text, line, words):
    for content in (text, text.replace("\n", "\r\n").encode()):
        with pytest.raises(FileProblem) as problem:
            parse_lm63(content, name="invented.ies")
        assert str(problem.value).startswith(f"invented.ies: line {line}: ")
        assert words in str(problem.value)


@pytest.mark.parametrize("content", ["", b"", b"\n \n", b"PK\x03\x04\x00\x00"])
def test_no_text_file(content):
    with pytest.raises(FileProblem, match="plain text"):
        parse_lm63(content)


def test_files_that_are_not_there(tmp_path):
    with pytest.raises(FileProblem, match="cannot be read"):
        read_lm63(tmp_path / "none.ies")
    with pytest.raises(FileProblem, match="cannot be read"):
        read_lm63(tmp_path)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_damaged_file_is_either_named_or_read_as_it_stands(data):
    """Any line left out, doubled or cut: an error of our own with a line, or the very same numbers."""
    lines = with_planes("none").splitlines()
    at = data.draw(st.integers(0, len(lines) - 1))
    kind = data.draw(st.sampled_from(["leave out", "double", "cut", "end"]))
    cut = data.draw(st.integers(0, len(lines[at])))
    replaced = {"leave out": [], "double": [lines[at]] * 2, "cut": [lines[at][:cut]], "end": [lines[at][:cut]]}[kind]
    text = "\n".join([*lines[:at], *replaced, *([] if kind == "end" else lines[at + 1 :])])
    with contextlib.suppress(FileProblem):
        got = parse_lm63(text)
        # What may be cut in silence: keywords, or the last digits of a number.
        assert got.intensity_cd.shape == (5, 4)
        same = got.intensity_cd == PLANES["none"][1]
        assert same.sum() >= same.size - 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (changed(9, "1 10 1 4 1 1 2 0 0 0"), "more than the 10 lm"),
        (changed(10, "1 1 0.1"), "more than light can give"),
        (with_planes("none").replace("100 60 20 0", "80 60 20 0"), "straight down"),
        (with_planes("none").rsplit("\n", 1)[0] + "\n100 85 50 0", "planes of 0 and 360"),
        (changed(1, "IES:LM-63-2019", changed(10, "1 0.5 40")), "second number"),
        (changed(6, "no keyword"), "line 6"),
    ],
)
def test_odd_files_are_read_with_a_remark(text, words):
    assert any(words in remark for remark in parse_lm63(text).remarks)


# Writing: what is written reads back.

WRITE = {"lm_per_umol_s": 65.0, "issue_date": "2001-01-01"}


@pytest.mark.parametrize("edition", [2002, 2019])
@pytest.mark.parametrize("name", PLANES)
def test_read_write_read(edition, name):
    first = parse_lm63(with_planes(name))
    text = write_lm63(
        first.beam(), photon_flux_umol_s=first.photon_flux_umol_s(65.0), edition=edition, length_m=0.3, **WRITE
    )
    again = parse_lm63(text)
    assert again.edition == edition
    assert again.horizontal_deg.tolist() == first.horizontal_deg.tolist()
    assert again.intensity_cd == pytest.approx(first.intensity_cd, rel=1e-6, abs=1e-6)
    assert again.luminous_flux_lm == pytest.approx(first.luminous_flux_lm, rel=1e-6)
    assert (again.opening.length_m, again.opening.width_m) == (0.3, 0.0)
    assert again.remarks == ()


@pytest.mark.parametrize("exponent", [0.0, 1.0, 2.5, 30.0])
def test_cosine_beam_written_and_read(exponent):
    text = write_lm63(Beam.cosine(exponent), photon_flux_umol_s=200.0, power_w=80.5, **WRITE)
    got = parse_lm63(text)
    # The dark side of a beam with a sharp rim (exponent 0) begins at the next angle.
    assert got.photon_flux_umol_s(65.0) == pytest.approx(200.0, rel=0.03 if exponent == 0 else 5e-4)
    assert got.horizontal_deg.tolist() == [0.0]
    assert (got.vertical_deg[-1], got.power_w) == (90.0, 80.5)
    assert got.intensity_cd[0, 4] == pytest.approx(65 * 200 * Beam.cosine(exponent).intensity(np.deg2rad(10)), rel=1e-6)


def board(**changes):
    base = {"x_m": 0.0, "y_m": 0.0, "z_m": 1.0, "width_m": 0.2, "length_m": 0.2, "photon_flux_umol_s": 100.0}
    return lc.LightSource(**(base | changes))


@pytest.mark.parametrize(
    ("sources", "planes"),
    [
        ([board(), board(x_m=1.0, rotation_deg=33.0)], [0]),
        ([board(tilt_deg=30.0), board(tilt_deg=-30.0)], [0, 90]),
        ([board(tilt_deg=30.0)], [0, 180]),
        ([board(tilt_deg=30.0, rotation_deg=90.0)], [90, 270]),
        ([board(tilt_deg=30.0, rotation_deg=25.0), board()], [0, 360]),
    ],
)
def test_fixture_written_and_read(sources, planes):
    """The far field is the sum of the boards' cosines by direction: flux kept, and each direction by hand."""
    got = parse_lm63(write_lm63(sources, theta_step_deg=2.5, phi_step_deg=5.0, **WRITE))
    assert [got.horizontal_deg[0], got.horizontal_deg[-1]][: len(planes)] == planes
    assert got.photon_flux_umol_s(65.0) == pytest.approx(100.0 * len(sources), rel=1e-3)
    assert got.remarks == ()
    beam = got.beam()
    for theta, phi in ((0.2, 0.1), (0.9, 2.0), (1.3, 4.0), (1.7, 0.3)):
        way = np.array([np.sin(theta) * np.cos(phi), np.sin(theta) * np.sin(phi), -np.cos(theta)])
        want = sum(100.0 / np.pi * max(float(way @ source.axes()[2]), 0.0) for source in sources)
        assert float(far_field_intensity(sources, theta, phi)) == pytest.approx(want, rel=1e-12, abs=1e-12)
        read = float(beam.intensity(theta, phi)) * 100.0 * len(sources)
        assert read == pytest.approx(want, abs=0.01 * 100.0 / np.pi)


def test_far_field_of_turned_boards_is_the_turned_beam():
    beam = Beam.tabulated([0, 30, 60, 90], [0, 90, 180], [[9, 8, 5, 0], [9, 6, 3, 0], [9, 4, 1, 0]])
    theta, phi = np.linspace(0, 1.5, 20)[:, None], np.linspace(0, 6, 25)
    turned = far_field_intensity(board(rotation_deg=40.0), theta, phi, beams=[beam])
    assert turned == pytest.approx(100 * beam.intensity(theta, phi - np.deg2rad(40)), rel=1e-9)
    same = far_field_beam([board(), board(x_m=3.0)], beams=[beam, beam], theta_step_deg=1.0)
    assert same.intensity(theta, phi) == pytest.approx(beam.intensity(theta, phi), abs=4e-3)
    assert same.table.phi_deg[[0, -1]].tolist() == [0.0, 180.0]
    mixed = far_field_intensity([board(), board()], theta, phi, beams=[beam, None])
    assert mixed == pytest.approx(100 * (beam.intensity(theta, phi) + np.cos(theta) / np.pi), rel=1e-9)


def test_light_upwards_is_written():
    text = write_lm63(Beam.tabulated([90, 120, 180], 0, [0, 1, 2]), photon_flux_umol_s=10.0, **WRITE)
    assert parse_lm63(text).vertical_deg.tolist() == [90, 120, 180]
    steep = parse_lm63(write_lm63(board(tilt_deg=80.0), **WRITE))
    assert steep.vertical_deg[-1] == 180.0
    assert steep.beam().lower_half_fraction == pytest.approx((1 + np.cos(np.deg2rad(80))) / 2, abs=2e-3)


def test_written_text_keeps_to_the_form():
    """ASCII, CR LF, no exponents, lines of 80 at most, the four required keywords, long texts in [MORE] lines."""
    words = "invented for this test only and meant to be much longer than one line of the file can ever hold " * 2
    text = write_lm63(board(tilt_deg=11.0, rotation_deg=7.0), keywords={"[TestLab]": "x", "_NOTE": words}, **WRITE)
    assert text.isascii()
    assert text.count("\n") == text.count("\r\n")
    lines = text.split("\r\n")
    assert max(map(len, lines)) <= 80
    for name in ("[TEST] ", "[TESTLAB] x", "[ISSUEDATE] 2001-01-01", "[MANUFAC] "):
        assert any(line.startswith(name) for line in lines)
    assert parse_lm63(text).keyword("_NOTE") == words.strip()
    assert not any("e" in line for line in lines[lines.index("TILT=NONE") + 1 :])


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"edition": 1995}, "edition"),
        ({"lm_per_umol_s": 0}, "lm_per_umol_s"),
        ({"photon_flux_umol_s": 5.0}, "photon_flux_umol_s"),
        ({"width_m": -1}, "width_m"),
        ({"power_w": -1}, "power_w"),
        ({"theta_step_deg": 7.0}, "theta_step_deg"),
        ({"phi_step_deg": 0.0}, "phi_step_deg"),
        ({"keywords": {"A B": "x"}}, "keywords"),
        ({"keywords": {"A": "x\nTILT=NONE"}}, "keywords"),
        ({"keywords": {"A": "ü"}}, "keywords"),
        ({"keywords": {"MORE": "x"}}, "keywords"),
        ({"issue_date": "1\n2"}, "keywords"),
        ({"beams": []}, "beams"),
    ],
)
def test_bad_arguments_are_named(changes, name):
    with pytest.raises(ArgumentError, match=name):
        write_lm63(board(), **(WRITE | changes))


def test_no_light_is_named():
    for call in (
        lambda: write_lm63([], **WRITE),
        lambda: write_lm63(["lamp"], **WRITE),
        lambda: write_lm63(board(photon_flux_umol_s=0.0), **WRITE),
        lambda: write_lm63(Beam.lambertian(), **WRITE),
        lambda: far_field_beam(board(photon_flux_umol_s=0.0)),
        lambda: far_field_intensity([], 0.0),
        lambda: parse_lm63(PLAIN).photon_intensity(0.0),
    ):
        with pytest.raises(ArgumentError):
            call()
