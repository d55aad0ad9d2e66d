"""What places on a blank are read from: an edge it stands on, else one beside the hole by the drawing's letters."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make

from generators.drawing.inspection import sheet
from generators.drawing.inspection.facing import stood_on
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.geometry.contours import polygon
from generators.model.plan import Fitting, Flange, Hole, PartPlan, Slot
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspecting.rows import read_rows
from generators.verify.pdf.inspection import read_inspection_sheet

NEAR = re.compile(r"near rim of (?:hole|slot) (\d+) from edge (\w+) to (\w+), by the drawing's letters")


def problems(path: Path, plan: PartPlan) -> tuple[str, ...]:
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION)
    return read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x").problems


def corners(path: Path) -> dict[str, tuple[float, float]]:
    """X and Y of each corner as the finished drawing's table prints them."""
    out = {}
    for page in read_pdf(path).pages:
        words = [w for w in page.words if w.text.strip()]
        for w in words:
            if re.fullmatch(r"[a-z]{1,2}", w.text.strip()):
                level = sorted(
                    (o for o in words if abs(o.box[1] - w.box[1]) < 0.3 and o.box[0] > w.box[2]),
                    key=lambda o: o.box[0],
                )
                figures = [o.text.strip() for o in level[:2]]
                if len(figures) == 2 and all(re.fullmatch(r"-?[\d.]+", f) for f in figures):
                    out[w.text.strip()] = (float(figures[0]), float(figures[1]))
    return out


@pytest.mark.parametrize(
    ("kind", "axis"), [("slave_bracket", 0), ("stop_bracket", 0), ("pedal_box", 1), ("carried_hanger", 1)]
)
def test_a_short_edge_is_left_for_one_that_a_caliper_goes_to(kind: str, axis: int, tmp_path: Path) -> None:
    """The rows as printed, and the letters' places as the drawing prints them: the edge runs square to the axis, and
    is off the hole's middle by the reading and half the hole."""
    plan = make(kind)
    path, drawn = tmp_path / "i.pdf", tmp_path / "d.pdf"
    assert problems(path, plan) == ()
    write_part_drawing(plan, drawn, job_title=JOB, revision=REVISION)
    at = corners(drawn)
    flat = flat_pattern(plan)
    low = [min(p) for p in zip(*[(v.u, v.v) for v in flat.contour.vertices], strict=True)]
    rows, _ = read_rows(read_pdf(path))
    near = [(row, m) for row in rows if (m := NEAR.fullmatch(row.what))]
    assert near
    for row, match in near:
        assert row.key.startswith("E")
        one, other = at[match[2]], at[match[3]]
        assert one[axis] == pytest.approx(other[axis], abs=0.011)
        openings: list[Hole | Slot] = [*flat.holes, *flat.slots]
        item = openings[int(match[1]) - 1]
        place = (item.u_mm - low[0], item.v_mm - low[1])
        half = (item.diameter_mm if isinstance(item, Hole) else item.width_mm) / 2
        if isinstance(item, Hole):
            assert float(row.nominal) == pytest.approx(abs(one[axis] - place[axis]) - half, abs=0.02)
        ends = sorted((one[1 - axis], other[1 - axis]))
        assert ends[0] < place[1 - axis] < ends[1]
        assert "caliper" in row.using


def test_a_hole_that_is_as_large_as_it_may_be_is_nearer_to_its_edge() -> None:
    """Slave bracket by hand: hole 1 is placed within 0.2, and so is its edge, off the side that places are counted
    from; a plate that is not bent has ISO 2768-1 m there."""
    item = next(i for i in inspected(make("slave_bracket")) if i.key == "E1")
    hole = make("slave_bracket").flanges[0].holes[0]
    assert hole.tolerance is not None
    assert item.least == pytest.approx(item.nominal - 0.2 - 0.2 - hole.tolerance.upper_mm / 2)
    assert item.most == pytest.approx(item.nominal + 0.2 + 0.2 - hole.tolerance.lower_mm / 2)


