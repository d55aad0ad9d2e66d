"""A check distance something stands in the way of is not offered: by hand on a plain panel."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest
from drawing.sample import firewall

from generators.geometry.contours import bounds, rectangle
from generators.geometry.sight import beside, in_the_way, reached
from generators.layout.bodies import rod_body
from generators.layout.distances import Check, at_rim, checks, paper_alone
from generators.model.hose_path import Panel3
from generators.model.plan import Body, KeepOut, PanelHole, PanelLayout
from generators.model.words import FACES, Face
from generators.sheets.install.existing import ALONE, marks_checked
from generators.verify.pdf.template.words import ruled_from


def between(
    layout: PanelLayout, gap_mm: float = 0.0, face: Face = "cab", *, movable: bool = False, bead: bool = False
) -> tuple[PanelLayout, str, str]:
    """The panel with a box of 6 mm midway between an old and a new hole of its first check; their numbers."""
    found = next(c for c in checks(layout.holes) if at_rim(c.a) and not at_rim(c.b))
    u, v = (found.a.u_mm + found.b.u_mm) / 2, (found.a.v_mm + found.b.v_mm) / 2
    box = KeepOut(
        name="box",
        face=face,
        contour=rectangle(u - 3.0, v - 3.0, u + 3.0, v + 3.0),
        gap_mm=gap_mm,
        depth_mm=100.0,
        reason="box",
        movable=movable,
        bead=bead,
    )
    return replace(layout, keepouts=(box,)), found.a.number, found.b.number


def offered(layout: PanelLayout) -> set[frozenset[str]]:
    return {frozenset((c.a.number, c.b.number)) for c in checks(layout.holes, (), partial(reached, layout))}


def test_a_box_on_the_way_takes_the_distance_out_and_another_comes() -> None:
    free = firewall()
    layout, old, new = between(free)
    before, after = offered(replace(free, keepouts=())), offered(layout)
    assert frozenset((old, new)) in before
    assert frozenset((old, new)) not in after
    # the hole keeps two distances that fix it
    assert sum(new in pair for pair in after) >= 2


def given(layout: PanelLayout) -> tuple[Check, ...]:
    return checks(layout.holes, (), partial(reached, layout))


def standing(hole: PanelHole, u_mm: float = 0.0) -> KeepOut:
    """A box of 6 mm from the middle of a hole, or beside it."""
    u, v = hole.u_mm + u_mm, hole.v_mm
    return KeepOut(
        name="loom",
        face="cab",
        contour=rectangle(u - 3.0, v - 3.0, u + 3.0, v + 3.0),
        gap_mm=0.0,
        depth_mm=100.0,
        reason="loom",
    )


def test_a_hole_something_stands_at_is_left_to_the_paper_in_words() -> None:
    free = replace(firewall(), keepouts=())
    hole = next(h for h in free.holes if not at_rim(h))
    assert paper_alone(free.holes, given(free)) == ""
    assert ruled_from(hole, free) == len(free.holes) - 1
    layout = replace(free, keepouts=(standing(hole),))
    found = given(layout)
    assert not any(hole in (c.a, c.b) for c in found)
    assert ruled_from(hole, layout) == 0
    said = f"Hole {hole.number}: something stands in the way of a rule; there the paper decides."
    assert paper_alone(layout.holes, found) == said


def test_a_step_sends_nobody_to_distances_that_are_not_there() -> None:
    """Where no mark can be measured the step says so; it led to a table its panel has not."""
    free = replace(firewall(), keepouts=())
    assert "distances of the hole table" in marks_checked(free, free.holes, "")
    new = tuple(h for h in free.holes if not at_rim(h))
    shut = replace(free, keepouts=tuple(replace(standing(h), face=f) for h in new for f in FACES))
    assert not any(h in (c.a, c.b) for c in given(shut) for h in new)
    assert marks_checked(shut, shut.holes, "") == ALONE
    alone = replace(free, holes=new[:1])
    assert marks_checked(alone, alone.holes, "") == ALONE


def test_a_hole_with_one_distance_left_has_that_one_and_words() -> None:
    """Three holes in a row, 60 mm apart, a box between the second and the third."""
    free = replace(firewall(), keepouts=())
    new = next(h for h in free.holes if not at_rim(h))
    row = tuple(replace(new, number=f"{k + 1}", u_mm=100.0 + 60.0 * k, v_mm=200.0 + k) for k in range(3))
    layout = replace(free, holes=row, keepouts=(standing(row[1], 30.0),))
    found = given(layout)
    assert [{c.a.number, c.b.number} for c in found] == [{"1", "2"}]
    assert [ruled_from(h, layout) for h in row] == [1, 1, 0]
    assert paper_alone(row, found).startswith("Holes 1, 2, 3: something stands in the way")


def test_of_two_holes_in_one_place_the_next_is_measured_from() -> None:
    """A rule reads nothing from a hole to one about the same middle: two others take its place."""
    free = replace(firewall(), keepouts=())
    new = next(h for h in free.holes if not at_rim(h))
    at = ((100.0, 200.0), (100.0, 200.0), (160.0, 200.0), (100.0, 260.0))
    row = tuple(replace(new, number=f"{k + 1}", u_mm=u, v_mm=v, owners=()) for k, (u, v) in enumerate(at))
    found = given(replace(free, holes=row))
    assert all(sum(h in (c.a, c.b) for c in found) >= 2 for h in row)


@pytest.mark.parametrize(
    ("made", "stands"),
    [
        ({"gap_mm": 9.9}, True),
        ({"gap_mm": 10.0}, False),
        ({"movable": True}, False),
        ({"bead": True}, False),
        ({"face": "engine"}, False),
    ],
)
def test_only_what_stands_on_that_face_is_in_the_way(made: dict[str, float], stands: bool) -> None:
    layout, old, new = between(firewall(), **made)  # type: ignore[arg-type]
    a, b = (next(h for h in layout.holes if h.number == n) for n in (old, new))
    assert bool(in_the_way(layout, a, b, "cab")) == stands


def test_what_stands_beside_a_hole_by_hand() -> None:
    layout, old, _ = between(firewall())
    hole = next(h for h in layout.holes if h.number == old)
    box = KeepOut(
        name="box",
        face="engine",
        contour=rectangle(hole.u_mm + 41.0, hole.v_mm - 50.0, hole.u_mm + 90.0, hole.v_mm + 50.0),
        gap_mm=0.0,
        depth_mm=60.0,
        reason="box",
    )
    there = replace(layout, keepouts=(box,))
    assert beside(there, hole, "engine", 41.1, 60.0) == "box"
    assert not beside(there, hole, "engine", 40.9, 60.0)
    assert not beside(there, hole, "engine", 41.1, 60.1)
    assert not beside(there, hole, "cab", 41.1, 60.0)


def test_what_the_job_has_fitted_stands_beside_a_hole_too() -> None:
    layout, old, _ = between(firewall())
    hole = next(h for h in layout.holes if h.number == old)
    flange = Body(
        part="bracket",
        flange="shelf",
        face="engine",
        contour=rectangle(hole.u_mm - 50.0, hole.v_mm + 33.0, hole.u_mm + 50.0, hole.v_mm + 35.0),
        near_mm=5.0,
        far_mm=60.0,
    )
    free = replace(layout, keepouts=())
    assert beside(free, hole, "engine", 33.1, 60.0, [("bracket", flange)]) == "bracket"
    assert not beside(free, hole, "engine", 33.1, 60.0)
    assert not beside(free, hole, "engine", 32.9, 60.0, [("bracket", flange)])
    assert not beside(free, hole, "engine", 33.1, 60.1, [("bracket", flange)])
    assert not beside(free, hole, "cab", 33.1, 60.0, [("bracket", flange)])


def test_a_cylinder_seen_square_onto_its_panel_by_hand() -> None:
    # a panel across the vehicle, u to its right, v up, so that its normal is +x, toward the cab
    panel = Panel3(
        name="wall",
        origin=(0.0, 0.0, 0.0),
        u=(0.0, 1.0, 0.0),
        v=(0.0, 0.0, 1.0),
        low_mm=0.0,
        high_mm=1.2,
        outline=((0.0, 0.0), (500.0, 0.0), (500.0, 500.0)),
    )
    square = rod_body("master", ((0.0, 100.0, 50.0), (-120.0, 100.0, 50.0)), 20.0, panel)
    assert (square.face, square.far_mm) == ("engine", pytest.approx(120.0))
    assert bounds(square.contour) == pytest.approx((80.0, 30.0, 120.0, 70.0))
    lying = rod_body("slave", ((41.2, 100.0, 50.0), (41.2, 200.0, 50.0)), 20.0, panel)
    assert (lying.face, lying.near_mm, lying.far_mm) == ("cab", pytest.approx(20.0), pytest.approx(60.0))
    assert bounds(lying.contour) == pytest.approx((80.0, 30.0, 220.0, 70.0))
