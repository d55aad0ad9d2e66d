"""The cut layer of a DXF as closed contours, with everything a cutter would stumble over."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ezdxf.entities.arc import Arc as DxfArc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from shapely.geometry import LinearRing

from generators.geometry.contours import Arc, arc_of, polyline
from generators.model.contour import Contour, Vertex

JOIN_MM = 1e-6
CROSSING_TOLERANCE_MM = 1e-3
POLYGONISED_SIDES = 8
LARGEST_MM = 1e6

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Piece:
    """A line (``bulge`` 0) or an arc from ``start`` to ``end``."""

    start: Point
    end: Point
    bulge: float

    @property
    def length(self) -> float:
        """Length of the chord, mm."""
        return math.dist(self.start, self.end)

    def turned(self) -> Piece:
        """The same piece from its other end."""
        return Piece(self.end, self.start, -self.bulge)

    def arc(self) -> Arc:
        """The arc; ``bulge`` must not be 0."""
        return arc_of(Vertex(*self.start, self.bulge), Vertex(*self.end))


@dataclass(frozen=True, slots=True)
class CutCircle:
    """A full circle: centre and diameter, mm."""

    u: float
    v: float
    diameter: float

    def halves(self) -> tuple[Piece, Piece]:
        """The circle as two half turns."""
        r = self.diameter / 2
        left, right = (self.u - r, self.v), (self.u + r, self.v)
        return Piece(left, right, 1.0), Piece(right, left, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLayer:
    """What the cut layer holds. ``problems`` are in words; the counts are for the certificate."""

    contours: tuple[Contour, ...]
    circles: tuple[CutCircle, ...]
    open_ends: int
    duplicates: int
    crossings: int
    problems: tuple[str, ...]


def at(point: Point) -> str:
    """A place in words."""
    return f"({point[0]:.3f}, {point[1]:.3f})"


def read_cuts(entities: Iterable[DXFEntity]) -> CutLayer:
    """Sort the entities of the cut layer into contours and circles. Raises nothing."""
    problems: list[str] = []
    circles: list[CutCircle] = []
    loose: list[Piece] = []
    chains: list[list[Piece]] = []
    open_ends = 0
    for entity in entities:
        if not _is_bounded(entity):
            problems.append(f"{entity.dxftype()} with a number no sheet can have")
        elif isinstance(entity, Circle) and not isinstance(entity, DxfArc):
            circles.append(CutCircle(entity.dxf.center.x, entity.dxf.center.y, 2 * entity.dxf.radius))
        elif isinstance(entity, DxfArc):
            piece = _arc_piece(entity)
            if piece.bulge == 0 and entity.dxf.start_angle != entity.dxf.end_angle:
                problems.append(f"an arc of 360° at {at(piece.start)}: a closed cut must be a circle")
            else:
                loose.append(piece)
        elif isinstance(entity, Line):
            start, end = entity.dxf.start, entity.dxf.end
            loose.append(Piece((start.x, start.y), (end.x, end.y), 0.0))
        elif isinstance(entity, LWPolyline):
            chain, closed = _chain(entity)
            if closed:
                chains.append(chain)
            else:
                open_ends += 2
                where = f"at {at(chain[0].start)}" if chain else "without length"
                problems.append(f"open contour: a polyline {where} is not closed")
        else:
            problems.append(f"{entity.dxftype()} on the cut layer: only lines, arcs and circles can be cut")
    problems += [f"a cut of no length at {at(piece.start)}" for piece in loose if piece.length < JOIN_MM]
    loose, doubled = _without_duplicates([p for p in loose if p.length >= JOIN_MM], problems)
    joined, ends = _join(loose, problems)
    chains += joined
    open_ends += ends
    for chain in chains:
        problems.extend(
            f"a cut of no length at {at(piece.start)}" for piece in chain if piece.length < JOIN_MM
        )
    groups = [[*chain] for chain in chains] + [[*c.halves()] for c in circles]
    copies, overlapping = _copies(groups, problems)
    contours = [Contour(tuple(Vertex(*p.start, p.bulge) for p in chain)) for chain in chains]
    rings = [*contours, *(Contour(tuple(Vertex(*p.start, p.bulge) for p in c.halves())) for c in circles)]
    crossings = _crossings(rings, overlapping, problems)
    problems += [_polygonised(c) for c in contours if is_polygonised_circle(c)]
    return CutLayer(
        contours=tuple(contours),
        circles=tuple(circles),
        open_ends=open_ends,
        duplicates=doubled + copies,
        crossings=crossings,
        problems=tuple(problems),
    )


def _is_bounded(entity: DXFEntity) -> bool:
    """False for numbers that are not finite, or beyond a kilometre."""
    numbers: list[float] = []
    if isinstance(entity, Circle):  # arcs too
        numbers = [*entity.dxf.center, entity.dxf.radius]
        if isinstance(entity, DxfArc):
            numbers += [entity.dxf.start_angle, entity.dxf.end_angle]
    elif isinstance(entity, Line):
        numbers = [*entity.dxf.start, *entity.dxf.end]
    elif isinstance(entity, LWPolyline):
        numbers = [x for point in entity.get_points(format="xyb") for x in point]
    return all(abs(x) <= LARGEST_MM for x in numbers)


def _arc_piece(entity: DxfArc) -> Piece:
    start, end = entity.start_point, entity.end_point
    sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
    return Piece((start.x, start.y), (end.x, end.y), math.tan(sweep / 4))


def _chain(entity: LWPolyline) -> tuple[list[Piece], bool]:
    """Segments of a polyline, and whether it is closed by its flag or by its ends."""
    points = [(float(x), float(y), float(b)) for x, y, b in entity.get_points(format="xyb")]
    closed = bool(entity.closed)
    if not closed and len(points) > 2 and math.dist(points[0][:2], points[-1][:2]) < JOIN_MM:
        points.pop()
        closed = True
    ends = points[1:] + points[:1] if closed else points[1:]
    pieces = [Piece((a[0], a[1]), (b[0], b[1]), a[2]) for a, b in zip(points, ends, strict=False)]
    return pieces, closed and len(pieces) > 1


def _without_duplicates(pieces: Sequence[Piece], problems: list[str]) -> tuple[list[Piece], int]:
    kept: list[Piece] = []
    doubled = 0
    for piece in pieces:
        if any(_same(piece, other) for other in kept):
            doubled += 1
            kind = "arc" if piece.bulge else "line"
            problems.append(f"duplicate {kind} from {at(piece.start)} to {at(piece.end)}")
        else:
            kept.append(piece)
    return kept, doubled


def _same(a: Piece, b: Piece) -> bool:
    return any(
        math.dist(a.start, c.start) < JOIN_MM
        and math.dist(a.end, c.end) < JOIN_MM
        and abs(a.bulge - c.bulge) < JOIN_MM
        for c in (b, b.turned())
    )


def _join(pieces: Sequence[Piece], problems: list[str]) -> tuple[list[list[Piece]], int]:
    """Closed chains of loose pieces, and how many ends stay open."""
    nodes: list[Point] = []
    touching: list[list[int]] = []

    def node(point: Point, piece: int) -> int:
        for i, other in enumerate(nodes):
            if math.dist(point, other) < JOIN_MM:
                touching[i].append(piece)
                return i
        nodes.append(point)
        touching.append([piece])
        return len(nodes) - 1

    ends = [(node(p.start, i), node(p.end, i)) for i, p in enumerate(pieces)]
    open_ends = 0
    for point, meeting in zip(nodes, touching, strict=True):
        if len(meeting) == 1:
            open_ends += 1
            problems.append(f"open contour: a cut ends at {at(point)}")
        elif len(meeting) > 2:
            problems.append(f"{len(meeting)} cuts meet at {at(point)}")
    chains: list[list[Piece]] = []
    unused = set(range(len(pieces)))
    while unused:
        first = min(unused)
        unused.remove(first)
        chain, here, home = [pieces[first]], ends[first][1], ends[first][0]
        while here != home:
            following = next((i for i in touching[here] if i in unused), None)
            if following is None:
                break
            unused.remove(following)
            forward = ends[following][0] == here
            chain.append(pieces[following] if forward else pieces[following].turned())
            here = ends[following][1] if forward else ends[following][0]
        if here == home and len(chain) > 1:
            chains.append(chain)
    return chains, open_ends


def _copies(groups: Sequence[Sequence[Piece]], problems: list[str]) -> tuple[int, set[tuple[int, int]]]:
    """Pairs of contours that run over each other for some length."""
    pairs: set[tuple[int, int]] = set()
    for i, j in itertools.combinations_with_replacement(range(len(groups)), 2):
        couples = itertools.combinations(groups[i], 2) if i == j else itertools.product(groups[i], groups[j])
        for a, b in couples:
            if _overlap(a, b):
                pairs.add((i, j))
                kind = "duplicate or overlapping cuts" if i != j else "a contour runs over itself"
                problems.append(f"{kind} at {at(a.start)}")
                break
    return len(pairs), pairs


def _overlap(a: Piece, b: Piece) -> bool:
    if (a.bulge == 0) != (b.bulge == 0) or min(a.length, b.length) < JOIN_MM:
        return False
    if a.bulge == 0:
        du, dv = (a.end[0] - a.start[0]) / a.length, (a.end[1] - a.start[1]) / a.length
        along = []
        for u, v in (b.start, b.end):
            if abs((u - a.start[0]) * dv - (v - a.start[1]) * du) > JOIN_MM:
                return False
            along.append((u - a.start[0]) * du + (v - a.start[1]) * dv)
        return min(a.length, max(along)) - max(0.0, min(along)) > JOIN_MM
    p, q = a.arc(), b.arc()
    if math.dist((p.cu, p.cv), (q.cu, q.cv)) > JOIN_MM or abs(p.radius - q.radius) > JOIN_MM:
        return False
    p0, q0 = min(p.start, p.start + p.sweep), min(q.start, q.start + q.sweep)
    ahead = (q0 - p0) % (2 * math.pi)
    for shift in (ahead, ahead - 2 * math.pi):
        shared = min(abs(p.sweep), shift + abs(q.sweep)) - max(0.0, shift)
        if shared * p.radius > JOIN_MM:
            return True
    return False


def _crossings(rings: Sequence[Contour], known: set[tuple[int, int]], problems: list[str]) -> int:
    """Cuts that cross or touch, seen at a thousandth of a millimetre."""
    shapes: list[LinearRing | None] = []
    count = 0
    for i, ring in enumerate(rings):
        if any(math.dist((a.u, a.v), (b.u, b.v)) < JOIN_MM for a, b in itertools.pairwise(ring.vertices)):
            shapes.append(None)  # already reported as a cut of no length
            continue
        points = polyline(ring, CROSSING_TOLERANCE_MM)
        shape = LinearRing(points) if len(points) > 2 else None
        shapes.append(shape)
        if shape is not None and not shape.is_simple and (i, i) not in known:
            count += 1
            problems.append(f"a contour crosses itself near {at(points[0])}")
    for (i, a), (j, b) in itertools.combinations(enumerate(shapes), 2):
        if a is None or b is None or (i, j) in known or not a.intersects(b):
            continue
        count += 1
        where = a.intersection(b).representative_point()
        problems.append(f"two cuts cross at {at((where.x, where.y))}")
    return count


def is_polygonised_circle(contour: Contour) -> bool:
    """True for many straight sides with all corners on one circle: an arc that was flattened."""
    corners = contour.vertices
    if len(corners) < POLYGONISED_SIDES or any(p.bulge for p in corners):
        return False
    cu = sum(p.u for p in corners) / len(corners)
    cv = sum(p.v for p in corners) / len(corners)
    radii = [math.dist((p.u, p.v), (cu, cv)) for p in corners]
    return max(radii) - min(radii) < 1e-3 * max(radii)


def _polygonised(contour: Contour) -> str:
    first, sides = contour.vertices[0], len(contour.vertices)
    return f"a circle of {sides} straight sides at {at((first.u, first.v))}: arcs must stay arcs"
