"""Plans to draw and cut: every kind small, large and odd, and trees of bends made by hand."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from generators.geometry.contours import polygon
from generators.model.plan import Bend, Fitting, Flange, Hole, PartPlan, Slot
from generators.model.spec.fields import FieldSpec, spec_fields
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.model.words import BendDirection
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule

JOB = "Wrenfield 30-cwt van: hydraulic clutch"
REVISION = "a1b2c3d"
BOLT = Fitting(kind="bolt", label="M6 bolt")
SAMPLE_HOLES = ((), ("master",), ("master.left", "master.bore"), ("nobody",))
THREADS = ("M4", "M5", "M6", "M8", "1/4", "5/16")


def make(
    name: str, *, t: float = 3.0, r: float | None = None, material: str = "1008 steel", **p: Any
) -> PartPlan:
    """A kind with some parameters changed."""
    kind = kind_named(name)
    spec = PartSpec(
        name=f"{name}_1", kind=name, material=material, thickness_mm=t, parameters=kind.parameters(**p)
    )
    return kind.plan(spec, bend_rule(Shop(), material, t, r))


def bend(
    name: str,
    parent: str,
    child: str,
    start: Any,
    end: Any,
    degrees: float,
    direction: BendDirection,
    r: float = 2.0,
) -> Bend:
    """A bend with K 0.42."""
    return Bend(
        name=name,
        parent=parent,
        child=child,
        start=start,
        end=end,
        angle_rad=math.radians(degrees),
        inside_radius_mm=r,
        direction=direction,
        k_factor=0.42,
        k_source="test",
    )


def tree(
    first: BendDirection = "up",
    second: BendDirection = "down",
    degrees: tuple[float, float, float] = (90, 120, 35),
) -> PartPlan:
    """A base, a riser with a narrower lip on it, and an ear with slanted sides on the base's right."""
    hole = Hole(name="base_1", u_mm=20.0, v_mm=15.0, diameter_mm=6.6, purpose="M6 bolt, base", fitting=BOLT)
    slot = Slot(
        name="base_slot",
        u_mm=50.0,
        v_mm=16.0,
        width_mm=6.6,
        travel_mm=9.0,
        angle_rad=math.radians(25),
        purpose="M6 bolt, base",
        fitting=BOLT,
    )
    riser_hole = Hole(name="riser_1", u_mm=18.0, v_mm=14.0, diameter_mm=9.0, purpose="M8 bolt", fitting=BOLT)
    lip_hole = Hole(name="lip_1", u_mm=30.0, v_mm=12.0, diameter_mm=5.5, purpose="M5 bolt", fitting=BOLT)
    base = polygon([(0, 0), (80, 0), (80, 8), (80, 32), (80, 40), (0, 40)])
    riser = polygon([(0, 0), (80, 0), (80, 30), (70, 30), (10, 30), (0, 30)])
    lip = polygon([(0, 0), (60, 0), (60, 22), (0, 22)], [0, 0, 5, 5])
    ear = polygon([(0, 0), (24, 0), (18, 20), (4, 20)], [0, 0, 3, 3])
    return PartPlan(
        name="tree",
        kind="by_hand",
        title="Bends both ways",
        material="5052-H32",
        thickness_mm=2.0,
        flanges=(
            Flange(name="base", contour=base, holes=(hole,), slots=(slot,)),
            Flange(name="riser", contour=riser, holes=(riser_hole,)),
            Flange(name="lip", contour=lip, holes=(lip_hole,)),
            Flange(name="ear", contour=ear),
        ),
        bends=(
            bend("one", "base", "riser", (80.0, 40.0), (0.0, 40.0), degrees[0], first),
            bend("two", "riser", "lip", (70.0, 30.0), (10.0, 30.0), degrees[1], second),
            bend("three", "base", "ear", (80.0, 8.0), (80.0, 32.0), degrees[2], second),
        ),
    )


