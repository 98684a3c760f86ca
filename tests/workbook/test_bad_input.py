"""Bad input: every bad cell in one pass, with its address, what stands there, what is allowed; never a traceback."""

import hashlib
import zipfile

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.errors import FileProblem, InputErrors
from ledcalc.schema import sheets
from ledcalc.workbook.reader import read_inputs

# The first sheet of the package is the one that says how to fill the others.
FIXTURE_PART = f"sheet{2 + [entry.key for entry in sheets()].index('fixture')}.xml"

CASES = {
    "text in a number": ({"fixture.height_m": "high"}, "Height over canopy", "text where a number belongs"),
    "decimal comma": ({"site.price_per_kwh": "0,22"}, "Energy price", "decimal point"),
    "unit of the wrong kind": ({"fixture.height_m": "18 stone"}, "Height over canopy", "unknown unit 'stone'"),
    "unit of another quantity": ({"fixture.height_m": "18 V"}, "Height over canopy", "does not fit"),
    "negative length": ({"cables[2].one_way_length_m": -1}, "One-way length", "too small"),
    "zero length": ({"cables[2].one_way_length_m": 0}, "One-way length", "above 0"),
    "reflectance of 120 %": ({"site.wall_reflectance_fraction": 120}, "Wall reflectance", "too large"),
    "efficacy beyond physics": (
        {"board_points[2].photon_flux_umol_s": 60},
        "Photon flux",
        "more light than the power put in",
    ),
    "blank required cell": ({"site.mains_v": None}, "Mains voltage", "blank, but required"),
    "spaces only": ({"site.mains_v": "   "}, "Mains voltage", "blank, but required"),
    "tag that stands twice": ({"cables[1].tag": "w1"}, "Cable tag", "stands twice"),
    "board that does not exist": ({"cables[1].to_node": "B22"}, "To", "there is no board 'B22'"),
    "lead set that the driver lacks": ({"cables[1].lead_set": 2}, "Lead set", "one output lead set"),
    "trunk end that is no board": (
        {"fixture.arrangement": "shared trunk", "cables[1].to_node": "B22"},
        "To",
        "nearest: B2",
    ),
    "single wire without a side": ({"fixture.arrangement": "single wires"}, "To", "B1 + or B1 -"),
    "single wire to a board that is none": (
        {"fixture.arrangement": "single wires", "cables[0].to_node": "B22 +"},
        "To",
        "there is no board 'B22'",
    ),
    "loop in a trunk said to be radial": (
        {"fixture.arrangement": "shared trunk", "fixture.trunk": "radial", "cables[1].to_node": "B1"},
        "To",
        "closes a loop",
    ),
    "wire that short-circuits the driver": (
        {
            "fixture.arrangement": "single wires",
            "cables[0].from_node": "driver +",
            "cables[0].to_node": "driver -",
        },
        "To",
        "short-circuits the driver",
    ),
    "joint that leads nowhere": (
        {"fixture.arrangement": "single wires", "cables[0].from_node": "driver plus"},
        "From",
        "leads nowhere",
    ),
    "cable from a board to itself": (
        {"fixture.arrangement": "shared trunk", "cables[1].from_node": "B2"},
        "To",
        "ends where it starts",
    ),
    "size the table does not have": ({"cables[0].size": "17.5 AWG"}, "Wire size", "not known"),
    "sleeve that is not listed": ({"cables[0].sleeve": "Sleeve frnt"}, "Sleeve", "nearest: Sleeve front"),
    "connector that is none": ({"drivers[0].inlet": "C15X"}, "Mains inlet", "is not known"),
    "residual-current device of no rating": (
        {"site.residual_device_a": 25},
        "Residual-current device",
        "no device is rated",
    ),
    "clamping range upside down": ({"entries[2].clamping_low_m": 9}, "Clamps up to", "below the low end"),
    "half a diode": ({"boards[0].diode_slope_v": 0.6}, "Diode saturation", "only part of the diode form"),
    "junction without LEDs": (
        {"boards[0].junction_resistance_k_per_w": 6.0, "boards[0].led_series_count": None},
        "LEDs on the board",
        "how many LEDs share the heat",
    ),
    "air speed on a stated sink": (
        {"heat_sinks[0].air_speed_m_per_s": 2.0},
        "Sink to air",
        "both a thermal resistance and dimensions or an air speed",
    ),
    "points at another temperature only": (
        {
            "boards[0].reference_temperature_c": 40.0,
            "board_points[0].temperature_c": 25.0,
            "board_points[1].temperature_c": 25.0,
            "board_points[2].temperature_c": 25.0,
            "board_points[3].temperature_c": 25.0,
        },
        "Board model",
        "1 board point at its reference temperature",
    ),
    "points that make no curve": (
        {
            "board_points[3].temperature_c": 60.0,
            "board_points[4].temperature_c": 60.0,
            "board_points[3].voltage_v": 22.0,
            "board_points[4].voltage_v": 22.01,
        },
        "Board model",
        "make no curve",
    ),
    "driver that does not exist": ({"fixture.driver": "Twin-dail 120"}, "Driver model", "nearest: Twin-dial 120"),
    "heat sink that does not exist": ({"fixture.heat_sink": "Chanel 300"}, "Heat sink model", "nearest: Channel 300"),
    "choice that is none": ({"site.location": "moist"}, "Location", "dry or damp or wet"),
    "misspelt choice": ({"cables[0].wire_kind": "flexible chord"}, "Wire kind", "nearest: flexible cord"),
    "text NaN": ({"drivers[0].power_limit_w": "NaN"}, "Rated output power", "text where a number belongs"),
    "text infinity": ({"drivers[0].power_limit_w": "inf"}, "Rated output power", "text where a number belongs"),
    "number out of this world": ({"drivers[0].power_limit_w": 1e99}, "Rated output power", "too large"),
    "error cell": ({"fixture.current_setting_a": "#DIV/0!"}, "Current setting", "an error value"),
    "yes where a number belongs": ({"fixture.current_setting_a": True}, "Current setting", "a yes/no value"),
    "half a board": ({"fixture.rows_count": 1.5}, "Rows", "not a whole number"),
    "wire size nobody makes": ({"cables[0].size": "19.5 AWG"}, "Wire size", "is not known"),
    "metric wire under NEC": ({"cables[0].size": "0.75 mm2"}, "Wire size", "belongs to IEC"),
    "insulation no table has": (
        {"cables[0].insulation_c": 80},
        "Insulation rating",
        "no table has insulation of 80 degC",
    ),
    "home run from elsewhere": ({"cables[0].from_node": "B2"}, "From", "a home run starts at"),
    "board with two runs": ({"cables[1].to_node": "B1"}, "To", "already has the run"),
    "dial ends swapped": ({"drivers[0].voltage_low_v": 30}, "Voltage dial, high end", "below the low end"),
    "voltage that falls with current": (
        {"board_points[3].voltage_v": 21},
        "Voltage",
        "more current but not more voltage",
    ),
    "current that stands twice": ({"board_points[3].current_a": 0.4}, "Current", "this current stands twice"),
    "reading of an unknown board": ({"current_log[3].board": "B99"}, "Board tag", "B99"),
    "negative reading": ({"light_readings[3].ppfd_umol_m2_s": -5}, "PPFD", "too small"),
    "date that is none": ({"light_readings[3].taken_on": "yesterday"}, "Date", "not a date"),
    "part of a room": ({"site.room_width_m": 3}, "Room depth (y)", "only part of the room's size"),
    "percentage where none belongs": ({"fixture.height_m": "50 %"}, "Height over canopy", "does not fit"),
}


