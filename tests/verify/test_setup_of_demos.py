"""Setup sheets of parts as the demos have them, held against what a bender would reckon with the paper in hand."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LinearRing, box

from generators.bending.setting import machines_of, sequence_of, setting_of
from generators.bending.steps import Sequence, Square, SwingsBy
from generators.bending.tools import dies_of
from generators.drawing.bending import sheet as sheet_module
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.bending.views.plan_view import PlanView, plan_view
from generators.jobs.make.part_files import tools_of
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.reading import read_job
from generators.solve.parts import plan_parts
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.content import read_pdf

SPECS = Path(__file__).parents[2] / "specs"


@cache
def part(demo: str, name: str) -> tuple[PartPlan, Shop, Sequence]:
    """A part of a demo, its shop, and the order of its bends."""
    file = read_job(SPECS / f"{demo}.toml", {k.name: k.parameters for k in KINDS})
    plan = next(p.plan for p in plan_parts(file) if p.spec.name == name)
    return plan, file.shop, sequence_of(plan, file.shop)[0]


def sheet(path: Path, plan: PartPlan, shop: Shop, bends: Sequence) -> tuple[str, str]:
    """The words of a sheet, and what is wrong with it."""
    machines = machines_of(plan, shop)
    write_setup_sheet(plan, path, bends=bends, machines=machines, job_title="Toy", revision="abc1234")
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    read = read_setup_sheet(
        path, plan, tools=tools_of(plan, shop), job_title="Toy", revision="abc1234", rel="x"
    )
    return text, "; ".join(read.problems)


def with_square(bends: Sequence, bend: str, **changed: Any) -> Sequence:
    """The same order with another square at a bend."""

    def other(square: Square | None) -> Square:
        assert square is not None
        return replace(square, **changed)

    return replace(
        bends,
        steps=tuple(
            replace(s, stop=replace(s.stop, square=other(s.stop.square))) if s.bend == bend else s
            for s in bends.steps
        ),
    )


def test_the_hangers_tab_is_squared_from_behind_the_die(tmp_path: Path) -> None:
    """The bend's line is 142.06 over the web's lower edge, the die 48 wide; left of the tab all below 130 is sheet.

    So a blade from the front face, at 118.06, would have to pass through 12 mm of it; from the back face,
    at 166.06, it lies on free die to the end of the edge, 33 mm along it. The tab is 52 long: its stock asks
    for 122 mm of die.
    """
    plan, shop, bends = part("wrenfield_van", "clutch_hanger")
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    step = text.split("2 Bend tab")[1].split("3 Bend")[0]
    assert (
        "SQUARE IT BY the edge h to k, which lies square to the bend: the stock of a square, 70.0 mm of it, "
        "against the back face of the die, from that edge away from the sheet, its blade toward you over the die "
        "along 11.9 mm or more of that edge, no gap there over 0.05 mm, and no longer than 33.3 mm from the die. The "
        "die runs on 70.0 mm or more past the bend's end there, behind the stock."
    ) in step
    die = re.search(r"DIE V 32: [\d +]+ mm = (\d+) mm or longer", step)
    assert die is not None
    assert 122 <= float(die[1]) < 127
    (tab,) = (s for s in bends.on_brake if s.bend == "tab")
    assert tab.stop.square is not None
    assert tab.stop.square.long_mm == pytest.approx(33.06, abs=0.1)
    for changed, said in (
        ({"face": "front"}, "meets the part"),
        ({"free_mm": math.inf}, "a blade of 300.0 mm from the die meets the part"),
        ({"free_mm": 36.0}, "a blade of 36.0 mm from the die meets the part"),
        ({"free_mm": 25.0}, "a blade may be longer than 25.0 mm from the die"),
        ({"free_mm": 11.0}, "a blade of 11.0 mm from the die does not lie along 11.8 mm of the edge"),
        ({"stock_mm": 40.0}, "hold it against nothing"),
        ({"way": 1}, "the die is said to run on"),
    ):
        wrong = sheet(tmp_path / "b.pdf", plan, shop, with_square(bends, "tab", **changed))[1]
        assert said in wrong, (changed, wrong)
    short = replace(
        bends,
        steps=tuple(replace(s, die_pieces_mm=(40.0, 15.0)) if s.bend == "tab" else s for s in bends.on_brake),
    )
    assert (
        "55 mm of die, the bend and the stock of its square take 122.0 mm"
        in sheet(tmp_path / "c.pdf", plan, shop, short)[1]
    )


def test_a_die_that_runs_on_behind_a_stock_is_limited_at_the_other_end(tmp_path: Path) -> None:
    """A gusset's bend: 70 behind the stock at one end, 11 at most at the other, where the base swings."""
    plan, shop, bends = part("dray_tractor", "slave_bracket")
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    step = text.split("2 Bend right gusset")[1].split("3 Bend")[0]
    assert "The die runs on 70.0 mm or more past the bend's end there, behind the stock." in step
    assert "= 165 mm, NO MORE THAN 11.0 mm PAST" in step
    assert "places by their edges" in text


