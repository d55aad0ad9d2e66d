"""Parts with welds: what is read before they are welded and what again once they are, on sheet and drawing."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make
from verify.test_setup_of_demos import part

from generators.drawing.inspection import finishes, sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part import drawing
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.welded import flat_face, welded_lines
from generators.model.plan import PartPlan
from generators.parts import kind_named
from generators.parts.building.pivots.pressed import with_pivots
from generators.solve.parts import sample_plan
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet

BEFORE, AFTER = "ON THE BENT PART, BEFORE IT IS WELDED", "ON THE WELDED PART, ONCE IT IS COOL"


def bossed() -> PartPlan:
    keys = {"pivot_build": "welded_boss", "welded_boss_outside_mm": 26.0, "welded_boss_height_mm": 10.0}
    plan = replace(make("pedal_hanger"), shaft_mm=None)
    return with_pivots(plan, kind_named("pedal_hanger").parameters(**keys))


def problems(path: Path, plan: PartPlan) -> tuple[str, ...]:
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION)
    return read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x").problems


def under(path: Path) -> dict[str, list[str]]:
    """The numbers of the rows under each heading of the table, by where they stand on the page."""
    out: dict[str, list[str]] = {}
    heading = ""
    for page in read_pdf(path).pages:
        words = [w for w in page.words if w.text.strip()]
        head = next(w for w in words if w.text.strip() == "No.")
        own = (w for w in words if abs(w.box[0] - head.box[0]) < 0.5 and w.box[3] < head.box[1])
        for word in sorted(own, key=lambda w: -w.box[1]):
            text = word.text.strip()
            if text.startswith("ON THE"):
                heading = text
            elif re.fullmatch(r"[A-Z]?\d+[A-Z]?|T", text):
                out.setdefault(heading, []).append(text)
    return out


def test_a_welded_bracket_is_read_before_and_once_welded(tmp_path: Path) -> None:
    """The gussets stand on base and upright: their bends' angles and the lengths of base and gussets again, and the
    base flat: 160 long, over 120 to 400 in ISO 13920 class E 1 mm (from memory)."""
    plan, path = sample_plan("slave_bracket")[0], tmp_path / "i.pdf"
    assert problems(path, plan) == ()
    stood = under(path)
    assert set(stood[BEFORE]) == {"B1", "B2", "B3", *(f"L{n}" for n in range(1, 8)), "V1", "V2"}
    assert stood[AFTER][:9] == ["Z1", "Z2", "B1W", "B2W", "B3W", "L1W", "L4W", "L5W", "Y1"]
    assert {k[0] for k in stood[AFTER][9:]} == {"H", "M"}
    assert "ON THE BENT PART" not in stood
    items = {i.key: i for i in inspected(plan)}
    wide = max(v.u for v in plan.flanges[0].contour.vertices) - min(
        v.u for v in plan.flanges[0].contour.vertices
    )
    assert 120.0 < wide <= 400.0
    assert (items["Y1"].nominal, items["Y1"].least, items["Y1"].most) == (0.0, 0.0, 1.0)
    # before, past square would close a gap; once welded there is none, and a degree is a degree
    assert items["B1"].least == pytest.approx(items["B1"].nominal)
    assert items["B1W"].least == pytest.approx(items["B1W"].nominal - plan.bent_rad)
    assert (items["L1W"].least, items["L1W"].most) == (items["L1"].least, items["L1"].most)


def test_a_welded_boss_is_read_once_welded_and_its_cheek_again(tmp_path: Path) -> None:
    plan, path = bossed(), tmp_path / "i.pdf"
    assert problems(path, plan) == ()
    stood = under(path)
    assert {"A8", "A9", "K8", "K9", "F8", "F9", "B1W", "B2W", "L2W", "L3W"} <= set(stood[AFTER])
    assert {"B1", "B2", "L2", "L3"} <= set(stood[BEFORE])
    # no weld is on the web, which bolts on
    assert "Y1" not in stood[AFTER]


def test_without_a_weld_there_is_one_heading(tmp_path: Path) -> None:
    assert problems(tmp_path / "i.pdf", make("pedal_hanger")) == ()
    assert set(under(tmp_path / "i.pdf")) == {"ON THE BLANK, BEFORE IT IS BENT", "ON THE BENT PART"}


@pytest.mark.parametrize(("long", "within"), [(119.9, 0.5), (120.1, 1.0), (399.9, 1.0), (400.1, 1.5)])
def test_a_face_is_as_flat_as_its_longer_side_asks(long: float, within: float) -> None:
    """Steps of ISO 13920 class E from either side (from memory)."""
    plan = make("slave_bracket", base_width_mm=long)
    found = flat_face(plan)
    assert found is not None
    assert found == ("base", within)


CHANGES: dict[str, tuple[str, Callable[[Item], Item], str]] = {
    "too early": ("H5", lambda i: replace(i, welded=False), "item H5 stands before welding"),
    "too late": ("L1", lambda i: replace(i, welded=True), "item L1 stands after welding"),
    "to the limit of the bend": ("B1W", lambda i: replace(i, least=i.nominal), "item B1W: least 90.0°"),
    "another length": ("L4W", lambda i: replace(i, what="x"), "item L4W: 'x' is"),
    "less flat": ("Y1", lambda i: replace(i, most=1.5), "item Y1: most 1.50"),
    "by eye": ("Y1", lambda i: replace(i, using="eye"), "item Y1: measured with 'eye'"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_wrong_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    key, change, said = CHANGES[name]
    wrong = tuple(change(i) if i.key == key else i for i in inspected(make("slave_bracket")))
    assert wrong != inspected(make("slave_bracket"))
    monkeypatch.setattr(sheet, "inspected", lambda *_: wrong)
    assert any(said in p for p in problems(tmp_path / "i.pdf", make("slave_bracket")))


@pytest.mark.parametrize("key", ["B1W", "B3W", "L1W", "L5W", "Y1", "Z2", "V1", "H5"])
def test_what_is_left_out_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key: str) -> None:
    plan = make("slave_bracket")
    less = tuple(i for i in inspected(plan) if i.key != key)
    monkeypatch.setattr(sheet, "inspected", lambda *_: less)
    assert problems(tmp_path / "i.pdf", plan)


def test_the_drawing_says_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, path = make("slave_bracket"), tmp_path / "d.pdf"

    def found() -> str:
        write_part_drawing(plan, path, job_title="x", revision="abc1234")
        return " ".join(read_part_drawing(path, plan, job_title="x", revision="abc1234", rel="x").problems)

    assert found() == ""
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    (line,) = welded_lines(plan)
    assert line in text
    assert "lower side of base flat within 1 mm (ISO 13920 E)" in line
    for was, now, said in (
        (line, "", "the drawing says None; welded are ['base', 'right gusset', 'left gusset']"),
        ("base, right", "right", "names right gusset, left gusset as welded"),
        ("±0.5 mm", "±1 mm", "once welded ±1; by the plan ±0.5"),
        ("±1°", "±2°", "once welded ±2; by the plan ±1"),
        ("within 1 mm", "within 2 mm", "once welded flat is ('base', 2.0)"),
        ("; lower side of base flat within 1 mm (ISO 13920 E)", "", "once welded flat is no face"),
    ):
        assert was in line
        lie = [changed] if (changed := line.replace(was, now)) else []
        with monkeypatch.context() as patch:
            patch.setattr(drawing, "welded_lines", lambda _, lie=lie: iter(lie))
            assert said in found(), now
    assert not list(welded_lines(make("pedal_hanger")))


def test_a_welded_edge_is_measured_from_a_named_edge(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The tractor's slave bracket: both gussets' welded edges are 121.2 from the upright's end, n to r on the drawing."""
    plan = part("dray_tractor", "slave_bracket")[0]
    rows = {i.key: i for i in inspected(plan)}
    assert [rows[key].what for key in ("W1", "W2")] == [
        f"edge of WELD {n} from edge n to r, by the drawing's letters" for n in (1, 2)
    ]
    assert problems(tmp_path / "i.pdf", plan) == ()
    monkeypatch.setattr(finishes, "edge_named", lambda *_: "edge a to b")
    assert any("W1" in p for p in problems(tmp_path / "i.pdf", plan))