def ell(edge: float, v: float = 20.0) -> PartPlan:
    """An L of 100 by 100, its left edge up to ``edge`` only, with a hole in its foot or its back."""
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (60.0, 100.0), (60.0, edge), (0.0, edge)]
    hole = Hole(
        name="a",
        u_mm=75.0,
        v_mm=v,
        diameter_mm=9.0,
        purpose="M8 bolt",
        fitting=Fitting(kind="bolt", label="M8 bolt"),
    )
    flat = Flange(name="web", contour=polygon(corners), holes=(hole,))
    return PartPlan(
        name="ell",
        kind="flat_plate",
        title="L, invented",
        thickness_mm=3.0,
        material="S235 steel",
        flanges=(flat,),
    )


# the middle of the sheet is (60 edge² / 2 + 40 x 100² / 2) / (60 edge + 40 x 100) up: as high as the edge at 38.74
@pytest.mark.parametrize(("edge", "stands"), [(33.0, False), (38.7, False), (38.8, True), (90.0, True)])
def test_a_blank_stands_on_an_edge_that_its_middle_is_over(edge: float, stands: bool, tmp_path: Path) -> None:
    plan = ell(edge)
    assert stood_on(flat_pattern(plan), 0) == stands
    assert problems(tmp_path / "i.pdf", plan) == ()
    rows = {row.key: row for row in read_rows(read_pdf(tmp_path / "i.pdf"))[0]}
    if stands:
        assert (rows["E1"].using, rows["E1"].nominal) == ("height gauge, edge down", "79.50")
    else:
        # from the right edge, b to c: 25 less half the hole
        assert rows["E1"].what == "near rim of hole 1 from edge b to c, by the drawing's letters"
        assert (rows["E1"].using, rows["E1"].nominal) == ("caliper", "20.50")
    assert rows["E2"].using == "height gauge, edge down"


@pytest.mark.parametrize(("wide", "stands"), [(33.2, False), (33.4, True)])
def test_an_edge_is_a_third_of_the_blank_at_least(wide: float, stands: bool) -> None:
    """A cross of 100 by 100, with its middle over each edge: a third from either side."""
    low, high = 50.0 - wide / 2, 50.0 + wide / 2
    turns = [(low, 0.0), (high, 0.0), (high, low), (100.0, low), (100.0, high), (high, high), (high, 100.0)]
    turns += [(low, 100.0), (low, high), (0.0, high), (0.0, low), (low, low)]
    flat = flat_pattern(replace(ell(50.0), flanges=(Flange(name="web", contour=polygon(turns)),)))
    assert [stood_on(flat, axis) for axis in (0, 1)] == [stands, stands]


CHANGES: dict[str, Callable[[Item], Item]] = {
    "another edge": lambda i: replace(i, what=i.what.replace("z to a", "b to c")),
    "no edge": lambda i: replace(i, what=i.what.replace("z to a", "a to c")),
    "nearer": lambda i: replace(i, nominal=i.nominal - 0.1),
    "no room for the edge": lambda i: replace(i, least=i.nominal - 0.2),
    "another hole": lambda i: replace(i, what=i.what.replace("hole 1", "hole 2")),
    "on its edge": lambda i: replace(i, using="height gauge, edge down"),
    "from the short edge": lambda i: replace(i, what="far rim of hole 1 from the left edge of the blank"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_wrong_shows(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = make("slave_bracket")
    wrong = tuple(CHANGES[name](i) if i.key == "E1" else i for i in inspected(plan))
    assert wrong != inspected(plan)
    monkeypatch.setattr(sheet, "inspected", lambda *_: wrong)
    assert any("E1" in p for p in problems(tmp_path / "i.pdf", plan))


def test_an_edge_left_out_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = make("slave_bracket")
    less = tuple(i for i in inspected(plan) if i.key != "E1")
    monkeypatch.setattr(sheet, "inspected", lambda *_: less)
    assert any("1 holes are measured from the left edge" in p for p in problems(tmp_path / "i.pdf", plan))