def test_a_bend_that_may_not_go_past_its_angle_is_aimed_at_the_middle_of_its_limits(tmp_path: Path) -> None:
    """The slave bracket's upright: 89 to 90 degrees, 2/90 of it sprung back. To 90 it is 22.24 deep and a degree
    takes 0.24: 89.5 is half of that less.
    """
    plan, shop, bends = part("dray_tractor", "slave_bracket")
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    step = text.split("1 Bend upright")[1].split("2 Bend")[0]
    assert "ANGLE bent by 89° to 90° once sprung back, never past" in step
    said = re.search(r"DEPTH ([\d.]+) mm .* to ([\d.]+)° under load, it springs back to ([\d.]+)° by", step)
    assert said is not None
    assert float(said[1]) == pytest.approx(22.24 - 0.5 * 0.24, abs=0.011)
    assert (said[2], said[3]) == ("91.5", "89.5")
    # its gussets have limits either way, and are aimed at their angle
    assert "it springs back to 90° by" in text.split("2 Bend right gusset")[1]
    # at the forbidden edge it is wrong
    shut = tuple(
        replace(s, pressed_rad=math.radians(92), angle_rad=math.radians(90), depth_mm=22.24)
        if s.bend == "upright"
        else s
        for s in bends.on_brake
    )
    wrong = sheet(tmp_path / "b.pdf", plan, shop, replace(bends, steps=shut))[1]
    assert "it springs back to 90°; the middle of its limits is 89.5°" in wrong
    assert "92° under load; by the shop's test bend it is 91.5°" in wrong


def test_a_flange_that_hangs_at_the_gauge_drives_it_back(tmp_path: Path) -> None:
    """The throttle bracket's base hangs 61 deep at 49.76 from the die's middle, its leg rises by 40.1 degrees.

    Its outer lower end is out 49.76 - h n, n = 5 + 0.41 x 3, and 61 + 8 under the axis: at the end, h = 0.700,
    (49.76 - 4.36) cos h + 69 sin h = 34.7 + 44.4 = 79.2 mm; a little more, pressed on at worst by a degree.
    """
    plan, shop, bends = part("tarn_special", "throttle_bracket")
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    step = text.split("2 Bend face")[1]
    said = re.search(
        r"DRAW BACK the gauge ([\d.]+) mm or more as the stroke begins, or take it away once the punch holds the "
        r"sheet: base swings out to ([\d.]+) mm\.",
        step,
    )
    assert said is not None
    h = math.radians(40.1)
    by_hand = (49.76 - h * 6.23) * math.cos(h) + 69.0 * math.sin(h)
    assert by_hand - 0.05 < float(said[2]) < by_hand + 0.6
    assert float(said[1]) == pytest.approx(float(said[2]) - 49.76, abs=0.11)
    assert f"150 mm long; drawn back {said[1]} mm in step 2; lower edge " in text
    assert "lower edge 10.0 mm to 30 mm below the die's top in step 2." in text
    assert "DRAW BACK" not in text.split("2 Bend face")[0]
    (face,) = (s for s in bends.on_brake if s.bend == "face")
    assert face.swings_out is not None
    near = replace(face.swings_out, far_mm=face.swings_out.far_mm - 2.0)
    for out, wrong in ((None, "past the stop, and the sheet is silent"), (near, "folded it comes to 79.")):
        steps = tuple(replace(s, swings_out=out) if s is face else s for s in bends.on_brake)
        assert wrong in sheet(tmp_path / "b.pdf", plan, shop, replace(bends, steps=steps))[1]


