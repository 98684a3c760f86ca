"""Ring means, maps at several heights, and the picture as the workbook has them; each by a second way."""

import csv
import dataclasses
import itertools
import struct
import zipfile

import numpy as np
import openpyxl
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import ArgumentError, FileProblem, InputErrors
from ledcalc.evaluation import light
from ledcalc.light_views import along_rings, at_heights, hung_sources
from ledcalc.photons import ppfd_grid_statistics, ppfd_map, ring_points, ring_sides
from ledcalc.records import records_from_fixture
from ledcalc.workbook.results import picture_path, write_results
from ledcalc.workbook.results.columns import maps_across, page_columns
from ledcalc.workbook.results.light import heights_page, light_page
from ledcalc.workbook.results.pages import FieldMap, FieldMaps, Image, Lines, Page, Table, col
from ledcalc.workbook.results.print_plan import PAGE_HEIGHT_IN, PAGE_WIDTH_IN, print_plan
from ledcalc.workbook.template import write_blank

# Rings.


def test_ring_points_lie_on_their_ring_at_even_steps():
    points = ring_points(1.2, (0.5, -0.2), spacing_m=0.1)
    assert len(points) == 4 * 12
    off = np.abs(points - [0.5, -0.2])
    assert off.max(axis=1) == pytest.approx(np.full(48, 0.6))
    step = np.hypot(*np.diff(np.vstack([points, points[:1]]), axis=0).T)
    assert step == pytest.approx(np.full(48, 0.1))
    for place in ((-0.1, -0.8), (1.1, 0.4), (0.5, -0.8), (1.1, -0.2)):
        assert np.hypot(*(points - place).T).min() < 1e-12


def test_no_fewer_than_eight_steps_a_side_and_no_more_than_two_hundred():
    assert len(ring_points(0.1, (0.0, 0.0), spacing_m=5.0)) == 32
    assert len(ring_points(9.0, (0.0, 0.0), spacing_m=1e-4)) == 800


@pytest.mark.parametrize(
    ("step", "sides"),
    [(None, [0.3, 0.6, 0.9, 1.2]), (0.3048, [0.3048, 0.6096, 0.9144, 1.2]), (0.4, [0.4, 0.8, 1.2]), (1.2, [1.2])],
)
def test_ring_sides(step, sides):
    assert ring_sides(1.2, step) == pytest.approx(sides)


@pytest.mark.parametrize(
    "call",
    [
        lambda: ring_sides(0.0),
        lambda: ring_sides(1.0, 0.0),
        lambda: ring_points(0.0, (0.0, 0.0), spacing_m=0.1),
        lambda: ring_points(1.0, (0.0, 0.0), spacing_m=0.0),
        lambda: ring_points(1.0, (0.0, 0.0, 0.0), spacing_m=0.1),
    ],
)
def test_rings_that_are_none_are_named(call):
    with pytest.raises(ArgumentError):
        call()


def in_room(bench, **changes):
    site = dataclasses.replace(
        bench.site, room_width_m=1.2, room_depth_m=0.6, room_height_m=1.0, wall_reflectance_fraction=0.9, **changes
    )
    return dataclasses.replace(bench, site=site)


def test_ring_means_are_integrals_along_the_rings(bench_results):
    """Each side of each ring by adaptive quadrature (SciPy) of the library's own light, boards placed by hand."""
    from scipy.integrate import quad

    sources = [
        lc.LightSource(
            x_m=0.15 + 0.3 * column,
            y_m=0.12 + 0.36 * row,
            z_m=0.28,
            width_m=0.25,
            length_m=0.06,
            photon_flux_umol_s=bench_results.boards.photon_flux_umol_s[4 * row + column],
        )
        for row in (0, 1)
        for column in range(4)
    ]
    for ring in along_rings(bench_results):
        half = ring.side_m / 2
        whole = 0.0
        for axis in (0, 1):
            for end in (-half, half):

                def at(along, axis=axis, end=end):
                    x, y = (along, end) if axis == 0 else (end, along)
                    return float(ppfd_map(sources, [0.6 + x, 0.3 + y, 0.0]))

                whole += quad(at, -half, half, epsrel=1e-6)[0]
        assert ring.mean_umol_m2_s == pytest.approx(whole / (4 * ring.side_m), rel=2e-3)
        assert ring.minimum_umol_m2_s < ring.mean_umol_m2_s < ring.maximum_umol_m2_s
        assert ring.share_of_mean_fraction == pytest.approx(ring.mean_umol_m2_s / bench_results.light.statistics.mean)


