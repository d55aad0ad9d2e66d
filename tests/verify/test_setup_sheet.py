"""Setup sheets read back: what is written reads, and each thing that is changed on one shows."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, bend, channel, flagged, hat, plan_of

from generators.bending.search import Search
from generators.bending.setting import Machines
from generators.bending.steps import Reach, Sequence, Step
from generators.bending.trial import Setting
from generators.drawing.bending import sheet, words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.bending.views.picture import SideView
from generators.drawing.bending.views.side_view import side_view
from generators.model.findings import Waived
from generators.model.plan import Fitting, Hole, PartPlan, Slot
from generators.model.words import Grain
from generators.sheetmetal.joggle import joggles
from generators.units import UnitSystem
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.step_words import steps_in
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack

PLAN = replace(hat(80.0, 40.0, 30.0), name="top_hat", title="Hat, invented")
SETTING = Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0, springback_rad=math.radians(1))
BENDS = Search(plan=PLAN, setting=SETTING).run()
TOOLS = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0)


def written(
    path: Path,
    bends: Sequence,
    units: UnitSystem = "metric",
    paper: str = "A4",
    waived: tuple[Waived, ...] = (),
    plan: PartPlan = PLAN,
) -> Path:
    write_setup_sheet(
        plan,
        path,
        bends=bends,
        machines=MACHINES,
        job_title="Toy job, Öl and Ω, with as long a title as one may well write on a sheet",
        revision="abc1234",
        paper=paper,
        waived=waived,
        units=units,
    )
    return path


def read(path: Path, plan: PartPlan = PLAN, tools: Tools = TOOLS) -> ReadBack:
    title = "Toy job, Öl and Ω, with as long a title as one may well write on a sheet"
    return read_setup_sheet(path, plan, tools=tools, job_title=title, revision="abc1234", rel="x")


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_what_is_written_reads(tmp_path: Path, units: UnitSystem, paper: str) -> None:
    reading = read(written(tmp_path / "s.pdf", BENDS, units, paper))
    assert reading.problems == ()
    assert reading.facts == (
        "4 of 4 bends in order, stops measured on the blank; that nothing meets is the search's word",
    )


def pierced(flange: str, off: float, long: float = 0.0) -> PartPlan:
    """An angle of 60 and 50 flat, R 3, 3 thick, one opening of 10 whose rim is ``off`` from the bend's middle."""
    plan = plan_of(
        {"base": (60.0, 80.0), "wall": (80.0, 50.0)}, [bend("w", "base", "wall", (60.0, 0.0), (60.0, 80.0))]
    )
    # half of the strip, (3 + 0.43 x 3) pi / 2 wide, lies before the tangent line
    in_flange = off + 5.0 - math.pi / 4 * (3.0 + 0.43 * 3.0)
    u, v = (60.0 - in_flange, 40.0) if flange == "base" else (40.0, in_flange)
    fitting = Fitting(kind="bolt", label="M8 bolt")
    common: dict[str, Any] = {"name": "x", "u_mm": u, "v_mm": v, "purpose": "M8 bolt", "fitting": fitting}
    hole = Hole(**common, diameter_mm=10.0)
    slot = Slot(**common, width_mm=10.0, travel_mm=long, angle_rad=0.0 if flange != "base" else math.pi / 2)
    kept: dict[str, Any] = {"slots": (slot,)} if long else {"holes": (hole,)}
    return replace(plan, flanges=tuple(replace(f, **kept) if f.name == flange else f for f in plan.flanges))


