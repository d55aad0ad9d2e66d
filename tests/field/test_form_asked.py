"""What the form of the bus asks for, and the paper, page and folder it is written on."""

from __future__ import annotations

import math
import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from bus_forms import filled, quiet
from pypdfium2 import PdfDocument
from true_vehicle import Truth, readings

from generators.drawing.paper.svg_pen import SvgPen
from generators.errors import SpecError
from generators.jobs.fits.answer import own_values
from generators.jobs.fits.read import measured
from generators.jobs.form.files import write_form_folder
from generators.jobs.form.form import MeasureForm, blank_readings, form_of, sheet_of
from generators.jobs.verify import verify
from generators.measure.chance.asked import Need, Observation, after, chosen, hidden
from generators.reading.vehicle import read_vehicle
from generators.sheets.form.pages import write_form
from generators.sheets.form.picture import FormView
from generators.solve.job import Prepared, prepare
from generators.verify.form import read_form_page


def test_expected_values_are_what_a_tape_says_of_the_vehicle_by_plan(form: MeasureForm) -> None:
    """Every reading by its own geometry, from `true_vehicle`, which knows nothing of rows or gradients."""
    said = readings(form, Truth())
    for number, asked in enumerate(form.asked, 1):
        assert asked.seen.expected == pytest.approx(said[number], abs=1e-6), asked.seen.key


def test_rows_are_how_a_reading_follows_the_vehicle(form: MeasureForm) -> None:
    """A small truth, measured, against the rows: to second order in 1 mm over 300 mm."""
    own = {(form.kit.groups[c.group].of, c.thing, c.axis): k for k, c in enumerate(form.kit.columns)}
    x = np.zeros(len(form.kit.columns))
    x[own["existing", "bulkhead.choke_cable", "u"]] = 1.0
    x[own["existing", "bulkhead.choke_cable", "v"]] = -0.5
    x[own["component", "slave", "x"]] = 0.7
    x[own["panel_angle", "toe_board", ""]] = 0.004
    truth = Truth(
        holes={"bulkhead.choke_cable": (1.0, -0.5)},
        components={"slave": (0.7, 0.0, 0.0)},
        leans={"toe_board": 0.004},
    )
    said = readings(form, truth)
    for number, asked in enumerate(form.asked, 1):
        assert asked.seen.expected + float(asked.seen.row @ x) == pytest.approx(said[number], abs=0.01)


def test_no_reading_of_the_form_can_be_spared(form: MeasureForm) -> None:
    """Each need that is known is so by all of them; each left out leaves one unknown or hides a slip of more."""
    seen = [a.seen for a in form.asked]
    assert 4 <= len(seen) <= 14
    prior, needs = form.asking.prior, form.asking.needs()

    def missing(taken: list[Observation]) -> dict[str, float]:
        here = after(prior, taken)
        over = {n.name: 1.96 * math.sqrt(max(float(n.row @ here @ n.row), 0)) / n.within - 1 for n in needs}
        return {name: share for name, share in over.items() if share > 0}

    assert set(missing(seen)) == set(form.open_needs)
    lacking = sum(missing(seen).values())
    worst = max(hidden(prior, seen, k) for k in range(len(seen)))
    for k in range(len(seen)):
        fewer = seen[:k] + seen[k + 1 :]
        spared = sum(missing(fewer).values()) <= lacking + 1e-9
        assert not spared or max(hidden(prior, fewer, j) for j in range(len(fewer))) > min(worst, 10.0) - 1e-9


def test_two_of_three_readings_are_chosen_by_hand() -> None:
    """Unknowns a and b of deviation 2.5; needed: a and b within 1. A tape on each does: 2.5 and 0.5 together give
    0.490, and 1.96 times that is 0.96. One on a + b helps neither, and a slip shows from 3.29 x 2.55 = 8.4 mm."""
    prior = np.diag([6.25, 6.25])
    rows = {"a": [1.0, 0.0], "b": [0.0, 1.0], "sum": [1.0, 1.0]}
    seen = [Observation(key=(k,), row=np.array(r), expected=0.0, sigma=0.5) for k, r in rows.items()]
    needs = [Need(name=k, row=np.array(rows[k]), within=1.0) for k in ("a", "b")]
    places, unknown = chosen(seen, needs, prior)
    assert {seen[k].key[0] for k in places} == {"a", "b"}
    assert unknown == ()
    # what is sure enough already is not asked for
    assert chosen(seen, [Need(name="a", row=np.array([1.0, 0.0]), within=6.0)], prior) == ((), ())
    # and what no tape tells is said
    assert chosen(seen, [Need(name="a", row=np.array([1.0, 0.0]), within=0.5)], prior)[1] == ("a",)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_a_form_of_nine_readings_is_a_sheet_printed_on_both_sides(
    form: MeasureForm, tmp_path: Path, paper: str
) -> None:
    path = tmp_path / "form.pdf"
    write_form(path, sheet=sheet_of(form), revision="1234567", paper=paper)
    assert len(sheet_of(form).lines) == 9
    assert len(PdfDocument(path)) == 2