def test_ring_means_are_those_of_readings_taken_there(bench):
    """The grid statistics, given the rings' points as readings, find the same means."""
    results = lc.evaluate(dataclasses.replace(bench, ring_step_m=0.2))
    rings = along_rings(results)
    assert [ring.side_m for ring in rings] == pytest.approx([0.2, 0.4, 0.6])
    places = np.concatenate([ring_points(ring.side_m, (0.6, 0.3), spacing_m=0.05) for ring in rings])
    read = ppfd_map(hung_sources(results), np.column_stack([places, np.zeros(len(places))]))
    statistics = ppfd_grid_statistics(
        *places.T, read, ring_sides_m=[ring.side_m for ring in rings], ring_tolerance_m=0.01, centre_m=(0.6, 0.3)
    )
    assert statistics.ring_means == pytest.approx([ring.mean_umol_m2_s for ring in rings])
    assert statistics.ring_counts.tolist() == [ring.point_count for ring in rings]


def test_the_room_is_solved_once_for_map_readings_and_rings(bench, monkeypatch):
    solved, prepare = [], lc.Room.prepare

    def counted(room, *points, **more):
        solved.append(room)
        return prepare(room, *points, **more)

    monkeypatch.setattr(lc.Room, "prepare", counted)
    # A room of no other test, so that none is kept from there.
    results = lc.evaluate(in_room(bench, floor_reflectance_fraction=0.123))
    rings = along_rings(results)
    assert len(solved) == 1
    # And what they see is what a room prepared for these points gives.
    sources = hung_sources(results)
    room = light.room_about(results.fixture, sources)
    places = ring_points(rings[1].side_m, (0.6, 0.3), spacing_m=0.05)
    alone = ppfd_map(sources, np.column_stack([places, np.zeros(len(places))]), room=room)
    assert rings[1].mean_umol_m2_s == pytest.approx(float(np.mean(alone)), rel=1e-9)


@pytest.mark.parametrize("mirror", [0.0, 0.5])
def test_light_does_not_jump_in_the_edge_of_two_walls(bench, mirror):
    results = lc.evaluate(in_room(bench, mirror_share_fraction=mirror))
    sources = hung_sources(results)
    places = np.array([0.0, 0.002]), np.array([0.0, 0.002])
    edge, near = light.light_over_crop(results.fixture, sources, *places)
    assert edge == pytest.approx(near, rel=0.02)


def test_a_step_that_does_not_go_with_the_crop_is_named(bench):
    for step in (0.7, 0.01):
        with pytest.raises(InputErrors, match=r"shorter side is 0\.6 m"):
            lc.evaluate(dataclasses.replace(bench, ring_step_m=step))
    for step in (0.6, 0.03):
        assert len(along_rings(lc.evaluate(dataclasses.replace(bench, ring_step_m=step)))) == round(0.6 / step)


def test_rings_on_the_sheet(bench, bench_results):
    page = light_page(bench_results)
    [table] = [block for block in page.blocks if isinstance(block, Table)]
    assert [row[0] for row in table.rows] == pytest.approx([0.15, 0.3, 0.45, 0.6])
    rings = along_rings(bench_results)
    for row, ring in zip(table.rows, rings, strict=True):
        assert row[1:4] == (ring.mean_umol_m2_s, ring.minimum_umol_m2_s, ring.maximum_umol_m2_s)
        assert row[4:] == (pytest.approx(100 * ring.share_of_mean_fraction), ring.point_count)
    words = " ".join(line for block in page.blocks if isinstance(block, Lines) for line in block.lines)
    assert "no ring step is given" in words
    assert "of a wall" not in words
    near = light_page(lc.evaluate(dataclasses.replace(in_room(bench), ring_step_m=0.2)))
    words = " ".join(line for block in near.blocks if isinstance(block, Lines) for line in block.lines)
    assert "every 0.2 m" in words
    assert "The ring of 0.6 m runs within 5 cm of a wall" in words


def test_new_inputs_go_through_workbook_and_folder(bench, tmp_path):
    fixture = dataclasses.replace(bench, ring_step_m=0.2, picture="yes")
    for name in ("copy.xlsx", "copy"):
        write_blank(tmp_path / name, records=records_from_fixture(fixture))
        assert lc.read_workbook(tmp_path / name) == fixture
    path = tmp_path / "copy" / "fixture.csv"
    path.write_text(
        path.read_text().replace("Ring step,0.2,m", "Ring step,8 in,m").replace("Picture,yes", "Picture,maybe")
    )
    with pytest.raises(InputErrors, match="maybe"):
        lc.read_workbook(tmp_path / "copy")
    path.write_text(path.read_text().replace("Picture,maybe", "Picture,Yes"))
    assert lc.read_workbook(tmp_path / "copy").ring_step_m == pytest.approx(0.2032)


