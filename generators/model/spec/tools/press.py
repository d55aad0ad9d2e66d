"""The press brake: punches, dies, gauge, and the machine they are put into."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.words import DIE_WAYS, DieWay

CLAMPED_MM = 45.0
"""Top of a gooseneck that stands over its tip again, under the clamp (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Punch:
    """A punch, seen from its right end: y toward the back gauge, z up from its tip.

    ``profile`` is its whole outline, tip and tang included. Without one it is made of the other sizes: a
    straight punch as wide as ``width_mm``, or a gooseneck whose front stands back by ``neck_depth_mm`` from
    ``neck_from_mm`` above the tip to ``neck_to_mm``; above that it is back over its tip, for the clamp.
    """

    name: str = key.text("What the shop calls it; printed on setup sheets", lo=1, hi=40)
    height_mm: float = key.length("Tip to the clamp above it", lo=20.0, hi=1_000.0)
    angle_rad: float = key.angle("Angle of its tip", lo=math.radians(10), hi=math.radians(175))
    tip_radius_mm: float = key.length("Radius of its tip", lo=0.0, hi=100.0)
    width_mm: float = key.length("Width of its body", lo=4.0, hi=300.0, default=14.0)
    neck_depth_mm: float = key.length(
        "How far the front of a gooseneck stands back from the plane of the tip; 0 for a straight one",
        hi=300.0,
        default=0.0,
    )
    neck_from_mm: float | None = key.length(
        "Height above the tip from which it stands back so far",
        lo=1.0,
        hi=1_000.0,
        default=None,
    )
    neck_to_mm: float | None = key.length(
        "Height above the tip where its neck ends and it is over the tip again, for the clamp; without it "
        "45 mm below the top (common practice, no source)",
        lo=1.0,
        hi=1_000.0,
        default=None,
    )
    profile: tuple[tuple[float, float], ...] = key.points(
        "Its outline instead of width and neck: points back from the tip's plane and up from the tip",
        lo=3,
        hi=60,
        default=(),
    )
    segments_mm: tuple[float, ...] = key.lengths(
        "Lengths of its pieces in stock, each as often as it is there; none: one piece as long as the brake",
        lo=0,
        hi=60,
        default=(),
    )
    reversible: bool = key.flag("It may be clamped the other way round", default=True)
    force_per_m_n: float | None = key.force(
        "Greatest force on a metre of it, as marked on the tool", lo=1_000.0, hi=10_000_000.0, default=None
    )

    @property
    def throat_top_mm(self) -> float:
        """Where the neck ends, above the tip."""
        return self.height_mm - CLAMPED_MM if self.neck_to_mm is None else self.neck_to_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Die:
    """A lower die, seen from its right end, its V in the middle of its top."""

    name: str = key.text("What the shop calls it; printed on setup sheets", lo=1, hi=40)
    opening_mm: float = key.length("Opening of its V, between its sharp shoulders", lo=2.0, hi=300.0)
    angle_rad: float = key.angle("Angle of its V", lo=math.radians(10), hi=math.radians(175))
    shoulder_radius_mm: float = key.length("Radius of its shoulders", lo=0.0, hi=50.0, default=1.0)
    width_mm: float = key.length("Outside width", lo=4.0, hi=600.0)
    height_mm: float = key.length("Table to its top", lo=10.0, hi=600.0)
    way: DieWay = key.choice(
        "Air bending, or bottoming: pressed home, with four times the force", DIE_WAYS, default="air"
    )
    force_per_m_n: float | None = key.force(
        "Greatest force on a metre of it, as marked on the tool", lo=1_000.0, hi=10_000_000.0, default=None
    )
    segments_mm: tuple[float, ...] = key.lengths(
        "Lengths of its pieces in stock, each as often as it is there; none: one piece as long as the brake",
        lo=0,
        hi=60,
        default=(),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BackGauge:
    """What the sheet is pushed against, from the middle of the die."""

    nearest_mm: float = key.length("Nearest its stop comes to the middle", lo=1.0, hi=500.0, default=8.0)
    reach_mm: float = key.length("Greatest distance", lo=20.0, hi=5_000.0, default=600.0)
    below_mm: float = key.length("How far its fingers go below the die's top", hi=500.0, default=30.0)
    finger_width_mm: float = key.length("Width of a finger", lo=2.0, hi=300.0, default=20.0)
    finger_height_mm: float = key.length("Height of a finger's face", lo=2.0, hi=300.0, default=40.0)
    finger_length_mm: float = key.length("A finger, face to carriage", lo=10.0, hi=1_000.0, default=150.0)
    beam_behind_mm: float | None = key.length(
        "From the fingers' faces back to the beam that carries them all across; without it the setup sheet "
        "says what reaches past a stop, and nobody has judged it",
        lo=10.0,
        hi=2_000.0,
        default=None,
    )
    beam_top_mm: float | None = key.length(
        "Top of that beam over the die's top, the fingers on it, below zero where it is lower; without it "
        "nothing passes over the beam",
        lo=-500.0,
        hi=500.0,
        default=None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Brake:
    """The press brake. Without punches, or without dies, a plain set is taken (ours, invented)."""

    name: str = key.text("What the shop calls it; printed on setup sheets", hi=40, default="")
    length_mm: float = key.length("Length it bends", lo=100.0, hi=20_000.0, default=2_000.0)
    force_n: float = key.force("Force of the press", lo=1_000.0, hi=50_000_000.0, default=600_000.0)
    stroke_mm: float = key.length("Stroke of the ram", lo=10.0, hi=1_000.0, default=320.0)
    open_mm: float = key.length(
        "Clamp to table with the ram up, no tools in", lo=50.0, hi=3_000.0, default=500.0
    )
    room_mm: float = key.length(
        "Air the shop wants between part and tools (default ours)", hi=20.0, default=1.0
    )
    ram: tuple[tuple[float, float], ...] = key.points(
        "Outline of clamp and ram: points back from the tip's plane and up from the top of the punch; "
        "the default is 80 mm thick",
        lo=3,
        hi=60,
        default=((-40.0, 0.0), (40.0, 0.0), (40.0, 800.0), (-40.0, 800.0)),
    )
    table: tuple[tuple[float, float], ...] = key.points(
        "Outline of the table: points back from the middle and up from the die's foot, so below zero; "
        "the default is 90 mm thick",
        lo=3,
        hi=60,
        default=((-45.0, 0.0), (-45.0, -800.0), (45.0, -800.0), (45.0, 0.0)),
    )
    gauge: BackGauge = key.table("Back gauge", BackGauge, default=BackGauge())
    punch: tuple[Punch, ...] = key.tables("Punches", Punch, hi=60)
    die: tuple[Die, ...] = key.tables("Dies", Die, hi=60)
