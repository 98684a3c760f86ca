"""What the example costs: parts counted, seasons, tariff, owning; by hand or against the evaluation it rests on."""

import dataclasses

import openpyxl
import pytest

import ledcalc as lc
from ledcalc.checks import trade_problems
from ledcalc.cost import annuity_fraction, renewals_value
from ledcalc.owning import needed_counts
from ledcalc.records import records_from_fixture
from ledcalc.schema import parse, sheet
from ledcalc.workbook.results.write import pages_of
from ledcalc.workbook.template import write_blank


def with_rows(fixture, **rows):
    return dataclasses.replace(fixture, origin=None, **rows)


NIGHT = lc.TariffHours(tag="night", price_per_kwh=0.11, from_h=22.0, to_h=6.0)
PEAK = lc.TariffHours(tag="peak", price_per_kwh=0.36, from_h=17.0, to_h=20.5, days="Monday to Friday")


def test_a_flat_price_by_hand(bench_results):
    """Mains power for 16 h on 150 days at 0.22; parts 92 + 33.6 + 39 + 11 + 14 = 189.60, 18.00 to send them."""
    cost, power = bench_results.cost, bench_results.operating.mains_power_w
    assert cost.energy_kwh == pytest.approx(power * 2400 / 1000, rel=1e-12)
    assert cost.energy_cost == pytest.approx(power * 2.4 * 0.22, rel=1e-12)
    assert cost.energy_cost_per_day == pytest.approx(power * 0.016 * 0.22)
    assert cost.parts_cost == pytest.approx(189.6)
    assert cost.purchase.total_cost == pytest.approx(207.6)
    assert cost.purchase_cost_per_umol_s == pytest.approx(207.6 / bench_results.light.photon_flux_umol_s)
    # 50,000 h at 2400 h a year: 8 boards of 11.50 and a driver of 39.00 in 20.83 years.
    assert cost.renewal_cost == pytest.approx(131.0 / 20.8333, rel=1e-4)
    assert cost.running_cost == pytest.approx(cost.energy_cost + cost.renewal_cost)
    # Within ten years nothing wears out: a tenth of what was bought, and energy.
    assert cost.owning_cost == pytest.approx(20.76 + cost.energy_cost)
    photons = bench_results.light.statistics.area_weighted_mean * 0.72 * 2400 * 3600 / 1e6
    assert cost.owning_cost_per_mol == pytest.approx(cost.owning_cost / photons)
    assert cost.owning_cost_per_dli_m2 == pytest.approx(
        cost.owning_cost / bench_results.light.dli_mean_mol_m2_d / 0.72, rel=1e-6
    )
    assert cost.periods == ()


def test_blank_quantities_are_counted_on_each_variant(bench):
    """Six boards on the same driver: two boards and two sinks fewer, 31.40 less."""
    kept = tuple(cable for cable in bench.cables if cable.to_node in {"B1", "B2", "B3", "B4", "B5", "B6"})
    six = dataclasses.replace(bench, columns_count=3, cables=kept, current_log=(), light_readings=(), origin=None)
    assert lc.evaluate(six).cost.parts_cost == pytest.approx(189.6 - 2 * (11.5 + 4.2))


def test_what_is_needed(bench):
    needed = needed_counts(bench)
    assert (needed["Bench bar 250"], needed["Channel 300"], needed["Twin-dial 120"]) == (8.0, 8.0, 1.0)
    # Each run: 5 % and two loops of 0.08 m more, up to the next 5 mm; 8.8 m of paths (as the wire schedule has them).
    assert needed["18 AWG"] == pytest.approx(10.68)
    spare = dataclasses.replace(bench.boards[0], tag="unused")
    assert needed_counts(dataclasses.replace(bench, boards=(*bench.boards, spare)))["unused"] == 0.0


def test_a_shared_sink_counts_once(bench):
    places = tuple(
        lc.Position(tag=f"B{n}", x_m=0.1 * n, y_m=0.1, shared_sink="rail" if n < 4 else None) for n in range(1, 9)
    )
    assert needed_counts(dataclasses.replace(bench, positions=places))["Channel 300"] == 6.0


def test_packs_spares_duty_and_tax(bench):
    """Boards in packs of 5 at 55.00, one spare: 2 packs. Goods 207.60, shipping 18, duty 10 % of 225.60: 22.56, tax
    20 % of 248.16: 49.632 (hand calculation)."""
    changes = {"parts[0].pack_count": 5, "parts[0].price": 55.0, "parts[0].spares_count": 1}
    changes |= {"costs.duty_fraction": 0.1, "costs.tax_fraction": 0.2}
    purchase = lc.evaluate(lc.with_values(bench, changes)).cost.purchase
    assert (purchase.lines[0].packs_count, purchase.lines[0].left_over_count) == (2, 2)
    assert (purchase.goods_cost, purchase.duty_cost, purchase.tax_cost) == pytest.approx((207.6, 22.56, 49.632))
    assert purchase.lines[0].renewal_cost == pytest.approx(8 * 11.0 / (50_000 / 2400))
    without = lc.evaluate(lc.with_values(bench, {**changes, "costs.duty_on_shipping": "no"})).cost.purchase
    assert without.duty_cost == pytest.approx(20.76)