# Maps at several heights.


def test_heights_stand_under_one_another_on_one_scale(bench, bench_results, tmp_path):
    page = heights_page(bench_results)
    [maps] = [block for block in page.blocks if isinstance(block, FieldMaps)]
    assert [one.heading.split()[0] for one in maps.maps] == ["0.168", "0.28", "0.448"]
    for one in maps.maps:
        height = float(one.heading.split()[0])
        hung = lc.evaluate(dataclasses.replace(bench, height_m=height)).light.ppfd_umol_m2_s
        assert one.ppfd_umol_m2_s == pytest.approx(hung, rel=1e-9)
        assert len(one.boards) == 8
    low = min(one.ppfd_umol_m2_s.min() for one in maps.maps)
    high = max(one.ppfd_umol_m2_s.max() for one in maps.maps)
    assert (maps.lowest_umol_m2_s, maps.highest_umol_m2_s) == (low, high)
    assert f"palest {low:.0f}, darkest {high:.0f}" in maps.heading
    write_results(bench_results, tmp_path / "r.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Heights"]
    rules = [rule for area in sheet.conditional_formatting for rule in area.rules]
    assert len(rules) == 3
    for rule in rules:
        ends = [(end.type, float(end.val)) for end in rule.colorScale.cfvo]
        assert ends == [("num", pytest.approx(low)), ("num", pytest.approx(high))]
    thick = [cell for row in sheet.iter_rows() for cell in row if cell.border.left.style == "medium"]
    assert len(thick) == 3 * 8


def test_values_of_the_maps_stand_where_they_belong(bench_results, tmp_path):
    write_results(bench_results, tmp_path / "r.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Heights"]
    for at in at_heights(bench_results, (0.6, 1.0, 1.6)):
        head = next(c for row in sheet.iter_rows() for c in row if c.value == f"{at.height_m:g} m over the canopy")
        values = [[sheet.cell(head.row + 1 + r, 2 + c).value for c in range(24)] for r in range(12)]
        assert np.array(values) == pytest.approx(at.ppfd_umol_m2_s[::-1], rel=1e-12)


def test_outlines_of_turned_boards_are_said_to_be_boxes(bench):
    for turn, words in ((0.0, "the boards"), (-90.0, "the boards"), (180.0, "the boards"), (30.0, "turned ones")):
        results = lc.evaluate(dataclasses.replace(bench, rotation_deg=turn))
        drawn = [light_page(results).blocks[-1], heights_page(results).blocks[-1]]
        assert all(f"{words};" in f"{block.heading};" for block in drawn), turn


def test_small_maps_stand_side_by_side(bench, tmp_path):
    small = lc.evaluate(dataclasses.replace(bench, map_columns_count=8, map_rows_count=4))
    [maps] = [block for block in heights_page(small).blocks if isinstance(block, FieldMaps)]
    assert maps_across(maps) == [0, 10, 20]
    write_results(small, tmp_path / "r.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Heights"]
    heads = [c for row in sheet.iter_rows() for c in row if str(c.value).endswith("m over the canopy")]
    assert len({head.row for head in heads}) == 1
    assert [head.column for head in heads] == [1, 11, 21]
    for head, at in zip(heads, at_heights(small, (0.6, 1.0, 1.6)), strict=True):
        values = [[sheet.cell(head.row + 1 + r, head.column + 1 + c).value for c in range(8)] for r in range(4)]
        assert np.array(values) == pytest.approx(at.ppfd_umol_m2_s[::-1], rel=1e-12)


def test_under_a_low_ceiling_there_are_fewer_maps(bench):
    site = dataclasses.replace(bench.site, room_width_m=2.0, room_depth_m=2.0, room_height_m=0.3)
    [maps] = [
        block
        for block in heights_page(lc.evaluate(dataclasses.replace(bench, site=site))).blocks
        if isinstance(block, FieldMaps)
    ]
    assert [one.heading.split()[0] for one in maps.maps] == ["0.168", "0.28"]
    site = dataclasses.replace(site, room_height_m=0.1)
    page = heights_page(lc.evaluate(dataclasses.replace(bench, site=site)))
    assert not any(isinstance(block, FieldMaps) for block in page.blocks)


def test_maps_at_heights_in_the_csv_folder(bench_results, tmp_path):
    write_results(bench_results, tmp_path / "out")
    rows = list(csv.reader((tmp_path / "out" / "Heights.csv").read_text().splitlines()))
    head = next(n for n, row in enumerate(rows) if row[:1] == ["0.448 m over the canopy"])
    found = np.array([[float(value) for value in row[1:]] for row in rows[head + 2 : head + 14]])
    assert found == pytest.approx(at_heights(bench_results, (1.6,))[0].ppfd_umol_m2_s[::-1], rel=1e-10)


