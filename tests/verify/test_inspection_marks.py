"""Where the rows of an inspection sheet are, by its sketches: each has its mark, and a mark that is wrong shows."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, box

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make
from made_once import solved
from verify.inspected_channel import problems

from generators.drawing.inspection import place_map, sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.inspection.side_view import Span, side_of, spans
from generators.drawing.part.body import folded_body
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.solve.parts import sample_plan
from generators.verify.pdf.content import Content, as_circle, read_pdf

KINDS = ("pedal_hanger", "carried_hanger", "pedal_box", "slave_bracket", "reservoir_bracket", "fitting_plate")

Mark = tuple[str, float, float]


def sketches(path: Path, plan: PartPlan) -> tuple[Content, list[Mark], list[list[float]]]:
    """The first page, each mark over its table with its middle, and the ends of each dashed line there, mm."""
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION)
    page = read_pdf(path).pages[0]
    floor = next(w.box[3] for w in page.words if w.text.strip() == "nominal")
    marks = [
        (mark, (w.box[0] + w.box[2]) / 2, (w.box[1] + w.box[3]) / 2)
        for w in page.words
        for mark in w.text.strip().split(", ")
        if w.box[1] > floor
    ]
    lines = [
        [x for p in shape.points for x in p]
        for shape in page.shapes
        if shape.dashed and len(shape.points) == 2 and shape.box[1] > floor
    ]
    return page, marks, lines


@pytest.mark.parametrize("kind", KINDS)
def test_every_row_at_a_place_has_its_mark(kind: str, tmp_path: Path) -> None:
    """Angles, outside lengths, those to a web's hole, places from edges, welded edges: all are on the blank. A height
    or a length along a fold that no sketch shows names its holes, which are."""
    plan = make(kind)
    _, marks, _ = sketches(tmp_path / "i.pdf", plan)
    shown = {mark for mark, _, _ in marks}
    for item in inspected(plan):
        if item.key[0] in "BELW" and not item.key.endswith("W"):
            assert item.key in shown, item
        if item.key[0] in "VZ":
            assert f"WELD {item.key[1:]}" in shown, item
        if item.key[0] in "HM" and item.key not in shown:
            named = {word.strip(":") for word in item.what.split()}
            assert {n for n in named if n.isdigit()} <= shown, item


def test_the_side_of_a_hanger_has_its_heights_and_lengths_in_true_length(tmp_path: Path) -> None:
    """The pivots' height over the web and how far they are along the fold from hole 6: two lines square to each
    other that end at the pivot, as long as their rows say at one scale, each with its mark at its middle."""
    plan = make("pedal_hanger")
    items = {i.key: i for i in inspected(plan)}
    page, marks, lines = sketches(tmp_path / "i.pdf", plan)
    at = {mark: (x, y) for mark, x, y in marks}
    assert at["H8"] == at["H9"]
    assert at["M8"] == at["M9"]
    assert any(w.text.strip() == "Right side, once bent: H over the web, M along folds" for w in page.words)

    def nearest(mark: str) -> list[float]:
        x, y = at[mark]
        return min(lines, key=lambda e: math.hypot((e[0] + e[2]) / 2 - x, (e[1] + e[3]) / 2 - y))

    height, along = nearest("H8"), nearest("M8")
    ratio = math.dist(height[:2], height[2:]) / math.dist(along[:2], along[2:])
    assert ratio == pytest.approx(items["H8"].nominal / items["M8"].nominal, rel=0.01)
    assert height[1] == pytest.approx(height[3], abs=0.01)
    assert along[0] == pytest.approx(along[2], abs=0.01)
    assert height[2:] == pytest.approx(along[2:], abs=0.01)


def test_a_sketch_from_the_side_costs_no_sheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it takes is room beside the blank or of the picture: without it the sheets are as many."""
    for kind in KINDS:
        counts = []
        for side in (side_of, lambda *_: None):
            monkeypatch.setattr(place_map, "side_of", side)
            write_inspection_sheet(make(kind), tmp_path / "i.pdf", job_title=JOB, revision=REVISION)
            counts.append(len(read_pdf(tmp_path / "i.pdf").pages))
        assert counts[0] == counts[1]


def on_blank(page: Content, plan: PartPlan) -> Callable[[float, float], tuple[float, float]]:
    """Where a point of the blank is on the page: by the scale and the place of its widest hole alone."""
    flat = flat_pattern(plan)
    wide = max(flat.holes, key=lambda h: h.diameter_mm)
    circles = [c for shape in page.shapes if (c := as_circle(shape, 0.05)) is not None]
    # the blank stands to the left of all other pictures
    own = max((c for c in circles if c.x < page.width / 2), key=lambda c: c.diameter)
    scale = own.diameter / wide.diameter_mm
    return lambda u, v: (own.x + (u - wide.u_mm) * scale, own.y + (v - wide.v_mm) * scale)