@pytest.mark.parametrize(
    ("demo", "name"),
    [
        ("wrenfield_van", "clutch_hanger"),
        ("tarn_special", "throttle_bracket"),
        ("dray_tractor", "slave_bracket"),
    ],
)
def test_a_picture_has_all_of_the_part_as_laid_in_and_no_name_over_its_lines(
    demo: str, name: str, tmp_path: Path
) -> None:
    """Dashed lines lie within the picture's column; words there keep off them and off a punch's outline."""
    plan, shop, bends = part(demo, name)
    sheet(tmp_path / "a.pdf", plan, shop, bends)
    dashes = 0
    for page in read_pdf(tmp_path / "a.pdf").pages:
        # the rule between pictures and words stands upright somewhat left of the page's middle
        (rule,) = {
            round(s.points[0][0], 1)
            for s in page.shapes
            if len(s.points) == 2
            and s.points[0][0] == s.points[1][0]
            and 80 < s.points[0][0] < 110
            and s.box[3] - s.box[1] > 30
        }
        top = max((w.box[1] for w in page.words if re.match(r"[12]\s+Bend ", w.text)), default=0.0) + 5.0
        laid = [s for s in page.shapes if s.dashed and s.box[3] < top and len(s.points) > 2]
        dashes += len(laid)
        for shape in laid:
            assert 9.0 < shape.box[0] < shape.box[2] < rule, shape.points
        names = {"punch", "die", "gauge", *(f.name.replace("_", " ") for f in plan.flanges)}
        for word in (w for w in page.words if w.text.strip() in names and w.box[3] < top and w.box[2] < rule):
            x0, y0, x1, y1 = word.box
            inner = box(x0 + 0.2, y0 + 0.4, x1 - 0.2, y1 - 0.4)
            for shape in laid:
                assert not LinearRing(shape.points).intersects(inner), word.text
    assert dashes >= 2 * len(plan.bends)


