"""Rows that tie a bent flange's holes to the web: figures by hand, a bend line askew, and what is changed shows."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import BOLT, JOB, REVISION, make

from generators.drawing.inspection import sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspecting.rows import read_rows
from generators.verify.pdf.inspection import read_inspection_sheet


def hanger() -> PartPlan:
    return make("pedal_hanger")


def problems(path: Path, plan: PartPlan) -> tuple[str, ...]:
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION)
    return read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x").problems


def test_each_cheek_is_tied_to_the_web() -> None:
    """The cheeks' folds run up the blank, and a fold keeps what lies along it: pivots 60 over the master's centre,
    mounting holes 30 under it, 90 apart as in the flat, ±0.5 as any bent length. Two positions of 0.2 each are
    all that the cheeks may differ by."""
    items = {i.key: i for i in inspected(hanger())}
    for key in ("M8", "M9"):
        tie = items[key]
        assert (tie.nominal, tie.least, tie.most, tie.bent) == pytest.approx((90.0, 89.5, 90.5, True))
        assert tie.what.startswith(f"hole 6 to hole {key[1:]} along the fold of web and ")
    assert (items["X1"].nominal, items["X1"].least, items["X1"].most) == pytest.approx((0.0, 0.0, 0.4))
    assert items["X1"].what.startswith("difference of M8 and M9")
    assert "X2" not in items


def test_the_rows_are_on_paper_and_the_words_of_what_is_tried_in_one_cell(tmp_path: Path) -> None:
    path = tmp_path / "i.pdf"
    assert problems(path, replace(hanger(), shaft_mm=15.88)) == ()
    text = "".join(page.text for page in read_pdf(path).pages)
    assert "goes through" in text
    assert "close to the bends" in " ".join(text.split())


CHANGES: dict[str, tuple[str, Callable[[Item], Item]]] = {
    "wider": ("M8", lambda i: replace(i, most=i.nominal + 0.6)),
    "another hole": ("M8", lambda i: replace(i, what=i.what.replace("hole 6", "hole 4"))),
    "further": ("M9", lambda i: replace(i, nominal=i.nominal + 0.1)),
    "by caliper": ("M9", lambda i: replace(i, using="caliper")),
    "cheeks apart": ("X1", lambda i: replace(i, most=0.5)),
    "before": ("X1", lambda i: replace(i, bent=False)),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_tie_that_is_wrong_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    key, change = CHANGES[name]
    wrong = tuple(change(i) if i.key == key else i for i in inspected(hanger()))
    monkeypatch.setattr(sheet, "inspected", lambda *_: wrong)
    assert any(f"item {key}" in p for p in problems(tmp_path / "i.pdf", hanger()))


@pytest.mark.parametrize("key", ["M8", "M9", "M10", "X1"])
def test_a_tie_left_out_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key: str) -> None:
    less = tuple(i for i in inspected(hanger()) if i.key != key)
    monkeypatch.setattr(sheet, "inspected", lambda *_: less)
    assert any(f"no item {key}" in p for p in problems(tmp_path / "i.pdf", hanger()))


def test_holes_of_a_panel_are_spoken_of_where_there_are_some(tmp_path: Path) -> None:
    """A plate whose holes no panel gets is nothing to reckon a panel's holes from."""
    plan = make("fitting_plate")
    loose = replace(
        plan,
        flanges=tuple(
            replace(
                f,
                holes=tuple(replace(h, mates=False) for h in f.holes),
                slots=tuple(replace(s, mates=False) for s in f.slots),
            )
            for f in plan.flanges
        ),
    )
    for given, said in ((hanger(), True), (loose, False)):
        path = tmp_path / "i.pdf"
        assert problems(path, given) == ()
        text = " ".join(read_pdf(path).pages[0].text.split())
        assert ("those who issued this sheet can reckon from it" in text) == said
        assert "pedalplate" not in text
        read = read_inspection_sheet(
            path, loose if said else hanger(), job_title=JOB, revision=REVISION, rel="x"
        )
        assert any("holes of a panel" in p for p in read.problems)


@pytest.mark.parametrize("kind", ["carried_hanger", "pedal_box"])
@pytest.mark.parametrize("bored", [True, False])
def test_cheeks_that_hang_on_different_flanges_are_held_to_one_hole_between_them(
    kind: str, bored: bool, tmp_path: Path
) -> None:
    """The one cheek hangs on a foot, the web on that cheek, the other cheek on the web. Both cheeks' bores are read
    from one hole of the web along folds that run alike, so what the readings differ by is how askew the bores lie:
    each by its position of 0.2, which the web's hole is off for both."""
    plan = make(kind)
    if not bored:
        bolts = tuple(replace(h, fitting=BOLT) for h in plan.flange("web").holes)
        plan = replace(
            plan, flanges=tuple(replace(f, holes=bolts) if f.name == "web" else f for f in plan.flanges)
        )
    path = tmp_path / "i.pdf"
    assert problems(path, plan) == ()
    rows, faults = read_rows(read_pdf(path))
    assert faults == []
    said = {row.key: row for row in rows}
    match = re.match(r"difference of M(\d+) and M(\d+):", said["X1"].what)
    assert match is not None
    ends = [re.match(r"hole (\d+) to hole (\d+) along", said[f"M{n}"].what) for n in match.groups()]
    numbers = [{int(n) for n in end.groups()} for end in ends if end is not None]
    (middle,) = numbers[0] & numbers[1]
    bores = sorted(numbers[0] ^ numbers[1])
    own = [(f.name, h) for f in plan.flanges for h in f.holes]
    assert own[middle - 1][0] == "web"
    assert {own[n - 1][1].name for n in bores} == {"pivot_left", "pivot_right"}
    assert (said["X1"].least, said["X1"].most) == ("0.00", "0.40")
    frames = folded_frames(plan)
    level = [
        frames[own[n - 1][0]] @ [own[n - 1][1].u_mm, own[n - 1][1].v_mm, 0.0, 1.0] for n in (middle, *bores)
    ]
    # along the bores' common fold, by the bent part's own points: both as far as their rows say
    for at, n in zip(level[1:], match.groups(), strict=True):
        assert max(abs(at - level[0])[:3].round(6)) >= float(said[f"M{n}"].nominal) - 0.01


@pytest.mark.parametrize("key", ["M4", "M7", "X1"])
def test_what_ties_carried_cheeks_left_out_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key: str
) -> None:
    plan = make("carried_hanger")
    less = tuple(i for i in inspected(plan) if i.key != key)
    monkeypatch.setattr(sheet, "inspected", lambda *_: less)
    assert any(f"no item {key}" in p for p in problems(tmp_path / "i.pdf", plan))
