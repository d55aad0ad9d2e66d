"""The form on a phone in a real browser: it understands figures as people write them, and gives a file back."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from generators.jobs.fits.read import measured
from generators.jobs.form.form import MeasureForm, form_of, sheet_of
from generators.model.spec.forms.spread import Spread
from generators.reading.vehicle import read_vehicle
from generators.sheets.form.page import write_form_page
from generators.solve.job import Prepared


@pytest.fixture(scope="module")
def form(bus: Prepared, bus_spread: Spread) -> MeasureForm:
    return form_of(bus, bus_spread)


def test_what_is_typed_on_the_phone_is_what_the_program_reads(
    browser: Browser, form: MeasureForm, tmp_path: Path
) -> None:
    path = tmp_path / "form.html"
    write_form_page(path, sheet=sheet_of(form), revision="1234567")
    page = browser.new_page(viewport={"width": 390, "height": 800})
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on(
        "request", lambda request: wrong.append(request.url) if not request.url.startswith("file:") else None
    )
    page.goto(path.as_uri())
    rows = page.query_selector_all(".reading")
    assert len(rows) == len(form.asked)
    typed = {0: "2 29/32", 1: "104,5 mm", 2: "two", 3: "", 4: '13 1/16"', 5: "390", 8: "1/4"}
    for number, text in typed.items():
        box = rows[number].query_selector("input")
        assert box is not None
        box.fill(text)
    said = [row.query_selector(".said") for row in rows[:3]]
    # reading 1 is 74 mm by plan: 2 29/32 is inches, and the page asks
    assert said[0] is not None
    assert said[0].inner_text() == "Is that in inches? Change the unit beside it."
    unit = rows[0].query_selector("select")
    assert unit is not None
    unit.select_option("in")
    assert said[0].inner_text() == ""
    assert said[2] is not None
    assert "no figure" in said[2].inner_text()
    # a unit typed behind the figure goes beside it
    assert rows[4].query_selector("select").input_value() == "in"  # type: ignore[union-attr]
    # 390 is 54 mm from the plan: the page asks once more, and the person says that it stays
    stays = rows[5].query_selector(".stays input")
    assert stays is not None
    stays.check()
    page.fill("#name", "Order 1042")
    page.click("#make")
    assert page.inner_text("#left") == "Not in the file, because it is no figure: reading 3."
    kept = tmp_path / "order_1042_readings.toml"
    with page.expect_download() as download:
        page.click("#file")
    download.value.save_as(kept)
    assert download.value.suggested_filename == kept.name
    page.close()
    assert wrong == []
    file = read_vehicle(kept)
    assert file.readings.vehicle.name == "order_1042"
    # 2 29/32 in by hand: 2.90625 x 25.4 = 73.82 mm; the comma is a point; 13.0625 x 25.4 = 331.79 mm
    read = file.readings.reading
    assert [r.is_mm for r in read[:4]] == pytest.approx([73.81875, 104.5, 331.7875, 390.0])
    assert math.degrees(read[4].leans_rad or 0.0) == pytest.approx(0.25)
    assert [r.number for r in read] == [1, 2, 5, 6, 9]
    assert [r.again for r in read] == [False, False, False, True, False]
    found = measured(form, file)
    assert found.vehicle.slips == ()
    assert found.vehicle.wider > 1
