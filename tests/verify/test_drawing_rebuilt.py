"""A drawing is complete: its words alone give the blank, the holes and the bend lines within what was rounded."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing.part_cases import JOB, REVISION, any_part, cases, make, tree
from hypothesis import HealthCheck, given, settings
from shapely.geometry import Polygon

from generators.drawing.part import drawing as part_drawing
from generators.errors import GeometryFault, LookupFault
from generators.model.plan import PartPlan
from generators.parts import KINDS, kind_named
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.content import PdfFile, read_pdf
from generators.verify.pdf.rebuild.compare import rebuild_problems
from generators.verify.pdf.rebuild.folded import folded_problems
from generators.verify.pdf.rebuild.outline import NotDeterminedError, Row, outline

CASES = cases()


def drawn(plan: PartPlan, path: Path, paper: str = "A4") -> PdfFile:
    """The words of a drawing just written, without a line of it."""
    part_drawing.write_part_drawing(plan, path, job_title=JOB, revision=REVISION, paper=paper)
    pdf = read_pdf(path)
    return replace(pdf, pages=tuple(replace(page, shapes=()) for page in pdf.pages))


def row(letter: str, x: float, y: float, radius: float = 0.0, turn: int = 0) -> Row:
    return Row(letter=letter, x=x, y=y, radius=radius, turn=turn)


# areas and lengths in closed form
@pytest.mark.parametrize(
    ("rows", "area", "length"),
    [
        # a rectangle with a radius at each corner loses (4 - pi) r² and 2 (4 - pi) r
        (
            [row("a", 0, 0, 10), row("b", 100, 0, 10), row("c", 100, 60, 10), row("d", 0, 60, 10)],
            6000 - (4 - math.pi) * 100,
            320 - 2 * (4 - math.pi) * 10,
        ),
        # two centres: a stadium
        ([row("a", 0, 0, 8, 1), row("b", 30, 0, 8, 1)], 30 * 16 + math.pi * 64, 60 + 2 * math.pi * 8),
        # a full circle
        ([row("a", 5, 5, 20, 1)], math.pi * 400, 2 * math.pi * 20),
        # a point 25 from the centre of a circle of 15: tangents of 20, and the long way round
        (
            [row("a", -25, 0), row("b", 0, 0, 15, 1)],
            20 * 15 + 225 * (math.pi - math.acos(0.6)),
            40 + 30 * (math.pi - math.acos(0.6)),
        ),
        # a square bay with a round bottom: half a circle less below it
        (
            [
                *(row("a", 0, 0), row("b", 60, 0), row("c", 60, 40), row("d", 40, 40)),
                *(row("e", 30, 20, 10, -1), row("f", 20, 40), row("h", 0, 40)),
            ],
            2400 - 20 * 20 - math.pi * 50,
            60 + 40 + 20 + 20 + math.pi * 10 + 20 + 20 + 40,
        ),
        # a concave corner rounded by 6 gains (1 - pi / 4) r²
        (
            [
                *(row("a", 0, 0), row("b", 50, 0), row("c", 50, 20)),
                *(row("d", 20, 20, 6), row("e", 20, 50), row("f", 0, 50)),
            ],
            1600 + (1 - math.pi / 4) * 36,
            200 - 2 * 6 + math.pi * 3,
        ),
    ],
    ids=["plate", "stadium", "circle", "drop", "bay", "angle"],
)
def test_outlines_by_closed_form(rows: list[Row], area: float, length: float) -> None:
    shape = Polygon(outline(rows))
    assert shape.is_valid
    assert shape.exterior.is_ccw
    # chords lie within 0.002 mm of the arcs
    assert shape.area == pytest.approx(area, abs=0.002 * length)
    assert shape.length == pytest.approx(length, abs=0.02)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "no corner"),
        ([row("a", 0, 0)], "single corner"),
        ([row("a", 0, 0), row("b", 0, 0), row("c", 5, 5)], "no straight side touches both a and b"),
        # a circle of 10 that lies within one of 30 has no common outer tangent
        ([row("a", 0, 0, 30, 1), row("b", 5, 0, 10, 1)], "no straight side touches both a and b"),
    ],
    ids=["none", "one", "same", "within"],
)
def test_rows_that_give_no_outline(rows: list[Row], words: str) -> None:
    with pytest.raises(NotDeterminedError, match=words):
        outline(rows)


@pytest.mark.parametrize("name", ["hanger_tab_120", "slave_left", "throttle_open", "tree", "blanking"])
def test_words_alone_give_the_part(name: str, tmp_path: Path) -> None:
    plan = CASES[name]
    assert rebuild_problems(drawn(plan, tmp_path / "d.pdf"), flat_pattern(plan)) == []


def test_a_crop_and_a_slope_stand_in_the_table(tmp_path: Path) -> None:
    """By hand: a gusset's slope ends where its straight sides meet, not where the radii begin."""
    plan = make("slave_bracket", t=4.0, gussets="left", mounts=2)
    flat = flat_pattern(plan)
    slopes = 0
    corners = part_drawing.corners_of(flat.contour)
    for a, b in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        du, dv = b.place[0] - a.place[0], b.place[1] - a.place[1]
        slopes += min(abs(du), abs(dv)) > 0.01
    assert slopes == 1
    words = {w.text.strip() for page in drawn(plan, tmp_path / "d.pdf").pages for w in page.words}
    assert all(f"{c.radius_mm:.2f}" in words for c in corners if c.radius_mm)


