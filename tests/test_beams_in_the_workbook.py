"""Beams by LM-63 files: file to sheet to file, planes turned with the board, what is in a file, what is refused.

Files are made by hand from the public structure of ANSI/IES LM-63-2002; every luminaire in here is invented.
"""

import csv
import dataclasses
import json

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import FileProblem, InputErrors
from ledcalc.light_files import beam_rows, far_field_file, words_on
from ledcalc.model_curves import beam_of
from ledcalc.photons import Beam, parse_lm63, read_lm63
from ledcalc.records import records_from_fixture
from ledcalc.workbook.beam_table import write_beam_table
from ledcalc.workbook.reader import read_inputs
from ledcalc.workbook.rest import rest_of
from ledcalc.workbook.template import write_blank

HEAD = """IESNA:LM-63-2002
[TEST] invented, no measurement
[TESTLAB] none
[ISSUEDATE] 2001-01-01
[MANUFAC] invented
TILT=NONE
"""
THETA = np.arange(0.0, 91.0, 5.0)
PLANES = {
    "round": [0],
    "quarters": [0, 30, 60, 90],
    "halves": [0, 45, 90, 135, 180],
    "other halves": [90, 135, 180, 225, 270],
    "none alike": [0, 60, 120, 180, 240, 300, 360],
}


def intensity(theta_deg, phi_deg):
    """An invented batwing: wider along plane 0 than across, leaning a little to one side; no mirror plane."""
    theta, phi = np.deg2rad(theta_deg), np.deg2rad(phi_deg)
    lean = 1 + 0.3 * np.sin(theta) * np.cos(phi - 0.7)
    return 100 * np.cos(theta) * (1 + 2 * np.sin(theta) ** 2 * np.cos(phi) ** 2) * lean


def file_text(name, factor="1", lamps="1 -1"):
    planes = PLANES[name]
    rows = [" ".join(f"{value:.4f}" for value in intensity(THETA, plane)) for plane in planes]
    lamp = f"{lamps} {factor} {THETA.size} {len(planes)} 1 2 0.2 0.3 0"
    angles = [" ".join(f"{angle:g}" for angle in group) for group in (THETA, planes)]
    return HEAD + "\n".join([lamp, "1 1 40", *angles, *rows]) + "\n"


def lit_by(bench, rows, **changes):
    """One board over the bench whose beam is these rows."""
    model = dataclasses.replace(bench.boards[0], beam=rows[0].tag)
    base = {
        "boards": (model,),
        "beams": tuple(rows),
        "rows_count": 1,
        "columns_count": 1,
        "current_setting_a": 0.5,
        "cables": (dataclasses.replace(bench.cables[0], to_node="B1"),),
        "current_log": (),
        "light_readings": (),
    }
    return dataclasses.replace(bench, **(base | changes))


@pytest.mark.parametrize("name", PLANES)
def test_file_to_sheet_to_file(name, bench, tmp_path):
    """Through the CSV and the workbook; the beam is the file's, and the far field written is the beam again."""
    (tmp_path / "odd.ies").write_text(file_text(name))
    read = read_lm63(tmp_path / "odd.ies")
    fixture = lit_by(bench, beam_rows(read, "odd"))
    for target in ("copy.xlsx", "copy"):
        write_blank(tmp_path / target, records=records_from_fixture(fixture))
        again = lc.read_workbook(tmp_path / target)
        assert [row.plane_deg for row in again.beams] == [row.plane_deg for row in fixture.beams]
        assert [row.intensity for row in again.beams] == pytest.approx(
            [row.intensity for row in fixture.beams], rel=1e-11
        )
    assert main(["beam", str(tmp_path / "odd.ies"), "--out", str(tmp_path / "copy" / "beams.csv"), "--replace"]) == 0
    fixture = lc.read_workbook(tmp_path / "copy")
    beam = beam_of(fixture.boards[0], fixture.beams)
    theta, phi = np.deg2rad([[0.0], [20], [50], [80]]), np.deg2rad(np.arange(0, 360, 25.0))
    assert beam.intensity(theta, phi) == pytest.approx(read.beam().intensity(theta, phi), rel=1e-9)
    results = lc.evaluate(fixture)
    made = far_field_file(results, issue_date="2001-01-01", lumens_per_umol=60.0)
    flux = results.light.photon_flux_umol_s
    assert made.photometry.photon_flux_umol_s(60.0) == pytest.approx(flux, rel=1e-3)
    assert made.photometry.remarks == ()
    scale = 60.0 * flux / read.luminous_flux_lm
    at = [round(angle / 2.5) for angle in THETA]
    for plane, values in zip(read.horizontal_deg, read.intensity_cd, strict=True):
        written = made.photometry.beam().intensity(np.deg2rad(THETA), np.deg2rad(plane)) * 60.0 * flux
        assert written == pytest.approx(values * scale, rel=2e-3, abs=2e-3 * values.max() * scale)
    assert made.photometry.vertical_deg[at].tolist() == THETA.tolist()


