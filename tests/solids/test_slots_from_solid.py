"""Slots measured on the solid: against the blank, and against places in space worked by hand."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from drawing.part_cases import BOLT, bend, cases, make
from solids.slots_in_solids import SolidSlot, slots_of

from generators.geometry.contours import polygon, rectangle
from generators.geometry.frames import apply
from generators.model.plan import Flange, PartPlan, Slot
from generators.parts import KINDS
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.sheetmetal.relieving import relieved
from generators.sheetmetal.unfolding import flange_to_blank
from generators.solids.shapes import folded_shape

SHEET = [f.name for f in KINDS if not make(f.name).printed]
FLOOR = [(0, 0), (100, 0), (100, 80), (0, 80), (-30, 40)]
WITH_SLOTS = ("shelf_30", "tree")


def slot(name: str, u: float, v: float, degrees: float, width: float = 6.6, travel: float = 9.0) -> Slot:
    return Slot(
        name=name,
        u_mm=u,
        v_mm=v,
        width_mm=width,
        travel_mm=travel,
        angle_rad=math.radians(degrees),
        purpose="M6 bolt",
        fitting=BOLT,
    )


def tray() -> PartPlan:
    """A floor of 100 × 80 of 2 mm sheet, walls up along its right, its back and a slanting edge, a lip down off
    the right wall.

    Right and back wall meet at a corner, so a relief of 4 mm narrows both, and the lip with the right one.
    """
    return PartPlan(
        name="tray",
        kind="by_hand",
        title="Tray",
        material="5052-H32",
        thickness_mm=2.0,
        flanges=(
            Flange(name="floor", contour=polygon(FLOOR), slots=(slot("floor", 30, 20, 25),)),
            Flange(name="right", contour=rectangle(0, 0, 80, 40), slots=(slot("right", 50, 22, 30, 8.0),)),
            Flange(name="back", contour=rectangle(0, 0, 100, 40), slots=(slot("back", 35, 20, 110, 5.5, 7),)),
            Flange(name="slant", contour=rectangle(0, 0, 50, 30), slots=(slot("slant", 20, 15, 40, 6.0, 8),)),
            Flange(name="lip", contour=rectangle(0, 0, 80, 25), slots=(slot("lip", 60, 12, -20, 7.0, 11),)),
        ),
        bends=(
            bend("r", "floor", "right", (100.0, 0.0), (100.0, 80.0), 90, "up"),
            bend("b", "floor", "back", (100.0, 80.0), (0.0, 80.0), 90, "up"),
            bend("s", "floor", "slant", (-30.0, 40.0), (0.0, 0.0), 90, "up"),
            bend("l", "right", "lip", (80.0, 40.0), (0.0, 40.0), 90, "down"),
        ),
    )


def near(found: list[SolidSlot], middle: np.ndarray) -> SolidSlot:
    return min(found, key=lambda s: float(np.linalg.norm((s.ends[0] + s.ends[1]) / 2 - middle)))


def same_line(a: np.ndarray, b: np.ndarray) -> None:
    """Two directions that may point either way."""
    assert abs(float(a @ b) / float(np.linalg.norm(a) * np.linalg.norm(b))) == pytest.approx(1.0, abs=1e-9)


def test_slots_of_narrowed_walls_in_space_by_hand() -> None:
    """Reliefs cut metal away and move none: every slot stands where the walls as drawn would have it.

    Inside radius 2, sheet 2: a wall at 90° begins 4 mm beyond and 4 mm above its edge's lower side, its lower side
    outermost. Halves of the sheet: 1 mm from it. Right wall: u runs from (100, 80) to (100, 0), v up. Back wall: u
    from (0, 80) to (100, 80), for its edge runs the other way. The lip turns out again off the right wall: down is
    toward the wall's lower side, so it lies level, pointing outward.
    """
    plan = relieved(tray(), 4.0)
    assert [math.dist(b.start, b.end) for b in plan.bends] == pytest.approx([76.0, 96.0, 50.0, 76.0])
    found = slots_of(folded_shape(plan), 2.0)
    assert len(found) == 5

    def at(degrees: float, u: tuple[float, ...], v: tuple[float, ...]) -> np.ndarray:
        a = math.radians(degrees)
        return math.cos(a) * np.array(u) + math.sin(a) * np.array(v)

    by_hand = {
        "floor": ((30.0, 20.0, 1.0), at(25, (1, 0, 0), (0, 1, 0)), 6.6, 9.0),
        # lower side at x = 104, middle of the sheet a millimetre inside
        "right": ((103.0, 80.0 - 50.0, 4.0 + 22.0), at(30, (0, -1, 0), (0, 0, 1)), 8.0, 9.0),
        "back": ((35.0, 83.0, 4.0 + 20.0), at(110, (1, 0, 0), (0, 0, 1)), 5.5, 7.0),
        # u from (0, 0) back along the 3-4-5 edge, outward is (-0.8, -0.6)
        "slant": ((-12.0 - 0.8 * 3, 16.0 - 0.6 * 3, 4.0 + 15.0), at(40, (-0.6, 0.8, 0), (0, 0, 1)), 6.0, 8.0),
        # the wall ends at z = 44; the lip's bend turns about an axis 2 outside the wall's lower side, x = 106, so
        # the lip begins there, its lower side 2 above the axis less the radius: z = 46, its upper at 48
        "lip": ((106.0 + 12.0, 80.0 - 60.0, 47.0), at(-20, (0, -1, 0), (1, 0, 0)), 7.0, 11.0),
    }
    for middle, along, width, travel in by_hand.values():
        one = near(found, np.array(middle))
        assert (one.ends[0] + one.ends[1]) / 2 == pytest.approx(np.array(middle), abs=1e-6)
        assert one.width == pytest.approx(width, abs=1e-6)
        assert float(np.linalg.norm(one.ends[1] - one.ends[0])) == pytest.approx(travel, abs=1e-6)
        same_line(one.ends[1] - one.ends[0], along)


def on_the_blank(plan: PartPlan, one: SolidSlot) -> list[np.ndarray]:
    """Both ends on the blank by the bends alone; which flange it is in, the walls' direction and height tell."""
    bare = dataclasses.replace(
        plan, flanges=tuple(dataclasses.replace(f, holes=(), slots=()) for f in plan.flanges)
    )
    out = []
    for name, frame in folded_frames(plan).items():
        local = apply(np.asarray(np.linalg.inv(frame), dtype=np.float64), np.array(one.ends))
        if np.abs(local[:, 2] - plan.thickness_mm / 2).max() < 1e-6:
            out.append(flange_to_blank(bare, name, np.array(one.ends))[:, :2])
    return out


