"""A plane region with holes as few convex polygons: triangles, merged while they stay convex.

The triangles are those of a constrained Delaunay triangulation (shapely); two neighbours become one
polygon when no corner of the union bends inward (Hertel and Mehlhorn 1983, at most four times the
least number of pieces).
"""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Ring = tuple[int, ...]

_TURN = -1e-9


def convex_polygons(region: BaseGeometry) -> list[list[tuple[float, float]]]:
    """Convex polygons (counter-clockwise corners, mm) that cover ``region`` and do not overlap.

    A region without area gives none.
    """
    out: list[list[tuple[float, float]]] = []
    for polygon in _polygons(region):
        if shapely.is_valid(polygon) and polygon.area > 0:
            out += _of_polygon(polygon)
    return out


def _polygons(region: BaseGeometry) -> Iterable[Polygon]:
    if isinstance(region, Polygon):
        return [region]
    if isinstance(region, MultiPolygon):
        return list(region.geoms)
    return []


def _of_polygon(polygon: Polygon) -> list[list[tuple[float, float]]]:
    corners: list[tuple[float, float]] = []
    number: dict[tuple[float, float], int] = {}
    rings: list[Ring] = []
    # four points a triangle, the last the first again
    triangles = shapely.get_coordinates(shapely.constrained_delaunay_triangles(polygon)).reshape(-1, 4, 2)
    first, second = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    clockwise = first[:, 0] * second[:, 1] < first[:, 1] * second[:, 0]
    triangles[clockwise] = triangles[clockwise, ::-1]
    for triangle in triangles[:, :3].tolist():
        ring = []
        for u, v in triangle:
            if (u, v) not in number:
                number[u, v] = len(corners)
                corners.append((u, v))
            ring.append(number[u, v])
        rings.append(tuple(ring))
    return [[corners[i] for i in ring] for ring in _merged(corners, rings)]


def _merged(points: list[tuple[float, float]], rings: list[Ring]) -> list[Ring]:
    """Neighbours joined over their common side, longest sides first, while the union is convex."""
    owner: dict[tuple[int, int], int] = {}
    alive: dict[int, Ring] = dict(enumerate(rings))
    for k, ring in alive.items():
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            owner[a, b] = k
    sides = sorted(
        ((a, b) for a, b in owner if a < b and (b, a) in owner),
        key=lambda s: (-_length2(points, *s), s),
    )
    for a, b in sides:
        one, two = owner[a, b], owner[b, a]
        if one == two:
            continue
        joined = _joined(points, alive[one], alive[two], a, b)
        if joined is None:
            continue
        ring = alive.pop(two)
        alive[one] = joined
        for p, q in zip(ring, (*ring[1:], ring[0]), strict=True):
            owner[p, q] = one
    return list(alive.values())


def _length2(points: list[tuple[float, float]], a: int, b: int) -> float:
    return (points[a][0] - points[b][0]) ** 2 + (points[a][1] - points[b][1]) ** 2


def _joined(points: list[tuple[float, float]], one: Ring, two: Ring, a: int, b: int) -> Ring | None:
    """Both convex rings without their common side a → b of ``one``; None where that is not convex.

    All corners but a and b stay as they are. Rings that share more than that side are not joined.
    """
    i, j = one.index(b), two.index(a)
    # from b round to a along the first, then from a round to b along the second
    first, second = one[i:] + one[:i], two[j:] + two[:j]
    if not (_turns(points, first[-2], a, second[1]) and _turns(points, second[-2], b, first[1])):
        return None
    rest = second[1:-1]
    if set(rest) & set(first):
        return None
    return first + rest


def _turns(points: list[tuple[float, float]], p: int, q: int, r: int) -> bool:
    """True where the way from p over q to r does not turn right."""
    (pu, pv), (qu, qv), (ru, rv) = points[p], points[q], points[r]
    return (qu - pu) * (rv - qv) - (qv - pv) * (ru - qu) >= _TURN
