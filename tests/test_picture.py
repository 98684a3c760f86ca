"""The picture of the light field: this field, with its figures, no word over another; bad names are refused."""

import dataclasses
import itertools

import numpy as np
import pytest

import ledcalc as lc
from ledcalc.cli import main
from ledcalc.errors import ArgumentError, FileProblem
from ledcalc.fixture import SurveyCondition
from ledcalc.picture import drawn_picture, save_heights_picture, save_picture
from ledcalc.picture.lettering import width_in, wrapped
from ledcalc.picture.panels import Panel
from ledcalc.picture.saving import field_figure, heights_figure
from ledcalc.picture.scale import scale_of
from ledcalc.picture.sheet import arranged
from ledcalc.picture.words import figures_of

LONG_NAME = "A very long näme of a bench with $5 and $6 in it, " * 8


def over_a_crop(bench, width_m, depth_m, rows, columns, **changes):
    """The example's boards spread over a crop of another shape."""
    base = {
        "crop_width_m": width_m,
        "crop_depth_m": depth_m,
        "rows_count": rows,
        "columns_count": columns,
        "row_pitch_m": depth_m / rows,
        "column_pitch_m": width_m / columns,
        "light_readings": (),
    }
    return lc.evaluate(dataclasses.replace(bench, **(base | changes)))