@pytest.mark.parametrize("name", CASES)
def test_bad_cell_is_named_with_place_and_remedy(name, spoil, example_cells):
    cells, field, words = CASES[name]
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(spoil(cells))
    problems = caught.value.problems
    hit = [problem for problem in problems if problem.field.startswith(field) and words in str(problem)]
    assert hit, str(caught.value)
    place = f"{hit[0].sheet}!{hit[0].cell}"
    spoiled = {example_cells.get(path, path) for path in cells}
    beside = {
        "part of a room",
        "dial ends swapped",
        "voltage that falls with current",
        "single wire without a side",
        "half a diode",
        "junction without LEDs",
        "air speed on a stated sink",
        "points at another temperature only",
        "points that make no curve",
        "clamping range upside down",
        "wire that short-circuits the driver",
        "cable from a board to itself",
    }
    assert place in spoiled or name in beside
    assert hit[0].allowed or hit[0].remedy


def test_all_bad_cells_come_in_one_pass(spoil):
    bad = {}
    for cells, _, _ in (
        CASES[name] for name in ("text in a number", "negative length", "blank required cell", "choice that is none")
    ):
        bad |= cells
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(spoil(bad))
    assert len(caught.value.problems) == len(bad)


def test_a_bad_tag_is_not_reported_again_by_all_that_refer_to_it(spoil):
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(spoil({"drivers[0].tag": None}))
    assert [problem.field for problem in caught.value.problems] == ["Driver model"]


