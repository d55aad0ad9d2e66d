"""The box-and-pan folder: a bed, fingers under a clamping beam, and a leaf that folds the sheet up."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.spec import fields as key


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldCapacity:
    """A sheet the folder bends over so much of its length, as its plate says."""

    thickness_mm: float = key.length("Greatest thickness", lo=0.2, hi=25.0)
    length_mm: float = key.length("Over so much length, and less", lo=10.0, hi=20_000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldStop:
    """What the sheet is pushed against behind the fingers, from the front of their noses."""

    nearest_mm: float = key.length(
        "Nearest it comes to the front of the fingers (default ours)", lo=1.0, hi=2_000.0, default=65.0
    )
    reach_mm: float = key.length("Greatest distance (default ours)", lo=20.0, hi=5_000.0, default=600.0)
    width_mm: float = key.length("Width of one stop (default ours)", lo=2.0, hi=2_000.0, default=20.0)
    height_mm: float = key.length("Height of its face (default ours)", lo=2.0, hi=300.0, default=15.0)
    depth_mm: float = key.length("Stop, face to back (default ours)", lo=2.0, hi=1_000.0, default=40.0)


PLAIN_FINGERS = (25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 75.0, 100.0, 100.0, 150.0, 200.0, 400.0)
"""Widths of fingers of a plain folder, ours, invented: 1250 mm together."""

PLAIN_CAPACITY = (
    FoldCapacity(thickness_mm=2.0, length_mm=1250.0),
    FoldCapacity(thickness_mm=3.0, length_mm=600.0),
    FoldCapacity(thickness_mm=4.0, length_mm=250.0),
)
"""What a plain folder bends, ours, invented."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Folder:
    """A box-and-pan folder, seen from its right end: back from the front of the bend, up from the bed.

    The rear leg of the sheet lies on the bed under the fingers, the front leg on the leaf, which turns about
    the middle of the bend's radius. All defaults are those of a plain folder: ours, invented.
    """

    name: str = key.text("What the shop calls it; printed on setup sheets", hi=40, default="")
    length_mm: float = key.length("Length it bends", lo=100.0, hi=20_000.0, default=1_250.0)
    fingers_mm: tuple[float, ...] = key.lengths(
        "Widths of its fingers, each as often as it is there; none: those of a plain folder (ours)",
        lo=0,
        hi=60,
        default=(),
    )
    finger_height_mm: float = key.length(
        "Sheet to beam: how high a bent side may stand beside a finger", lo=5.0, hi=500.0, default=100.0
    )
    finger_depth_mm: float = key.length("A finger's foot, nose to back", lo=10.0, hi=500.0, default=60.0)
    nose_radius_mm: float = key.length("Radius of the nose", lo=0.0, hi=50.0, default=1.0)
    nose_angle_rad: float = key.angle(
        "Front of a finger against the sheet under it",
        lo=math.radians(20),
        hi=math.radians(90),
        default=math.radians(45),
    )
    nose_depth_mm: float = key.length(
        "How far back its front leans before it stands upright", hi=400.0, default=30.0
    )
    lift_mm: float = key.length("How far beam and fingers lift", lo=1.0, hi=1_000.0, default=100.0)
    beam: tuple[tuple[float, float], ...] = key.points(
        "Outline of the clamping beam: points back from the front of the bend and up from the top of the "
        "fingers",
        lo=3,
        hi=60,
        default=((30.0, 0.0), (110.0, 0.0), (110.0, 250.0), (30.0, 250.0)),
    )
    bed: tuple[tuple[float, float], ...] = key.points(
        "Outline of the bed: points back from the front of the bend and up from its top, so below zero",
        lo=3,
        hi=60,
        default=((0.0, 0.0), (120.0, 0.0), (120.0, -800.0), (0.0, -800.0)),
    )
    leaf_depth_mm: float = key.length("Folding leaf, from the bend outward", lo=5.0, hi=1_000.0, default=40.0)
    leaf_thickness_mm: float = key.length("Folding leaf, face to back", lo=3.0, hi=500.0, default=25.0)
    leaf_angle_rad: float = key.angle(
        "Furthest it turns", lo=math.radians(30), hi=math.radians(170), default=math.radians(135)
    )
    least_leaf_mm: float = key.length(
        "Least a leg must reach over the leaf, behind the bend", lo=1.0, hi=200.0, default=8.0
    )
    least_clamped_mm: float = key.length(
        "Least a leg must reach under the fingers, behind the bend", lo=1.0, hi=200.0, default=10.0
    )
    throat_mm: float = key.length(
        "How much sheet goes in behind the front of the bend", lo=50.0, hi=20_000.0, default=800.0
    )
    tensile_mpa: float = key.pressure(
        "Strength of the steel its plate speaks of (400 MPa common practice, no source)",
        lo=50.0,
        hi=2_000.0,
        default=400.0,
    )
    room_mm: float = key.length("Air wanted between part and machine (default ours)", hi=20.0, default=1.0)
    stop: FoldStop = key.table("The stop behind the fingers", FoldStop, default=FoldStop())
    capacity: tuple[FoldCapacity, ...] = key.tables(
        "What it bends, by thickness and length; none: 2 mm over 1250, 3 over 600, 4 over 250 (ours)",
        FoldCapacity,
        hi=40,
    )

    @property
    def fingers(self) -> tuple[float, ...]:
        """Widths of its fingers, or those of a plain folder, mm."""
        return self.fingers_mm or PLAIN_FINGERS

    @property
    def capacities(self) -> tuple[FoldCapacity, ...]:
        """What it bends, or what a plain one does."""
        return self.capacity or PLAIN_CAPACITY
