"""A square beside arms, rounds, thin tabs and flanges that lean: what the sheet says of it is read as it is."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Sequence as Many
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, ONE, STRAIGHT, TWO, R, bend, channel, hat, last, order, plan_of
from test_setup_of_demos import sheet as shop_sheet

from generators.bending.search import Search
from generators.bending.setting import sequence_of
from generators.bending.steps import Sequence, Step
from generators.bending.tools import plain_die
from generators.bending.trial import Setting
from generators.drawing.bending.sheet import write_setup_sheet
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Fitting, Flange, Hole, PartPlan
from generators.model.spec.shop import Shop
from generators.model.spec.tools.press import Brake
from generators.solve.parts import sample_plan
from generators.units import UnitSystem
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf

Point = tuple[float, float]
NO_LONGER = re.compile(r"no longer than ([\d.]+) mm from the die")
POINTED = ((0.0, 0.0), (30.0, 0.0), (30.0, 22.0), (15.0, 45.0), (0.0, 22.0))
"""A wall whose end is a point: two fingers do not stand on it."""


def pivoted() -> PartPlan:
    """A channel of 320 by 22 with a pivot 50 out in either wall and a bolt's hole in its web."""
    plan = channel(320.0, 60.0, 22.0)
    web, right, left = plan.flanges
    holes = (("m", 300.0, 6.0, "bolt"), ("a", 6.0, 50.0, "pivot"), ("b", 16.0, 50.0, "pivot"))
    m, a, b = (
        Hole(
            name=n,
            u_mm=u,
            v_mm=v,
            diameter_mm=9.0,
            purpose="M8 bolt",
            fitting=Fitting(kind="pivot" if kind == "pivot" else "bolt", label="M8 bolt"),
        )
        for n, u, v, kind in holes
    )
    flanges = (replace(web, holes=(m,)), replace(right, holes=(a,)), replace(left, holes=(b,)))
    return replace(plan, flanges=flanges)


def sheet(
    path: Path,
    plan: PartPlan,
    bends: Sequence,
    brake: Brake = TWO,
    v: float = 24.0,
    units: UnitSystem = "metric",
) -> tuple[str, tuple[str, ...]]:
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    machines = replace(MACHINES, brake=brake, opening_mm=v)
    write_setup_sheet(plan, path, bends=bends, machines=machines, units=units, **named)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    tools = Tools(brake=brake, dies=brake.die, tensile_mpa=370.0, opening_mm=v)
    return text, read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems


def outlined(ring: Many[Vertex], flanges: dict[str, Point], bends: list[Bend], t: float = 3.0) -> PartPlan:
    """A base of that outline with flanges bent off it, a ``wall`` among them ending in a point."""
    plan = plan_of({"base": (1.0, 1.0), **flanges}, bends, t)
    shapes = {"base": tuple(ring), "wall": tuple(Vertex(u=u, v=v) for u, v in POINTED)}
    return replace(
        plan,
        flanges=tuple(
            Flange(name=f.name, contour=Contour(vertices=shapes[f.name])) if f.name in shapes else f
            for f in plan.flanges
        ),
    )


def mirrored(low: Many[Point]) -> list[Vertex]:
    """An outline from its lower half, about the middle of a bend 30 long."""
    return [Vertex(u=u, v=v) for u, v in (*low, *((u, 30.0 - v) for u, v in reversed(low)))]


WALL = bend("w", "base", "wall", (60.0, 0.0), (60.0, 30.0))


@pytest.mark.parametrize("aside", [23.5, 24.0, 24.5, 24.9, 25.5])
def test_an_arm_beside_the_edge_ends_the_blade_where_it_is_as_wide(aside: float, tmp_path: Path) -> None:
    """Its rule is 25 wide; from there on the sheet ends it, 30 further off."""
    low = [(0.0, 3.0), (5.0, -60.0), (50.0, -57.0), (50.0, -aside), (20.0, -aside), (20.0, 0.0), (60.0, 0.0)]
    plan = outlined(mirrored(low), {"wall": (30.0, 40.0)}, [WALL])
    text, problems = sheet(tmp_path / "s.pdf", plan, order(plan, TWO))
    assert problems == ()
    (longest,) = NO_LONGER.findall(text)
    assert float(longest) == pytest.approx(31.3 if aside < 25.0 else 61.3)