def test_other_points_than_the_maps(bench_results):
    [own] = at_heights(bench_results, (1.0,))
    x, y = bench_results.light.x_m[:3], bench_results.light.y_m[:2]
    [some] = at_heights(bench_results, (1.0,), axes_m=(x, y))
    assert some.ppfd_umol_m2_s == pytest.approx(own.ppfd_umol_m2_s[:2, :3])


# Pages with maps, in print.


def test_tables_on_narrow_pages_span_columns_and_charts_find_them(bench_results, tmp_path):
    write_results(bench_results, tmp_path / "r.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Heights"]
    head = {c.value: c for row in sheet.iter_rows() for c in row if isinstance(c.value, str)}
    assert [head[name].column for name in ("Height over canopy", "Mean PPFD", "Lowest PPFD")] == [1, 4, 7]
    assert f"D{head['Mean PPFD'].row}:F{head['Mean PPFD'].row}" in {str(area) for area in sheet.merged_cells.ranges}
    with zipfile.ZipFile(tmp_path / "r.xlsx") as package:
        charts = [package.read(name).decode() for name in package.namelist() if "charts/chart" in name]
    [chart] = [text for text in charts if "over the height" in text]
    first = head["Mean PPFD"].row + 2
    assert f"$D${first}:$D${first + 4}" in chart
    assert f"$G${first}:$G${first + 4}" in chart


def test_no_part_is_torn_in_print():
    page = PAGE_HEIGHT_IN * 72
    plan = print_plan([2, 20, 30, 60], 70, {20: 100.0}, 20, 6.3)
    rows = [0, *plan.breaks, 70]
    column_in = int(6.3 * 7 + 5) / 96
    scale = PAGE_WIDTH_IN / (plan.columns_count * column_in)
    assert scale <= 1.0
    for first, last in itertools.pairwise(rows):
        assert sum(100.0 if row == 20 else 15.0 for row in range(first, last)) * scale <= page
    assert set(plan.breaks) <= {20, 30, 60}
    # One part too tall for a page of usual size makes the print smaller; far too tall, it is torn, and can be read.
    assert print_plan([2], 60, {}, 20, 6.3).columns_count > 20
    assert print_plan([2], 6000, {}, 20, 6.3).columns_count == print_plan([2], 9000, {}, 20, 6.3).columns_count


def test_columns_of_a_page_with_a_wide_table_hold_it():
    table = Table(heading="", columns=tuple(col(f"c{n}", width=19) for n in range(10)), rows=())
    one = FieldMap(heading="", x_m=np.arange(3.0), y_m=np.arange(3.0), ppfd_umol_m2_s=np.ones((3, 3)), boards=())
    columns = page_columns(Page(title="t", lead="", blocks=(table, one)))
    assert columns.is_narrow
    assert sum(taken.span for taken in columns.of_table(table)) == len(columns.widths) == 30


# The picture on the sheet and beside it.