def test_the_flux_of_a_matt_board_is_its_closed_form(bench):
    """Candela of a Lambertian board by hand: lumens / pi straight down (definition of the lumen and the steradian)."""
    results = lc.evaluate(bench)
    made = far_field_file(results, issue_date="2001-01-01", lumens_per_umol=70.0)
    lumens = 70.0 * results.light.photon_flux_umol_s
    assert made.photometry.intensity_cd[0, 0] == pytest.approx(lumens / np.pi, rel=1e-6)
    assert made.photometry.luminous_flux_lm == pytest.approx(lumens, rel=1e-3)
    assert made.flux_error_fraction == pytest.approx(made.photometry.luminous_flux_lm / lumens - 1.0)
    # The opening: four boards of 0.25 m at 0.3 m along x, two of 0.06 m at 0.36 m along y.
    opening = made.photometry.opening
    assert (opening.length_m, opening.width_m, opening.height_m) == pytest.approx((1.15, 0.42, 0.0))


@pytest.mark.parametrize("turn", [30.0, 90.0, -45.0])
def test_board_rotation_turns_the_planes(bench, turn):
    """Light that goes out along plane 0 goes out along the plane by which the board is turned."""
    rows = beam_rows(parse_lm63(file_text("none alike")), "odd")
    plain = far_field_file(lc.evaluate(lit_by(bench, rows)), issue_date="-", lumens_per_umol=60.0)
    turned = far_field_file(lc.evaluate(lit_by(bench, rows, rotation_deg=turn)), issue_date="-", lumens_per_umol=60.0)
    theta = np.deg2rad([[10.0], [40.0], [70.0]])
    phi = np.deg2rad(np.arange(0.0, 360.0, 30.0))
    there = plain.photometry.beam().intensity(theta, phi)
    # Planes of 60 deg, written at every 10: turned by 45 they fall between.
    assert turned.photometry.beam().intensity(theta, phi + np.deg2rad(turn)) == pytest.approx(there, rel=1.5e-2)


def test_planes_show_in_the_field(bench):
    """A beam wide along x lights the crop along x; turned by 90 deg, along y: the same two points, exchanged."""
    rows = beam_rows(parse_lm63(file_text("quarters")), "odd")
    square = {"crop_width_m": 1.0, "crop_depth_m": 1.0, "map_columns_count": 11, "map_rows_count": 11}
    model = dataclasses.replace(bench.boards[0], beam="odd", width_m=0.1, length_m=0.1)
    along = lc.evaluate(lit_by(bench, rows, boards=(model,), **square)).light.ppfd_umol_m2_s
    across = lc.evaluate(lit_by(bench, rows, boards=(model,), rotation_deg=90.0, **square)).light.ppfd_umol_m2_s
    assert along[5, 0] > 1.5 * along[0, 5]
    assert across == pytest.approx(along.T, rel=1e-6)


def test_blank_plane_is_the_plane_of_0(bench):
    rows = [lc.BeamPoint(tag="b", angle_deg=float(angle), intensity=float(intensity(angle, 0))) for angle in THETA]
    named = [dataclasses.replace(row, plane_deg=0.0) for row in rows]
    plain, other = (lc.evaluate(lit_by(bench, some)).light.ppfd_umol_m2_s for some in (rows, named))
    assert plain == pytest.approx(other, rel=1e-12)
    model = lit_by(bench, rows).boards[0]
    assert beam_of(model, tuple(rows)).is_round


def quarters(change):
    """Rows of a whole beam in four planes, changed: {(plane, angle): row or None}."""
    rows = []
    for plane in (0.0, 30.0, 60.0, 90.0):
        for angle in (0.0, 45.0, 90.0):
            row = lc.BeamPoint(tag="b", plane_deg=plane, angle_deg=angle, intensity=90.0 - angle)
            rows += change(row)
    return tuple(rows)