def test_the_form_is_a_folder_that_is_proven(form: MeasureForm, tmp_path: Path) -> None:
    made = write_form_folder(form, tmp_path, paper="letter", progress=quiet)
    assert [p for r in verify(made.folder, progress=quiet) for p in r.problems] == []
    page = made.folder / "form.html"
    sheet = sheet_of(form)
    wanted = [(x.number, x.kind, x.panel, x.from_, x.to, x.words) for x in sheet.lines]
    head = {"job": "ferrow_bus", "variant": "", "revision": form.prepared.file.revision}
    assert read_form_page(page, rel="form.html", wanted=wanted, **head).problems == ()
    assert read_form_page(page, rel="form.html", wanted=wanted[1:], **head).problems
    text = page.read_text(encoding="utf-8")
    bad = tmp_path / "bad.html"
    bad.write_text(text.replace('data-to="left"', 'data-to="right"', 1), encoding="utf-8")
    assert read_form_page(bad, rel="form.html", wanted=wanted, **head).problems
    # the file to type into: nothing in it until a line is uncommented
    with pytest.raises(SpecError):
        read_vehicle(made.folder / "readings.toml")
    typed = blank_readings(sheet)
    for number, value in readings(form, Truth()).items():
        lean = form.asked[number - 1].kind == "lean"
        said = f"{math.degrees(value):.1f} deg" if lean else f"{value:.1f} mm"
        head_line = f"# number = {number}\n"
        at = typed.index(head_line)
        end = typed.find("\n\n", at)
        block = typed[typed.rindex("# [[reading]]", 0, at) : end if end > 0 else None].rstrip("\n")
        key = "leans" if lean else "is"
        typed = typed.replace(block, block.replace("# ", "").replace(f'{key} = ""', f'{key} = "{said}"'), 1)
    path = tmp_path / "typed.toml"
    path.write_text(typed, encoding="utf-8")
    assert measured(form, read_vehicle(path)).vehicle.slips == ()


def test_places_of_a_mirrored_vehicle_are_written_in_the_hand_of_the_spec(
    bus: Prepared, tmp_path: Path
) -> None:
    """3 mm to the right on the left-hand bus is 3 mm to the left in the spec, which is written right-handed."""
    other = prepare(bus.file.spec_path, variant="left_hand_drive")
    assert other.file.job.spread is not None
    form = form_of(other, other.file.job.spread)
    path = filled(form, Truth(holes={"bulkhead.choke_cable": (3.0, -2.0)}), tmp_path)
    at = own_values(measured(form, read_vehicle(path)))["panel[bulkhead].existing[choke_cable].at"]
    assert [float(t.removesuffix(" mm")) for t in at] == pytest.approx([77.0, 108.0], abs=1.2)


def test_no_number_of_a_reading_lies_on_a_holes_letter(form: MeasureForm, tmp_path: Path) -> None:
    """Rings of 5.6 mm, read from the drawn picture, beside the letters read from it."""
    for layout, face, lines in sheet_of(form).views():
        for tall in (44.0, 95.0):
            view = FormView(layout, lines, width_mm=170.0, face=face, tallest_mm=tall)
            pen = SvgPen(Path(), *view.size, title="", subject="")
            view.paint(pen)
            root = ElementTree.fromstring(pen.drawn())
            texts = [t for t in root.iter() if t.tag.endswith("text")]
            letters = [t for t in texts if re.fullmatch("[A-Z]", "".join(t.itertext()))]
            numbers = [t for t in texts if re.fullmatch("[0-9]+", "".join(t.itertext()))]
            assert len(numbers) == len(lines)
            assert letters
            for a in letters:
                for b in numbers:
                    assert math.dist(_at(a), _at(b)) > 3.0


def _at(text: ElementTree.Element) -> list[float]:
    return [float(x) for x in re.findall(r"-?[0-9.]+", text.get("transform", ""))[:2]]