def test_seasons_are_the_sum_of_variants_dimmed_so(bench):
    seasons = (
        lc.Season(tag="winter", from_month=12, to_month=2, days_lit_count=80),
        lc.Season(tag="spring", from_month=3, to_month=3, photoperiod_h=12.0, dimming_fraction=0.6),
    )
    cost = lc.evaluate(with_rows(bench, seasons=seasons)).cost
    full = lc.evaluate(bench)
    soft = lc.evaluate(lc.with_values(bench, {"fixture.dimming_fraction": 0.6}))
    watts = (full.operating.mains_power_w, soft.operating.mains_power_w)
    assert cost.energy_kwh == pytest.approx((watts[0] * 16 * 80 + watts[1] * 12 * 31) / 1000)
    photons = [results.light.canopy_flux_umol_s for results in (full, soft)]
    # Dimmed, the boards share the current a little differently, which the field's kept shape leaves out.
    assert cost.canopy_photons_mol == pytest.approx((photons[0] * 16 * 80 + photons[1] * 12 * 31) * 0.0036, rel=1e-4)
    assert cost.lit_h == 16 * 80 + 12 * 31
    assert cost.energy_cost_per_day == pytest.approx(cost.energy_cost / 111)


def test_a_tariff_with_the_light_at_its_cheapest(bench):
    """16 h by hand: 8 h of night, and 8 h at the site's 0.22 with no peak, if lit from 20:30 to 12:30."""
    cost = lc.evaluate(with_rows(bench, tariff=(NIGHT, PEAK))).cost
    (year,) = cost.seasons
    assert year.lights_on_h == 20.5
    assert year.mean_price_per_kwh == pytest.approx(0.5 * 0.11 + 0.5 * 0.22)
    assert cost.energy_cost == pytest.approx(cost.energy_kwh * 0.165)
    assert {one.tag: one.energy_kwh / cost.energy_kwh for one in cost.periods} == pytest.approx(
        {"night": 0.5, "peak": 0.0, "other hours": 0.5}
    )


def test_a_time_that_is_given_is_kept_and_charges_come_on_top(bench):
    """From 6 to 22 o'clock: on five days of seven 3.5 h of peak, the rest at 0.22 (hand calculation)."""
    priced = with_rows(bench, tariff=(NIGHT, PEAK))
    changes = {"costs.lights_on_h": 6.0, "costs.standing_charge_per_day": 0.1, "costs.demand_charge_per_kw_day": 0.4}
    results = lc.evaluate(lc.with_values(priced, changes))
    cost = results.cost
    assert cost.seasons[0].mean_price_per_kwh == pytest.approx(0.22 + 5 / 7 * 3.5 / 16 * 0.14)
    assert cost.standing_cost == pytest.approx(36.5)
    assert cost.demand_cost == pytest.approx(0.4 * results.operating.mains_power_w / 1000 * 150)
    assert cost.running_cost == pytest.approx(
        cost.energy_cost + cost.standing_cost + cost.demand_cost + cost.renewal_cost
    )
    assert not [one for one in results.assumptions if one.path == "costs.lights_on_h"]


def test_owning_over_years_in_which_parts_wear_out(bench):
    """4000 h of life at 2400 h a year is 1.67 years: renewed 5 times in 10 years."""
    changes = {"parts[2].life_h": 4000.0, "parts[0].life_h": None, "costs.discount_fraction": 0.04}
    cost = lc.evaluate(lc.with_values(bench, changes)).cost
    worn = renewals_value(39.0, 4000 / 2400, service_years=10, discount_fraction=0.04)
    assert 4 * 39 < worn < 5 * 39
    expected = (207.6 + worn) * annuity_fraction(10, discount_fraction=0.04) + cost.energy_cost
    assert cost.owning_cost == pytest.approx(expected)
    blank = lc.evaluate(lc.with_values(bench, {"costs.service_years": None})).cost
    assert blank.owning_cost != blank.owning_cost
    assert blank.running_cost > 0


def test_without_parts_nothing_is_said_of_buying(bench):
    cost = lc.evaluate(with_rows(bench, parts=())).cost
    assert (cost.parts_cost, cost.purchase) == (None, None)
    assert cost.owning_cost != cost.owning_cost
    assert cost.running_cost == pytest.approx(cost.energy_cost)