def test_unknown_and_double_headers_are_named_with_the_nearest(example_xlsx, example_cells, tmp_path):
    book = openpyxl.load_workbook(example_xlsx)
    sheet = book["Cables"]
    header = int(example_cells["cables[0].tag"].split("A")[-1]) - 2
    sheet.cell(header, 4).value = "Wire sise"
    sheet.cell(header, 9).value = "Stranding"
    book["Site"]["A5"] = "Room widht (x)"
    book.save(tmp_path / "x.xlsx")
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(tmp_path / "x.xlsx")
    text = str(caught.value)
    assert f"Cables!D{header}: unknown field; got 'Wire sise'" in text
    assert "nearest: Wire size" in text
    assert "this column stands twice" in text
    assert "nearest: Room width (x)" in text


def test_unknown_sheet_is_named_with_the_nearest(example_xlsx, tmp_path):
    book = openpyxl.load_workbook(example_xlsx)
    book["Heat sinks"].title = "Heatsink"
    book.create_sheet("My scribbles")["A1"] = "buy screws"
    book.save(tmp_path / "x.xlsx")
    inputs = read_inputs(tmp_path / "x.xlsx")
    text = "\n".join(str(problem) for problem in inputs.problems)
    assert "Heatsink: unknown sheet; remedy: rename it to Heat sinks" in text
    assert "Heat sinks: this sheet is missing" in text
    assert any("My scribbles" in note for note in inputs.origin.notes)


def test_missing_column_and_empty_sheet(example_xlsx, tmp_path):
    book = openpyxl.load_workbook(example_xlsx)
    book["Boards"].delete_cols(2)
    book["Drivers"].delete_rows(4, 40)
    book.save(tmp_path / "x.xlsx")
    text = "\n".join(str(problem) for problem in read_inputs(tmp_path / "x.xlsx").problems)
    assert "Boards (Rated current, boards.rated_current_a): this column is missing" in text
    assert "Drivers: no header row found" in text


def test_formulas(spoil):
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(spoil({"fixture.current_setting_a": "=2*2.2"}))
    [problem] = caught.value.problems
    assert problem.problem == "a formula not yet calculated"
    assert "let it calculate, save it" in problem.remedy


def with_formula(example, cell, formula, target, calculation=b"", rename=None):
    """A formula with its saved value, as a spreadsheet writes it: put into the sheet's XML by hand."""
    with zipfile.ZipFile(example) as old, zipfile.ZipFile(target, "w") as new:
        for part in old.infolist():
            data, name = old.read(part), part.filename
            if name == "xl/workbook.xml":
                data = data.replace(b' fullCalcOnLoad="1"', calculation)
            if name == f"xl/worksheets/{FIXTURE_PART}":
                start = data.index(f'<c r="{cell}"'.encode())
                data = data[:start] + data[start:].replace(b"<v>0.28</v>", b"<f>" + formula + b"</f><v>0.28</v>", 1)
                name = rename or name
            if rename:
                data = data.replace(f"worksheets/{FIXTURE_PART}".encode(), rename.removeprefix("xl/").encode())
            new.writestr(name, data)
    return target


@pytest.fixture
def height_cell(example_cells):
    return example_cells["fixture.height_m"].rpartition("!")[2]


