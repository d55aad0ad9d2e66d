"""The plan of one part and the layout of one panel: everything a person cuts, prints or drills.

Conventions. A flange has its own frame: ``u`` along, ``v`` across, and the sheet lies between
``w = 0`` (the *lower* side) and ``w = thickness`` (the *upper* side), with ``w = u × v``. A bend
``up`` turns the child flange toward +w. Lengths in mm, angles in radians.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.contour import Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """What goes through a hole, as far as a layout must know it.

    ``kind``: bolt, bulkhead, grommet, insert, rivet, bore, pivot or plain. Circles are diameters in mm,
    0 where nothing turns there. ``nut_face`` is ``near`` (the side the part lies on), ``far``,
    ``both`` or ``none``. ``reach_mm`` is how far the fitting stands off the panel on either face,
    ``far_reach_mm`` how far on the side away from the part, where that is more.
    """

    kind: str
    label: str
    nut_circle_mm: float = 0.0
    spanner_circle_mm: float = 0.0
    nut_face: str = "none"
    reach_mm: float = 0.0
    far_reach_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A round hole through a flange; ``mates`` when the panel under the part gets it too."""

    name: str
    u_mm: float
    v_mm: float
    diameter_mm: float
    purpose: str
    fitting: Fitting
    mates: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A round-ended slot: ``travel_mm`` between end centres, turned by ``angle_rad`` from u.

    When it ``mates`` the panel gets one round hole of ``width_mm`` at its middle.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Flange:
    """A flat face of a part in its own frame."""

    name: str
    contour: Contour
    holes: tuple[Hole, ...] = ()
    slots: tuple[Slot, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A bend from ``parent`` to ``child``.

    ``start`` and ``end`` are the ends of the tangent line in the parent's frame, along a straight
    edge of the parent's contour in its counter-clockwise sense. The child's frame begins at the
    far tangent line: origin at the image of ``end``, u toward ``start``, v away from the parent.
    """

    name: str
    parent: str
    child: str
    start: tuple[float, float]
    end: tuple[float, float]
    angle_rad: float
    inside_radius_mm: float
    direction: str
    k_factor: float
    k_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPlan:
    """One part: a tree of flanges; the first is the root, which lies on the panel if mounted."""

    name: str
    family: str
    title: str
    material: str
    thickness_mm: float
    flanges: tuple[Flange, ...]
    bends: tuple[Bend, ...] = ()
    finish: str = ""
    quantity: int = 1
    notes: tuple[str, ...] = ()

    def flange(self, name: str) -> Flange:
        """The flange of that name; raises ``KeyError``."""
        for flange in self.flanges:
            if flange.name == name:
                return flange
        raise KeyError(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelHole:
    """One opening of a panel, in the panel frame.

    ``status``: ``drill`` (new), ``datum`` (existing, kept), ``reuse`` (existing, takes a new fitting)
    or ``blank`` (existing, to be closed). ``number`` is printed on every sheet; existing openings
    have letters. ``nut_face`` is cab, engine, both or none. ``source`` is the part or ``panel``.
    """

    number: str
    name: str
    u_mm: float
    v_mm: float
    final_dia_mm: float
    pilot_dia_mm: float
    purpose: str
    tool: str
    drill_face: str
    status: str
    source: str
    kind: str
    nut_face: str = "none"
    nut_circle_mm: float = 0.0
    spanner_circle_mm: float = 0.0
    reach_cab_mm: float = 0.0
    reach_engine_mm: float = 0.0
    position_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOut:
    """A region of one face nothing may enter; it begins ``gap_mm`` off the panel.

    ``bead`` marks a stiffening bead of the panel itself, which no hole may meet.
    """

    name: str
    face: str
    contour: Contour
    gap_mm: float
    depth_mm: float
    reason: str
    movable: bool = False
    bead: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """Where a part covers a face of a panel."""

    part: str
    face: str
    contour: Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A folded-up flange of a mounted part, seen square onto the panel.

    It stands ``near_mm`` to ``far_mm`` off the face the part lies on; ``contour`` is the convex outline
    of its shadow in the panel frame.
    """

    part: str
    flange: str
    face: str
    contour: Contour
    near_mm: float
    far_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldLine:
    """A fold shared with another panel; ``start`` and ``end`` in this panel's frame."""

    other: str
    start: tuple[float, float]
    end: tuple[float, float]
    angle_rad: float
    inside_radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DatumMark:
    """A named datum: ``kind`` point, vertical (a line of constant u) or horizontal."""

    name: str
    kind: str
    u_mm: float
    v_mm: float
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelLayout:
    """One panel with everything placed on it; ``u`` right and ``v`` up as the driver sees it."""

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
    key_hole: str = ""
    bodies: tuple[Body, ...] = ()