@pytest.mark.parametrize("name", [*SHEET, *WITH_SLOTS, "tray"])
def test_slots_of_the_solid_are_the_blank_s(name: str) -> None:
    plan = relieved(tray(), 4.0) if name == "tray" else make(name) if name in SHEET else cases()[name]
    found = slots_of(folded_shape(plan), plan.thickness_mm)
    flat = flat_pattern(plan)
    assert len(found) == len(flat.slots)
    if name in WITH_SLOTS:
        assert found
    for wanted in flat.slots:
        travel = wanted.travel_mm / 2 * np.array([math.cos(wanted.angle_rad), math.sin(wanted.angle_rad)])
        ends = np.array([wanted.u_mm, wanted.v_mm]) + np.array([[-1.0], [1.0]]) * travel
        off = [
            min(np.abs(ends - here).max(), np.abs(ends[::-1] - here).max()) + abs(one.width - wanted.width_mm)
            for one in found
            for here in on_the_blank(plan, one)
        ]
        assert min(off) < 1e-6, wanted.name


def test_slots_on_the_blank_of_a_tray_by_hand() -> None:
    """Allowance of 90° at radius 2, K 0.42, 2 mm: π/2 · (2 + 0.84). A wall's u runs against its edge."""
    flat = flat_pattern(relieved(tray(), 4.0))
    strip = math.pi / 2 * 2.84
    wanted = {
        "floor": (30.0, 20.0, (math.cos(math.radians(25)), math.sin(math.radians(25)))),
        "right": (
            100.0 + strip + 22.0,
            80.0 - 50.0,
            (math.sin(math.radians(30)), -math.cos(math.radians(30))),
        ),
        "back": (35.0, 80.0 + strip + 20.0, (math.cos(math.radians(110)), math.sin(math.radians(110)))),
        "lip": (
            100.0 + strip + 40.0 + strip + 12.0,
            80.0 - 60.0,
            (math.sin(math.radians(-20)), -math.cos(math.radians(-20))),
        ),
    }
    c, s = math.cos(math.radians(40)), math.sin(math.radians(40))
    out = strip + 15.0
    wanted["slant"] = (-12.0 - 0.8 * out, 16.0 - 0.6 * out, (-0.6 * c - 0.8 * s, 0.8 * c - 0.6 * s))
    for found in flat.slots:
        u, v, along = wanted[found.name]
        assert (found.u_mm, found.v_mm) == pytest.approx((u, v), abs=1e-9)
        same_line(np.array([math.cos(found.angle_rad), math.sin(found.angle_rad)]), np.array(along))
