"""Parameters of a channel on ears, and the sizes that follow from them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.joints.ways import (
    BEARING_CLASSES,
    BEARING_KEPT,
    BOSS_SIDES,
    PIVOT_BUILDS,
    PIVOT_CLASSES,
    BearingClass,
    BearingKept,
    BossSide,
    PivotBuild,
    PivotClass,
)
from generators.model.spec import fields as key
from generators.model.words import FITS, Fit
from generators.parts.building.bends import Point
from generators.parts.building.pivots import keys as pivot_keys
from generators.sheetmetal.allowance import BendRule, setback
from generators.sheetmetal.relief import relief_width

SQUARE = math.pi / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """Parameters. ``up`` and ``out`` count from the cylinders' axis and from the front face of the web, which
    the masters lie against."""

    inside_width_mm: float = key.length(
        "Between the cheeks with one master; a second adds master_pitch", lo=30.0, hi=400.0, default=104.0
    )
    masters: int = key.integer("Masters: 1, or 2 for clutch and brake side by side", lo=1, hi=2, default=1)
    master_pitch_mm: float = key.length("Between the axes of two masters", lo=30.0, hi=300.0, default=100.0)
    web_above_mm: float = key.length("Web above the masters' axis", lo=15.0, hi=300.0, default=84.0)
    web_below_mm: float = key.length("Web below it", lo=15.0, hi=300.0, default=45.0)
    master_bore_mm: float = key.length("Hole for a master's nose", lo=5.0, hi=100.0, default=32.0)
    master_spacing_mm: float = key.length(
        "Between the two studs of a master", lo=15.0, hi=200.0, default=60.0
    )
    master_angle_rad: float = key.angle(
        "Line of the studs, from level", lo=-math.pi / 2, hi=math.pi / 2, default=0.0
    )
    master_thread: str = key.text("Stud thread", lo=1, hi=10, default="M8")
    master_fit: Fit = key.choice("Clearance of the studs", FITS, default="medium")
    pivot_up_mm: float = key.length("Pivot above the masters' axis", lo=-300.0, hi=300.0, default=60.0)
    pivot_out_mm: float = key.length("Pivot from the web's front face", lo=20.0, hi=300.0, default=74.0)
    pivot_bore_mm: float = key.length("Pivot bore in each cheek", lo=4.0, hi=60.0, default=16.0)
    pivot_shaft_mm: float | None = key.length(
        "Shaft or bush that goes through both pivot bores, if known", lo=3.0, hi=60.0, default=None
    )
    pivot_shaft_length_mm: float | None = key.length(pivot_keys.SHAFT_LENGTH, lo=10.0, hi=800.0, default=None)
    pivot_shaft_ends: str = key.text(pivot_keys.SHAFT_ENDS, hi=80, default="")
    pivot_build: PivotBuild = key.choice(pivot_keys.BUILD, PIVOT_BUILDS, default="")
    welded_boss_outside_mm: float | None = key.length(pivot_keys.BOSS_OUTSIDE, lo=8.0, hi=100.0, default=None)
    welded_boss_height_mm: float | None = key.length(pivot_keys.BOSS_HEIGHT, lo=2.0, hi=80.0, default=None)
    welded_boss_side: BossSide = key.choice(pivot_keys.BOSS_SIDE, BOSS_SIDES, default="outside")
    pivot_class: PivotClass = key.choice(
        "Tolerance class of reamed pivot bores (ISO 286)", PIVOT_CLASSES, default="H7"
    )
    pivot_bush_mm: float | None = key.length(
        "Wrapped bush of ISO 3547 pressed into each pivot bore: its inside diameter", hi=60.0, default=None
    )
    pivot_bush_length_mm: float | None = key.length(
        "Length of that bush, if it is longer than the sheet is thick", lo=1.0, hi=100.0, default=None
    )
    pivot_bush_outside_mm: tuple[float, float] | None = key.point(
        "Least and greatest outside diameter of that bush, if not as ISO 3547 has it", hi=80.0, default=None
    )
    pivot_bush_flange_mm: float | None = key.length(pivot_keys.BUSH_FLANGE, lo=4.0, hi=100.0, default=None)
    pivot_bearing: str = key.text(pivot_keys.BEARING, hi=12, default="")
    pivot_bearing_class: BearingClass = key.choice(pivot_keys.BEARING_CLASS, BEARING_CLASSES, default="")
    pivot_bearing_kept: BearingKept = key.choice(pivot_keys.BEARING_KEPT, BEARING_KEPT, default="press")
    pivot_bearing_static_load_n: float | None = key.force(
        pivot_keys.BEARING_STATIC, hi=200_000.0, default=None
    )
    pivot_spacer_mm: float | None = key.length(pivot_keys.SPACER, lo=5.0, hi=100.0, default=None)
    pivot_boss_mm: float = key.length("Radius of the cheek around the pivot", lo=8.0, hi=100.0, default=22.0)
    ear_width_mm: float = key.length("Outside width of each ear", lo=15.0, hi=200.0, default=48.0)
    ear_end_mm: float = key.length(
        "End of the ears from the web's front face", lo=40.0, hi=400.0, default=104.0
    )
    mount_count: int = key.integer(
        "Bolts in each ear; 0 where [[part.pattern]] gives them", lo=0, hi=6, default=2
    )
    mount_spacing_mm: float = key.length(
        "Bolts across, ear to ear, with one master; a second adds master_pitch",
        lo=30.0,
        hi=800.0,
        default=150.0,
    )
    mount_first_mm: float = key.length(
        "First bolts from the web's front face", lo=10.0, hi=380.0, default=42.0
    )
    mount_pitch_mm: float = key.length("Between the bolts of an ear", lo=10.0, hi=300.0, default=42.0)
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M8")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")

    @property
    def wider_mm(self) -> float:
        """What a second master adds to every size across."""
        return self.master_pitch_mm if self.masters == 2 else 0.0

    @property
    def bolts_mm(self) -> float:
        """Mounting bolts across, ear to ear."""
        return self.mount_spacing_mm + self.wider_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RearEars:
    """Ears at the rear edges of the cheeks, besides or instead of those in the mounting plane; mm.

    ``out`` is the plane they lie in; ``low`` and ``high`` their ends, near; ``bolts`` (across from the
    middle, near) of one ear. ``alone`` they are what the part is bolted by.
    """

    out: float
    low: float
    high: float
    bolts: tuple[Point, ...]
    alone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Sizes of a channel on ears of sheet ``t`` bent to ``r``, mm.

    ``near`` is 1 where the mounting plane is above the axis and -1 below, ``plane`` how far. ``words`` say
    what the mounting bolts hold.
    """

    p: Carrier
    t: float
    rule: BendRule
    near: float
    plane: float
    words: str
    rear: RearEars | None = None

    @property
    def r(self) -> float:
        """Inside radius of every bend."""
        return self.rule.inside_radius_mm

    @property
    def back(self) -> float:
        """Mould line to tangent line of a square bend."""
        return setback(SQUARE, self.r, self.t)

    @property
    def inside(self) -> float:
        """Between the cheeks, a second master's pitch included."""
        return self.p.inside_width_mm + self.p.wider_mm

    @property
    def notch(self) -> float:
        """Depth and width of the corner cut out between two bends of a cheek: a relief and a tongue."""
        return max(2 * relief_width(self.rule, self.t), 2 * self.t)

    @property
    def ears(self) -> bool:
        """Whether there are ears in the mounting plane."""
        return self.rear is None or not self.rear.alone

    @property
    def crown(self) -> float:
        """Where the cheeks meet the ears' bends, near."""
        return self.plane - self.back

    @property
    def shoulder(self) -> float:
        """Where the web ends toward the ears, near."""
        wanted = self.p.web_above_mm if self.near > 0 else self.p.web_below_mm
        return min(wanted, self.crown - self.notch) if self.ears else wanted

    @property
    def foot(self) -> float:
        """Where the web ends on the other side of the axis, near; below zero."""
        return -(self.p.web_below_mm if self.near > 0 else self.p.web_above_mm)

    @property
    def neck(self) -> float:
        """Where the ears begin, out."""
        return self.back + self.notch

    @property
    def tail(self) -> float:
        """Where the cheeks meet the rear ears' bends, out."""
        return self.rear.out - self.back if self.rear is not None else self.p.ear_end_mm

    @property
    def ear_end(self) -> float:
        """Where the ears end, out: before the corner cut out beside rear ears."""
        return min(self.p.ear_end_mm, self.tail - self.notch) if self.rear is not None else self.p.ear_end_mm

    def require_room(self) -> None:
        """Raises ``GeometryFault`` naming the parameter that leaves no room."""
        p, t = self.p, self.t
        if self.inside < 2 * (self.r + 2 * t):
            raise GeometryFault("the two bends leave nothing of the web", "inside_width")
        if p.masters == 2 and p.master_pitch_mm < p.master_bore_mm + 2 * t:
            raise GeometryFault(f"two noses of {p.master_bore_mm:g} mm run into each other", "master_pitch")
        if self.shoulder - self.foot < 6 * t:
            raise GeometryFault("nothing is left of the web", "web_above")
        if p.ear_width_mm - self.back < 2 * t:
            raise GeometryFault("the bend leaves nothing of the ears", "ear_width")
        if p.pivot_out_mm - p.pivot_boss_mm < self.back + 0.5:
            raise GeometryFault("the round end reaches the web's bends; move the pivot out", "pivot_out")
        if self.ears and self.ear_end - self.neck < 4 * t:
            raise GeometryFault(f"the ears begin {self.neck:.1f} mm from the web's front face", "ear_end")
        if self.ears and self.near * p.pivot_up_mm + p.pivot_boss_mm > self.crown - 0.5:
            raise GeometryFault("the round end reaches the ears' bends; move the pivot away", "pivot_up")
        if self.rear is not None:
            self._require_rear(self.rear)

    def _require_rear(self, rear: RearEars) -> None:
        if self.p.pivot_out_mm + self.p.pivot_boss_mm > self.tail - 0.5:
            raise GeometryFault("the round end reaches the rear ears' bends", "rear_out")
        if rear.high - rear.low < 4 * self.t:
            raise GeometryFault("nothing is left of the rear ears", "rear_height")
        if self.ears and rear.high > self.crown - self.notch:
            most = self.crown - self.notch
            raise GeometryFault(f"the rear ears end at most {most:.1f} mm above the axis", "rear_up")
