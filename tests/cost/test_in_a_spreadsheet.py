"""Cost and payback against sheets worked by hand, with the spreadsheet's own money functions, recalculated by
LibreOffice."""

import shutil
import subprocess

import openpyxl
import pytest

from ledcalc.cost import (
    CostOfOne,
    LitSpan,
    Tariff,
    TariffPeriod,
    annuity_fraction,
    cost_per_dli_area,
    cost_per_flux,
    cost_per_mol,
    energy_year,
    part_life_years,
    parts_bill,
    payback,
    present_value,
    renewals_value,
)

pytestmark = [
    pytest.mark.slow,
    pytest.mark.libreoffice,
    pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed"),
]


@pytest.fixture
def worked(tmp_path):
    """Return a function: {cell: value or formula} -> {cell: what LibreOffice makes of it}."""

    def work(cells):
        book = openpyxl.Workbook()
        for place, value in cells.items():
            book.active[place] = value
        book.save(tmp_path / "sheet.xlsx")
        command = ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx"]
        command += ["--outdir", str(tmp_path / "out"), str(tmp_path / "sheet.xlsx")]
        subprocess.run(command, check=True, capture_output=True, timeout=180)
        page = openpyxl.load_workbook(tmp_path / "out" / "sheet.xlsx", data_only=True).active
        return {place: page[place].value for place in cells}

    return work


def test_a_landed_order(worked):
    """Rows: quantity, spares, pack size, price a pack, packs, sum; below shipping, duty and tax."""
    parts = [(8, 1, 5, 12.40), (8, 0, 1, 4.20), (1, 0, 1, 39.00), (23.5, 2, 10, 6.80), (30, 0, 10, 1.25)]
    cells = {}
    for row, (quantity, spares, size, price) in enumerate(parts, start=1):
        cells |= {f"A{row}": quantity, f"B{row}": spares, f"C{row}": size, f"D{row}": price}
        cells |= {f"E{row}": f"=ROUNDUP((A{row}+B{row})/C{row},0)", f"F{row}": f"=E{row}*D{row}"}
    cells |= {"F10": "=SUM(F1:F5)", "F11": 18.5, "F12": "=0.047*(F10+F11)", "F13": "=0.21*(F10+F11+F12)"}
    cells |= {"F14": "=SUM(F10:F13)", "F22": "=0.047*F10", "F24": "=(F10+F11+F22)*1.21"}
    sheet = worked(cells)
    columns = [list(column) for column in zip(*parts, strict=True)]
    given = {"shipping": 18.5, "duty_fraction": 0.047, "tax_fraction": 0.21, "pack_size": columns[2]}
    bill = parts_bill(columns[0], columns[3], spares=columns[1], **given)
    assert bill.packs.tolist() == [sheet[f"E{row}"] for row in range(1, 6)]
    assert bill.line_cost == pytest.approx([sheet[f"F{row}"] for row in range(1, 6)])
    found = (bill.goods_cost, bill.duty_cost, bill.tax_cost, bill.total_cost)
    assert found == pytest.approx(tuple(sheet[f"F{row}"] for row in (10, 12, 13, 14)))
    bill = parts_bill(columns[0], columns[3], spares=columns[1], duty_on_shipping=False, **given)
    assert bill.total_cost == pytest.approx(sheet["F24"])


