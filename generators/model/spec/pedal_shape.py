"""The keys of a pedal's body: pad, arm, rod and what stops it. Sizes for space, an arm's for strength too.

Defaults are common sizes where no source is named; a rule says once which of them were used.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key

PAD_WIDTH_MM = 75.0
"""MIL-STD-1472F, pedals: 75 mm wide at least, from memory."""
PAD_HEIGHT_MM = 50.0
PAD_THICKNESS_MM = 12.0
ARM_WIDTH_MM = 25.0
ARM_THICKNESS_MM = 8.0
"""Flat bar on edge; like the pad's height and thickness, common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StopBolt:
    """The bolt or buffer that ends a pedal's travel: where it stands, or which bracket carries it."""

    part: str = key.name("Stop bracket that carries it: its bolt gives the place", default="")
    stands_mm: float = key.length(
        "In a stop bracket: the bolt's end from the upright's outer face", lo=1.0, hi=200.0, default=20.0
    )
    at: tuple[float, float] | None = key.point(
        "Middle of the end the arm or pad meets, [out, up] from the pivot as for pin", hi=1500.0, default=None
    )
    side_mm: float = key.length("That end to the right of the arm's plane", lo=-500.0, hi=500.0, default=0.0)
    diameter_mm: float = key.length(
        "Across its head or buffer (13 mm: M8, ISO 4014)", lo=3.0, hi=100.0, default=13.0
    )
    length_mm: float = key.length("How long it is behind that end", lo=2.0, hi=300.0, default=25.0)

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` unless exactly one thing gives its place."""
        if bool(self.part) == (self.at is not None):
            raise GeometryFault("not exactly one of part and at", "at")


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalShape:
    """What a pedal is made of; out, up and side as for its pin and pad."""

    pad_width_mm: float | None = key.length(
        "Width of the pad, across; without it, 75 mm (MIL-STD-1472F: at least, from memory)",
        lo=10.0,
        hi=400.0,
        default=None,
    )
    pad_height_mm: float | None = key.length(
        "Height of the pad; without it, 50 mm (common practice, no source)", lo=10.0, hi=400.0, default=None
    )
    pad_thickness_mm: float | None = key.length(
        "Thickness of the pad with its rubber, behind the face the foot presses; without it, 12 mm (common "
        "practice, no source)",
        lo=1.0,
        hi=100.0,
        default=None,
    )
    pad_side_mm: float = key.length(
        "Middle of the pad to the right of the arm's plane at the pivot", lo=-400.0, hi=400.0, default=0.0
    )
    arm: tuple[tuple[float, float], ...] = key.points(
        "Points the arm is bent through on its way from pivot to pad, [out, up] from the pivot as for pin; "
        "none for a straight one",
        lo=0,
        hi=20,
        default=(),
    )
    arm_width_mm: float | None = key.length(
        "Flat arm: its width in the plane it swings in; else 25 mm (common practice, no source)",
        lo=3.0,
        hi=200.0,
        default=None,
    )
    arm_thickness_mm: float | None = key.length(
        "Flat arm: its thickness, across; else 8 mm (common practice, no source)",
        lo=1.0,
        hi=100.0,
        default=None,
    )
    arm_diameter_mm: float | None = key.length("Round arm: its diameter", lo=3.0, hi=100.0, default=None)
    arm_material: str = key.text(
        "What the arm is made of, by a material's name; without it, S235 steel, where its section is given",
        lo=0,
        hi=40,
        default="",
    )
    hub_width_mm: float | None = key.length(
        "Width of its hub along the shaft, face to face: it must turn between what its hanger has there",
        lo=3.0,
        hi=400.0,
        default=None,
    )
    rod_diameter_mm: float = key.length("Diameter of the pushrod", lo=3.0, hi=40.0, default=8.0)
    clevis_width_mm: float = key.length(
        "Clevis at the pin, outside (16 mm: 8 mm pin, DIN 71752, from memory)", lo=4.0, hi=100.0, default=16.0
    )
    clevis_length_mm: float = key.length(
        "Clevis from the pin toward the rod (32 mm: DIN 71752, from memory)", lo=4.0, hi=200.0, default=32.0
    )
    stop_bolt: StopBolt | None = key.table("The bolt or buffer at the stop", StopBolt, default=None)

    @property
    def pad_size_mm(self) -> tuple[float, float, float]:
        """Width, height and thickness of the pad in use, mm."""
        return (
            PAD_WIDTH_MM if self.pad_width_mm is None else self.pad_width_mm,
            PAD_HEIGHT_MM if self.pad_height_mm is None else self.pad_height_mm,
            PAD_THICKNESS_MM if self.pad_thickness_mm is None else self.pad_thickness_mm,
        )

    @property
    def arm_section_mm(self) -> tuple[float, float]:
        """Width in the plane and thickness across of a flat arm in use, mm; a round one has a diameter."""
        return (
            ARM_WIDTH_MM if self.arm_width_mm is None else self.arm_width_mm,
            ARM_THICKNESS_MM if self.arm_thickness_mm is None else self.arm_thickness_mm,
        )

    def require_shape(self) -> None:
        """Raise ``GeometryFault`` for an arm that is half flat or both flat and round."""
        flat = (self.arm_width_mm is not None, self.arm_thickness_mm is not None)
        if self.arm_diameter_mm is not None and any(flat):
            raise GeometryFault("an arm both flat and round", "arm_diameter")
        if any(flat) and not all(flat):
            missing = "arm_thickness" if flat[0] else "arm_width"
            raise GeometryFault("a flat arm without both its width and its thickness", missing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """The foot the pedals are for: a shoe, as worn."""

    shoe_width_mm: float = key.length(
        "Width of the shoe at the ball (115 mm: a boot on a large male foot, from memory, unsure)",
        lo=50.0,
        hi=200.0,
        default=115.0,
    )
    shoe_length_mm: float = key.length(
        "Length of the shoe (306 mm: SAE J826 manikin, from memory)", lo=150.0, hi=400.0, default=306.0
    )
    shoe_height_mm: float = key.length(
        "Height of its toe box over the sole's face, sole included (common practice, no source)",
        lo=20.0,
        hi=150.0,
        default=65.0,
    )