def texts(figure):
    """All words on a figure that are seen, with their boxes in pixels."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.text import Text

    FigureCanvasAgg(figure).draw()
    unseen = set()
    for axis in (axis for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)):
        low, high = axis.get_view_interval()
        unseen |= {tick.label1 for tick in axis.get_major_ticks() if not low - 1e-9 <= tick.get_loc() <= high + 1e-9}
    found = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()]
    found = [text for text in found if text not in unseen]
    return [(text, text.get_window_extent()) for text in found]


def assert_nothing_lies_over_anything(figure):
    found = texts(figure)
    whole = figure.bbox
    for text, box in found:
        assert whole.x0 <= box.x0 < box.x1 <= whole.x1, text.get_text()
        assert whole.y0 <= box.y0 < box.y1 <= whole.y1, text.get_text()
    # Words of one line touch in their boxes' rims alone.
    for (one, first), (other, second) in itertools.combinations(found, 2):
        wide = min(first.x1, second.x1) - max(first.x0, second.x0)
        high = min(first.y1, second.y1) - max(first.y0, second.y0)
        if one.get_gid() == "level" and other.get_gid() == "level" and one.axes is other.axes:
            # Turned words: their boxes may meet, their middles keep apart.
            apart = (
                np.hypot(first.x0 + first.x1 - second.x0 - second.x1, first.y0 + first.y1 - second.y0 - second.y1) / 2
            )
            assert apart > 0.9 * min(max(first.width, first.height), max(second.width, second.height))
        else:
            assert wide < 1.0 or high < 2.0, (one.get_text(), other.get_text())
    return found


SHAPES = {
    "square": (1.0, 1.0, 4, 2),
    "tall": (0.4, 1.8, 8, 1),
    "wide": (6.0, 0.5, 1, 8),
    "very wide": (9.0, 0.2, 1, 8),
    "very tall": (0.15, 6.0, 8, 1),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_words_keep_apart_at_every_shape(shape, bench):
    results = over_a_crop(bench, *SHAPES[shape], name=LONG_NAME, ring_step_m=min(SHAPES[shape][:2]) / 3)
    assert_nothing_lies_over_anything(field_figure(results))
    assert_nothing_lies_over_anything(heights_figure(results, (0.6, 0.8, 1.0, 1.2, 1.6)))


def test_a_survey_stands_beside_the_prediction_on_one_scale(bench_results):
    figure = field_figure(bench_results)
    found = assert_nothing_lies_over_anything(figure)
    words = [text.get_text() for text, _ in found]
    assert "Measured: first map, 18 readings" in words
    assert {"156", "200", "216"} <= set(words)
    maps = [axes for axes in figure.axes if axes.get_xlabel() == "x in m"]
    predicted, measured = maps[0].images[0], maps[1].collections[0]
    assert predicted.get_clim() == measured.get_clim()
    assert np.asarray(measured.get_array()) == pytest.approx(
        [row.ppfd_umol_m2_s for row in bench_results.fixture.light_readings]
    )
    assert any("mean 190, predicted at the same 18 places 192" in word for word in (" ".join(words),))


def test_readings_beyond_the_crop_are_counted_in_words(bench):
    """Of the columns at 0.1, 0.3, 0.5, 0.7, 0.9 and 1.1 m four lie over a crop of 0.8 m; with 0.05 m none does."""
    results = lc.evaluate(dataclasses.replace(bench, crop_width_m=0.8))
    figure = field_figure(results)
    assert "Measured: first map, 18 readings, 6 of them beyond the crop" in {
        text.get_text() for text, _ in texts(figure)
    }
    measured = [axes for axes in figure.axes if axes.get_xlabel() == "x in m"][1].collections[0]
    assert len(measured.get_array()) == 12
    assert measured.get_offsets()[:, 0].max() == pytest.approx(0.7)
    narrow = field_figure(lc.evaluate(dataclasses.replace(bench, crop_width_m=0.05)))
    assert len([axes for axes in narrow.axes if axes.get_xlabel() == "x in m"]) == 1


def taken_row(bench, **changes):
    words = figures_of(results := lc.evaluate(dataclasses.replace(bench, **changes)), results.surveys[-1])
    return dict(words)["Taken"]


def test_a_survey_says_what_it_was_taken_under(bench):
    assert taken_row(bench) == "2026-11-20, Sensor 1; else as predicted"
    under = SurveyCondition(survey="first map", current_a=4.2, warm_up_h=0.75, air_temperature_c=19.0)
    other = SurveyCondition(survey="another", air_temperature_c=30.0)
    assert taken_row(bench, surveys=(under,)) == (
        "2026-11-20, Sensor 1, 4.2 A, 0.75 h after switch-on, air 19 degC; else as predicted"
    )
    readings = tuple(dataclasses.replace(row, taken_on=None, meter=None) for row in bench.light_readings)
    with_other = {"light_readings": (*readings, dataclasses.replace(readings[0], survey="another"))}
    assert taken_row(bench, surveys=(other,), **with_other) == "air 30 degC; else as predicted"
    assert taken_row(bench, light_readings=readings) == "not stated: compared as if as predicted"


def test_a_survey_at_another_height_does_not_stand_beside(bench):
    results = lc.evaluate(dataclasses.replace(bench, height_m=0.4))
    assert not any("Measured" in text.get_text() for text, _ in texts(field_figure(results)))


def test_readings_close_together_keep_their_discs_and_lose_their_figures(bench):
    close = tuple(
        lc.LightReading(survey="fine", x_m=0.02 * n, y_m=0.3, ppfd_umol_m2_s=100.0 + n, meter=None) for n in range(50)
    )
    figure = field_figure(lc.evaluate(dataclasses.replace(bench, light_readings=close)))
    words = [text.get_text() for text, _ in assert_nothing_lies_over_anything(figure)]
    assert "149" not in words


def test_the_map_is_the_fixtures_field(bench_results):
    """Every shade is the light at its place, worked out by the library for that place alone."""
    figure = field_figure(bench_results)
    field = np.asarray(figure.axes[0].images[0].get_array())
    assert field.shape == (40, 80)
    boards = bench_results.boards
    sources = [
        lc.LightSource(
            x_m=boards.x_m[n],
            y_m=boards.y_m[n],
            z_m=0.28,
            width_m=0.25,
            length_m=0.06,
            photon_flux_umol_s=boards.photon_flux_umol_s[n],
        )
        for n in range(8)
    ]
    for row, column in ((0, 0), (20, 40), (39, 79), (7, 31)):
        place = [(column + 0.5) * 1.2 / 80, (row + 0.5) * 0.6 / 40, 0.0]
        assert field[row, column] == pytest.approx(lc.ppfd_map(sources, place), rel=1e-9)


def test_isolines_lie_where_the_field_has_their_level(bench_results):
    from scipy.interpolate import RegularGridInterpolator

    figure = field_figure(bench_results)
    axes = figure.axes[0]
    field = np.asarray(axes.images[0].get_array())
    y, x = (np.arange(40) + 0.5) * 0.6 / 40, (np.arange(80) + 0.5) * 1.2 / 80
    light = RegularGridInterpolator((y, x), field)
    assert len(axes.lines) >= 6
    for line in axes.lines:
        along = light(np.column_stack([line.get_ydata(), line.get_xdata()]))
        level = round(float(np.median(along)) / 20.0) * 20.0
        assert along == pytest.approx(np.full(along.size, level), abs=0.5)


def test_outlines_and_rings(bench):
    results = lc.evaluate(dataclasses.replace(bench, rotation_deg=30.0, ring_step_m=0.25, light_readings=()))
    patches = field_figure(results).axes[0].patches
    assert len(patches) == 8 + 3
    board = patches[0].get_xy()[:4]
    # Sides of 0.25 m and 0.06 m whatever the turn; the middle where the board is.
    sides = np.sort(np.hypot(*np.diff(np.vstack([board, board[:1]]), axis=0).T))
    assert sides == pytest.approx([0.06, 0.06, 0.25, 0.25])
    assert board.mean(axis=0) == pytest.approx([results.boards.x_m[0], results.boards.y_m[0]])
    ring = patches[8].get_xy()[:4]
    assert np.ptp(ring, axis=0) == pytest.approx([0.25, 0.25])
    assert ring.mean(axis=0) == pytest.approx([0.6, 0.3])
    legend = "lines at these levels; outlines are the boards"
    assert field_figure(results).axes[-1].get_xlabel().endswith(f"{legend}, dashed ones rings")
    plain = lc.evaluate(dataclasses.replace(bench, light_readings=()))
    assert field_figure(plain).axes[-1].get_xlabel().endswith(legend)


def test_shades_stay_in_order_in_grey_print():
    from ledcalc.picture.panels import shades

    red, green, blue, _ = shades()(np.linspace(0.0, 1.0, 64)).T
    # Luma by the weights of ITU-R BT.601: it falls all the way, by half at least.
    grey = 0.299 * red + 0.587 * green + 0.114 * blue
    assert (np.diff(grey) < 0).all()
    assert grey[0] - grey[-1] > 0.45


@pytest.mark.parametrize(
    ("low", "high", "ends", "step"),
    [
        (102.0, 227.0, (100.0, 240.0), 20.0),
        (0.0, 1000.0, (0.0, 1000.0), 100.0),
        (199.0, 201.0, (135.0, 205.0), None),
        (0.0, 0.37, (0.0, 0.4), 0.05),
        (5.0, 5.0, None, None),
    ],
)
def test_scales_are_round_and_hold_all(low, high, ends, step):
    scale = scale_of(low, high)
    assert scale.low <= low < high + 1e-12 <= scale.high + 1e-9
    assert scale.high - scale.low >= 0.29 * high
    assert 2 <= len(scale.levels(scale.low, scale.high)) <= 14
    assert len({scale.shown(level) for level in scale.levels(scale.low, scale.high)}) == len(
        scale.levels(scale.low, scale.high)
    )
    if step:
        assert (scale.low, scale.high) == pytest.approx(ends)
        assert scale.step == pytest.approx(step)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6])
@pytest.mark.parametrize("shape", [0.05, 0.5, 1.0, 2.0, 20.0])
def test_maps_fit_their_cells_and_cells_the_sheet(count, shape):
    plan = arranged(count, shape)
    assert plan.rows * plan.columns >= count
    assert plan.columns * plan.cell_width_in <= 8.4 + 1e-9
    assert plan.width_in < plan.cell_width_in
    assert plan.height_in < plan.cell_height_in
    assert plan.rows * plan.cell_height_in < 11.0
    if 0.2 < shape < 5:
        assert plan.width_in / plan.height_in == pytest.approx(shape)


def test_lines_break_at_spaces_within_words_and_end_in_dots():
    assert wrapped("one two", 9.0, 8.0) == ["one two"]
    lines = wrapped("one two three four five", 0.5, 8.0)
    assert " ".join(lines) == "one two three four five"
    assert all(width_in(line, 8.0) <= 0.5 for line in lines)
    assert "".join(wrapped("x" * 40, 0.5, 8.0)) == "x" * 40
    cut = wrapped("one two three four five", 0.5, 8.0, most_lines=2)
    assert len(cut) == 2
    assert cut[-1].endswith("...")


# Files.


def test_picture_as_a_file_and_as_bytes(bench_results, tmp_path):
    from matplotlib.image import imread

    save_picture(bench_results, tmp_path / "field.png")
    picture = imread(tmp_path / "field.png")
    drawn = drawn_picture(bench_results)
    # The height ends within a pixel.
    assert picture.shape[:2] == pytest.approx((150 * drawn.height_in, 150 * drawn.width_in), abs=1)
    # Brighter light is drawn warmer and darker: the picture has more than paper and ink.
    assert len(np.unique(picture.reshape(-1, picture.shape[2]), axis=0)) > 200
    assert (tmp_path / "field.png").read_bytes() == drawn.png
    assert f"mean {bench_results.light.statistics.mean:.0f}" in drawn.description
    assert "8 boards 0.28 m above" in drawn.description


@pytest.mark.parametrize("ending", ["png", "pdf", "svg"])
def test_same_input_same_bytes(ending, bench_results, tmp_path):
    for name in ("a", "b"):
        save_picture(bench_results, tmp_path / f"{name}.{ending}")
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_words_of_the_picture(bench_results, tmp_path):
    save_picture(bench_results, tmp_path / "field.svg")
    # Text is drawn as outlines; its words stand in comments beside them.
    text = (tmp_path / "field.svg").read_text()
    assert text.lstrip().startswith("<?xml")
    light = bench_results.light
    for words in (
        "predicted, not measured",
        f"mean {light.statistics.mean:.0f}",
        "settled, everything warmed up; air 20 degC",
        "Twin-dial 120 at 4.4 A, 24 V",
        "8 x Bench bar 250, 0.28 m over the canopy",
        f"DLI {light.dli_mean_mol_m2_d:.1f}",
    ):
        assert words in text, words


def test_several_heights(bench, bench_results, tmp_path):
    figure = heights_figure(bench_results, (0.6, 1.0, 1.6))
    maps = [axes for axes in figure.axes if axes.get_xlabel() == "x in m"]
    assert len({axes.images[0].get_clim() for axes in maps}) == 1
    words = [text.get_text() for text, _ in texts(figure)]
    for height in (0.168, 0.28, 0.448):
        hung = lc.evaluate(dataclasses.replace(bench, height_m=height)).light.statistics
        assert f"{height:g} m: mean {hung.mean:.0f}, min/mean {hung.min_over_mean:.2f}" in words
    save_heights_picture(bench_results, tmp_path / "three.png")
    save_heights_picture(bench_results, tmp_path / "one.png", heights_m=[0.3, 0.3])
    assert (tmp_path / "three.png").stat().st_size > (tmp_path / "one.png").stat().st_size > 10_000


def test_refusals(bench, bench_results, tmp_path):
    for save in (save_picture, save_heights_picture):
        with pytest.raises(FileProblem, match="ending in"):
            save(bench_results, tmp_path / "field.txt")
        with pytest.raises(FileProblem):
            save(bench_results, tmp_path / "no" / "field.png")
    with pytest.raises(FileProblem, match="7 heights"):
        save_heights_picture(bench_results, tmp_path / "h.png", heights_m=np.arange(1, 8) / 10)
    with pytest.raises(ArgumentError, match="heights_m"):
        save_heights_picture(bench_results, tmp_path / "h.png", heights_m=[0.0])
    low = dataclasses.replace(bench.site, room_width_m=2.0, room_depth_m=2.0, room_height_m=0.5)
    with pytest.raises(FileProblem, match="above the ceiling"):
        save_heights_picture(
            lc.evaluate(dataclasses.replace(bench, site=low)), tmp_path / "h.png", heights_m=[0.6, 0.7]
        )
    cut = dataclasses.replace(bench.drivers[0], cut_off_v=25.0)
    dark = lc.evaluate(dataclasses.replace(bench, drivers=(cut,)))
    with pytest.raises(FileProblem, match="no light"):
        save_picture(dark, tmp_path / "dark.png")
    assert drawn_picture(dark) is None


def test_boards_above_the_ceiling_are_drawn_all_the_same(bench):
    """A finding says so; the map is the one of the sheets, direct light only."""
    low = dataclasses.replace(bench.site, room_width_m=2.0, room_depth_m=2.0, room_height_m=0.2)
    assert drawn_picture(lc.evaluate(dataclasses.replace(bench, site=low))) is not None


def test_names_in_any_letters(bench, tmp_path):
    save_picture(lc.evaluate(dataclasses.replace(bench, name="植物 $x_1$ \\frac")), tmp_path / "n.png")


def test_a_panel_knows_what_it_is():
    grid = Panel(heading="", x_m=np.ones(2), y_m=np.ones(3), ppfd_umol_m2_s=np.ones((3, 2)))
    places = Panel(heading="", x_m=np.ones(2), y_m=np.ones(2), ppfd_umol_m2_s=np.ones(2))
    assert grid.is_grid
    assert not places.is_grid


def test_commands(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["blank", "bench", "--example"]) == 0
    assert main(["picture", "bench", "--out", "field.png"]) == 0
    assert (tmp_path / "field.png").stat().st_size > 10_000
    assert main(["picture", "bench", "--out", "all.png", "--heights"]) == 0
    assert main(["picture", "bench", "--out", "two.svg", "--heights", "8 in", "0.4"]) == 0
    text = (tmp_path / "two.svg").read_text()
    assert "0.2032 m: mean" in text
    assert "0.4 m: mean" in text
    capsys.readouterr()
    assert main(["picture", "bench", "--out", "two.svg", "--heights", "high"]) == 2
    assert "--heights is 'high'" in capsys.readouterr().err