def spoiled(monkeypatch: pytest.MonkeyPatch, table: str, change: Callable[[list[list[str]]], None]) -> None:
    """Let ``change`` alter the rows of a table before it is drawn."""
    honest = getattr(part_drawing, table)

    def lie(*arguments: object) -> object:
        told = honest(*arguments)
        rows = [list(r) for r in told.rows]
        change(rows)
        return replace(told, rows=tuple(tuple(r) for r in rows))

    monkeypatch.setattr(part_drawing, table, lie)


def moved(text: str, by: float) -> str:
    return f"{float(text) + by:.2f}"


@pytest.mark.parametrize(
    ("table", "index", "column", "wanted"),
    [
        ("corner_table", 0, 1, "off the plan's"),
        ("corner_table", 1, 2, "off the plan's"),
        ("corner_table", 5, 3, "off the plan's"),
        ("hole_table", 0, 1, "opening 1 built"),
        ("hole_table", 1, 3, "opening 2 built"),
    ],
)
def test_a_size_that_is_wrong_by_a_quarter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, table: str, index: int, column: int, wanted: str
) -> None:
    plan = CASES["tree"] if table == "hole_table" else CASES["hanger"]

    def change(rows: list[list[str]]) -> None:
        rows[index][column] = moved(rows[index][column], 0.25)

    spoiled(monkeypatch, table, change)
    found = rebuild_problems(drawn(plan, tmp_path / "d.pdf"), flat_pattern(plan))
    assert any(wanted in problem for problem in found)


@pytest.mark.parametrize(
    ("table", "change", "wanted"),
    [
        ("corner_table", lambda rows: rows.pop(3), "off the plan's"),
        ("corner_table", lambda rows: rows.insert(1, rows.pop(2)), "off the plan's"),
        ("corner_table", lambda rows: rows[2].__setitem__(1, "–"), "X mm is '–'"),
        ("hole_table", lambda rows: rows.pop(), "does not follow from the printed sizes: no row"),
        ("bend_table", lambda rows: rows[0].__setitem__(9, "9.5 from a–b"), "off the plan's"),
        ("bend_table", lambda rows: rows[0].__setitem__(9, "–"), "does not follow"),
        ("bend_table", lambda rows: rows.pop(0), "does not follow from the printed sizes: no row"),
    ],
    ids=["corner gone", "corners exchanged", "no place", "hole gone", "line", "no line", "bend gone"],
)
def test_what_is_left_out_is_named(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    table: str,
    change: Callable[[list[list[str]]], None],
    wanted: str,
) -> None:
    plan = tree()
    spoiled(monkeypatch, table, change)
    found = rebuild_problems(drawn(plan, tmp_path / "d.pdf"), flat_pattern(plan))
    assert any(wanted in problem for problem in found), found


