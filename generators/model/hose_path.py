"""Where routing and the spec meet: ports, supports, panels and obstacles in space, and a hose's path.

The interface. The pipeline turns a job into one ``HoseRun`` per hose, one ``Panel3`` per panel and a
tuple of obstacles; ``generators.routing`` answers with a ``HosePath`` and the results of
``model.hose_results``. Nothing here knows the spec, and routing knows nothing but this.

Vehicle frame, mm and radians: x rearward, y to the right, z up. Directions are unit vectors.

* ``Port3.position`` is the seat of the fitting, ``direction`` points out of it into the hose: at the
  start the hose leaves along it, at the end it arrives against it. ``straight_mm`` is measured from the
  seat and covers the hose fitting and the straight run after it. ``cutoff_mm`` is the part of it that
  is fitting and not hose (taken off the cut length). ``body`` names the obstacle the port is part of:
  it is not measured against within ``straight_mm`` plus one hose diameter of that end.
* A bulkhead ends a hose: the next ``HoseRun`` starts at its other port. A hose goes through a panel
  only at a ``Waypoint`` of kind ``grommet`` whose ``panel`` and ``opening`` are named.
* A ``Waypoint`` has an ``axis`` (the hose runs along it, in either sense unless ``one_way``) or none (free,
  the router picks it); ``straight_mm`` is kept straight on either side.
* ``Panel3``: ``u`` and ``v`` span the sheet, ``w = u × v`` its normal; the sheet lies between
  ``low_mm`` and ``high_mm`` along w; outline counter-clockwise in (u, v), arcs already made fine.
* Obstacles have a ``kind`` (``fixed``, ``moving``, ``hot`` or ``steering``) that picks the limit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.words import GapWith, KeptOff, SupportKind, WaypointKind

Point3 = tuple[float, float, float]
Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Port3:
    """An end of a hose; see the module's text."""

    name: str
    position: Point3
    direction: Point3
    straight_mm: float = 0.0
    cutoff_mm: float = 0.0
    body: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waypoint:
    """A place the hose is held at: ``kind`` clamp, grommet or guide (a guide holds nothing)."""

    name: str
    kind: WaypointKind
    position: Point3
    axis: Point3 | None = None
    one_way: bool = False
    straight_mm: float = 0.0
    panel: str = ""
    opening: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening3:
    """A round opening of a panel; ``diameter_mm`` is the metal's, whatever lines it."""

    name: str
    u_mm: float
    v_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel3:
    """A flat sheet in space; ``u`` and ``v`` unit and square to each other.

    ``folded`` are the sides of the outline that go on in a bend and so have no bare edge: side k runs from
    corner k to the next.
    """

    name: str
    origin: Point3
    u: Point3
    v: Point3
    low_mm: float
    high_mm: float
    outline: tuple[Point2, ...]
    openings: tuple[Opening3, ...] = ()
    folded: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Box3:
    """A box: ``centre``, unit axes ``u``, ``v`` (w = u × v) and half its size along each."""

    name: str
    centre: Point3
    u: Point3
    v: Point3
    half_mm: Point3
    kind: KeptOff = "fixed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder3:
    """A round bar with flat ends: an exhaust, a steering column."""

    name: str
    start: Point3
    end: Point3
    radius_mm: float
    kind: KeptOff = "fixed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prism3:
    """A plane outline (u, v), any simple polygon, from ``low_mm`` to ``high_mm`` along w = u × v.

    A strip of a panel's fold is a ``face`` and has its limit.
    """

    name: str
    origin: Point3
    u: Point3
    v: Point3
    outline: tuple[Point2, ...]
    low_mm: float
    high_mm: float
    kind: KeptOff = "fixed"
    what: GapWith = "obstacle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limb:
    """A bar of a pedal at rest, with round ends or flat ones."""

    start: Point3
    end: Point3
    radius_mm: float
    flat_ends: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A box of a pedal at rest, as ``Box3``."""

    centre: Point3
    u: Point3
    v: Point3
    half_mm: Point3


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep3:
    """All places of a pedal: its bars and boxes turned about ``axis`` through ``pivot`` by 0 … ``turn_rad``.

    The turn is right-handed about ``axis``; ``turn_rad`` may be negative.
    """

    name: str
    pivot: Point3
    axis: Point3
    turn_rad: float
    limbs: tuple[Limb | Block, ...]
    kind: KeptOff = "moving"


Obstacle3 = Box3 | Cylinder3 | Prism3 | Sweep3


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceLimits:
    """Least gaps, from the hose's outside to a body by its kind, to a panel's face, to a bare edge, mm."""

    fixed_mm: float
    moving_mm: float
    hot_mm: float
    steering_mm: float
    face_mm: float
    edge_mm: float

    def of(self, kind: KeptOff) -> float:
        """The limit for an obstacle's kind; raises ``KeyError`` for an unknown one."""
        return {
            "fixed": self.fixed_mm,
            "moving": self.moving_mm,
            "hot": self.hot_mm,
            "steering": self.steering_mm,
            "zone": 0.0,
        }[kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseRun:
    """A hose as asked for: its ends, the supports in order, and what it is made of.

    ``bend_radius_mm`` is the least radius of the centre line; ``outside_dia_mm`` the hose's outside.
    """

    name: str
    start: Port3
    end: Port3
    via: tuple[Waypoint, ...] = ()
    bend_radius_mm: float
    outside_dia_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight piece of the centre line."""

    start: Point3
    end: Point3

    @property
    def length_mm(self) -> float:
        """Exact length."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A circular piece: ``start`` turned about ``axis`` through ``centre`` by 0 … ``sweep_rad`` (> 0)."""

    centre: Point3
    axis: Point3
    start: Point3
    sweep_rad: float

    @property
    def radius_mm(self) -> float:
        """Radius of the centre line."""
        return math.dist(self.centre, self.start)

    @property
    def length_mm(self) -> float:
        """Exact length, radius times sweep."""
        return self.radius_mm * self.sweep_rad


Segment = Straight | Arc


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """Where along the path the hose is held; ``kind`` port, clamp, grommet or guide."""

    name: str
    kind: SupportKind
    station_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HosePath:
    """The centre line of one hose from seat to seat, joined tangent to tangent.

    ``supports`` begin and end with the two ports. ``own`` are the bodies whose measure is left out near
    an end: (body, first station, last station); ``passes`` the openings used: (panel, opening, station).
    """

    name: str
    segments: tuple[Segment, ...]
    supports: tuple[Support, ...]
    outside_dia_mm: float
    bend_radius_mm: float
    own: tuple[tuple[str, float, float], ...] = ()
    passes: tuple[tuple[str, str, float], ...] = ()

    @property
    def length_mm(self) -> float:
        """Exact length of the centre line, seat to seat."""
        return math.fsum(segment.length_mm for segment in self.segments)