@pytest.mark.parametrize(
    ("demo", "name", "bend", "said"),
    [
        (
            "wrenfield_van",
            "clutch_hanger",
            "tab",
            r"right cheek 23\.8 mm, 36\.0 mm beside the fingers\.",
        ),
        (
            "dray_tractor",
            "slave_bracket",
            "left_gusset",
            r"base 14\.8 mm, over the fingers, 42\.6 mm over the die's top\.",
        ),
    ],
)
def test_what_swings_past_the_gauge_on_the_way_is_told(
    demo: str, name: str, bend: str, said: str, tmp_path: Path
) -> None:
    """A cheek beside them, and a base that passes 2.7 over fingers 40 high."""
    plan, shop, bends = part(demo, name)
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    (here,) = (s for s in bends.on_brake if s.bend == bend)
    step = text.split(f"Bend {bend.replace('_', ' ')}")[1].split(" Bend ")[0]
    assert re.search(
        rf"SWINGS PAST THE STOP as it is bent: {said} No finger nor what holds it may reach in there\.", step
    )
    (one,) = here.swings_by
    wrong: list[tuple[tuple[SwingsBy, ...], str]] = [
        ((), "past the stop, and the sheet is silent"),
        ((replace(one, past_mm=one.past_mm - 0.8),), "mm past the stop; folded it is"),
        ((replace(one, flange=here.rear),), "is said to swing past the stop, and does not"),
    ]
    if one.at == "beside":
        wrong += [
            ((replace(one, beside_mm=one.beside_mm + 0.7),), "beside the fingers, it is 36.0 mm"),
            ((replace(one, at="over", low_mm=60.0),), "it is 36.0 mm beside them"),
        ]
    else:
        wrong += [
            ((replace(one, low_mm=one.low_mm + 0.5),), "43.1 mm over the die's top; folded it is 42."),
            ((replace(one, low_mm=40.5),), "40.5 mm over the die's top, where it meets the fingers"),
            ((replace(one, at="beside", beside_mm=9.0),), "pass 9.0 mm beside the fingers, it is"),
        ]
    # beside a tool one flange stands, hangs or swings down as it is laid in, in either limit alike
    if one.at == "over":
        assert "PAST the bend's end where flange base stands beside it. DIE" in step
        assert "PAST the bend's end where flange base swings down beside it. DEPTH" in step
        reach = replace(here.die_reach, swings=())
        hung = tuple(replace(s, die_reach=reach) if s is here else s for s in bends.on_brake)
        assert (
            "base is said to hang beside it, and does not as laid in"
            in sheet(tmp_path / "c.pdf", plan, shop, replace(bends, steps=hung))[1]
        )
    for swings, found in wrong:
        steps = tuple(replace(s, swings_by=swings) if s is here else s for s in bends.on_brake)
        assert found in sheet(tmp_path / "b.pdf", plan, shop, replace(bends, steps=steps))[1], found


def drawn_in_step(path: Path, bend: str) -> tuple[list[Any], list[str]]:
    """Filled outlines and words between the head line of a step and that of the next, or the page's end."""
    for page in read_pdf(path).pages:
        heads = sorted((w.box[3] for w in page.words if re.match(r"\d\s+Bend ", w.text)), reverse=True)
        tops = [w.box[3] for w in page.words if re.match(rf"\d\s+Bend {bend}:", w.text)]
        if tops:
            low = max((h + 4.0 for h in heads if h < tops[0] - 1.0), default=0.0)
            shapes = [s for s in page.shapes if low < s.box[1] and s.box[3] < tops[0] + 5.0]
            return shapes, [" ".join(w.text.split()) for w in page.words if low < w.box[1] < tops[0]]
    raise AssertionError(bend)


def changed_by(lie: Callable[[PlanView], PlanView | None]) -> Callable[..., PlanView | None]:
    """The view from above of any step, changed where it has one."""

    def view(*given: Any) -> PlanView | None:
        honest = plan_view(*given)
        return None if honest is None else lie(honest)

    return view


