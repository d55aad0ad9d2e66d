"""What the rules ask for, as a spec may set it; each default has its source in the rule's text."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.spec import fields as key

SPAN_MM = 5_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of the rules; each has a default with a source, see `pedalplate explain`."""

    hole_edge_ratio: float = key.number("Centre to edge, in hole diameters", lo=0.5, hi=10, default=2.0)
    hole_spacing_ratio: float = key.number(
        "Centre to centre, in diameters of the larger hole", lo=1, hi=10, default=3.0
    )
    ligament_ratio: float = key.number("Metal between openings, in thicknesses", lo=0, hi=20, default=2.0)
    ligament_mm: float = key.length("Metal between openings, at least", hi=100, default=3.0)
    bend_clearance_ratio: float = key.number(
        "Hole edge to bend tangent, in thicknesses", lo=0, hi=10, default=2.0
    )
    flange_ratio: float = key.number(
        "Smallest flange, in thicknesses plus inside radius", lo=0, hi=20, default=4.0
    )
    bush_length_ratio: float = key.number(
        "Length of a drill bush, in drill diameters", lo=0, hi=10, default=1.5
    )
    guide_play_mm: float = key.length("How far a drill guide may let a hole wander", hi=10, default=0.5)
    drill_breakthrough_mm: float = key.length(
        "Room a drill needs where it breaks through", hi=200, default=25.0
    )
    fold_clearance_mm: float = key.length("Hole edge to a fold of the panel", hi=200, default=10.0)
    pad_flex_mm: float = key.length("How far the bracket may let the pad give", hi=100, default=3.0)
    hole_flex_mm: float = key.length("How far a loaded hole of a bracket may give", hi=100, default=1.0)
    yield_factor: float = key.number(
        "Yield stress over the peak stress at the most that may come, failed below (1: 14 CFR 23.305)",
        lo=0,
        hi=20,
        default=1,
    )
    everyday_factor: float = key.number(
        "The same at everyday effort, which comes a million times (ours)", lo=0, hi=20, default=1.5
    )
    joint_factor: float = key.number(
        "What a loaded bracket's bolts and the sheets under them bear over what they carry, failed below "
        "(1.5: 14 CFR 23.303)",
        lo=0,
        hi=20,
        default=1.5,
    )
    rod_angle_rad: float = key.angle(
        "Pushrod to the cylinder's axis, warned above", lo=0.0, hi=math.radians(45), default=math.radians(3)
    )
    rod_angle_fail_rad: float = key.angle(
        "Pushrod to the cylinder's axis, failed above", lo=0.0, hi=math.radians(45), default=math.radians(5)
    )
    hose_slack_ratio: float = key.number("Slack of a hose over its path, at least", lo=0, hi=1, default=0.05)
    hose_slack_most_ratio: float = key.number("Slack of a hose, warned above", lo=0, hi=1, default=0.08)
    hose_straight_ratio: float = key.number(
        "Straight run at a fitting, in outside diameters of the hose", lo=0, hi=20, default=1.5
    )
    hose_support_mm: float = key.length("Hose between supports", lo=10, hi=5_000, default=609.6)
    hose_clear_mm: float = key.length("Hose to anything fixed", hi=500, default=3.0)
    hose_apart_mm: float = key.length("Hose to another hose", hi=500, default=3.0)
    hose_moving_mm: float = key.length("Hose to anything that moves", hi=500, default=12.0)
    hose_steering_mm: float = key.length("Hose to the steering", hi=500, default=15.0)
    hose_hot_mm: float = key.length("Hose to an exhaust", hi=1_000, default=75.0)
    hose_face_mm: float = key.length("Hose along the face of a panel", hi=500, default=2.0)
    hose_edge_mm: float = key.length("Hose to a bare edge of a panel", hi=500, default=6.0)
    hose_lowest_mm: float | None = key.length(
        "Height in the vehicle frame that no hose or line may reach below; without it none is set",
        lo=-SPAN_MM,
        hi=SPAN_MM,
        default=None,
    )
    reservoir_head_mm: float = key.length("Lowest fluid level over the highest port", hi=1_000, default=10.0)
    lid_room_mm: float = key.length(
        "Free height over a reservoir, to take its lid off and fill it, warned below", hi=500, default=50.0
    )

    moving_clear_mm: float = key.length(
        "A moving pedal to anything it is not fixed to, warned below", hi=200, default=6.0
    )
    pad_apart_mm: float = key.length("Between neighbouring pads, warned below", hi=500, default=50.0)
    pad_column_mm: float = key.length("Pad to the steering column, warned below", hi=500, default=50.0)
    pad_over_floor_mm: float = key.length(
        "Middle of a pad over the floor under it, warned above", hi=1_000, default=203.0
    )

    def least_ligament_mm(self, thickness_mm: float) -> float:
        """Least metal beside an opening of a sheet, mm."""
        return max(self.ligament_ratio * thickness_mm, self.ligament_mm)
