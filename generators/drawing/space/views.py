"""Hidden-line views of a scene: every line sampled, each sample asked whether something lies before it.

A rod or a hose is seen as its outline, where its surface turns away from the eye; it hides what lies behind
the plane through its axis that faces the eye, and behind the discs it ends in. A ball is the disc through
its middle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.drawing.part.body import Face
from generators.drawing.part.views import Camera, Stroke, covered, runs, screens, side_of
from generators.drawing.space.sights import Sight, Tube
from generators.geometry.frames import Matrix
from generators.model.words import EdgeKind
from generators.space.pieces import Array

Window = tuple[float, float, float, float]
_Span = tuple[float, Array, Array]
"""Radius of a tube, points of its middle line, unit directions across it."""
_SMALL = 1e-6
_ROUND = 24
_SHARES = np.array([(0.5, 0.5), (0.0, 0.5), (1.0, 0.5), (0.5, 1.0), (0.5, 0.0)])


def _camera(name: str, right: tuple[float, float, float], up: tuple[float, float, float]) -> Camera:
    x, y = (np.array(v) / np.linalg.norm(v) for v in (right, up))
    return Camera(name, x, y, np.cross(x, y))


FROM_LEFT = _camera("FROM THE LEFT", (1, 0, 0), (0, 0, 1))
FROM_BEHIND = _camera("FROM BEHIND", (0, 1, 0), (0, 0, 1))
FROM_ABOVE = _camera("FROM ABOVE", (0, 1, 0), (-1, 0, 0))
# from behind, the left and above: x comes toward the eye, y goes to the right, z up
OBLIQUE = _camera("FROM BEHIND, THE LEFT AND ABOVE", (0.5, 1.0, 0.0), (-0.4, 0.2, 1.0))


@dataclass(frozen=True, kw_only=True, eq=False)
class Drawn:
    """A thing as a view shows it, in mm of the vehicle.

    ``spots`` are points of it that are seen, for its name, the one nearest to its middle first; ``seen`` is
    the extent (width, height) and the length of all lines of it that are seen.
    """

    sight: Sight
    strokes: tuple[Stroke, ...]
    spots: tuple[tuple[float, float], ...]
    seen: tuple[float, float, float]


def scene_view(sights: Sequence[Sight], camera: Camera, step_mm: float, window: Window) -> list[Drawn]:
    """Every thing's lines with what is hidden of them; ``step_mm`` is the sampling along lines.

    ``window`` is what the picture shows, (x0, y0, x1, y1) on paper in mm of the vehicle: what lies outside
    it is left out.
    """
    near = [s for s in sights if within(s, camera, window)]
    spans = [[(tube.radius_mm, *span) for tube in s.tubes for span in _spans(tube, camera)] for s in near]
    faces = [face for s, own in zip(near, spans, strict=True) if s.hides for face in _faces(s, own, camera)]
    lines = [
        (k, points, kind)
        for k, (s, own) in enumerate(zip(near, spans, strict=True))
        for points, kind in _lines(s, own, camera)
    ]
    lines = _shown(lines, camera, window)
    if not lines:
        return []
    points, segment, ends = samples([points for _k, points, _kind in lines], step_mm)
    paper = camera.project(points)
    inner = np.flatnonzero(segment)
    hidden = covered((points[inner] + points[inner + 1]) / 2, camera, screens(faces, camera))
    middle = (paper[inner] + paper[inner + 1]) / 2
    strokes: dict[int, list[Stroke]] = {}
    seen: dict[int, list[Array]] = {}
    first = 0
    for n, (k, _points, kind) in enumerate(lines):
        begin, end = ends[n], ends[n + 1]
        last = first + end - begin - 1
        flags = hidden[first:last]
        strokes.setdefault(k, []).extend(_strokes(paper[begin:end], kind, flags))
        seen.setdefault(k, []).append(middle[first:last][~flags])
        first = last
    return [_drawn(near[k], strokes[k], np.vstack(seen[k]), window) for k in sorted(strokes)]


_Line = tuple[int, Matrix, EdgeKind]


def _shown(lines: Sequence[_Line], camera: Camera, window: Window) -> list[_Line]:
    """Lines that meet the window and are more than a point on paper."""
    if not lines:
        return []
    begins = np.cumsum([0, *(len(points) for _k, points, _kind in lines[:-1])])
    paper = camera.project(np.vstack([points for _k, points, _kind in lines]))
    low, high = (each.reduceat(paper, begins, axis=0) for each in (np.minimum, np.maximum))
    kept = (
        ((high - low).max(axis=1) > _SMALL)
        & (low <= window[2:]).all(axis=1)
        & (high >= window[:2]).all(axis=1)
    )
    return [line for line, keep in zip(lines, kept, strict=True) if keep]


def samples(lines: Sequence[Matrix], step_mm: float) -> tuple[Matrix, NDArray[np.bool_], list[int]]:
    """All lines with points at most a step apart: the points, which of them has a next one on its line, and
    where each line begins, with the number of points at the end."""
    points = np.vstack(lines)
    last = np.cumsum([len(line) for line in lines]) - 1
    way = np.diff(points, axis=0, append=points[-1:])
    count = np.maximum(np.ceil(np.sqrt((way * way).sum(axis=1)) / step_mm).astype(int), 1)
    count[last] = 1
    of = np.repeat(np.arange(len(points)), count)
    place = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    way[last] = 0.0
    out = points[of] + way[of] * (place / count[of])[:, None]
    after = np.cumsum(count)
    segment = np.ones(len(of), dtype=bool)
    segment[after[last] - 1] = False
    return out, segment, [0, *after[last].tolist()]


def _strokes(paper: Matrix, kind: EdgeKind, flags: NDArray[np.bool_]) -> list[Stroke]:
    if flags.all() or not flags.any():
        return [Stroke(paper, kind, bool(flags[0]))]
    return runs(paper, kind, flags)


def box_on_paper(low: Array, high: Array, camera: Camera) -> Window:
    """Extent on paper of a box along the vehicle's axes."""
    corners = np.array(
        [(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    flat = camera.project(corners)
    (x0, y0), (x1, y1) = flat.min(axis=0), flat.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def within(sight: Sight, camera: Camera, window: Window) -> bool:
    """True for what meets the window by its box: nothing else is drawn in it, or hides what is."""
    x0, y0, x1, y1 = box_on_paper(sight.low, sight.high, camera)
    return x0 < window[2] and x1 > window[0] and y0 < window[3] and y1 > window[1]


def _drawn(sight: Sight, strokes: Sequence[Stroke], points: Array, window: Window) -> Drawn:
    """``points`` are the middles of all that is seen, a step apart at most."""
    points = points[((points > window[:2]) & (points < window[2:])).all(axis=1)]
    if not len(points):
        return Drawn(sight=sight, strokes=tuple(strokes), spots=(), seen=(0.0, 0.0, 0.0))
    low, high = points.min(axis=0), points.max(axis=0)
    length = sum(
        float(np.sqrt((np.diff(s.points, axis=0) ** 2).sum(axis=1)).sum()) for s in strokes if not s.hidden
    )
    spots = []
    for share in _SHARES:
        away = np.linalg.norm(points - (low + share * (high - low)), axis=1)
        x, y = points[int(np.argmin(np.round(away, 6)))]
        spots.append((float(x), float(y)))
    wide, tall = (high - low).tolist()
    return Drawn(
        sight=sight, strokes=tuple(strokes), spots=tuple(dict.fromkeys(spots)), seen=(wide, tall, length)
    )


def _faces(sight: Sight, spans: Sequence[_Span], camera: Camera) -> Iterator[Face]:
    yield from sight.faces
    for span in spans:
        yield from _ribbon(*span)
    for centre, radius in sight.balls:
        yield Face((centre + radius * _circle(camera),), camera.toward)


def _lines(sight: Sight, spans: Sequence[_Span], camera: Camera) -> Iterator[tuple[Matrix, EdgeKind]]:
    for edge in sight.edges:
        yield edge.points, edge.kind
    for turn in sight.turns:
        one, two = (side_of(n, camera) for n in turn.normals)
        if one != two:
            yield turn.points, "sharp"
    for radius, points, across in spans:
        if len(points) > 1:
            yield points + radius * across, "sharp"
            yield points - radius * across, "sharp"
    for centre, radius in sight.balls:
        ring = _circle(camera)
        yield centre + radius * np.vstack([ring, ring[:1]]), "sharp"


def _circle(camera: Camera) -> Array:
    angles = 2 * np.pi * np.arange(_ROUND) / _ROUND
    return np.asarray(np.outer(np.cos(angles), camera.right) + np.outer(np.sin(angles), camera.up))


def _spans(tube: Tube, camera: Camera) -> Iterator[tuple[Array, Array]]:
    """Stretches of a tube with the unit direction across it as the camera sees it, cut where it runs toward
    the eye."""
    across = _cross(tube.ways, camera.toward)
    size = np.sqrt((across * across).sum(axis=1))
    good = size > 1e-3
    unit = across / np.where(good, size, 1.0)[:, None]
    begin: int | None = None
    for k in range(len(unit) + 1):
        ends = k == len(unit) or not good[k] or (begin is not None and float(unit[k] @ unit[k - 1]) < 0)
        if ends and begin is not None:
            yield tube.points[begin:k], unit[begin:k]
            begin = None
        if begin is None and k < len(unit) and good[k]:
            begin = k


def _ribbon(radius_mm: float, points: Array, across: Array) -> Iterator[Face]:
    """The strip through a tube's middle line that faces the eye, piece by piece."""
    left, right = points + radius_mm * across, points - radius_mm * across
    quads = np.stack([left[:-1], left[1:], right[1:], right[:-1]], axis=1)
    normals = _cross(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1])
    for quad, normal in zip(quads, normals, strict=True):
        size = float(np.sqrt(normal @ normal))
        if size > _SMALL:
            yield Face((quad,), normal / size)


def _cross(rows: Array, other: Array) -> Array:
    """Cross products of rows (n, 3), without what ``numpy.cross`` asks first."""
    return np.asarray(rows[:, [1, 2, 0]] * other[..., [2, 0, 1]] - rows[:, [2, 0, 1]] * other[..., [1, 2, 0]])