def test_a_squared_sheet_is_seen_from_above_with_its_square_at_its_edge(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tab's square lies back of a die 48 wide: its stock 70 long on the face, its blade 25 wide along h to k."""
    plan, shop, bends = part("wrenfield_van", "clutch_hanger")
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    shapes, words = drawn_in_step(tmp_path / "a.pdf", "tab")
    for word in ("stock 70.0 mm", "blade 11.9 mm or more", "die, its back face", "finger", "h", "k"):
        assert word in words, word
    # four-sided and upright: die 48 by the bend's 52 and the stock's 70, stock 70 by 20, finger 20 by 25
    boxes = [s.box for s in shapes if s.filled and len(set(s.points)) == 4]
    sized = [(b[2] - b[0], b[3] - b[1], b) for b in boxes]
    (die,) = (b for w, h, b in sized if h > 0 and abs(w / h - 122 / 48) < 0.02)
    scale = (die[3] - die[1]) / 48

    def at(wide: float, high: float) -> tuple[float, ...]:
        near = 0.15 / scale
        found = [b for w, h, b in sized if abs(w / scale - wide) < near and abs(h / scale - high) < near]
        assert len(found) == 1, (wide, high)
        return found[0]

    stock, finger = at(70.0, 20.0), at(20.0, 25.0)
    assert stock[1] == pytest.approx(die[3], abs=0.02)
    assert stock[0] == pytest.approx(die[0], abs=0.02)
    assert finger[1] - (die[1] + die[3]) / 2 == pytest.approx(42.06 * scale, abs=0.05)
    # the tab's edge is at the bend's end, where the stock begins
    (blade,) = (b for w, h, b in sized if abs(w / scale - 25.0) < 0.5 and abs(b[3] - die[3]) < 0.02)
    assert (blade[2], blade[2]) == (
        pytest.approx(stock[2], abs=0.02),
        pytest.approx(die[2] - 52 * scale, abs=0.1),
    )
    # in the words, only what the picture has
    assert "SQUARE IT BY" not in text.split("3 Bend left")[1]
    for lie, said in (
        (lambda v: replace(v, blade=tuple((x, y + 3.0) for x, y in v.blade)), "no blade where"),
        (lambda v: replace(v, stock=tuple((x - 3.0, y) for x, y in v.stock)), "no stock where"),
        (lambda v: replace(v, die=tuple((x, y * 0.9) for x, y in v.die)), "no die where"),
        (lambda v: replace(v, finger=tuple((x, y + 2.0) for x, y in v.finger)), "no finger where"),
        (lambda v: replace(v, edge=(v.edge[0], v.edge[0])), "are not marked"),
        (lambda v: replace(v, words=v.words[1:]), "'stock 70.0 mm' is not written there"),
        (lambda v: replace(v, letters=()), "'k' is not written there"),
        (
            lambda v: replace(v, sheet=tuple(tuple((-x, y) for x, y in r) for r in v.sheet)),
            "no outline of the",
        ),
        (lambda v: None, "no outline of the sheet as it is laid in"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(sheet_module, "plan_view", changed_by(lie))
            assert said in sheet(tmp_path / "b.pdf", plan, shop, bends)[1], said


@pytest.mark.parametrize(
    ("demo", "name"), [("wrenfield_van", "clutch_hanger"), ("dray_tractor", "slave_bracket")]
)
def test_the_gauges_finger_is_drawn_broken_off_within_its_frame(demo: str, name: str, tmp_path: Path) -> None:
    """40 high beside a die as the shop has it, 42 of its 150 seen, by its zigzag; clear of frame and rule."""
    plan, shop, bends = part(demo, name)
    sheet(tmp_path / "a.pdf", plan, shop, bends)
    die = dies_of(machines_of(plan, shop).brake, setting_of(plan, shop).opening_mm, plan.thickness_mm)[0]
    for step in bends.on_brake:
        shapes, _ = drawn_in_step(tmp_path / "a.pdf", step.bend.replace("_", " "))
        fingers = []
        for shape in (s for s in shapes if s.filled and len(set(s.points)) == 8):
            x0, y0, x1, y1 = shape.box
            if abs((x1 - x0) / (y1 - y0) - 45.0 / 40.0) < 0.01:
                fingers.append(shape)
        (finger,) = fingers
        assert 10.0 < finger.box[0] < finger.box[2] < 10.0 + 0.46 * 190.0 - 0.5
        scale = (finger.box[3] - finger.box[1]) / 40.0
        low = finger.box[1]
        (stands,) = {
            round(s.box[0] + s.box[2], 1)
            for s in shapes
            if s.filled
            and abs((s.box[2] - s.box[0]) / scale - die.width_mm) < 0.5
            and abs((s.box[3] - s.box[1]) / scale - die.height_mm) < 0.5
            and abs(s.box[3] - low) < 0.05
        }
        face = min((p[0] for p in finger.points), key=lambda x: abs(x - stands / 2))
        assert abs(face - stands / 2) / scale == pytest.approx(step.stop.distance_mm, abs=0.5)
