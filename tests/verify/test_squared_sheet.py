"""Where one finger does not square a sheet: the edge a square is laid along, or the bend line is scribed."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import ALLOWANCE, MACHINES, TWO, bend, channel, last, order, plan_of
from test_setup_of_demos import part
from test_setup_of_demos import sheet as demo_sheet

from generators.bending.gauging import square
from generators.bending.gauging.square import Room, square_mm, squares_for
from generators.bending.legs import PartShape
from generators.bending.setting import machines_of, sequence_of
from generators.bending.steps import Reach, Sequence, Square, Step, Stop
from generators.drawing.bending import scribe, words
from generators.drawing.bending.scribe import square_words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.jobs.make.part_files import tools_of
from generators.model.contour import Contour, Vertex
from generators.model.plan import Flange, PartPlan
from generators.model.spec.shop import Shop
from generators.sheetmetal.relief import relief_diameter
from generators.sheetmetal.relieving import relieved
from generators.solve.parts import sample_plan
from generators.units import UnitSystem
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf

LONG = 30.0
PLAN = replace(channel(80.0, 40.0, LONG), name="ch", title="Channel, invented")
HALF = ALLOWANCE / 2
# the die is 36 wide; over it from its front face back lie cheek and half the strip, before it all the rest
OUT = HALF + 80.0 + ALLOWANCE + 40.0 - 18.0


def sheet(
    path: Path, plan: PartPlan, bends: Sequence, units: UnitSystem = "metric"
) -> tuple[str, tuple[str, ...]]:
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    write_setup_sheet(plan, path, bends=bends, machines=MACHINES, units=units, **named)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    tools = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0)
    return text, read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems


def first(plan: PartPlan, **stop: Any) -> Sequence:
    """The order of a part, something else said of its first stop."""
    bends = order(plan, TWO)
    one = bends.on_brake[0]
    return replace(bends, steps=(replace(one, stop=replace(one.stop, **stop)), *bends.steps[1:]))


def test_the_longest_stretch_from_the_front_face_on_is_taken() -> None:
    stop = order(PLAN, TWO).on_brake[0].stop
    assert stop.apart_mm == 0
    assert stop.square is not None
    assert ((stop.square.face, stop.square.over), stop.square.long_mm) == (
        ("front", False),
        pytest.approx(OUT),
    )
    assert min(abs(stop.square.x), abs(stop.square.x - LONG)) < 1e-6


# without holes: 0.05 mm along the edge may be no more from end to end of the bend than a bent length may be off
@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    ("more", "blade"),
    [
        (-0.05, ("front", "out toward you")),
        (0.05, ("back", "toward you over the die")),
        (35.95, ("back", "toward you over the die")),
        (36.05, None),
    ],
)
def test_an_edge_that_holds_the_bend_square_is_named_and_a_shorter_one_is_not(
    more: float, blade: tuple[str, str] | None, units: UnitSystem, tmp_path: Path
) -> None:
    plan = replace(PLAN, bent_mm=0.05 * LONG / (OUT + more))
    assert square_mm(plan, "r") == pytest.approx(OUT + more)
    path = tmp_path / "s.pdf"
    text, problems = sheet(path, plan, first(plan), units)
    assert problems == ()
    said = re.search(
        r"ONE FINGER on [\d.]+ (?:mm|in) of edge, anywhere on it\. SQUARE IT BY the edge ([a-z]) to ([a-z]), "
        r"which lies square to the bend: the stock of a square, (?:70\.0 mm|2\.756 in) of it, against the "
        r"(?P<face>front|back) face of the die, from that edge away from the sheet, its blade (?P<blade>[a-z ]+) along "
        r"(?P<along>[\d.]+) (?P<unit>mm|in) or more of that edge, no gap there over (?P<gap>0\.05 mm|0\.002 in)\.",
        text,
    )
    assert (said and (said["face"], said["blade"])) == blade
    line = "NOT SQUARE BY ONE FINGER, and no straight edge square to the bend is free for a square along "
    # the other bend has other edges
    of_it = text.split("2 Bend l")[0]
    assert (line in of_it) == (blade is None)
    assert ("SCRIBE the bend line first" in of_it) == (blade is None)
    if said is None:
        return
    assert float(said["along"]) * (25.4 if said["unit"] == "in" else 1.0) == pytest.approx(
        OUT + more, abs=0.1
    )
    # bends run up the picture of the blank, so what is square to them lies level in it
    # (the blank's picture is the highest that has its letters)
    at = {w.text.strip(): w.box for w in sorted(read_pdf(path).pages[0].words, key=lambda w: w.box[1])}
    (x0, y0, *_), (x1, y1, *_) = at[said[1]], at[said[2]]
    assert abs(y1 - y0) < 0.2 * abs(x1 - x0)


def test_a_square_takes_the_place_of_fingers_that_are_too_near_each_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tractor's hanger: 0.10 mm between fingers 25.9 apart is 0.0039, and pivots 371 apart may differ by 0.4."""
    plan, shop, bends = part("dray_tractor", "clutch_hanger")
    text, problems = demo_sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    step = text.split("1 Bend right")[1].split("2 Bend tab")[0]
    assert "Two fingers, 25.9 mm apart at most, both" in step
    assert "They do not square it: SQUARE IT BY the edge a to b" in step
    assert "SCRIBE" not in step
    for name, lie, found in (
        (
            "square_words",
            lambda *given: square_words(*given).replace(" They do not square it:", ""),
            "whether its",
        ),
        ("square_words", lambda *_: "", "does not say rightly what squares it"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(words, name, lie)
            assert found in demo_sheet(tmp_path / "b.pdf", plan, shop, bends)[1]


def test_a_short_bend_still_wants_as_much_edge_as_a_finger_touches() -> None:
    assert square_mm(PLAN, "r") == pytest.approx(10.0)  # 0.05 x 30 / 0.5 is 3


def tabbed(gap: float = 20.0) -> PartPlan:
    """A base 60 deep to the bend of a wall, 30 long, with a tab 20 wide on either of its sides, so far from the bend."""
    near, far = 60.0 - gap, 40.0 - gap
    plan = plan_of(
        {"base": (60.0, LONG), "wall": (LONG, 40.0), "low": (20.0, 30.0), "high": (20.0, 30.0)},
        [
            bend("w", "base", "wall", (60.0, 0.0), (60.0, LONG)),
            bend("l", "base", "low", (far, 0.0), (near, 0.0)),
            bend("h", "base", "high", (near, LONG), (far, LONG)),
        ],
    )
    low = [(u, 0.0) for u in (0.0, far, near, 60.0)]
    ring = [*low, *((u, LONG) for u, _ in reversed(low))]
    base = Flange(name="base", contour=Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in ring)))
    return replace(plan, flanges=(base, *plan.flanges[1:]))