# a V of 24, of 80 degrees, is open 12 to either side of the middle, and its shoulders of R 1.5 carry from
# 12 + 1.5 tan 25° = 12.70 on
@pytest.mark.parametrize("flange", ["base", "wall"])
@pytest.mark.parametrize("long", [0.0, 20.0])
@pytest.mark.parametrize(("off", "over"), [(11.9, True), (12.6, True), (12.8, False)])
def test_an_opening_over_the_open_v_is_said_and_read(
    flange: str, long: float, off: float, over: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = pierced(flange, off, long)
    bends = Search(plan=plan, setting=SETTING).run()
    path = written(tmp_path / "s.pdf", bends, plan=plan)
    assert read(path, plan).problems == ()
    text = " ".join(page.text for page in read_pdf(path).pages)
    assert ("OVER THE OPEN V: 1, by the numbers of the drawing" in text) is over
    monkeypatch.setattr(words, "over_the_v", lambda *_: () if over else ("1",))
    problems = read(written(tmp_path / "t.pdf", bends, plan=plan), plan).problems
    said = "not named" if over else "does not reach over it"
    assert any(said in p for p in problems), problems


def test_an_opening_in_a_flange_bent_before_lies_over_no_v(tmp_path: Path) -> None:
    """A hole 5 behind the tangent line of a cheek: over the V while that is bent, and at no other step."""
    plan = channel(60.0, 40.0)
    first = plan.flanges[1]
    hole = Hole(
        name="x",
        u_mm=50.0,
        v_mm=8.0,
        diameter_mm=6.0,
        purpose="M6 bolt",
        fitting=Fitting(kind="bolt", label="M6 bolt"),
    )
    plan = replace(plan, flanges=(plan.flanges[0], replace(first, holes=(hole,)), *plan.flanges[2:]))
    bends = Search(plan=plan, setting=SETTING).run()
    path = written(tmp_path / "s.pdf", bends, plan=plan)
    assert read(path, plan).problems == ()
    said = [m["open"] for m in steps_in(" ".join(page.text for page in read_pdf(path).pages))]
    own = next(i for i, step in enumerate(bends.steps) if step.bend == "r")
    assert said == ["1" if i == own else None for i in range(2)]


CHANGES: dict[str, tuple[Callable[[Step], Step], str]] = {
    "stop": (
        lambda s: replace(s, stop=replace(s.stop, distance_mm=s.stop.distance_mm + 0.03)),
        "nothing to stop on",
    ),
    "side": (lambda s: replace(s, flipped=not s.flipped), "side up"),
    "rear": (lambda s: replace(s, rear="nowhere"), "none of the bend's flanges"),
    "pieces": (lambda s: replace(s, punch_pieces_mm=(50.0, 40.0)), "of punch for a bend"),
    "depth": (lambda s: replace(s, depth_mm=s.depth_mm + 0.2), "deep; by the die"),
    "force": (lambda s: replace(s, force_n=s.force_n * 1.1), "by the formula"),
    "degree": (lambda s: replace(s, degree_mm=s.degree_mm + 0.03), "for a degree; it is"),
    "no degree": (lambda s: replace(s, degree_mm=0.0), "does not say for which angle its depth is"),
}


@pytest.mark.parametrize("what", CHANGES)
def test_a_step_that_is_wrong_shows(tmp_path: Path, what: str) -> None:
    change, said = CHANGES[what]
    steps = (change(BENDS.on_brake[0]), *BENDS.steps[1:])
    problems = read(written(tmp_path / "s.pdf", replace(BENDS, steps=steps))).problems
    assert any(said in p for p in problems), problems


def test_the_depth_says_for_which_angle_it_is_and_what_a_degree_more_takes(tmp_path: Path) -> None:
    """A square bend of a sheet that loses a degree is pressed to 91: what that is deeper, one degree takes."""
    plain = Search(plan=PLAN, setting=replace(SETTING, springback_rad=0.0)).run()
    square = plain.on_brake[0]
    (springy,) = (s for s in BENDS.on_brake if s.bend == square.bend)
    assert springy.die == square.die
    assert square.angle_rad == pytest.approx(math.pi / 2)
    degree = springy.depth_mm - square.depth_mm
    assert square.degree_mm == pytest.approx(degree)
    for bends, said in (
        (plain, "to 90° under load, springback not measured"),
        (BENDS, "to 91° under load, it springs back to 90° by the shop's test bend"),
    ):
        path = written(tmp_path / "s.pdf", bends)
        assert read(path).problems == ()
        text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
        step = next(s for s in bends.on_brake if s.bend == square.bend)
        took = f"{said}; a degree more takes {step.degree_mm:.2f} mm."
        assert f"DEPTH {step.depth_mm:.2f} mm from touching the flat sheet {took}" in text
    # what is bent to another angle than the depth is said for shows
    off = replace(square, pressed_rad=square.pressed_rad - math.radians(1))
    steps = tuple(off if s is square else s for s in plain.steps)
    found = read(written(tmp_path / "s.pdf", replace(plain, steps=steps))).problems
    assert any("89° under load; the middle of its limits is 90.0°" in p for p in found)


@pytest.mark.parametrize(("units", "said"), [("metric", "197 kN on a metre"), ("inch", "6.8 on a foot")])
def test_force_on_a_metre_is_said_and_read(tmp_path: Path, units: UnitSystem, said: str) -> None:
    # 1.42 x 370 x 9 / 24 = 197.0 N/mm; 0.3048 m of it are 60.05 kN, 6.7505 tons of 2000 lbf
    path = written(tmp_path / "s.pdf", BENDS, units)
    text = " ".join(" ".join(w.text for page in read_pdf(path).pages for w in page.words).split())
    assert said in text
    assert "What the punch and the die may take nobody has told" in text


def test_a_step_left_out_or_twice_shows(tmp_path: Path) -> None:
    assert read(written(tmp_path / "a.pdf", replace(BENDS, steps=BENDS.steps[:-1]))).problems
    assert read(written(tmp_path / "b.pdf", replace(BENDS, steps=(*BENDS.steps, BENDS.steps[0])))).problems


def test_another_part_does_not_read(tmp_path: Path) -> None:
    problems = read(written(tmp_path / "s.pdf", BENDS), replace(channel(80.0, 40.0), name="top_hat")).problems
    assert problems


def test_the_picture_is_looked_at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # drawn pressed to 88 degrees, while the words say 91
    def wrong(plan: PartPlan, step: Step, machines: Machines) -> SideView:
        return side_view(plan, replace(step, pressed_rad=math.radians(88)), machines)

    monkeypatch.setattr(sheet, "side_view", wrong)
    problems = read(written(tmp_path / "s.pdf", BENDS)).problems
    assert len([p for p in problems if "no picture shows a leg at" in p]) == 8


def test_another_step_s_picture_does_not_stand_for_a_wrong_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(plan: PartPlan, step: Step, machines: Machines) -> SideView:
        off = step.pressed_rad if step.bend != BENDS.steps[1].bend else math.radians(88)
        return side_view(plan, replace(step, pressed_rad=off), machines)

    monkeypatch.setattr(sheet, "side_view", wrong)
    problems = read(written(tmp_path / "s.pdf", BENDS)).problems
    assert len([p for p in problems if "no picture shows a leg at 45.5° for step 2" in p]) == 1
    assert not any("for step 1" in p or "for step 3" in p for p in problems)


def test_an_edge_on_the_other_leg_is_no_stop(tmp_path: Path) -> None:
    plan = replace(channel(100.0, 40.0), name="top_hat")
    bends = Search(plan=plan, setting=SETTING).run()
    assert read(written(tmp_path / "a.pdf", bends, plan=plan), plan).problems == ()
    first = bends.steps[0]
    # the same distance with the other flange at the gauge: nothing is there
    other = "web" if first.rear != "web" else plan.bends[0].child
    bad = replace(bends, steps=(replace(first, rear=other), *bends.steps[1:]))
    assert any(
        "nothing to stop on" in p for p in read(written(tmp_path / "b.pdf", bad, plan=plan), plan).problems
    )


def beside(both: bool) -> tuple[PartPlan, Sequence]:
    """A bend with flanges 5 mm beside its ends; 1 mm of air wanted: the die is at most 108 long."""
    plan = replace(flagged(5.0, both), name="top_hat", title="Tray, invented")
    return plan, Search(plan=plan, setting=SETTING).run()


@pytest.mark.parametrize("both", [True, False])
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_sheet_says_how_long_a_die_may_be(tmp_path: Path, units: UnitSystem, both: bool) -> None:
    plan, bends = beside(both)
    assert bends.steps[-1].bend == "r"
    path = written(tmp_path / "s.pdf", bends, units, plan=plan)
    assert read(path, plan).problems == ()
    text = " ".join(" ".join(w.text for page in read_pdf(path).pages for w in page.words).split())
    # 108 / 25.4 = 4.25197, 4 / 25.4 = 0.15748: rounded down
    most = {("metric", True): "108.0 mm", ("inch", True): "4.251 in", ("metric", False): "4.0 mm"}
    word = f"NO {'LONGER' if both else 'MORE'} THAN {most.get((units, both), '0.157 in')}"
    assert word in text


@pytest.mark.parametrize("both", [True, False])
def test_a_limit_left_out_or_too_great_shows(tmp_path: Path, both: bool) -> None:
    plan, bends = beside(both)
    step = bends.on_brake[-1]
    out = replace(step, die_reach=Reach())
    path = written(tmp_path / "a.pdf", replace(bends, steps=(*bends.steps[:-1], out)), plan=plan)
    assert any("nothing of it" in p for p in read(path, plan).problems)
    far = replace(step.die_reach, low=step.die_reach.low - 3, high=step.die_reach.high + 3)
    path = written(
        tmp_path / "b.pdf", replace(bends, steps=(*bends.steps[:-1], replace(step, die_reach=far))), plan=plan
    )
    assert any("are free for the die" in p for p in read(path, plan).problems)


def test_a_die_longer_than_its_own_limit_shows(tmp_path: Path) -> None:
    plan, bends = beside(True)
    long = replace(bends.on_brake[-1], die_pieces_mm=(100.0, 10.0))
    path = written(tmp_path / "a.pdf", replace(bends, steps=(*bends.steps[:-1], long)), plan=plan)
    assert any("no more than 108.0 mm may go in" in p for p in read(path, plan).problems)


def test_no_order_says_so_and_why(tmp_path: Path) -> None:
    narrow = channel(40.0, 300.0)
    none = Search(plan=narrow, setting=SETTING).run()
    assert not none.found
    reading = read(written(tmp_path / "s.pdf", none))
    assert reading.facts == ("no order of bends",)
    text = " ".join(w.text for page in read_pdf(tmp_path / "s.pdf").pages for w in page.words)
    assert "meets" in text


# V 24 carries a leg from 24/2 / cos 45 = 16.97 on, of which (3 + 3) tan 45 = 6 are not flat: one of 8 is too short
def test_a_leg_that_does_not_reach_the_die_is_said(tmp_path: Path) -> None:
    short = replace(channel(80.0, 8.0), name="top_hat")
    bends = Search(plan=short, setting=replace(SETTING, supported=False)).run()
    assert [s.bare for s in bends.on_brake] == [
        s.bend.replace("r", "right").replace("l", "left") for s in bends.steps
    ]
    path = written(tmp_path / "s.pdf", bends, plan=short)
    assert read(path, short).problems == ()
    silent = replace(bends, steps=tuple(replace(s, bare="") for s in bends.on_brake))
    assert any(
        "the sheet is silent" in p
        for p in read(written(tmp_path / "t.pdf", silent, plan=short), short).problems
    )


def test_a_joggle_asks_for_an_offset_die(tmp_path: Path) -> None:
    """Bends too close together for the die, one up and one down: not 'no order was found'."""
    edge = ((100.0, 2.0), (0.0, 2.0))
    plan = plan_of(
        {"foot": (100.0, 40.0), "web": (100.0, 2.0), "head": (100.0, 40.0)},
        [
            bend("one", "foot", "web", (100.0, 40.0), (0.0, 40.0)),
            bend("two", "web", "head", *edge, direction="down"),
        ],
    )
    plan = replace(plan, name="top_hat")
    bends = Search(plan=plan, setting=SETTING).run()
    assert not bends.found
    path = written(tmp_path / "s.pdf", bends, plan=plan)
    assert read(path, plan).problems == ()
    text = " ".join(w.text for page in read_pdf(path).pages for w in page.words)
    assert "OFFSET DIE" in text
    assert "NO ORDER OF BENDS" not in text
    # V 24 wants 24/2 / cos 45 - (3 + 3) tan 45 = 10.97 between them
    assert joggles(plan, 24.0) == [("one", "two")]
    far = replace(plan.bends[1], start=(100.0, 11.0), end=(0.0, 11.0))
    assert joggles(replace(plan, bends=(plan.bends[0], far)), 24.0) == []
    near = replace(far, start=(100.0, 10.9), end=(0.0, 10.9))
    assert joggles(replace(plan, bends=(plan.bends[0], near)), 24.0) == [("one", "two")]
    # on a part whose bends do not follow each other, it is read as wrong
    other = replace(channel(80.0, 40.0), name="top_hat")
    assert any("asks for an offset die" in p for p in read(path, other).problems)


def test_waived_rules_are_listed(tmp_path: Path) -> None:
    waived = (Waived(code="hole-off-panel", reason="trial part, never fitted"),)
    path = written(tmp_path / "s.pdf", BENDS, waived=waived)
    assert read(path).problems == ()
    assert waiver_problems(path, waived) == []
    assert waiver_problems(written(tmp_path / "t.pdf", BENDS), waived)


def test_a_file_that_is_none_is_a_problem(tmp_path: Path) -> None:
    path = tmp_path / "s.pdf"
    path.write_bytes(b"no PDF")
    assert read(path).problems


# the hat's four bend lines run along v
@pytest.mark.parametrize(("grain", "lie"), [("along_u", "across it"), ("along_v", "along it")])
def test_the_grain_is_said_and_held_against_the_blank(tmp_path: Path, grain: Grain, lie: str) -> None:
    plan = replace(PLAN, grain=grain)
    path = written(tmp_path / "s.pdf", BENDS, plan=plan)
    text = " ".join(" ".join(w.text for page in read_pdf(path).pages for w in page.words).split())
    assert f"Grain (rolling direction) along {'X' if grain == 'along_u' else 'Y'} of the blank: bends" in text
    assert f"{lie}. Look for it" in text
    assert read(path, plan).problems == ()
    for other in ("any", "along_v" if grain == "along_u" else "along_u"):
        assert any("gives the grain" in p for p in read(path, replace(PLAN, grain=other)).problems)


def test_three_bends_share_a_sheet_and_no_line_of_words_is_crossed(tmp_path: Path) -> None:
    # steps as high as their words want, 57 mm instead of 70: head 20, facts 31, blank 41, foot 14 of 277 mm on A4
    steps = BENDS.steps[:3]
    file = read_pdf(written(tmp_path / "s.pdf", replace(BENDS, steps=steps)))
    (page,) = file.pages
    rules = [
        s.points[0][1]
        for s in page.shapes
        if len(s.points) == 2 and abs(s.points[0][1] - s.points[1][1]) < 1e-6 and s.box[2] - s.box[0] > 180
    ]
    assert len(rules) >= 5
    crossed = [w.text for w in page.words for y in rules if w.box[1] < y < w.box[3]]
    assert crossed == []


@pytest.mark.parametrize("what", ["hole", "slot"])
def test_an_opening_left_out_of_the_blank_s_picture_shows(tmp_path: Path, what: str) -> None:
    nut = Fitting(kind="bolt", label="M6 bolt", shank_mm=6.0)
    hole = Hole(name="one", u_mm=20.0, v_mm=10.0, diameter_mm=6.6, purpose="M6 bolt", fitting=nut)
    slot = Slot(
        name="long", u_mm=45.0, v_mm=10.0, width_mm=6.6, travel_mm=8.0, angle_rad=0.5, purpose="", fitting=nut
    )
    root = replace(PLAN.flanges[0], holes=(hole,), slots=(slot,))
    plan = replace(PLAN, flanges=(root, *PLAN.flanges[1:]))
    path = written(tmp_path / "s.pdf", BENDS, plan=plan)
    assert read(path, plan).problems == ()
    less = replace(root, holes=()) if what == "hole" else replace(root, slots=())
    left_out = written(tmp_path / "t.pdf", BENDS, plan=replace(plan, flanges=(less, *PLAN.flanges[1:])))
    name = "one" if what == "hole" else "long"
    assert f"the picture of the blank does not show {name}" in read(left_out, plan).problems