@pytest.mark.parametrize("rename", [None, "xl/worksheets/mine.xml"])
def test_formula_with_a_saved_value_is_taken_and_noted(example_xlsx, tmp_path, height_cell, rename):
    path = with_formula(example_xlsx, height_cell, b"0.14*2", tmp_path / "x.xlsx", rename=rename)
    inputs = read_inputs(path)
    assert not inputs.problems
    assert inputs.records["fixture"][0]["height_m"] == pytest.approx(0.28)
    [note] = [note for note in inputs.origin.notes if "holds a formula" in note]
    assert "mind" not in note


@pytest.mark.parametrize(
    ("formula", "words"),
    [(b"0.28+0*RAND()", "changes at every calculation"), (b"[1]Sheet1!$A$1", "reads another file")],
)
def test_formula_that_may_not_hold_tomorrow_is_cautioned(example_xlsx, tmp_path, height_cell, formula, words):
    path = with_formula(example_xlsx, height_cell, formula, tmp_path / "x.xlsx")
    assert any(words in note for note in read_inputs(path).origin.notes)


@pytest.mark.parametrize("flag", [b' fullCalcOnLoad="1"', b' fullCalcOnLoad="true"', b" fullCalcOnLoad='1'"])
def test_formula_of_a_file_that_still_has_to_calculate_stops(example_xlsx, tmp_path, height_cell, flag):
    path = with_formula(example_xlsx, height_cell, b"0.14*2", tmp_path / "x.xlsx", calculation=flag)
    [problem] = read_inputs(path).problems
    assert problem.problem == "a formula not yet calculated"


def test_percent_cells_are_shares_whatever_the_unit_says(example_xlsx, example_cells, tmp_path):
    book = openpyxl.load_workbook(example_xlsx)
    cell = book["Drivers"][example_cells["drivers[0].efficiency_fraction"].rpartition("!")[2]]
    cell.value, cell.number_format = 0.91, "0%"
    book.save(tmp_path / "x.xlsx")
    assert lc.read_workbook(tmp_path / "x.xlsx").drivers[0].efficiency_fraction == pytest.approx(0.91)


def test_units_typed_and_chosen(spoil):
    path = spoil({"fixture.height_m": "11 in", "cables[0].one_way_length_m": "4 ft 7 in"})
    with pytest.raises(InputErrors, match="unknown unit 'ft 7 in'"):
        lc.read_workbook(path)
    fixture = lc.read_workbook(spoil({"fixture.height_m": "11 in", "cables[0].one_way_length_m": "1400mm"}))
    assert fixture.height_m == pytest.approx(0.2794)
    assert fixture.cables[0].one_way_length_m == pytest.approx(1.4)


def test_names_in_any_script(spoil):
    fixture = lc.read_workbook(spoil({"fixture.name": "Ånäs växthus, 苗床 №3"}))
    assert fixture.name == "Ånäs växthus, 苗床 №3"


def test_ten_thousand_stray_rows(example_xlsx, tmp_path):
    """Formatted but empty rows are passed over; stray text far below is a row like any other, and named."""
    book = openpyxl.load_workbook(example_xlsx)
    for row in range(40, 10_040):
        book["Parts"].cell(row, 1).value = "   "
    book["Cables"].cell(9_000, 1).value = "W99"
    book.save(tmp_path / "x.xlsx")
    inputs = read_inputs(tmp_path / "x.xlsx")
    assert {problem.sheet for problem in inputs.problems} == {"Cables"}
    assert all("9000" in problem.cell for problem in inputs.problems)


def test_a_cell_in_the_last_row_is_no_trouble(spoil):
    with pytest.raises(InputErrors) as caught:
        lc.read_workbook(spoil({"Parts!A1048576": "last"}))
    assert {problem.cell for problem in caught.value.problems} <= {"B1048576", "C1048576"}


def test_input_bytes_never_change(example_xlsx, tmp_path):
    before = hashlib.sha256(example_xlsx.read_bytes()).hexdigest()
    lc.recalculate(example_xlsx, tmp_path / "out.xlsx")
    assert hashlib.sha256(example_xlsx.read_bytes()).hexdigest() == before


def zip_with(path, parts):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts:
            package.writestr(name, data)