@pytest.mark.parametrize(
    ("change", "words", "path"),
    [
        (lambda r: [] if r.plane_deg == 90 else [r], "planes go from 0 to 60 deg", "beams[6].plane_deg"),
        (lambda r: [] if r.plane_deg == 0 else [r], "planes go from 30 to 90 deg", "beams[0].plane_deg"),
        (
            lambda r: [] if (r.plane_deg, r.angle_deg) == (30, 45) else [r],
            "no row for the angle 45",
            "beams[3].angle_deg",
        ),
        (
            lambda r: [r, dataclasses.replace(r, angle_deg=60.0)] if (r.plane_deg, r.angle_deg) == (30, 45) else [r],
            "has a row for the angle 60",
            "beams[5].angle_deg",
        ),
        (
            lambda r: [dataclasses.replace(r, angle_deg=50.0)] if (r.plane_deg, r.angle_deg) == (0, 45) else [r],
            "the plane of 0 deg has no row for the angle 45",
            "beams[0].angle_deg",
        ),
        (lambda r: [r, r] if (r.plane_deg, r.angle_deg) == (60, 45) else [r], "45 does not come after 45", "beams[8]"),
        (lambda r: [r] if r.angle_deg == 0 else [], "one angle a plane only", "beams[0].angle_deg"),
        (lambda r: [dataclasses.replace(r, intensity=0.0)], "nothing but zeros", "beams[0].intensity"),
    ],
)
def test_planes_that_make_no_beam_are_named(bench, change, words, path):
    with pytest.raises(InputErrors) as caught:
        lc.evaluate(lit_by(bench, quarters(change)))
    [problem] = caught.value.problems
    assert words in problem.problem
    assert problem.cell.startswith(path)
    lc.evaluate(lit_by(bench, quarters(lambda row: [row])))


def test_planes_of_0_and_360_are_one(bench):
    def rows(last):
        values = {0.0: 100.0, 180.0: 60.0, 360.0: last}
        return [
            lc.BeamPoint(tag="b", plane_deg=plane, angle_deg=angle, intensity=value if angle else 100.0)
            for plane, value in values.items()
            for angle in (0.0, 60.0)
        ]

    lc.evaluate(lit_by(bench, rows(91.0)))
    with pytest.raises(InputErrors, match="89 in the plane of 360 deg, but 100 in that of 0"):
        lc.evaluate(lit_by(bench, rows(89.0)))


def test_a_beam_that_lost_a_row_is_left_out_whole_and_the_rest_computes(bench, tmp_path):
    fixture = lit_by(bench, quarters(lambda row: [row]))
    write_blank(tmp_path / "bench", records=records_from_fixture(fixture))
    path = tmp_path / "bench" / "beams.csv"
    path.write_text(path.read_text().replace("b,60,45,45", "b,60,45,lots"))
    inputs = read_inputs(tmp_path / "bench")
    assert len(inputs.problems) == 1
    rest = rest_of(inputs)
    assert rest.beams == ()
    assert rest.boards[0].beam is None
    assert any("Beams sheet" in note for note in rest.origin.notes)


# What the commands say.


def test_the_command_says_what_is_in_a_file(tmp_path, capsys):
    (tmp_path / "batwing 7.ies").write_text(file_text("none alike", "2.5", "2 900").replace("1 1 40", "1 0.9 4"))
    assert main(["beam", str(tmp_path / "batwing 7.ies"), "--out", str(tmp_path / "b.csv")]) == 0
    said = capsys.readouterr().out
    for words in (
        "LM-63 of 2002, type C; relative to 2 lamps of 900 lm, candela values multiplied by 2.25 as the file says",
        "planes: 7, 0 to 360 deg; no symmetry stated",
        "angles: 19 a plane, 0 to 90 deg",
        "rectangle, 0.3 m along the plane of 0, 0.2 m across",
        "odd: line 8: the second number is 0.9",
        "wrote",
        "133 rows",
        "batwing 7",
    ):
        assert words in said, words
    rows = list(csv.reader((tmp_path / "b.csv").read_text().splitlines()))
    assert rows[:2] == [["Beam", "Plane", "Angle", "Intensity"], ["", "deg", "deg", ""]]
    assert rows[2][:3] == ["batwing 7", "0", "0"]
    assert float(rows[2][3]) == pytest.approx(225.0)
    assert len(rows) == 2 + 7 * 19