@pytest.mark.parametrize("degrees", [25.0, 115.0])
def test_a_slots_turn_is_printed_and_read(degrees: float, tmp_path: Path) -> None:
    plan = tree()
    (slot,) = plan.flanges[0].slots
    base = replace(plan.flanges[0], slots=(replace(slot, angle_rad=math.radians(degrees)),))
    turned = replace(plan, flanges=(base, *plan.flanges[1:]))
    pdf = drawn(turned, tmp_path / "d.pdf")
    assert f"{degrees:g}°" in {w.text.strip() for page in pdf.pages for w in page.words}
    assert rebuild_problems(pdf, flat_pattern(turned)) == []
    if degrees == 115.0:
        assert any("opening 4 built" in p for p in rebuild_problems(pdf, flat_pattern(plan)))


def test_a_bolt_circle_is_said_and_held_against_its_holes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six bolts of a round plate: 60° apart about its middle."""
    plan = make("blanking_plate", bolts=6)
    pdf = drawn(plan, tmp_path / "d.pdf")
    text = " ".join(page.text for page in pdf.pages)
    (said,) = re.findall(r"on Ø([\d.]+) PCD about the middle of the blank, every 60°", text)
    first = flat_pattern(plan).holes[0]
    assert float(said) == pytest.approx(2 * math.hypot(first.u_mm, first.v_mm), abs=0.006)
    assert rebuild_problems(pdf, flat_pattern(plan)) == []
    spoiled(monkeypatch, "hole_table", lambda rows: rows[0].__setitem__(3, moved(rows[0][3], 0.25)))
    found = rebuild_problems(drawn(plan, tmp_path / "d.pdf"), flat_pattern(plan))
    assert any("do not lie on" in problem for problem in found)


@pytest.mark.nightly
@pytest.mark.parametrize("kind", [k.name for k in KINDS])
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_25_parts_of_a_kind_at_random(kind: str, paper: str, tmp_path: Path) -> None:
    """New ones each time; the part is printed where one fails."""
    count = 0

    @settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(any_part(kind))
    def one(arguments: Any) -> None:
        nonlocal count
        spec, rule = arguments
        if count >= 25:
            return
        try:
            plan = kind_named(kind).plan(spec, rule)
        except (GeometryFault, LookupFault):
            return
        count += 1
        found = rebuild_problems(drawn(plan, tmp_path / "d.pdf", paper), flat_pattern(plan))
        assert found == [], spec

    one()
    assert count == 25


def test_outside_lengths_and_the_pivots_place_are_asked_of_the_views(tmp_path: Path) -> None:
    """A drawing of another hanger: its pivot 1 mm farther out, its tab 1 mm longer."""
    plan = make("pedal_hanger", pivot_out_mm=110.0, tab_length_mm=45.0)
    pdf = drawn(plan, tmp_path / "d.pdf")
    assert list(folded_problems(pdf, plan)) == []
    farther = list(folded_problems(pdf, make("pedal_hanger", pivot_out_mm=111.0, tab_length_mm=45.0)))
    assert any("no view gives the pivots 111 off the face" in p for p in farther)
    longer = list(folded_problems(pdf, make("pedal_hanger", pivot_out_mm=110.0, tab_length_mm=46.0)))
    assert "no view gives tab 46 outside" in longer


@pytest.mark.parametrize("name", ["twin", "hanger_low", "tree_down_up"])
def test_folded_sizes_of_odd_parts(name: str, tmp_path: Path) -> None:
    assert list(folded_problems(drawn(CASES[name], tmp_path / "d.pdf"), CASES[name])) == []
