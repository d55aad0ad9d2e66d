"""What routing found out about hoses, as plain data. Vehicle frame, mm and radians."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.hose_path import HosePath, Point2, Point3
from generators.model.words import GapKind, GapWith


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """The least gap between a hose's outside and a body.

    ``what`` is obstacle, face (a panel's metal), edge (its outline or a rim) or crossing (through the
    metal without a grommet: the gap is 0). ``gap_mm`` is negative where they overlap.
    """

    hose: str
    body: str
    what: GapWith
    kind: GapKind
    gap_mm: float
    limit_mm: float
    station_mm: float
    at: Point3

    @property
    def met(self) -> bool:
        """True when the gap is at least the limit."""
        return self.gap_mm >= self.limit_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Routing:
    """The answer for one hose.

    ``path`` is None when no curve of the radius joins the ends; it is present but not ``clear`` when
    every way tried comes too close to something. ``blocked_by`` names what stands in the way of the best
    path found, or of the direct way where that was left for a clear one; ``tried`` says in words what was
    tried, ``detour`` that the direct way was left, ``avoids`` which bodies stand in it.
    """

    path: HosePath | None
    clear: bool
    detour: bool
    blocked_by: tuple[Clearance, ...]
    tried: str
    avoids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseLength:
    """Lengths of one hose, mm.

    ``made_up_mm`` is seat to seat, ``cut_mm`` the hose alone, rounded up to the shop's step, or the tube with
    what its flares take;
    ``slack_ratio`` what the rounding left; ``spare_mm`` what is left of the slack when the pressure has
    shortened the hose (negative: pulled tight).
    """

    path_mm: float
    made_up_mm: float
    cut_mm: float
    slack_ratio: float
    spare_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutWindow:
    """How short and how long a hose or tube may be cut at the bench, mm; what is trimmed later included."""

    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SagSpan:
    """Hose that hangs between two supports: slack, lowest place, how far that is below both of them, mm."""

    start: str
    end: str
    slack_mm: float
    lowest: Point3
    below_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseSag:
    """How a slack hose hangs; ``path`` is a chain of straights, its supports in order, guides left out.

    ``meets`` are gaps not kept that the hose on its path would keep.
    """

    hose: str
    path: HosePath
    spans: tuple[SagSpan, ...]
    meets: tuple[Clearance, ...] = ()

    @property
    def lowest(self) -> Point3:
        """The lowest place of the centre line between supports."""
        return min((span.lowest for span in self.spans), key=lambda place: place[2])


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneChange:
    """Two bends one after the other in different planes; ``held_by`` is a clamp between them or empty."""

    station_mm: float
    angle_rad: float
    between_mm: float
    held_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Hose between two supports one after the other."""

    start: str
    end: str
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RisePoint:
    """A place on the run from the slave to the reservoir; ``station_mm`` from the slave over all hoses."""

    hose: str
    station_mm: float
    hose_station_mm: float
    height_mm: float
    at: Point3
    near: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AirTrap:
    """A local high point, and the low point after it that keeps air from going on up.

    Raise everything near ``low`` or lower everything near ``high`` by ``mend_mm`` and the air goes on;
    ``at_start`` when the high point is the slave's own port (its bleed screw takes the air).
    """

    high: RisePoint
    low: RisePoint
    mend_mm: float
    at_start: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RiseProfile:
    """Heights from the slave to the reservoir: corners and extremes in order, traps and lows named."""

    points: tuple[RisePoint, ...]
    traps: tuple[AirTrap, ...]
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """An outline with its holes, each a closed ring in (u, v) without the first point repeated."""

    outer: tuple[Point2, ...]
    holes: tuple[tuple[Point2, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachRegion:
    """Where on a panel a port may sit for a hose of given length.

    ``reach`` is the region by length alone, ``allowed`` what is left after edge, keep-outs and obstacles.
    The boundary is within ``tolerance_mm``; islands smaller than ``grid_mm`` may be missed.
    """

    panel: str
    reach: tuple[Ring, ...]
    allowed: tuple[Ring, ...]
    reach_mm2: float
    allowed_mm2: float
    tolerance_mm: float
    grid_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """A constraint that holds the best place where it is: going on would save ``saves_mm`` per mm."""

    name: str
    saves_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """The best place found: values of the unknowns, the hoses through it, and what bound it.

    ``found`` is False when no place tried meets every rule; then ``bound_by`` names what failed at the
    least bad one. An empty ``bound_by`` means that the hoses are shortest there by themselves.
    """

    found: bool
    at: tuple[float, ...]
    length_mm: float
    paths: tuple[HosePath, ...]
    bound_by: tuple[Binding, ...]
    tried: int