def test_a_week_at_three_prices(worked):
    """A row an hour of the week, lit from 15 to 7 o'clock: 0.31 from 16 to 21 on weekdays, 0.11 from 0 to 6 daily."""
    cells = {}
    for hour in range(168):
        row = hour + 1
        cells |= {f"A{row}": f"=INT({hour}/24)", f"B{row}": f"=MOD({hour},24)"}
        price = f"=IF(B{row}<6,0.11,IF(AND(A{row}<5,B{row}>=16,B{row}<21),0.31,0.19))"
        cells |= {f"C{row}": price, f"D{row}": f"=IF(OR(B{row}>=15,B{row}<7),1,0)"}
    cells |= {"F1": "=SUMPRODUCT(C1:C168,D1:D168)/SUM(D1:D168)", "F2": "=0.1434*16*200*F1", "F3": "=0.38*365+F2"}
    cells |= {"F4": "=F3+0.25*0.1434*200"}
    sheet = worked(cells)
    periods = (
        TariffPeriod(name="night", price_per_kwh=0.11, to_h=6),
        TariffPeriod(name="peak", price_per_kwh=0.31, from_h=16, to_h=21, days=(0, 1, 2, 3, 4)),
    )
    tariff = Tariff(
        other_price_per_kwh=0.19, periods=periods, standing_charge_per_day=0.38, demand_charge_per_kw_day=0.25
    )
    year = energy_year(tariff, [LitSpan(photoperiod_h=16, days_count=200, power_w=143.4, lights_on_h=15)])
    assert year.price_per_kwh[0] == pytest.approx(sheet["F1"])
    assert year.energy_cost == pytest.approx(sheet["F2"])
    assert year.energy_cost + year.standing_cost == pytest.approx(sheet["F3"])
    assert year.total_cost == pytest.approx(sheet["F4"])


def test_renewals_and_annuity(worked):
    """A driver of 39.00 that lasts 12,000 h at 2,900 h a year, through 15 years at 4 %; PV and PMT are the
    spreadsheet's."""
    cells = {"A1": "=12000/2900", "A2": "=39*8"}
    for number in range(1, 7):
        cells[f"B{number}"] = f"=IF({number}*$A$1<15,-PV(0.04,{number}*$A$1,0,39),0)"
    cells |= {"C1": "=SUM(B1:B6)", "C2": "=-PMT(0.04,15,A2+C1)", "C3": "=A2/15"}
    sheet = worked(cells)
    life = part_life_years(lit_hours_a_year_h=2900, life_h=12_000)
    assert life == pytest.approx(sheet["A1"])
    firsts = [present_value(39.0, number * life, discount_fraction=0.04) for number in (1, 2, 3)]
    assert firsts == pytest.approx([sheet[f"B{number}"] for number in (1, 2, 3)])
    value = renewals_value(39.0, life, service_years=15, discount_fraction=0.04)
    assert value == pytest.approx(sheet["C1"])
    assert (312 + value) * annuity_fraction(15, discount_fraction=0.04) == pytest.approx(sheet["C2"])
    assert 312 * annuity_fraction(15) == pytest.approx(sheet["C3"])


def test_payback_and_cost_of_light(worked):
    """Two versions; NPER is the spreadsheet's. Below: cost a umol/s, a mol, a mol m-2 d-1 and square metre."""
    cells = {"A1": 168.0, "A2": 231.5, "B1": 61.2, "B2": 49.9, "C1": "=A2-A1", "C2": "=B1-B2", "C3": "=C1/C2"}
    cells |= {"C4": "=NPER(0.06,C2,-C1)", "D1": "=A2/268", "D2": "=B2/(213*0.72*16*150*3600/1000000)"}
    cells |= {"D3": "=B2/((213*16*3600/1000000)*0.72)"}
    sheet = worked(cells)
    hard = CostOfOne(name="hard", purchase_cost=168.0, yearly_cost=61.2, currency="EUR")
    soft = CostOfOne(name="soft", purchase_cost=231.5, yearly_cost=49.9, currency="EUR")
    found = payback(hard, soft, discount_fraction=0.06)
    assert found.years == pytest.approx(sheet["C3"])
    assert found.discounted_years == pytest.approx(sheet["C4"])
    assert cost_per_flux(231.5, 268) == pytest.approx(sheet["D1"])
    assert cost_per_mol(49.9, 213 * 0.72 * 16 * 150 * 3600 / 1e6) == pytest.approx(sheet["D2"])
    assert cost_per_dli_area(49.9, 213 * 16 * 3600 / 1e6, 0.72) == pytest.approx(sheet["D3"])