def test_the_blade_lies_along_what_is_flat_up_to_a_tab_that_stands() -> None:
    """Behind the middle of the bend the edge ends at the tab: half the strip and 20; before it there is the wall."""
    found = {s.child_rear: s for s in last(tabbed(), "w", TWO) if isinstance(s, Step)}
    stretch = found[False].stop.square
    assert stretch is not None
    assert ((stretch.face, stretch.over), stretch.long_mm) == (
        ("front", True),
        pytest.approx(18.0 + HALF + 20.0),
    )
    # the wall at the gauge: tabs stand where the stock lies before the die, and the blade comes from behind
    stretch = found[True].stop.square
    assert stretch is not None
    assert ((stretch.face, stretch.over), stretch.long_mm) == (
        ("back", True),
        pytest.approx(18.0 + HALF + 20.0),
    )


@pytest.mark.parametrize(("gap", "goes"), [(34.5, False), (34.8, True)])
def test_the_stock_wants_room_before_the_die(gap: float, goes: bool) -> None:
    """A tab stands half the strip, 3.37, and ``gap`` before the middle; stock takes 20 mm from the face at 18."""
    for step in last(tabbed(gap), "w", TWO):
        if isinstance(step, Step) and step.child_rear:
            assert step.stop.square is not None
            assert (step.stop.square.face == "front") == goes