def test_several_files_a_name_and_json(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("a", "b"):
        (tmp_path / f"{name}.ies").write_text(file_text("quarters"))
    assert main(["beam", "a.ies", "b.ies", "--out", "beams.csv", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["rows"] == 2 * 4 * 19
    assert [file["beam"] for file in said["files"]] == ["a", "b"]
    assert main(["beam", "a.ies", "b.ies", "--tag", "x"]) == 2
    assert main(["beam", "a.ies", "a.ies"]) == 2
    assert main(["beam", "a.ies", "--tag", "x", "--out", "x.csv"]) == 0
    assert (tmp_path / "x.csv").read_text().splitlines()[2].startswith("x,0,0,100")
    assert main(["beam", "a.ies", "--out", "x.csv"]) == 2
    assert main(["beam", "a.ies", "--out", "x.doc"]) == 2
    assert "already there" in capsys.readouterr().err


BAD = {
    "cut short": (file_text("quarters")[:-30], "line 14: "),
    "counts": (file_text("round").replace(" 19 1 1 ", " 18 1 1 "), "line 9: "),
    "multiplier": (file_text("round", "1e9"), "line 7: "),
    "type": (file_text("round").replace(" 19 1 1 ", " 19 1 2 "), "line 7: "),
    "negative": (file_text("round").replace("\n100.0000 ", "\n-100.0000 "), "line 11: "),
    "angles": (file_text("quarters").replace("0 30 60 90\n", "0 60 30 90\n"), "line 10: "),
    "no such form": ("hello\n", "line 1: "),
}


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("name", BAD)
def test_bad_files_are_one_line_with_its_number_and_status_two(name, ends, tmp_path, capsys):
    text, line = BAD[name]
    path = tmp_path / "bad.ies"
    path.write_bytes(text.replace("\n", ends).encode())
    assert main(["beam", str(path), "--out", str(tmp_path / "b.csv")]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert f"bad.ies: {line}" in said
    assert len(said) < 300
    assert not (tmp_path / "b.csv").exists()


def test_tabs_and_crlf_are_read(tmp_path, capsys):
    text = file_text("quarters")
    head, body = text.split("TILT=NONE\n")
    (tmp_path / "tabs.ies").write_bytes((head + "TILT=NONE\n" + body.replace(" ", "\t")).replace("\n", "\r\n").encode())
    assert main(["beam", str(tmp_path / "tabs.ies")]) == 0
    assert "symmetry: four quarters alike" in capsys.readouterr().out


def test_far_field_by_the_boards_spectrum(bench_results, tmp_path, capsys, monkeypatch):
    """Lumens by the trapezoidal rule over the sheet's own spectrum, CIE V(lambda) at its wavelengths (table)."""
    from scipy.integrate import trapezoid

    from ledcalc.photons import photopic_efficiency

    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench", "--example"]) == 0
    assert main(["far-field", "bench", "--out", "bench.ies", "--date", "2001-01-01"]) == 0
    said = capsys.readouterr().out
    assert "by the boards' spectra" in said
    points = bench_results.fixture.spectra
    fine = np.arange(380.0, 781.0, 0.5)
    watts = np.interp(fine, [p.wavelength_nm for p in points], [p.value for p in points])
    par = (fine >= 400) & (fine <= 700)
    lumens = 683.0 * trapezoid(watts * photopic_efficiency(fine), fine)
    umol = trapezoid((watts * fine / 119.6266)[par], fine[par])
    read = read_lm63("bench.ies")
    want = bench_results.light.photon_flux_umol_s * lumens / umol
    assert read.luminous_flux_lm == pytest.approx(want, rel=2e-3)
    assert read.power_w == pytest.approx(bench_results.operating.mains_power_w, abs=0.01)
    assert read.keyword("LUMINAIRE") == "Winter seedling bench (invented example)"
    assert main(["far-field", "bench", "--out", "bench.ies"]) == 2
    assert main(["far-field", "bench", "--out", "bench.txt"]) == 2
    assert main(["far-field", "bench", "--out", "bench.ies", "--replace", "--edition", "2002"]) == 0
    assert read_lm63("bench.ies").edition == 2002


def test_boards_of_two_spectra_each_by_its_own(bench):
    """Two boards, one of one wavelength: lumens by hand from V(555 nm) = 1 (CIE 1924) beside those of the other."""
    nm = (400.0, 554.0, 555.0, 556.0, 700.0)
    green = tuple(lc.SpectrumPoint(tag="green", wavelength_nm=at, value=float(at == 555.0)) for at in nm)
    other = dataclasses.replace(bench.boards[0], tag="Green bar", spectrum="green")
    points = tuple(dataclasses.replace(point, board="Green bar") for point in bench.board_points)
    cables = tuple(dataclasses.replace(bench.cables[0], tag=f"W{n}", to_node=f"B{n}") for n in (1, 2))
    positions = tuple(
        lc.Position(tag=f"B{n}", board=board, x_m=0.3 * n, y_m=0.3)
        for n, board in ((1, "Green bar"), (2, "Bench bar 250"))
    )
    two = dataclasses.replace(
        bench,
        boards=(*bench.boards, other),
        board_points=(*bench.board_points, *points),
        spectra=(*bench.spectra, *green),
        positions=positions,
        cables=cables,
        current_setting_a=1.0,
        current_log=(),
        light_readings=(),
    )
    results = lc.evaluate(two)
    made = far_field_file(results, issue_date="-")
    flux = dict(zip(results.boards.model, results.boards.photon_flux_umol_s, strict=True))
    white = far_field_file(lc.evaluate(bench), issue_date="-").lumens_per_umol[0]
    want = flux["Green bar"] * 683.0 * 119.6266 / 555.0 + flux["Bench bar 250"] * white
    assert made.photometry.luminous_flux_lm == pytest.approx(want, rel=1e-3)
    assert len(made.lumens_per_umol) == 2


def test_without_a_spectrum_the_number_is_asked_for(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench", "--example"]) == 0
    path = tmp_path / "bench" / "boards.csv"
    path.write_text(path.read_text().replace("Warm white", ""))
    capsys.readouterr()
    assert main(["far-field", "bench", "--out", "b.ies"]) == 2
    said = capsys.readouterr().err
    assert "'Bench bar 250' are unknown" in said
    assert "--lumens-per-umol" in said
    assert said.count("\n") == 1
    assert not (tmp_path / "b.ies").exists()
    assert main(["far-field", "bench", "--out", "b.ies", "--lumens-per-umol", "71"]) == 0
    assert "71, as given" in capsys.readouterr().out
    with pytest.raises(SystemExit):
        main(["far-field", "bench", "--out", "b.ies", "--lumens-per-umol", "0"])


def test_narrow_beams_keep_their_flux_too(bench):
    """cos^200 falls to half within 5 deg: coarse angles would miss 0.1 %, so that finer ones are taken."""
    model = dataclasses.replace(bench.boards[0], cosine_exponent=200.0)
    made = far_field_file(
        lc.evaluate(dataclasses.replace(bench, boards=(model,))), issue_date="-", lumens_per_umol=60.0
    )
    assert abs(made.flux_error_fraction) <= 1e-3
    assert made.photometry.intensity_cd.max() * 2 * np.pi / 201 == pytest.approx(
        made.photometry.luminous_flux_lm, rel=1e-3
    )


def test_names_in_other_letters_and_no_light(bench):
    results = lc.evaluate(dataclasses.replace(bench, name="Bänk “7” 植物"))
    made = far_field_file(results, issue_date="-", lumens_per_umol=60.0)
    assert made.text.isascii()
    assert made.photometry.keyword("LUMINAIRE") == "Bank 7"
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=25.0)
    with pytest.raises(FileProblem, match="no light"):
        far_field_file(lc.evaluate(dataclasses.replace(bench, drivers=(cut,))), issue_date="-", lumens_per_umol=60.0)


def test_words_on_a_light_upwards():
    text = HEAD + "1 -1 1 3 1 1 1 0 0 0\n1 1 0\n90 135 180\n0\n0 50 100\n"
    words = " ".join(words_on(parse_lm63(text)))
    for part in ("no watts given", "90 to 180 deg", "a point", "round"):
        assert part in words


def test_a_written_table_reads_as_the_sheet(tmp_path):
    """A tag that a spreadsheet would take for a formula comes back as it was."""
    beam = Beam.tabulated([0, 90], 0, [1, 0])
    assert beam.is_round
    rows = [lc.BeamPoint(tag="=x", plane_deg=0.0, angle_deg=angle, intensity=90 - angle) for angle in (0.0, 90.0)]
    (tmp_path / "in").mkdir()
    write_beam_table(tmp_path / "in" / "beams.csv", rows)
    assert read_inputs(tmp_path / "in").records["beams"] == [dataclasses.asdict(row) for row in rows]
