"""The stop bracket by hand calculation: volume, places in space, room for its nuts, what cannot be made."""

from __future__ import annotations

import math
from math import pi
from pathlib import Path

import numpy as np
import pytest
from drawing.drawn_parts import draw, overlaps
from parts.plans_in_space import in_space, plan_of

from generators.checks.part.part import check_part
from generators.errors import GeometryFault, LookupFault
from generators.geometry.frames import apply
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.spec.shop import Shop
from generators.parts.building.mirror import mirrored
from generators.sheetmetal.folding import folded_frames
from generators.solids import kernel
from generators.solids.shapes import folded_shape
from generators.verify.pdf.content import read_pdf

CORNER = 1 - pi / 4  # what rounding one square corner of radius 1 takes away
M8_HOLE, M6_HOLE = 9.0, 6.6  # ISO 273, medium
LOW = {"gusset_depth_mm": 0.0, "upright_height_mm": 45.0, "stop_height_mm": 25.0}


@pytest.mark.parametrize("parameters", [{}, LOW], ids=["gusset", "low"])
def test_defaults_pass_every_rule(parameters: dict) -> None:
    found = check_part(plan_of("stop_bracket", **parameters), Limits(), Shop())
    assert [f.code for f in found if f.severity is not Severity.NOTE] == []


@pytest.mark.parametrize(("t", "relief"), [(3.0, 25.4 * 3 / 16), (1.5, 25.4 / 8)])
def test_volume_with_a_gusset(t: float, relief: float) -> None:
    """Reliefs by FAA-H-8083-31 ch. 4; the inside radius is one thickness."""
    r, back = t, 2 * t
    neck, foot, upright = 76.0 - back - relief, 66.0 - back, 80.0 - back
    # the foot's shoulder is back + relief wide, and half a relief of that is the fillet in the neck
    shoulder = min(8.0, back + relief / 2)
    area = 76.0 * (foot - relief) + neck * relief
    area -= CORNER * (2 * 8.0**2 + shoulder**2 - (relief / 2) ** 2)
    area -= 2 * (pi / 4 * M8_HOLE**2 + 10.0 * M8_HOLE)
    area += (76.0 - back) * (upright - relief) + neck * relief - CORNER * (8.0**2 - (relief / 2) ** 2)
    area -= pi / 4 * M8_HOLE**2
    # a rectangle down to 0.8 mm above the foot, less the slope's triangle and the notch behind
    bend = upright - relief
    height, depth, run, drop = 80.0 - t - 0.8, 52.0 - back, 52.0 - 22.0, r + relief - 0.8
    area += height * depth - run * (height - 10.0) / 2 - drop * relief
    slope = math.atan2(run, height - 10.0)
    area -= sum(4.0**2 * (math.tan(turn / 2) - turn / 2) for turn in (slope, pi / 2 - slope))
    area += CORNER * (min(relief, drop) / 2) ** 2
    bends = pi / 4 * (back**2 - r**2) * (neck + bend)
    solid = folded_shape(plan_of("stop_bracket", thickness=t))
    assert kernel.volume(solid) == pytest.approx(area * t + bends, rel=1e-9)


def test_volume_without_a_gusset() -> None:
    plan = plan_of("stop_bracket", mount_slot_mm=0.0, mount_thread="M6", **LOW)
    area = 76.0 * (66.0 - 6.0 + 45.0 - 6.0) - CORNER * 4 * 8.0**2 - pi / 4 * (M8_HOLE**2 + 2 * M6_HOLE**2)
    bend = pi / 4 * (6.0**2 - 3.0**2) * 76.0
    assert kernel.volume(folded_shape(plan)) == pytest.approx(area * 3.0 + bend, rel=1e-9)


