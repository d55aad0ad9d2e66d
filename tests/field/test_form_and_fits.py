"""The form of the bus, filled in from true places by a tape, with slips and without, and what `fits` says of it."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from calling import call
from pypdfium2 import PdfDocument
from true_vehicle import Truth, readings, written

from generators.cli.commands.field.fits import screen
from generators.drawing.paper.svg_pen import SvgPen
from generators.errors import SpecError
from generators.geometry.frames import panel_frame
from generators.jobs.fits.answer import answered, own_values
from generators.jobs.fits.own import own_text
from generators.jobs.fits.read import measured, slip_words
from generators.jobs.form.files import write_form_folder
from generators.jobs.form.form import MeasureForm, blank_readings, form_of, sheet_of
from generators.jobs.verify import verify
from generators.measure.chance.asked import Need, Observation, after, chosen, hidden
from generators.measure.chance.slips import vehicle_of
from generators.model.spec.forms.spread import Spread
from generators.reading.vehicle import read_vehicle
from generators.sheets.form.pages import write_form
from generators.sheets.form.picture import FormView
from generators.solve.job import Prepared, prepare
from generators.verify.form import read_form_page

OFF = Truth(
    holes={"bulkhead.choke_cable": (3.0, -2.0), "bulkhead.wiper_spindle": (-1.0, 2.0)},
    components={"slave": (-6.0, 2.0, -5.0)},
    leans={"bulkhead": math.radians(0.5)},
)
FAR = Truth(components={"slave": (-60.0, 0.0, -60.0)})
Values = dict[int, float]


def quiet(what: str, done: int, total: int) -> None:
    """No progress."""


@pytest.fixture(scope="module")
def form(bus: Prepared, bus_spread: Spread) -> MeasureForm:
    return form_of(bus, bus_spread)


def filled(
    form: MeasureForm, truth: Truth, folder: Path, slip: Callable[[Values], None] = lambda v: None
) -> Path:
    values = readings(form, truth, 0.5, seed=4)
    slip(values)
    path = folder / "readings.toml"
    path.write_text(written(form, values), encoding="utf-8")
    return path


# ------------------------------------------------------------------------------------ what is asked
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


# ------------------------------------------------------------------------------------ what is answered
def test_least_squares_with_what_vehicles_are_like_by_hand() -> None:
    """One unknown of deviation 3, read once as 5 ± 4: mean 5 x 9/25 = 1.8, variance 9 x 16/25 = 5.76."""
    obs = [Observation(key=("a",), row=np.array([1.0]), expected=0.0, sigma=4.0)]
    found = vehicle_of(obs, [5.0], np.array([[9.0]]))
    assert found.mean == pytest.approx([1.8])
    assert found.covariance == pytest.approx(np.array([[5.76]]))
    assert found.slips == ()


def test_what_was_measured_is_found_again(form: MeasureForm, tmp_path: Path) -> None:
    found = measured(form, read_vehicle(filled(form, OFF, tmp_path)))
    assert found.vehicle.slips == ()
    assert found.vehicle.wider == 1.0
    own = own_values(found)
    at = [float(t.removesuffix(" mm")) for t in own["panel[bulkhead].existing[choke_cable].at"]]
    assert at == pytest.approx([83.0, 108.0], abs=1.5)
    slave = [float(t.removesuffix(" mm")) for t in own["component[slave].on.at"]]
    assert slave == pytest.approx([-126.0, 377.0, 325.0], abs=3.5)


def _inches(v: Values) -> None:
    v[3] = v[3] / 25.4


def _swapped(v: Values) -> None:
    v[1], v[2] = v[2], v[1]


def _wrong(v: Values) -> None:
    v[5] += 20.0


@pytest.mark.parametrize(
    ("slip", "kind", "number"), [(_inches, "inches", 3), (_swapped, "swapped", 1), (_wrong, "wrong", 5)]
)
def test_slips_are_named_by_the_number_of_their_picture(
    form: MeasureForm, tmp_path: Path, slip: Callable[[Values], None], kind: str, number: int
) -> None:
    found = measured(form, read_vehicle(filled(form, Truth(), tmp_path, slip)))
    (one,) = found.vehicle.slips
    assert (one.kind, found.taken.numbers[one.place]) == (kind, number)
    (words,) = slip_words(found.taken, found.vehicle.slips)
    assert f"reading {number}" in words or f"readings {number} and 2" in words
    true = readings(form, Truth())
    if kind != "swapped":
        assert one.value == pytest.approx(true[number], abs=3.0)


def test_a_lean_to_the_other_side_is_named_and_mended(form: MeasureForm, tmp_path: Path) -> None:
    """The toe board leans 45 degrees forward; a minus before it is no vehicle."""

    def minus(v: Values) -> None:
        v[8] = -v[8]

    found = measured(form, read_vehicle(filled(form, OFF, tmp_path, minus)))
    (slip,) = found.vehicle.slips
    assert (slip.kind, found.taken.numbers[slip.place], found.vehicle.doubt) == ("sign", 8, ())
    assert slip_words(found.taken, [slip]) == [
        "reading 8 leans to the other side: -45.0 degrees is taken as 45.0 degrees"
    ]


def test_a_mend_that_may_be_the_vehicle_waits_for_both_readings_to_be_taken_again() -> None:
    """By hand: two readings of 300 and 310 mm, vehicles of 3 mm, a tape of 0.5. Read as 311 and 299 mm: each off by
    11 mm, 3.6 times √(9 + 0.25), more than chance, so they were exchanged; but of a vehicle that differs four times
    as much as was thought (√(144 + 0.25) = 12.0) neither is odd."""
    obs = [
        Observation(key=(name,), row=np.array(row), expected=expected, sigma=0.5)
        for name, row, expected in (("a", [1.0, 0.0], 300.0), ("b", [0.0, 1.0], 310.0))
    ]
    found = vehicle_of(obs, [311.0, 299.0], np.diag([9.0, 9.0]))
    assert [(s.kind, s.place, s.other) for s in found.slips] == [("swapped", 0, 1)]
    assert found.doubt == (0, 1)
    # 300 and 600 mm exchanged are no vehicle's
    far = [obs[0], Observation(key=("b",), row=np.array([0.0, 1.0]), expected=600.0, sigma=0.5)]
    found = vehicle_of(far, [600.0, 300.0], np.diag([9.0, 9.0]))
    assert [s.kind for s in found.slips] == ["swapped"]
    assert found.doubt == ()
    # measured again with the same result they stand
    found = vehicle_of(obs, [311.0, 299.0], np.diag([9.0, 9.0]), frozenset({0, 1}))
    assert (found.slips, found.doubt) == ((), ())


def test_a_slip_that_hides_in_the_sum_shows_by_itself() -> None:
    """By hand: nine readings of one length, vehicles of 3 mm, a tape of 1; one is 4 mm more than the others.

    Of the others' mean it is off by 4 / √(1 + 1/8) = 3.77 at most, more than Baarda's 3.29; together they leave
    about 14.2 (4² · 8/9) of nine, which chance explains well."""
    obs = [Observation(key=(str(k),), row=np.array([1.0]), expected=300.0, sigma=1.0) for k in range(9)]
    found = vehicle_of(obs, [300.0] * 8 + [304.0], np.array([[9.0]]))
    assert [(s.kind, s.place) for s in found.slips] == [("wrong", 8)]
    assert vehicle_of(obs, [300.0] * 8 + [303.0], np.array([[9.0]])).slips == ()


def test_three_slips_of_three_kinds_are_all_named(form: MeasureForm, tmp_path: Path) -> None:
    """A wrong digit, inches for mm and two lines exchanged, on a vehicle that differs by some mm."""

    def three(v: Values) -> None:
        v[2] += 50.0
        v[5] /= 25.4
        v[4], v[6] = v[6], v[4]

    found = measured(form, read_vehicle(filled(form, OFF, tmp_path, three)))
    said = {(s.kind, found.taken.numbers[s.place]) for s in found.vehicle.slips}
    assert said == {("wrong", 2), ("inches", 5), ("swapped", 4)}
    assert found.vehicle.wider == 1.0


def test_what_was_measured_again_is_believed(form: MeasureForm, tmp_path: Path) -> None:
    """One hole 15 mm off, ten times what the spec says: a slip at first; measured again, the vehicle is so."""
    truth = Truth(holes={"bulkhead.choke_cable": (15.0, 0.0)})
    path = filled(form, truth, tmp_path)
    (slip,) = measured(form, read_vehicle(path)).vehicle.slips
    assert (slip.kind, slip.place) == ("wrong", 0)
    text = path.read_text(encoding="utf-8").replace("number = 1\n", "number = 1\nagain = true\n")
    path.write_text(text, encoding="utf-8")
    found = measured(form, read_vehicle(path))
    assert found.vehicle.slips == ()
    assert found.vehicle.wider > 1
    at = own_values(found)["panel[bulkhead].existing[choke_cable].at"]
    assert float(at[0].removesuffix(" mm")) == pytest.approx(95.0, abs=1.5)


@pytest.mark.parametrize("said", ["-0.6 deg", "-90.6 deg"])
def test_a_panel_that_lies_is_read_off_level_and_may_lean_over_it(
    form: MeasureForm, tmp_path: Path, said: str
) -> None:
    """The cross member looks down: -90 deg. Its rear edge 0.6 deg low is more than that: minus, the front high."""
    number = next(k for k, a in enumerate(form.asked, 1) if a.panel == "cross_member")
    line = sheet_of(form).lines[number - 1]
    assert line.expected == pytest.approx(0.0)
    assert "off level" in line.words
    # by hand: v of the panel runs to the rear, and falls
    frame = panel_frame((0.0, 0.0, 0.0), math.radians(-90.6), 0.0)
    assert frame[0, 1] > 0.99
    assert frame[2, 1] < 0
    text = written(form, readings(form, Truth())).replace('"-90.0 deg"', f'"{said}"')
    path = tmp_path / "readings.toml"
    path.write_text(text, encoding="utf-8")
    found = measured(form, read_vehicle(path))
    assert found.vehicle.slips == ()
    tilt = own_values(found)["panel[cross_member].tilt"]
    assert -90.7 < float(tilt.removesuffix(" deg")) < -90.3
    prepare(form.prepared.file.spec_path, values={"panel[cross_member].tilt": tilt})


def test_two_readings_that_cannot_be_are_another_vehicle_and_not_slips(
    form: MeasureForm, tmp_path: Path
) -> None:
    found = measured(form, read_vehicle(filled(form, FAR, tmp_path)))
    assert [s for s in found.vehicle.slips if s.kind == "wrong"] == []
    assert found.vehicle.wider > 1


def test_the_bus_by_plan_fits_when_its_line_is_made_on_it(
    form: MeasureForm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("generators.jobs.fits.answer.MOST_TRIED", 2)
    monkeypatch.setattr("generators.jobs.fits.answer.ROUNDS", 2)
    monkeypatch.setattr("generators.jobs.fits.answer.INSTALLS", 1000)
    found = answered(measured(form, read_vehicle(filled(form, OFF, tmp_path))), quiet)
    assert found.verdict == "fits with moves"
    assert "hose[cab_line].measure" in found.values
    # what is written for it reads, has the moves and the places, and keeps the comments
    text = own_text(found)
    spec = tmp_path / "ferrow_bus.toml"
    spec.write_text(text, encoding="utf-8")
    (tmp_path / "shop.toml").write_bytes((form.prepared.file.spec_path.parent / "shop.toml").read_bytes())
    again = prepare(spec)
    assert next(h for h in again.file.job.hose if h.name == "cab_line").measure
    assert "# the only hole the pressure line needs" in text
    assert [f for f in again.findings if f.blocks] == []


def test_a_slave_far_from_its_place_is_no_fit_of_the_kit_as_sold(
    form: MeasureForm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The truth by the job itself: with the slave there its hose is 30 mm and more too short."""
    there = prepare(
        form.prepared.file.spec_path, values={"component[slave].on.at": ["-180 mm", "375 mm", "270 mm"]}
    )
    was, now = (next(h for h in p.lines.hoses if h.spec.name == "slave_hose") for p in (form.prepared, there))
    assert was.length is not None
    assert now.path is not None
    assert now.path.length_mm > was.length.made_up_mm + 20
    monkeypatch.setattr("generators.jobs.fits.answer.ROUNDS", 0)
    found = answered(measured(form, read_vehicle(filled(form, FAR, tmp_path))), quiet)
    assert found.chance < 0.05
    # nobody's vehicle is so: first the three readings that say it are measured again, then it is told
    assert (found.verdict, found.likely) == ("measure again", "does not fit")
    assert [found.measured.taken.numbers[k] for k in found.measured.vehicle.doubt] == [4, 5, 6]
    said = list(screen(found))
    assert any("measure readings 4, 5 and 6 again" in line for line in said)
    assert "not told yet: it waits for readings 4, 5 and 6 to be measured again; else it would be:" in said
    path = tmp_path / "readings.toml"
    text = path.read_text(encoding="utf-8")
    for number in (4, 5, 6):
        text = text.replace(f"number = {number}\n", f"number = {number}\nagain = true\n")
    path.write_text(text, encoding="utf-8")
    sure = measured(form, read_vehicle(path))
    assert (sure.vehicle.slips, sure.vehicle.doubt) == ((), ())
    assert sure.vehicle.wider > 1
    assert answered(sure, quiet).verdict == "does not fit"
    assert found.why[0].name in (
        "hose to the slave reaches",
        "line from the bulkhead to the master meets its seats",
    )