def cases() -> dict[str, PartPlan]:
    """Plans by name."""
    plate, shelf, hanger = "fitting_plate", "reservoir_bracket", "pedal_hanger"
    return {
        "plate": make(plate),
        "plate_small": make(
            plate, t=1.5, count=1, bolts=0, end_margin_mm=20.0, height_mm=40.0, corner_radius_mm=3.0
        ),
        "plate_long": make(plate, t=5.0, count=12, spacing_mm=290.0, dash=8, height_mm=400.0),
        "plate_square": make(plate, t=2.0, count=4, spacing_mm=30.0, corner_radius_mm=0.0, bolts=3),
        "shelf": make(shelf),
        "shelf_30": make(
            shelf,
            t=2.0,
            material="5052-H32",
            angle_rad=math.radians(30),
            pattern_slot_mm=12.0,
            outlet_bore_mm=20.0,
            mount_slot_mm=8.0,
        ),
        "shelf_120": make(
            shelf,
            t=2.0,
            r=4.0,
            material="6061-T6",
            angle_rad=math.radians(120),
            pattern_depth_mm=26.0,
            shelf_depth_mm=90.0,
            base_height_mm=70.0,
            mount_rows_mm=20.0,
            mount_height_mm=28.0,
        ),
        "shelf_small": make(
            shelf,
            t=1.0,
            width_mm=30.0,
            base_height_mm=25.0,
            shelf_depth_mm=25.0,
            corner_radius_mm=2.0,
            pattern_width_mm=16.0,
            pattern_back_mm=14.0,
            mount_spacing_mm=16.0,
            mount_height_mm=10.0,
            pattern_thread="M4",
            mount_thread="M4",
        ),
        "hanger": make(hanger),
        "hanger_no_tab": make(hanger, tab_length_mm=0.0),
        "hanger_tab_120": make(
            hanger,
            tab_angle_rad=math.radians(120),
            master_angle_rad=math.radians(35),
            tab_bolts=2,
            tab_width_mm=56.0,
        ),
        "hanger_low": make(hanger, pivot_up_mm=-60.0),
        "hanger_large": make(
            hanger,
            t=6.0,
            inside_width_mm=180.0,
            web_above_mm=260.0,
            web_below_mm=200.0,
            pivot_up_mm=150.0,
            pivot_out_mm=280.0,
            pivot_boss_mm=50.0,
            mount_spacing_mm=130.0,
            mount_top_mm=200.0,
            mount_bottom_mm=160.0,
            tab_width_mm=110.0,
            tab_length_mm=90.0,
        ),
        "blanking": make("blanking_plate"),
        "blanking_square": make("blanking_plate", shape="rectangular", bolts=8, opening_mm=90.0, t=1.5),
        "reservoirs": make("reservoir_plate", outlet_bore_mm=22.0),
        "reservoirs_three": make(
            "reservoir_plate",
            t=4.0,
            count=3,
            pattern_height_mm=44.0,
            height_mm=120.0,
            through="plate",
            corner_radius_mm=0.0,
        ),
        "standoff": make("clamp_standoff"),
        "standoff_45": make(
            "clamp_standoff", t=2.0, angle_rad=math.radians(45), mounts=2, width_mm=56.0, standoff_mm=25.0
        ),
        "slave": make("slave_bracket"),
        "slave_thick": make("slave_bracket", t=6.0, flange_angle_rad=math.radians(20), mounts=3),
        "slave_left": make("slave_bracket", t=4.0, gussets="left", mounts=2),
        "twin": make("twin_pedal_hanger"),
        "twin_one_brake": make(
            "twin_pedal_hanger",
            t=4.0,
            r=6.0,
            balance_spacing_mm=0.0,
            balance_bore_mm=0.0,
            mount_columns=4,
            tab_length_mm=0.0,
        ),
        "throttle": make("throttle_pedal_bracket"),
        "throttle_back": make(
            "throttle_pedal_bracket",
            t=2.0,
            tilt_rad=math.radians(-30),
            offset_mm=80.0,
            module_bolts=2,
            pattern_slot_mm=10.0,
            module_pad_mm=-280.0,
            mount_rows_mm=0.0,
        ),
        "throttle_open": make(
            "throttle_pedal_bracket", tilt_rad=math.radians(60), pattern_rows_mm=0.0, module_pad_mm=-276.0
        ),
        "tree": tree(),
        "tree_down_up": tree("down", "up", (45, 90, 120)),
        "tree_down_down": tree("down", "down", (90, 90, 90)),
    }


def _values(spec: FieldSpec) -> st.SearchStrategy[Any]:
    """What a key may hold, within its declared bounds."""
    if spec.kind in ("length", "angle"):
        lo, hi = spec.lo or 0.0, spec.hi or 0.0
        return st.sampled_from((lo, hi)) | st.floats(lo, hi).map(lambda x: min(max(round(x, 3), lo), hi))
    if spec.kind == "integer":
        return st.integers(int(spec.lo or 0), int(spec.hi or 0))
    if spec.kind == "choice":
        return st.sampled_from(spec.choices)
    if spec.kind == "features":
        return st.sampled_from(SAMPLE_HOLES)
    return st.sampled_from(THREADS)


@st.composite
def any_part(draw: st.DrawFn, name: str) -> tuple[PartSpec, Any]:
    """A part with up to three parameters anywhere in their bounds, and its bend rule."""
    kind = kind_named(name)
    fields = {f.attribute: f.spec for f in spec_fields(kind.parameters)}
    moved = draw(st.lists(st.sampled_from(sorted(fields)), unique=True, max_size=3))
    thickness = draw(st.sampled_from((1.0, 3.0, 6.0)) | st.floats(0.5, 8.0))
    spec = PartSpec(
        name="any",
        kind=name,
        material="1008 steel",
        thickness_mm=thickness,
        parameters=kind.parameters(**{key: draw(_values(fields[key])) for key in moved}),
    )
    return spec, bend_rule(Shop(), spec.material, thickness, draw(st.none() | st.floats(0.5, 8.0)))