@pytest.mark.parametrize("thickness", [1.5, 3.0, 6.0])
def test_stop_bolt_and_gusset_in_space(thickness: float) -> None:
    plan = plan_of("stop_bracket", thickness=thickness, stop_offset_mm=6.0, stop_height_mm=55.0)
    # the upright's outside face is 66 from the free edge, and that 34 from the mounting bolts
    assert in_space(plan)["stop"] == pytest.approx([-6.0, -32.0, 55.0])
    assert in_space(mirrored(plan))["stop"] == pytest.approx([6.0, -32.0, 55.0])
    outline = plan.flange("gusset").contour.vertices
    frame = folded_frames(plan)["gusset"]
    outside, inside = (apply(frame, np.array([[p.u, p.v, w] for p in outline])) for w in (0.0, thickness))
    assert outside[:, 0] == pytest.approx(-38.0)
    assert inside[:, 0] == pytest.approx(-38.0 + thickness)
    assert inside[:, 2].min() == pytest.approx(thickness + 0.8)
    assert inside[:, 2].max() == pytest.approx(80.0)
    assert inside[:, 1].max() == pytest.approx(-32.0 + 52.0)


def test_slots_run_square_to_the_upright() -> None:
    foot, upright, _ = (plan := plan_of("stop_bracket")).flanges
    assert [(s.u_mm, s.v_mm, s.width_mm, s.travel_mm) for s in foot.slots] == [
        (-17.0, 0.0, M8_HOLE, 10.0),
        (17.0, 0.0, M8_HOLE, 10.0),
    ]
    assert all(s.mates and s.angle_rad == pytest.approx(pi / 2) for s in foot.slots)
    assert not any(h.mates for h in upright.holes)
    assert folded_frames(plan)["upright"][:3, 2] == pytest.approx([0.0, 1.0, 0.0])


def test_drawing_says_how_bolt_and_gusset_go_on() -> None:
    bolt, gusset = plan_of("stop_bracket", stop_thread="3/8").notes
    assert "3/8" in bolt
    assert "22 mm deep at the top, front edge 10 mm high" in gusset
    assert plan_of("stop_bracket", stop_thread="3/8").welds == (("gusset", "foot"),)
    assert len(plan_of("stop_bracket", **LOW).notes) == 1


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_drawing_is_one_sheet_with_no_text_on_another(paper: str, tmp_path: Path) -> None:
    path = tmp_path / "part_drawing.pdf"
    assert draw(plan_of("stop_bracket"), path, paper=paper) == ()
    (page,) = read_pdf(path).pages
    assert overlaps(page) == []


@pytest.mark.parametrize(
    ("parameters", "parameter", "words"),
    [
        # M8 nut: 13 across flats (ISO 4032), spanner 2.2 times that: 3 + 14.3
        ({"stop_height_mm": 17.0}, "stop_height", r"at least 17\.3"),
        # M10 nut 8.4 high (ISO 4032), two pitches of 1.5, half of an M4: 3 + 8.4 + 3 + 2
        ({"stop_height_mm": 16.0, "stop_thread": "M4", "mount_thread": "M10"}, "stop_height",
         r"at least 16\.4"),
        # half of 76 less 17.3
        ({"stop_offset_mm": 21.0}, "stop_offset", r"at most 20\.7"),
        ({"stop_offset_mm": -35.0}, "", "does not lie whole"),
        ({"stop_height_mm": 78.0}, "", "does not lie whole"),
        ({"mount_spacing_mm": 10.0, "mount_thread": "M10"}, "", "run into each other"),
        ({"mount_slot_mm": 60.0}, "", "does not lie whole"),
        ({"width_mm": 25.0, "thickness": 6.0}, "width", "no bend to the foot"),
        ({"foot_depth_mm": 25.0, "thickness": 6.0}, "foot_depth", "nothing of the foot"),
        ({"upright_height_mm": 25.0, "thickness": 6.0}, "upright_height", "nothing of the upright"),
        ({"corner_radius_mm": 39.0}, "corner_radius", r"at most 38\.0"),
        ({"gusset_depth_mm": 59.0}, "gusset_depth", r"ends at 58\.0"),
        ({"gusset_depth_mm": 16.0}, "gusset_depth", r"at least 16\.8"),
        ({"gusset_top_mm": 8.0}, "gusset_top", r"must be 9\.0 mm to 52\.0 mm"),
        ({"gusset_top_mm": 53.0}, "gusset_top", "must be"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_said(parameters: dict, parameter: str, words: str) -> None:
    with pytest.raises(GeometryFault, match=words) as caught:
        plan_of("stop_bracket", **parameters)
    assert caught.value.parameter == parameter


def test_unknown_thread_is_looked_up_not_guessed() -> None:
    with pytest.raises(LookupFault):
        plan_of("stop_bracket", stop_thread="M7")