def test_no_finger_stands_where_the_stock_lies_behind_the_die() -> None:
    """Fingers touch an edge within the stock's 20 mm from the back face; beside the sheet they stand over it."""
    laid = PartShape(plan=PLAN).laid(next(b for b in PLAN.bends if b.name == "r"), frozenset(), True)
    stop = Stop(on="edge", flange="right", distance_mm=38.1, low_x=0.0, high_x=LONG)
    room = Room(strip_mm=HALF, die_half_mm=18.0, die_reach=Reach(), stop=stop, finger_mm=20.0)

    def ways(on: Stop) -> set[int]:
        return {s.way for s in squares_for(laid, replace(room, stop=on), 3.0) if s.face == "back"}

    assert ways(stop) == ways(replace(stop, distance_mm=37.9)) == {-1, 1}
    assert ways(replace(stop, distance_mm=37.9, low_x=11.0)) == {-1}
    assert ways(replace(stop, distance_mm=37.9, high_x=19.0)) == {1}


def test_a_die_that_may_not_run_on_past_an_end_holds_no_stock_there() -> None:
    laid = PartShape(plan=PLAN).laid(next(b for b in PLAN.bends if b.name == "r"), frozenset(), True)
    stop = Stop(on="edge", flange="right", distance_mm=43.0, low_x=0.0, high_x=LONG)
    for low, way in ((-70.1, {-1, 1}), (-69.9, {1})):
        reach = Reach(low=low, left="web")
        room = Room(strip_mm=HALF, die_half_mm=18.0, die_reach=reach, stop=stop, finger_mm=20.0)
        assert {s.way for s in squares_for(laid, room, 3.0)} == way


BENDS = order(PLAN, TWO)
SQUARE = BENDS.on_brake[0].stop.square
assert SQUARE is not None


@pytest.mark.parametrize(
    ("square", "found"),
    [
        (replace(SQUARE, over=True), None),  # so much lies over the die as well
        (None, "no edge is said to be free for a square, one of "),
        (
            Square(x=15.0, low_y=43.3696, high_y=43.3698, way=1, stock_mm=70.0),
            "no edge is said to be free for a square, one of ",
        ),
    ],
    ids=["the other way", "none", "the edge along the bend"],
)
def test_another_edge_shows(square: Square | None, found: str | None, tmp_path: Path) -> None:
    plan = replace(PLAN, bent_mm=0.1 * LONG / 40.0)
    problems = " ".join(sheet(tmp_path / "s.pdf", plan, first(plan, square=square))[1])
    assert (found or "") in problems
    assert bool(problems) == bool(found)


def test_what_is_wrong_of_it_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = replace(PLAN, bent_mm=0.05 * LONG / 80.0)  # 80 mm of edge: more than the 61 over the die
    path = tmp_path / "s.pdf"
    assert sheet(path, plan, first(plan))[1] == ()
    lies: tuple[tuple[Any, str, Any, str], ...] = (
        (words, "square_words", lambda *_: "", "does not say what squares the sheet"),
        (square, "GAP_MM", 0.025, "a square along 40.0 mm, the bend asks for 80.0 mm"),
        (scribe, "square_edge", lambda *_: ("b", "c"), "no edge square to the bend"),
    )
    for room, name, lie, said in lies:
        with monkeypatch.context() as patch:
            patch.setattr(room, name, lie)
            assert any(said in p for p in sheet(path, plan, first(plan))[1]), name
    assert any(
        re.search(r"61\.[34] mm lie flat there", p)
        for p in sheet(path, plan, first(plan, square=replace(SQUARE, over=True)))[1]
    )


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_from_above_the_stretch_of_an_edge_begins_past_a_round_corner(
    units: UnitSystem, tmp_path: Path
) -> None:
    """As a pedal hanger comes: between the die's face and its square's edge is the round of a corner."""
    plan = sample_plan("pedal_hanger")[0]
    plan = relieved(plan, relief_diameter(plan.thickness_mm))
    bends, _ = sequence_of(plan, Shop())
    machines, tools = machines_of(plan, Shop()), tools_of(plan, Shop())
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    write_setup_sheet(plan, tmp_path / "s.pdf", bends=bends, machines=machines, units=units, **named)
    assert any(step.stop.square for step in bends.on_brake)
    assert read_setup_sheet(tmp_path / "s.pdf", plan, tools=tools, rel="x", **named).problems == ()