@pytest.mark.parametrize("radius", [10.0, 80.0, 200.0])
def test_a_blade_ends_where_a_large_round_begins(radius: float, tmp_path: Path) -> None:
    """It leaves the edge's line by 0.05 mm after sqrt(2 R 0.05) of it."""
    x, bulge = 15.0, -math.tan(math.pi / 8)
    low = [
        Vertex(u=x - radius - 40, v=3.0),
        Vertex(u=x - radius - 38, v=-radius - 20),
        Vertex(u=x - radius, v=-radius - 17),
        Vertex(u=x - radius, v=-radius, bulge=bulge),
        Vertex(u=x, v=0.0),
        Vertex(u=60.0, v=0.0),
    ]
    high = [
        Vertex(u=60.0, v=30.0),
        Vertex(u=x, v=30.0, bulge=bulge),
        Vertex(u=x - radius, v=30.0 + radius),
        Vertex(u=x - radius, v=47.0 + radius),
        Vertex(u=x - radius - 38, v=50.0 + radius),
        Vertex(u=x - radius - 40, v=27.0),
    ]
    plan = outlined([*low, *high], {"wall": (30.0, 40.0)}, [WALL])
    text, problems = sheet(tmp_path / "s.pdf", plan, order(plan, TWO))
    assert problems == ()
    (longest,) = NO_LONGER.findall(text)
    begins = 60.0 - x + 18.0 + WALL.angle_rad / 2 * (R + 0.43 * 3.0)
    assert begins < float(longest) < begins + math.sqrt(2 * radius * 0.05) + 1.0


