"""Plates, standoff and slave bracket by hand calculation, and what of them cannot be made."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts.plans_in_space import in_space, plan_of

from generators.checks.part.part import check_part
from generators.errors import GeometryFault
from generators.geometry.frames import apply
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.sheetmetal.folding import fold_step, folded_frames

NEW = ("blanking_plate", "reservoir_plate", "clamp_standoff", "slave_bracket")


@pytest.mark.parametrize("name", NEW)
def test_defaults_pass_every_rule(name: str) -> None:
    found = check_part(plan_of(name), Limits(), Shop())
    assert [f.code for f in found if f.severity is not Severity.NOTE] == []


def test_thick_slave_bracket_passes_every_rule() -> None:
    # a gusset's upper end must lie on the die too: 4 x 6 + 6 = 30 outside (common practice, no source)
    found = check_part(plan_of("slave_bracket", thickness=6.0, gusset_top_mm=34.0), Limits(), Shop())
    assert [f.code for f in found if f.severity is not Severity.NOTE] == []


@pytest.mark.parametrize("shape", ["round", "rectangular"])
def test_blanking_bolts_stand_between_the_opening_and_the_edge(shape: str) -> None:
    plan = plan_of(
        "blanking_plate", shape=shape, opening_mm=50.0, overlap_mm=20.0, bolt_inset_mm=12.0, bolts=3
    )
    holes = in_space(plan)
    # half of the plate: 25 + 20 = 45; the bolt circle's radius is 45 - 12 = 33, the first bolt at 45 deg
    assert holes["bolt_1"] == pytest.approx([33 / math.sqrt(2), 33 / math.sqrt(2), 0.0])
    assert [math.hypot(x, y) for x, y, _ in holes.values()] == pytest.approx([33.0] * 3)
    assert all(h.mates for h in plan.flanges[0].holes)


def test_reservoir_bolts_are_drilled_in_the_panel_only_when_they_go_through() -> None:
    through = plan_of("reservoir_plate", count=3, pitch_mm=80.0, outlet_bore_mm=20.0)
    holes = in_space(through)
    assert holes["reservoir_3_2"] == pytest.approx([80.0 + 25.0, 0.0, 0.0])
    assert holes["outlet_1"] == pytest.approx([-80.0, 0.0, 0.0])
    # 80 + 65 to the end, less 15
    assert holes["mount_3"] == pytest.approx([130.0, 30.0, 0.0])
    assert all(h.mates for h in through.flanges[0].holes)
    alone = plan_of("reservoir_plate", through="plate", outlet_bore_mm=20.0, pattern_height_mm=40.0)
    assert {h.name for h in alone.flanges[0].holes if h.mates} == {f"mount_{i}" for i in (1, 2, 3, 4)}
    assert sum(h.name.startswith("reservoir_1") for h in alone.flanges[0].holes) == 4


@pytest.mark.parametrize("degrees", [45.0, 60.0, 75.0, 90.0])
def test_clamp_screw_in_space_by_mould_lines(degrees: float) -> None:
    a, t = math.radians(degrees), 2.0
    plan = plan_of(
        "clamp_standoff",
        thickness=t,
        angle_rad=a,
        standoff_mm=28.0,
        foot_length_mm=34.0,
        head_length_mm=36.0,
        mount_inset_mm=13.0,
        clamp_inset_mm=15.0,
    )
    # the foot's mould line lies 34 - 13 from the bolt; the web's upper side climbs from there, one
    # thickness behind its lower side, to the head's outside face at 28
    head_mould = 34.0 - 13.0 + 28.0 / math.tan(a) - t / math.sin(a)
    clamp = in_space(plan)["clamp"]
    assert clamp == pytest.approx([0.0, head_mould + 36.0 - 15.0, 28.0 - t])
    assert folded_frames(plan)["head"][:3, 2] == pytest.approx([0.0, 0.0, 1.0])
    assert [b.direction for b in plan.bends] == ["up", "down"]


@pytest.mark.parametrize("thickness", [3.0, 6.0])
def test_slave_axis_in_space_and_gussets_on_the_base(thickness: float) -> None:
    plan = plan_of("slave_bracket", thickness=thickness, slave_height_mm=56.0, gusset_gap_mm=1.5)
    holes = in_space(plan)
    # free edge at -(24 + 36/2); the upright's outside face is 104 behind it
    outside = 104.0 - 24.0 - 18.0
    assert holes["nose"] == pytest.approx([0.0, outside, 56.0])
    assert holes["flange_1"] == pytest.approx([-32.0, outside, 56.0])
    assert holes["mount_4"] == pytest.approx([30.0, 18.0, 0.0])
    for side, sign in (("left_gusset", -1.0), ("right_gusset", 1.0)):
        inner = gusset_corners(plan, side, thickness)
        assert inner[:, 0] == pytest.approx(sign * 55.0)
        assert inner[:, 2].min() == pytest.approx(thickness + 1.5)
        assert inner[:, 2].max() == pytest.approx(90.0)
        assert inner[:, 1].min() == pytest.approx(outside - 72.0)


def gusset_corners(plan: PartPlan, side: str, w: float, fraction: float = 1.0) -> np.ndarray:
    """Corners of a bent gusset at ``w``, with the upright bent by ``fraction`` of its angle."""
    bends = {b.child: b for b in plan.bends}
    t = plan.thickness_mm
    frame = fold_step(bends["upright"], t, fraction) @ fold_step(bends[side], t)
    return apply(frame, np.array([[v.u, v.v, w] for v in plan.flange(side).contour.vertices]))


@given(
    fraction=st.floats(0.0, 1.0),
    t=st.sampled_from([2.0, 3.0, 6.0]),
    gap=st.floats(0.5, 3.0),
    side=st.sampled_from(["left_gusset", "right_gusset"]),
)
def test_gussets_never_dip_into_the_base_while_it_is_bent(
    fraction: float, t: float, gap: float, side: str
) -> None:
    plan = plan_of("slave_bracket", thickness=t, gusset_gap_mm=gap)
    upright = next(b for b in plan.bends if b.child == "upright")
    shoulder = sorted({round(v.v, 9) for v in plan.flanges[0].contour.vertices})[-1]
    assert shoulder == pytest.approx(upright.start[1])
    for w in (0.0, t):
        over = [z for _, y, z in gusset_corners(plan, side, w, fraction) if y <= shoulder]
        assert min(over, default=math.inf) >= t + gap - 1e-9


def test_one_gusset_leaves_the_other_side_at_the_stated_width() -> None:
    plan = plan_of("slave_bracket", gussets="left")
    assert [f.name for f in plan.flanges] == ["base", "upright", "left_gusset"]
    frame = folded_frames(plan)["upright"]
    across = apply(frame, np.array([[v.u, v.v, 0.0] for v in plan.flange("upright").contour.vertices]))[:, 0]
    # bent side: 55 less the inside radius of 3 to the tangent; free side: 55
    assert (across.min(), across.max()) == pytest.approx((-52.0, 55.0))


@pytest.mark.parametrize(
    ("name", "parameters", "parameter", "words"),
    [
        ("blanking_plate", {"bolt_inset_mm": 13.0}, "bolt_inset", "into the opening"),
        ("blanking_plate", {"bolt_inset_mm": 3.0, "bolt_thread": "M6"}, "bolt_inset", "out of the plate"),
        ("blanking_plate", {"opening_mm": 3.0, "bolts": 8, "overlap_mm": 9.0, "bolt_inset_mm": 5.0}, "bolts",
         "run into each other"),
        ("blanking_plate", {"shape": "rectangular", "corner_radius_mm": 40.0}, "corner_radius", "at most 34"),
        ("reservoir_plate", {"mount_inset_mm": 44.0}, "mount_inset", "meet in the middle"),
        ("reservoir_plate", {"corner_radius_mm": 50.0}, "corner_radius", "at most 45"),
        ("reservoir_plate", {"pitch_mm": 52.0}, "", "run into each other"),
        ("clamp_standoff", {"standoff_mm": 12.0}, "standoff", "nothing of the web"),
        ("clamp_standoff", {"foot_length_mm": 10.0, "thickness": 4.0}, "foot_length", "nothing of the foot"),
        ("clamp_standoff", {"head_length_mm": 10.0, "thickness": 4.0}, "head_length", "nothing of the head"),
        ("clamp_standoff", {"corner_radius_mm": 16.0}, "corner_radius", "at most 15"),
        ("clamp_standoff", {"clamp_inset_mm": 30.0}, "", "does not lie whole"),
        ("slave_bracket", {"base_width_mm": 110.0}, "base_width", r"at least 116\.0"),
        ("slave_bracket", {"inside_width_mm": 40.0, "thickness": 8.0}, "inside_width", "no bend to the base"),
        ("slave_bracket", {"base_depth_mm": 30.0, "thickness": 8.0}, "base_depth", "nothing of the base"),
        ("slave_bracket", {"upright_height_mm": 30.0, "thickness": 8.0}, "upright_height", "too low"),
        ("slave_bracket", {"gusset_depth_mm": 110.0}, "gusset_depth", "base ends at 104"),
        ("slave_bracket", {"gusset_depth_mm": 16.0}, "gusset_depth", "no foot"),
        ("slave_bracket", {"gusset_top_mm": 7.0}, "gusset_top", "must be"),
        ("slave_bracket", {"corner_radius_mm": 60.0, "base_depth_mm": 60.0}, "corner_radius", "at most"),
        ("slave_bracket", {"mount_spacing_mm": 112.0}, "mount_spacing", "meets a gusset"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_said(name: str, parameters: dict, parameter: str, words: str) -> None:
    with pytest.raises(GeometryFault, match=words) as caught:
        plan_of(name, **parameters)
    assert caught.value.parameter == parameter