def test_no_number_of_a_hole_lies_on_a_bend(tmp_path: Path) -> None:
    plan = next(p.plan for p in solved("ferrow_bus").parts if p.spec.name == "clutch_hanger")
    path = tmp_path / "i.pdf"
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION, pulled=("1", "2", "8", "9"))
    page = read_pdf(path).pages[0]
    place = on_blank(page, plan)
    floor = next(w.box[3] for w in page.words if w.text.strip() == "nominal")
    flat = flat_pattern(plan)
    lines = [LineString([place(*end) for end in strip.middle]) for strip in flat.bends]
    numbers = [
        w
        for w in page.words
        if re.fullmatch(r"\d+", w.text.strip()) and w.box[1] > floor and w.box[2] < page.width / 2
    ]
    assert sorted(int(w.text) for w in numbers) == list(range(1, len(flat.holes) + 1))
    for word in numbers:
        assert all(line.distance(box(*word.box)) > 0.3 for line in lines), word.text
        # nor over a bend from its hole, nearer to another's
        hole, (x0, y0, x1, y1) = flat.holes[int(word.text) - 1], word.box
        own = LineString([((x0 + x1) / 2, (y0 + y1) / 2), place(hole.u_mm, hole.v_mm)])
        assert not any(own.crosses(line) for line in lines), word.text


def moved(key: str, change: Callable[[Item], Item]) -> Callable[..., tuple[Item, ...]]:
    def items(plan: PartPlan, _: object = ()) -> tuple[Item, ...]:
        return tuple(change(i) if i.key == key else i for i in inspected(plan))

    return items


@pytest.mark.parametrize("key", ["L6", "L7", "B1", "E1", "W1"])
def test_a_mark_left_out_shows(key: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = sample_plan("slave_bracket")[0] if key == "W1" else make("pedal_hanger")
    assert key in {i.key for i in inspected(plan)}
    monkeypatch.setattr(sheet, "inspected", moved(key, lambda i: replace(i, at=())))
    assert f"no sketch has a mark for item {key}" in problems(tmp_path / "i.pdf", plan)


def test_a_weld_without_its_number_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = sample_plan("slave_bracket")[0]
    monkeypatch.setattr(place_map, "_welds", lambda *_: None)
    assert "no sketch shows WELD 1" in problems(tmp_path / "i.pdf", plan)


def test_a_line_from_an_edge_that_ends_elsewhere_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def shorter(item: Item) -> Item:
        (a, b), (c, d) = item.at
        return replace(item, at=((a, b), (a + 0.9 * (c - a), b + 0.9 * (d - b))))

    monkeypatch.setattr(sheet, "inspected", moved("E2", shorter))
    found = problems(tmp_path / "i.pdf", make("pedal_hanger"))
    assert any("edges are not at one scale" in p for p in found), found


FLAWS: dict[str, tuple[Callable[[Span], Span], str]] = {
    "too long": (lambda s: replace(s, start=s.start - 0.1 * (s.end - s.start)), "not at one scale: "),
    "of nothing": (lambda s: replace(s, key="M77"), "marks M77"),
}


@pytest.mark.parametrize("flaw", FLAWS)
def test_a_side_that_is_wrong_shows(flaw: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    change, said = FLAWS[flaw]

    def side(plan: PartPlan, items: Any, body: Any) -> object:
        found = side_of(plan, items, body)
        assert found is not None
        return found[0], tuple(change(s) if s.key in ("M8", "M9") else s for s in found[1])

    monkeypatch.setattr(place_map, "side_of", side)
    found = problems(tmp_path / "i.pdf", make("pedal_hanger"))
    assert any(said in p for p in found), found


def test_spans_are_those_of_the_rows() -> None:
    """Of every kind: each line is as long as its row says, in a view that has it in true length."""
    for kind in KINDS:
        plan = make(kind)
        items = {i.key: i for i in inspected(plan)}
        for span in spans(plan, tuple(items.values())):
            assert math.dist(span.start, span.end) == pytest.approx(abs(items[span.key].nominal))
        side = side_of(plan, tuple(items.values()), folded_body(plan))
        camera, shown = side or (None, ())
        for span in shown:
            assert camera is not None
            ends = camera.project(span.end[None, :]) - camera.project(span.start[None, :])
            assert math.hypot(*ends[0]) == pytest.approx(abs(items[span.key].nominal))