@pytest.mark.parametrize("thickness", [0.7, 0.5])
def test_a_tab_of_thin_sheet_ends_the_blade_too(
    thickness: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    low = [(0.0, 3.0), (5.0, 0.0), (15.0, 0.0), (30.0, 0.0), (60.0, 0.0)]
    bends = [
        bend("l", "base", "low", (15.0, 0.0), (30.0, 0.0), inside_radius_mm=1.0),
        bend("h", "base", "high", (30.0, 30.0), (15.0, 30.0), inside_radius_mm=1.0),
        replace(WALL, inside_radius_mm=1.0),
    ]
    flanges = {"low": (15.0, 20.0), "high": (15.0, 20.0), "wall": (30.0, 40.0)}
    plan = outlined(mirrored(low), flanges, bends, thickness)
    punch = replace(STRAIGHT, tip_radius_mm=0.5, width_mm=8.0, angle_rad=math.radians(70))
    thin = replace(ONE, die=(plain_die(6.0),), punch=(punch,))
    found = Search(plan=plan, setting=Setting(brake=thin, tensile_mpa=370.0, opening_mm=6.0)).run()
    (wall,) = (s for s in found.on_brake if s.bend == "w")
    assert wall.stop.square is not None
    assert wall.stop.square.free_mm < 40.0
    assert sheet(tmp_path / "s.pdf", plan, found, thin, 6.0)[1] == ()
    # what stands is seen in so thin a sheet: a blade that goes through it is told
    long = replace(wall, stop=replace(wall.stop, square=replace(wall.stop.square, free_mm=math.inf)))
    wrong = replace(found, steps=tuple(long if s is wall else s for s in found.steps))
    problems = sheet(tmp_path / "t.pdf", plan, wrong, thin, 6.0)[1]
    assert any("a blade of 300.0 mm from the die meets the part" in p for p in problems)


@pytest.mark.parametrize("degrees", [90.0, 60.0, 45.0])
def test_a_flange_that_leans_ends_the_blade_and_is_read(degrees: float, tmp_path: Path) -> None:
    low = [(-30.0, 3.0), (-25.0, -40.0), (10.0, -40.0), (10.0, -8.0), (-2.0, -8.0), (-2.0, 0.0), (60.0, 0.0)]
    bends = [
        bend("e", "base", "ear", (10.0, -40.0), (10.0, -8.0), angle_rad=math.radians(degrees)),
        bend("f", "base", "far", (10.0, 38.0), (10.0, 70.0), angle_rad=math.radians(degrees)),
        WALL,
    ]
    plan = outlined(mirrored(low), {"ear": (32.0, 25.0), "far": (32.0, 25.0), "wall": (30.0, 40.0)}, bends)
    found = order(plan, TWO)
    text, problems = sheet(tmp_path / "s.pdf", plan, found)
    assert [p for p in problems if "blade" in p] == []
    assert len(NO_LONGER.findall(text)) == 1


def test_a_die_that_hangs_between_two_flanges_has_a_most_at_the_stock_s_own_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """74 off the bend's end hangs a flange, a millimetre of air is wanted: 70 behind the stock, and 73 at most."""
    gap, long = 74.0, 20.0
    high = 2 * gap + long
    ring = [
        (0.0, 0.0),
        (74.0, 0.0),
        (80.0, 0.0),
        (80.0, gap),
        (80.0, gap + long),
        (80.0, high),
        (74.0, high),
        (0.0, high),
    ]
    bends = [
        bend("front", "base", "front", (0.0, 0.0), (74.0, 0.0), direction="down"),
        bend("back", "base", "back", (74.0, high), (0.0, high), direction="down"),
        bend("w", "base", "side", (80.0, gap), (80.0, gap + long)),
    ]
    flanges = {"side": (long, 40.0), "front": (74.0, 40.0), "back": (74.0, 40.0)}
    plan = outlined([Vertex(u=u, v=v) for u, v in ring], flanges, bends)
    found = order(plan, TWO)
    (step,) = (s for s in last(plan, "w", TWO) if isinstance(s, Step) and s.stop.square is not None)
    first = tuple(s for s in found.steps if s.bend != "w")
    text, problems = sheet(tmp_path / "s.pdf", plan, replace(found, steps=(*first, step)))
    assert problems == ()
    assert "The die runs on 70.0 mm to 73.0 mm past the bend's end there, behind the stock." in text
    # 74 would meet it, and without a most anything may be
    for side in (
        {"low": step.die_reach.low - 3.0, "high": step.die_reach.high + 3.0},
        {"left": "", "right": ""},
    ):
        reach = replace(step.die_reach, **side)
        wrong = replace(found, steps=(*first, replace(step, die_reach=reach)))
        problems = sheet(tmp_path / "t.pdf", plan, wrong)[1]
        assert any("may not run on so far there" in p for p in problems), side


@pytest.mark.parametrize("kind", ["carried_hanger", "pedal_box"])
@pytest.mark.parametrize("wide", [20.0, 40.0, 80.0])
def test_wide_fingers_leave_good_work_good(kind: str, wide: float, tmp_path: Path) -> None:
    plan, shop = sample_plan(kind)[0], Shop()
    shop = replace(shop, brake=replace(shop.brake, gauge=replace(shop.brake.gauge, finger_width_mm=wide)))
    assert shop_sheet(tmp_path / "s.pdf", plan, shop, sequence_of(plan, shop)[0])[1] == ""


def test_what_may_be_off_is_never_nothing_and_less_than_what_it_is(tmp_path: Path) -> None:
    """Two pivots 320 + 2 (50 + 6.74) apart on the blank, the bend 22 long: 0.4 / 433.5 x 22 = 0.0203 may be, 0.0008 in.

    By its fingers, 5 apart, one end is 0.1 / 5 x 22 = 0.44 off: up to a figure, where what may be is down to one.
    """
    told: tuple[tuple[UnitSystem, str, str], ...] = (
        ("metric", "0.02 mm", "0.44 mm"),
        ("inch", "0.001 in", "0.018 in"),
    )
    for units, may, off in told:
        plan = pivoted()
        found = order(plan, TWO)
        near = tuple(
            replace(s, stop=replace(s.stop, square=None, apart_mm=5.0)) if s.stop.on == "edge" else s
            for s in found.on_brake
        )
        text, problems = sheet(tmp_path / "s.pdf", plan, replace(found, steps=near), units=units)
        said = re.search(
            r"NOT SQUARE BY ITS FINGERS: .*? between them is (.*?) from end to end of the bend, (.*?) may",
            text,
        )
        assert said is not None
        assert said.groups() == (off, may)
        assert f"one no more than {may} off against the other" in text
        assert [p for p in problems if "off" in p] == []


def test_what_passes_over_fingers_that_are_lowered_far_is_told_under_the_die_s_top(tmp_path: Path) -> None:
    """Fingers 40 high go 100 down to touch a brim's wall: they end 60 below the top, and the brim passes over them."""
    low = replace(TWO, gauge=replace(TWO.gauge, below_mm=100.0))
    plan = replace(hat(80.0, 40.0, 30.0), name="hat")
    found = order(plan, low)
    over = [(s, by) for s in found.on_brake for by in s.swings_by if by.at == "over" and by.low_mm < 0]
    assert over
    text, problems = sheet(tmp_path / "s.pdf", plan, found, low)
    assert problems == ()
    for _, by in over:
        deep = re.search(r"over the fingers, ([\d.]+) mm under the die's top", text)
        assert deep is not None
        # no less deep than it comes
        assert -by.low_mm - 1e-6 <= float(deep[1]) < -by.low_mm + 0.11
    higher = {
        id(s): replace(s, swings_by=tuple(replace(b, low_mm=b.low_mm + 1.0) for b in s.swings_by))
        for s, _ in over
    }
    wrong = replace(found, steps=tuple(higher.get(id(s), s) for s in found.steps))
    assert any(
        "over the die's top; folded it is" in p for p in sheet(tmp_path / "t.pdf", plan, wrong, low)[1]
    )