def test_the_command_answers_by_its_exit_code(
    form: MeasureForm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = str(form.prepared.file.spec_path)
    path = filled(form, Truth(), tmp_path, _wrong)
    monkeypatch.setattr("generators.jobs.fits.answer.ROUNDS", 0)
    assert call("fits", spec, str(path), "--json") == 1
    said: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert (said["ok"], said["verdict"], said["slips"][0]["reading"]) == (False, "measure again", 5)


def test_millimetres_called_inches_are_read_however_long_and_a_minus_is_told_by_its_number(
    form: MeasureForm, tmp_path: Path
) -> None:
    """338 mm as 338 in is 8.6 m, longer than anything a spec may hold: a slip like any other. A tape has no minus."""

    def unit(v: Values) -> None:
        v[6] *= 25.4

    path = filled(form, OFF, tmp_path, unit)
    found = measured(form, read_vehicle(path))
    (slip,) = found.vehicle.slips
    assert (slip.kind, found.taken.numbers[slip.place]) == ("millimetres", 6)
    path.write_text(path.read_text(encoding="utf-8").replace('is = "', 'is = "-', 3), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_vehicle(path)
    assert [f.hint.partition(";")[0] for f in caught.value.faults] == [
        f"reading number {number} of the form" for number in (1, 2, 3)
    ]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('job = "ferrow_bus"', 'job = "wrenfield_van"', "the job these are asked for"),
        ('from = "choke_cable"', 'from = "choke"', "a reading this job can ask for"),
        ("number = 2", "number = 1", "number 1 again"),
        ("mm", "furlong", "furlong"),
        ("leans =", "is =", "a length with its unit"),
        ("is = ", "isnt = ", "isnt"),
    ],
)
def test_a_file_of_another_job_or_with_faults(
    form: MeasureForm, tmp_path: Path, old: str, new: str, says: str
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(written(form, readings(form, Truth())).replace(old, new, 1), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        measured(form, read_vehicle(path))
    assert any(says in f"{f.found} {f.expected} {f.hint}" for f in caught.value.faults), caught.value.faults


# ------------------------------------------------------------------------------------ paper and page
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