def problems(fixture, **rows):
    records = records_from_fixture(fixture)
    records |= {key: [dict(row) for row in value] for key, value in rows.items()}
    return [f"{one.sheet}[{one.row}].{one.field}: {one.problem}" for one in trade_problems(records)]


def test_contradictions_are_named(bench):
    night = dataclasses.asdict(NIGHT)
    early = dataclasses.asdict(dataclasses.replace(NIGHT, tag="early", from_h=5.0, to_h=7.0, days="Tuesday"))
    assert problems(bench, tariff=[night, early]) == [
        "tariff[1].from_h: 'early' and 'night' both hold on Tuesday from 5 h in month 1"
    ]
    assert problems(bench, tariff=[night, {**early, "from_h": 6.0}]) == []
    assert problems(bench, tariff=[{**night, "to_h": 22.0}]) == ["tariff[0].to_h: it ends when it starts"]
    winter = {"tag": "winter", "from_month": 11, "to_month": 2}
    assert problems(bench, seasons=[winter, {"tag": "late", "from_month": 2, "to_month": 4}]) == [
        "seasons[1].from_month: month 2 is in 'winter' already"
    ]
    assert problems(bench, seasons=[{**winter, "days_lit_count": 122}]) == [
        "seasons[0].days_lit_count: more days than these months have"
    ]
    assert problems(bench, seasons=[{**winter, "days_lit_count": 121}]) == []
    assert problems(bench, parts=[{"tag": "Bench bar 25", "price": 1.0}]) == [
        "parts[0].quantity: blank, and no board, heat sink, driver or wire size is called 'Bench bar 25'"
    ]


def test_rows_with_holes_are_left_to_the_reader(bench):
    assert problems(bench, tariff=[{"tag": "night"}], seasons=[{"tag": "winter"}], parts=[{"price": 1.0}]) == []


@pytest.mark.parametrize(("typed", "hours"), [("7:30", 7.5), ("22:00", 22.0), (7.25, 7.25), ("6 h", 6.0)])
def test_times_of_day_as_people_type_them(typed, hours):
    assert parse(sheet("tariff").field("from_h"), typed) == hours


def test_times_formatted_as_such_and_back_through_a_workbook(bench, tmp_path):
    """Sheets of their own in the template, read back as they were; times that the spreadsheet formats as times too."""
    seasons = (lc.Season(tag="winter", from_month=11, to_month=2, dimming_fraction=0.8),)
    full = with_rows(bench, tariff=(NIGHT, PEAK), seasons=seasons)
    full = lc.with_values(full, {"costs.standing_charge_per_day": 0.12, "costs.service_years": 8.0})
    path = tmp_path / "full.xlsx"
    write_blank(path, records=records_from_fixture(full))
    assert lc.read_workbook(path) == full
    book = openpyxl.load_workbook(path)
    import datetime

    page = book["Tariff"]
    (cell,) = [one for row in page.iter_rows() for one in row if one.value == 20.5]
    cell.value, cell.number_format = datetime.time(20, 30), "h:mm"
    (unit,) = [one for row in book["Costs"].iter_rows() for one in row if one.value == "per day"]
    unit.value = "per month"
    book.save(path)
    read = lc.read_workbook(path)
    assert read.tariff == full.tariff
    assert read.costs.standing_charge_per_day == pytest.approx(0.12 * 12 / 365)


def labels_on(page):
    facts = [fact.label for block in page.blocks for fact in getattr(block, "facts", ())]
    return facts + [column.label for block in page.blocks for column in getattr(block, "columns", ())]


def test_pages_show_what_was_given_and_no_more(bench, bench_results):
    plain = {page.title: page for page in pages_of(bench_results)}
    assert "Hours and tariff" not in plain
    labels = labels_on(plain["Cost and energy"])
    assert "Owning it, a year" in labels
    assert not {"Standing charge a year", "Duty", "Pack of"} & set(labels)
    full = lc.with_values(
        with_rows(bench, tariff=(NIGHT,)),
        {"costs.standing_charge_per_day": 0.1, "costs.duty_fraction": 0.05, "parts[0].pack_count": 4},
    )
    pages = {page.title: page for page in pages_of(lc.evaluate(full))}
    assert {"Standing charge a year", "Duty", "Pack of"} <= set(labels_on(pages["Cost and energy"]))
    (year,) = pages["Hours and tariff"].blocks[0].rows
    assert year[4:6] == ("14:00", "6:00")


def test_assumptions_say_what_was_taken_for_granted(bench):
    full = lc.with_values(
        with_rows(
            bench, tariff=(NIGHT,), seasons=(lc.Season(tag="w", from_month=1, to_month=2, dimming_fraction=0.5),)
        ),
        {"costs.duty_fraction": 0.05},
    )
    paths = {one.path for one in lc.evaluate(full).assumptions}
    assert {"tariff", "costs.lights_on_h", "seasons", "costs.duty_on_shipping", "parts"} <= paths
