"""Bodies of a small job where hand calculation puts them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from space_jobs import bolt, job, others

from generators.layout.panels import job_layouts
from generators.layout.spots import component_place
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import Fold, Job, Panel
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.sheets import panel_body
from generators.space.body import Body, named
from generators.space.distance import Space
from generators.space.pieces import Rod


def test_a_bolt_has_head_grip_nut_and_two_pitches(tmp_path: Path) -> None:
    """M8: head 5.3 (ISO 4014), washers 16 mm wide and up to 1.8 thick (ISO 7089), a locking nut of 9.5 (ISO 7040);
    2 mm of panel, 4 mm of hanger, two washers, nut and two pitches of 1.25 are 21.6, so the bolt is 25 long. All
    from memory.

    The panel's cab face is x = 0.
    """
    prepared = job(tmp_path)
    bodies = named(prepared.scene.bodies)
    number = next(h.number for h in prepared.layouts[0].holes if h.name == "hanger.mount_1")
    low, high = bodies[f"bolt:wall.{number}"].box
    assert low[0] == pytest.approx(-2.0 - 1.8 - 5.3)
    assert high[0] == pytest.approx(-2.0 - 1.8 + 25.0)
    # wider than 13 mm across flats over the corners, 15.01 mm
    assert high[1] - low[1] == pytest.approx(16.0)


def test_a_bolt_whose_nut_may_be_on_either_side_has_a_heads_height_on_both(tmp_path: Path) -> None:
    (own,) = (
        b
        for b in job(tmp_path, bolt(480, 300, "both")).scene.bodies
        if b.what == "bolt" and "(own)" in b.title
    )
    low, high = own.box
    # M5: head 3.5 (ISO 4014) on a washer of up to 1.1 mm (ISO 7089, from memory)
    assert (low[0], high[0]) == pytest.approx((-2.0 - 1.1 - 3.5, 1.1 + 3.5))


def test_what_is_bolted_together_may_touch(tmp_path: Path) -> None:
    bodies = named(job(tmp_path).scene.bodies)
    for one, two in (
        ("part:hanger", "panel:wall"),
        ("part:hanger", "part:hanger.left_cheek"),
        ("component:master", "part:hanger"),
        ("component:master", "panel:wall"),
        ("component:reservoir", "part:shelf.shelf"),
        ("component:reservoir", "bolt:shelf.reservoir_1"),
        ("hose:feed.to", "component:reservoir"),
        ("hose:feed.from", "component:master"),
    ):
        assert bodies[one].joined & bodies[two].joined, (one, two)
    for one, two in (
        ("component:master", "part:hanger.left_cheek"),
        ("component:reservoir", "panel:wall"),
        ("hose:feed", "component:reservoir"),
        ("hose:feed.to", "component:master"),
    ):
        assert not bodies[one].joined & bodies[two].joined, (one, two)
    own = [b for b in bodies.values() if b.what == "bolt" and "master_1" in b.title]
    assert own
    assert all(not b.joined & bodies["component:master"].joined for b in own)


def test_what_can_be_moved_aside_and_tools_have_no_body(tmp_path: Path) -> None:
    loom = (
        "# HOLES",
        '[[panel.obstacle]]\n  name = "loom"\n  face = "cab"\n  what = "wiring loom"\n  movable = true\n'
        '  corner = ["200 mm", "180 mm"]\n  size = ["200 mm", "20 mm"]\n  gap = "10 mm"\n  depth = "30 mm"\n  # HOLES',
    )
    prepared = job(tmp_path, loom)
    assert not any(b.what == "obstacle" for b in prepared.scene.bodies)


def test_a_clamp_on_a_stand_off(tmp_path: Path) -> None:
    """Dash 5 is 7.94 mm inside: with cushion and band of 3 mm its loop is 6.97 mm in radius about the hose."""
    clamp = others(
        '[[clamp]]\nname = "loop"\ndash = 5\non = { panel = "wall", holes = ["own"], side = "cab" }\n'
        'run = "up"\naside = "right"\naside_by = "14 mm"\nstand_off = "30 mm"\n'
    )
    body = named(job(tmp_path, bolt(450, 330, "engine"), clamp).scene.bodies)["clamp:loop"]
    low, high = body.box
    half = 5 * 25.4 / 16 / 2 + 3.0
    assert low[0] == pytest.approx(0.0)
    assert high[0] == pytest.approx(30.0 + half)
    assert high[1] == pytest.approx(450 + 14 + half)


def at(point: tuple[float, float, float]) -> Body:
    end = (point[0], point[1] + 1e-3, point[2])
    return Body(
        name="point",
        title="point",
        what="obstacle",
        owner="point",
        forms=(Rod(start=point, end=end, radius_mm=1e-3, round_ends=True),),
    )


@pytest.mark.parametrize("tilt_deg", [45.0, -30.0])
def test_a_fold_is_round(tilt_deg: float) -> None:
    """The metal runs at the inside radius round an axis square to both tangent lines, which are R tan (a / 2)
    before the sharp line in which the cab faces meet; R is the radius on the cab face, the inside one where
    the fold is hollow to the cab, else with the thickness. From outside the sharp line is R (sec (a / 2) - 1)
    off the metal."""
    thickness, inside, tilt = 2.0, 20.0, math.radians(tilt_deg)
    upper = Panel(
        name="upper",
        title="Upper",
        material="steel",
        thickness_mm=thickness,
        origin=(0.0, 0.0, 0.0),
        outline=((0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)),
    )
    lower = replace(
        upper,
        name="lower",
        tilt_rad=tilt,
        outline=((0.0, -100.0), (200.0, -100.0), (200.0, 0.0), (0.0, 0.0)),
    )
    folded = Job(
        job=JobHead(name="j", title="j"),
        panel=(upper, lower),
        fold=(Fold(panels=("upper", "lower"), inside_radius_mm=inside),),
    )
    panels = {p.name: p for p in folded.panel}
    draft = Draft()
    for layout in job_layouts(folded, []):
        panel_body(draft, panels[layout.panel], layout, panels)
    # a lower panel that runs toward the cab makes the fold hollow to it
    hollow = tilt > 0
    radius = inside if hollow else inside + thickness
    back = radius * math.tan(abs(tilt) / 2)

    def off(x: float, z: float) -> float:
        space = Space([at((x, 100.0, z)), *draft.finished()])
        found = [space.gap(0, k) for k in (1, 2)]
        return min(g.gap_mm for g in found if g is not None)

    assert off(inside if hollow else -thickness - inside, back) == pytest.approx(inside, abs=0.05)
    if hollow:
        # the sharp line is within the metal
        assert off(0.0, 0.0) < 0
    else:
        assert off(0.0, 0.0) == pytest.approx(radius * (1 / math.cos(tilt / 2) - 1), abs=0.05)
    # the cab face is flat up to the tangent line: a point of it touches, one past the line is in or off the metal
    assert abs(off(0.0, back + 0.5)) < 0.01
    assert abs(off(0.0, back - 3.0)) > 0.1


def test_a_reservoir_on_its_side_and_a_flange_stand_where_the_spec_puts_them(tmp_path: Path) -> None:
    """By hand. The master sits in the hanger's bore at u 300 v 200 and stands through a wall of 2 mm, so its
    flange lies on the engine face, x = -2; out is -x. The body of the reservoir on the shelf is laid along
    its right, from 30 mm above the shelf and 10 mm to the left."""
    prepared = job(
        tmp_path,
        (
            'length = "140 mm"',
            'length = "140 mm"\nflange = "8 mm"\nflange_width = "84 mm"\nflange_height = "40 mm"',
        ),
        (
            'length = "70 mm"',
            'length = "70 mm"\nbody_at = ["30 mm", "-10 mm", "0 mm"]\nbody_along = "right"',
        ),
    )
    bodies = {body.name: body for body in prepared.scene.bodies}
    low, high = bodies["component:master.flange"].box
    assert low == pytest.approx((-10.0, 300 - 42, 200 - 20), abs=1e-6)
    assert high == pytest.approx((-2.0, 300 + 42, 200 + 20), abs=1e-6)
    sits = component_place(
        next(c for c in prepared.file.job.component if c.name == "reservoir"), prepared.lines.sheets
    )
    origin = sits.frame[:3, 3]
    low, high = bodies["component:reservoir"].box
    # the shelf is level: out is up, and its right is the driver's
    assert sits.frame[:3, 0] == pytest.approx((0, 0, 1), abs=1e-9)
    right = float(sits.frame[1, 1])
    ends = sorted((origin[1] - 10 * right, origin[1] + 60 * right))
    assert (low[1], high[1]) == pytest.approx(tuple(ends))
    assert (low[2], high[2]) == pytest.approx((origin[2] + 30 - 30, origin[2] + 30 + 30))
    # hoses keep off the same
    kinds = [o for o in prepared.lines.obstacles if o.name == "master"]
    assert [type(o).__name__ for o in kinds] == ["Cylinder3", "Box3"]
    # its own two bolts go through it, and nobody minds
    assert not [f for f in prepared.findings if f.code in ("bodies-meet", "spanner-on-part", "pedal-swing")]


def test_the_nut_of_another_bolt_in_a_flange_is_found(tmp_path: Path) -> None:
    """A hole of the wall's own at u 348, 6 mm beside the flange's edge: a nut of M6, 5.5 mm from middle to
    corner, clears it; at u 345 it does not."""
    flange = (
        'length = "140 mm"',
        'length = "140 mm"\nflange = "8 mm"\nflange_width = "84 mm"\nflange_height = "40 mm"',
    )
    for u, found in ((349, False), (345, True)):
        prepared = job(tmp_path, flange, bolt(u, 200, "engine", "M6"))
        told = [f for f in prepared.findings if f.code == "bodies-meet" and "flange" in f.where]
        assert bool(told) is found