def files(folder, example):
    data = example.read_bytes()
    (folder / "half.xlsx").write_bytes(data[: len(data) // 2])
    (folder / "text.xlsx").write_text("not a workbook")
    (folder / "empty.xlsx").write_bytes(b"")
    (folder / "old.xls").write_bytes(b"\xd0\xcf\x11\xe0" + bytes(100))
    (folder / "locked.xlsx").write_bytes(b"\xd0\xcf\x11\xe0" + bytes(1000))
    (folder / "picture.png").write_bytes(b"\x89PNG")
    (folder / "nothing").mkdir()
    zip_with(folder / "other.xlsx", [("word/document.xml", "<x/>")])
    zip_with(folder / "bomb.xlsx", [("xl/workbook.xml", "<x/>"), ("xl/media/a", bytes(150_000_000))])
    zip_with(folder / "out.xlsx", [("xl/workbook.xml", "<x/>"), ("../evil", "x")])
    zip_with(folder / "dtd.xlsx", [("xl/workbook.xml", "<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>")])
    zip_with(folder / "hollow.xlsx", [("xl/workbook.xml", "<workbook/>")])
    flipped = bytearray(data)
    flipped[len(data) // 3] ^= 0xFF
    (folder / "damaged.xlsx").write_bytes(bytes(flipped))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("missing.xlsx", "there is no such file"),
        ("half.xlsx", "only half of one"),
        ("text.xlsx", "is no workbook"),
        ("empty.xlsx", "is no workbook"),
        ("old.xls", "neither an .xlsx"),
        ("locked.xlsx", "encrypted"),
        ("picture.png", "neither an .xlsx"),
        ("nothing", "holds no CSV file"),
        ("other.xlsx", "is no .xlsx workbook"),
        ("bomb.xlsx", "may be a trap"),
        ("out.xlsx", "may be a trap"),
        ("dtd.xlsx", "document type"),
        ("hollow.xlsx", "cannot be read as a workbook"),
        ("damaged.xlsx", "xlsx"),
    ],
)
def test_files_that_are_no_input(name, words, example_xlsx, tmp_path):
    files(tmp_path, example_xlsx)
    with pytest.raises((FileProblem, InputErrors), match=words):
        lc.read_workbook(tmp_path / name)


def test_csv_folder_reads_like_the_workbook(example_csv, example_xlsx):
    assert lc.read_workbook(example_csv) == lc.read_workbook(example_xlsx)


def test_csv_with_semicolons_bom_titles_and_brackets(example_csv):
    text = (example_csv / "drivers.csv").read_text()
    (example_csv / "drivers.csv").unlink()
    rows = [
        line.split(",")
        for line in text.replace('"Voltage dial, low end"', "voltage_low_v")
        .replace('"Voltage dial, high end"', "voltage_high_v")
        .replace('"Current dial, low end"', "current_low_a")
        .replace('"Current dial, high end"', "current_high_a")
        .splitlines()
    ]
    rows[0][7] = "Efficiency (%)"
    del rows[1]
    (example_csv / "Drivers.csv").write_text("\n".join(";".join(row) for row in rows), encoding="utf-8-sig")
    assert lc.read_workbook(example_csv).drivers[0].efficiency_fraction == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"Field,Value\nRule set,\xff\xfe", "UTF-8"),
        (b"Field,Value\0\n", "zero bytes"),
        (b"nothing here", "no header row found"),
        (b"", "no header row found"),
    ],
)
def test_csv_that_is_no_text(example_csv, data, words):
    (example_csv / "site.csv").write_bytes(data)
    with pytest.raises((FileProblem, InputErrors), match=words):
        lc.read_workbook(example_csv)


def test_the_same_sheet_twice(example_csv):
    (example_csv / "Heat sinks.csv").write_bytes((example_csv / "heat_sinks.csv").read_bytes())
    with pytest.raises(InputErrors, match="stands twice"):
        lc.read_workbook(example_csv)


def test_formula_like_text_in_csv_is_text(example_csv):
    text = (
        (example_csv / "fixture.csv").read_text().replace("Winter seedling bench (invented example)", "'=HYPERLINK(1)")
    )
    (example_csv / "fixture.csv").write_text(text)
    assert lc.read_workbook(example_csv).name == "=HYPERLINK(1)"