def png_size(data):
    """Width and height as the PNG's header has them (ISO/IEC 15948: IHDR comes first)."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    return struct.unpack(">II", data[16:24])


@pytest.mark.parametrize("asked", ["by the sheet", "by the command"])
def test_picture_in_the_workbook_and_beside_it(asked, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench", "--example"]) == 0
    path = tmp_path / "bench" / "fixture.csv"
    if asked == "by the sheet":
        path.write_text(path.read_text().replace("Picture,,", "Picture,yes,"))
    more = ["--with-picture"] if asked == "by the command" else []
    assert main(["recalculate", "bench", "--out", "r.xlsx", *more]) == 0
    assert "wrote r-light-field.png" in capsys.readouterr().out
    beside = (tmp_path / "r-light-field.png").read_bytes()
    assert png_size(beside)[0] == 1350
    with zipfile.ZipFile("r.xlsx") as package:
        [name] = [name for name in package.namelist() if name.startswith("xl/media/")]
        assert package.read(name) == beside
        drawings = [package.read(name).decode() for name in package.namelist() if "drawings/drawing" in name]
    assert any('descr="Map of the PPFD over the crop of 1.2 by 0.6 m' in text for text in drawings)
    assert main(["recalculate", "bench", "--out", "folder", *more]) == 0
    assert (tmp_path / "folder" / "Light field.png").read_bytes() == beside
    assert "wrote folder" in capsys.readouterr().out
    # Once more: the earlier picture and folder are ledcalc's own.
    assert main(["recalculate", "bench", "--out", "r.xlsx", *more]) == 0
    assert main(["recalculate", "bench", "--out", "folder", *more]) == 0


def test_picture_in_the_users_own_workbook(tmp_path, monkeypatch, capsys):
    """Put in once however often it is recalculated, taken out with the results that had it, and kept beside."""
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench.xlsx", "--example"]) == 0
    for _ in range(2):
        assert main(["recalculate", "bench.xlsx", "--into", "--with-picture"]) == 0
        assert "wrote bench-light-field.png" in capsys.readouterr().out
        beside = (tmp_path / "bench-light-field.png").read_bytes()
        with zipfile.ZipFile("bench.xlsx") as package:
            [name] = [name for name in package.namelist() if name.startswith("xl/media/")]
            assert package.read(name) == beside
            assert b'Extension="png"' in package.read("[Content_Types].xml")
        [page] = [sheet for sheet in openpyxl.load_workbook("bench.xlsx") if sheet.title.startswith("Light field")]
        assert len(page._images) == 1
    assert main(["recalculate", "bench.xlsx", "--into"]) == 0
    assert "light-field" not in capsys.readouterr().out
    with zipfile.ZipFile("bench.xlsx") as package:
        assert not [name for name in package.namelist() if name.startswith("xl/media/")]


def test_a_foreign_picture_stops_results_in_the_users_own_workbook(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench.xlsx", "--example"]) == 0
    before = (tmp_path / "bench.xlsx").read_bytes()
    (tmp_path / "bench-light-field.png").write_bytes(b"a photograph")
    assert main(["recalculate", "bench.xlsx", "--into", "--with-picture"]) == 2
    assert "was not drawn by ledcalc" in capsys.readouterr().err
    assert (tmp_path / "bench.xlsx").read_bytes() == before
    assert picture_path(tmp_path / "bench.xlsm").name == "bench-light-field.png"


def test_no_picture_unless_asked(bench_results, tmp_path):
    write_results(bench_results, tmp_path / "r.xlsx")
    write_results(bench_results, tmp_path / "out")
    assert not picture_path(tmp_path / "r.xlsx").exists()
    assert not picture_path(tmp_path / "out").exists()


def test_the_switch_may_be_overruled(bench, tmp_path):
    asked = lc.evaluate(dataclasses.replace(bench, picture="yes"))
    write_results(asked, tmp_path / "r.xlsx", with_picture=False)
    assert not picture_path(tmp_path / "r.xlsx").exists()
    write_results(asked, tmp_path / "r.xlsx")
    assert picture_path(tmp_path / "r.xlsx").exists()


def test_a_picture_that_is_not_ours_is_not_replaced(bench_results, tmp_path):
    mine = picture_path(tmp_path / "r.xlsx")
    mine.write_bytes(b"\x89PNG a photograph")
    with pytest.raises(FileProblem, match="not drawn by ledcalc"):
        write_results(bench_results, tmp_path / "r.xlsx", with_picture=True)
    assert mine.read_bytes() == b"\x89PNG a photograph"
    assert not (tmp_path / "r.xlsx").exists()


def test_without_light_the_page_says_why_there_is_no_picture(bench, tmp_path):
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=25.0)
    dark = lc.evaluate(dataclasses.replace(bench, drivers=(cut,), picture="yes"))
    write_results(dark, tmp_path / "r.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Light field"]
    assert "There is no light to show." in {cell.value for row in sheet.iter_rows() for cell in row}
    assert not picture_path(tmp_path / "r.xlsx").exists()


def test_a_picture_block_has_room(bench_results, tmp_path):
    """What stands under the picture on the sheet stands clear of it."""
    from ledcalc.workbook.results.picture import picture_block

    block = picture_block(bench_results)
    assert isinstance(block, Image)
    assert png_size(block.png) == pytest.approx((150 * block.width_in, 150 * block.height_in), abs=1)
    write_results(bench_results, tmp_path / "r.xlsx", with_picture=True)
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Light field"]
    last = int(sheet.print_area.split("$")[-1])
    [image] = sheet._images
    # By its size alone, so that no width of a column stretches it; the rows set aside are as high as it is.
    size, emu_per_inch, usual_row_in = image.anchor.ext, 914_400, 15 / 72
    assert size.width / size.height == pytest.approx(block.width_in / block.height_in, rel=1e-3)
    assert size.height == pytest.approx(emu_per_inch * min(7.8, block.height_in), rel=1e-3)
    assert image.anchor._from.row + size.height / emu_per_inch / usual_row_in < last
