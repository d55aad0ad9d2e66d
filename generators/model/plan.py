"""The plan of one part and the layout of one panel: everything a person cuts, prints or drills.

Conventions. A flange has its own frame: ``u`` along, ``v`` across, and the sheet lies between
``w = 0`` (the *lower* side) and ``w = thickness`` (the *upper* side), with ``w = u × v``. A bend
``up`` turns the child flange toward +w. Lengths in mm, angles in radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.contour import Contour
from generators.model.folds import FoldLine, Passing, PlaceEllipse, ReachArea, Wrap
from generators.model.hole_work import HoleWork, plain_work
from generators.model.joints.hole_finish import HoleFinish
from generators.model.pedal_place import PedalPlace, PressedBush, Spacer
from generators.model.spec.tools.machines import BentOn
from generators.model.words import (
    BendDirection,
    Face,
    FittingFace,
    FittingKind,
    Grain,
    MarkKind,
    NutFace,
    Status,
)
from generators.standards import GENERAL_TOLERANCE, HoleTolerance, ToolKind
from generators.units import UnitSystem

BOLT_REACH_MM = 15.0
"""How far a bolt with its nut is taken to stand off a panel where nobody has said, at least. Ours."""

BULKHEAD_REACH_MM = 40.0
"""The same for a bulkhead fitting with its hose. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """What goes through a hole, as far as a layout must know it.

    ``kind``: bolt, bulkhead, grommet, insert, rivet, tapped, bore, pivot, lightening or plain. Circles
    are diameters in mm, 0 where nothing turns there. ``nut_face`` is ``near`` (the side the part lies
    on), ``far``, ``both`` or ``none``. ``shank_mm`` is the thickest of what goes through, 0 where nobody has
    said. ``reach_mm`` is how far it stands off the panel on either face, ``far_reach_mm`` how far on the side
    away from the part, where that is more. ``own_stud``: its own thread comes through, so a nut and no bolt.
    """

    kind: FittingKind
    label: str
    nut_circle_mm: float = 0.0
    spanner_circle_mm: float = 0.0
    nut_face: FittingFace = "none"
    reach_mm: float = 0.0
    far_reach_mm: float = 0.0
    shank_mm: float = 0.0
    own_stud: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bush:
    """A bush for a drill of ``drill_mm``; ``outside_mm`` is 0 where the printed bore itself guides it."""

    drill_mm: float
    outside_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A round hole through a flange; ``mates`` when the panel under the part gets it too.

    A guide's has its ``bush``. ``tolerance`` is that of its diameter, where it is closer than the drawing's.
    ``diameter_mm`` is that of the finished part; with a ``finish`` the blank has another.
    """

    name: str
    u_mm: float
    v_mm: float
    diameter_mm: float
    purpose: str
    fitting: Fitting
    mates: bool = False
    bush: Bush | None = None
    tolerance: HoleTolerance | None = None
    finish: HoleFinish | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Peg:
    """A round peg of a printed part, down from the lower side (w = 0) of its root flange.

    ``chamfer_mm`` is taken off its tip at 45°. It drops into a hole of ``hole_mm`` in the panel.
    """

    name: str
    u_mm: float
    v_mm: float
    diameter_mm: float
    height_mm: float
    chamfer_mm: float
    hole_mm: float
    purpose: str

    @property
    def straight_mm(self) -> float:
        """Height of its cylinder, mm."""
        return self.height_mm - self.chamfer_mm

    @property
    def tip_mm(self) -> float:
        """Diameter at its tip, mm."""
        return self.diameter_mm - 2 * self.chamfer_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A round-ended slot: ``travel_mm`` between end centres, turned by ``angle_rad`` from u.

    When it ``mates`` the panel gets one round hole of ``width_mm`` at its middle. ``tolerance`` is that of
    its width, where it is closer than the drawing's.
    """

    name: str
    u_mm: float
    v_mm: float
    width_mm: float
    travel_mm: float
    angle_rad: float
    purpose: str
    fitting: Fitting
    mates: bool = False
    tolerance: HoleTolerance | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flange:
    """A flat face of a part in its own frame."""

    name: str
    contour: Contour
    holes: tuple[Hole, ...] = ()
    slots: tuple[Slot, ...] = ()
    pegs: tuple[Peg, ...] = ()

    @property
    def openings(self) -> tuple[Hole | Slot, ...]:
        """Holes, then slots."""
        return (*self.holes, *self.slots)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A bend from ``parent`` to ``child``.

    ``start`` and ``end`` are the ends of the tangent line in the parent's frame, along a straight edge of its
    contour, counter-clockwise. The child's frame has its origin at the far tangent line's image of ``end``, u
    toward ``start``, v away from the parent. ``past_rad``: how far past its angle, None for as any bend may.
    """

    name: str
    parent: str
    child: str
    start: tuple[float, float]
    end: tuple[float, float]
    angle_rad: float
    inside_radius_mm: float
    direction: BendDirection
    k_factor: float
    k_source: str
    past_rad: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPlan:
    """One part: a tree of flanges; the first is the root, which lies on the panel if mounted.

    ``tolerance`` is the general tolerance of its drawing, ``position_mm`` how far its holes may be off,
    across and up, ``bent_mm`` and ``bent_rad`` how far bent lengths and bends may. ``shaft_mm`` goes through
    its pivots, None if unknown; ``bush`` is pressed into their bores, ``spacer`` stands between them.
    ``mirrored`` is the opposite hand of what the kind draws, ``doubler`` a plate under other parts.
    ``grain`` is its rolling direction, ``bent_on`` what it may be bent on. ``printed`` is one block,
    ``tool`` is for drilling, ``wedge_rad``: masters lean, ``pedal``: where it hangs, ``welds``: edge, face.
    """

    name: str
    kind: str
    title: str
    material: str
    thickness_mm: float
    flanges: tuple[Flange, ...]
    bends: tuple[Bend, ...] = ()
    finish: str = ""
    quantity: int = 1
    notes: tuple[str, ...] = ()
    tolerance: str = GENERAL_TOLERANCE
    position_mm: float = 0.2
    bent_mm: float = 0.5
    bent_rad: float = math.radians(1)
    shaft_mm: float | None = None
    bush: PressedBush | None = None
    spacer: Spacer | None = None
    mirrored: bool = False
    doubler: bool = False
    printed: bool = False
    grain: Grain = "any"
    bent_on: BentOn = ""
    welds: tuple[tuple[str, str], ...] = ()
    tool: bool = False
    wedge_rad: float = 0.0
    pedal: PedalPlace | None = None
    etch: str = ""

    def flange(self, name: str) -> Flange:
        """The flange of that name; raises ``KeyError``."""
        for flange in self.flanges:
            if flange.name == name:
                return flange
        raise KeyError(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelHole:
    """One opening of a panel, in the panel frame.

    ``status``: ``drill`` (new), ``weld`` (a stud welded on, no hole), ``datum`` (existing, kept), ``reuse``
    (existing, takes a new fitting) or ``blank`` (existing, to be closed). ``number`` is printed on every
    sheet; existing openings have letters. ``owners`` are the parts it is of, or ``panel`` or ``existing``,
    none of a mere stand-in. ``thread`` is that of what the spec puts in it; an insert grips sheet of
    ``grip_mm``. A countersunk screw has a head of ``head_mm``, cut or ``dimpled`` into the face its
    nut is not on. An existing slot is ``final_dia_mm`` wide, with ``travel_mm`` between its end centres,
    turned by ``angle_rad`` from u. ``there_mm`` is the diameter of an existing hole as it is,
    ``sigma_mm`` the standard uncertainty of its measured centre each way. ``stands_for`` is the part's hole
    it was drilled as, ``part.hole``. ``decided`` is when and how it is made in the whole job; ask ``work``.
    ``final_dia_mm`` is what the ``tool`` makes, a size one can buy; it may be off between ``least_mm`` and
    ``most_mm`` (0 where nobody says), which is the ``tolerance`` of that name. ``tool`` is in words, with its
    size; ``tool_kind`` the same for who sorts by it; a ``filed`` hole is drilled below and filed to size.
    """

    number: str
    name: str
    u_mm: float
    v_mm: float
    final_dia_mm: float
    pilot_dia_mm: float
    purpose: str
    tool: str
    drill_face: Face
    status: Status
    owners: tuple[str, ...]
    kind: FittingKind
    nut_face: NutFace = "none"
    nut_circle_mm: float = 0.0
    spanner_circle_mm: float = 0.0
    reach_cab_mm: float = 0.0
    reach_engine_mm: float = 0.0
    position_note: str = ""
    shank_mm: float = 0.0
    thread: str = ""
    grip_mm: tuple[float, float] | None = None
    head_mm: float = 0.0
    head_angle_rad: float = 0.0
    dimpled: bool = False
    travel_mm: float = 0.0
    angle_rad: float = 0.0
    there_mm: float = 0.0
    sigma_mm: float = 0.0
    stands_for: str = ""
    decided: HoleWork | None = None
    least_mm: float = 0.0
    most_mm: float = 0.0
    tolerance: str = ""
    tool_kind: ToolKind | None = None
    filed: bool = False

    @property
    def work(self) -> HoleWork:
        """When and how it is made."""
        return self.decided or plain_work(self.status, tooled=bool(self.tool))

    @property
    def ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Centres of the round ends of a slot, mm; of a round hole, its centre twice."""
        du, dv = (f(self.angle_rad) * self.travel_mm / 2 for f in (math.cos, math.sin))
        return (self.u_mm - du, self.v_mm - dv), (self.u_mm + du, self.v_mm + dv)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOut:
    """A region of one face nothing may enter; it begins ``gap_mm`` off the panel.

    ``bead`` marks a stiffening bead of the panel itself, which no hole may meet.
    """

    name: str
    face: Face
    contour: Contour
    gap_mm: float
    depth_mm: float
    reason: str
    movable: bool = False
    bead: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """Where a part covers a face of a panel.

    ``openings`` are the outlines of the holes and slots through its root flange. Its sheet begins ``lift_mm``
    off the panel: the doublers it lies on.
    """

    part: str
    face: Face
    contour: Contour
    openings: tuple[Contour, ...] = ()
    lift_mm: float = 0.0
    thickness_mm: float = 0.0
    doubler: bool = False
    title: str = ""

    @property
    def words(self) -> str:
        """What the part is called on paper."""
        return self.title or self.part.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A folded-up flange of a mounted part, seen square onto the panel.

    It stands ``near_mm`` to ``far_mm`` off the face the part lies on; ``contour`` is the convex outline
    of its shadow in the panel frame.
    """

    part: str
    flange: str
    face: Face
    contour: Contour
    near_mm: float
    far_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DatumMark:
    """A named datum: ``kind`` point, vertical (a line of constant u) or horizontal."""

    name: str
    kind: MarkKind
    u_mm: float
    v_mm: float
    what: str

    @property
    def words(self) -> str:
        """What it is called on paper."""
        return self.name.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelLayout:
    """One panel with everything placed on it; ``u`` right and ``v`` up as the driver sees it.

    ``edge_known`` is False when the outline only frames what was measured; it is then not drawn. ``notes``
    are printed on every sheet. ``facing`` says which way the cab face of a turned or level panel looks.
    ``contact`` is who is asked about it, ``units`` what the people who drill it measure in: it comes first.
    ``passing`` goes through the panel: the paper is cut round it.
    """

    panel: str
    title: str
    material: str
    thickness_mm: float
    contour: Contour
    holes: tuple[PanelHole, ...]
    keepouts: tuple[KeepOut, ...]
    footprints: tuple[Footprint, ...]
    folds: tuple[FoldLine, ...]
    datums: tuple[DatumMark, ...]
    witness_hole: str = ""
    bodies: tuple[Body, ...] = ()
    ellipses: tuple[PlaceEllipse, ...] = ()
    edge_known: bool = True
    wraps: tuple[Wrap, ...] = ()
    reaches: tuple[ReachArea, ...] = ()
    notes: tuple[str, ...] = ()
    facing: str = ""
    contact: str = ""
    units: UnitSystem = "metric"
    passing: tuple[Passing, ...] = ()

    def seen(self, face: Face) -> str:
        """From where a face is looked at, to stand behind the panel's name; all sheets take it from here."""
        if not self.facing:
            return "as seen by the driver" if face == "cab" else "as seen from the engine bay"
        if self.facing in ("up", "down"):
            above = (self.facing == "up") == (face == "cab")
            return f"as seen from {'above' if above else 'below'}"
        return f"as seen square to its {face} face; its cab face looks {self.facing}"
