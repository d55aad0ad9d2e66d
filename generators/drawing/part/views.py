"""Views of a folded part: which lines are seen and which are hidden, as plane polylines.

Every edge is sampled finely and each sample asked whether a face lies between it and the eye
(no painter's order to get wrong).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from generators.drawing.part.body import Body, Face
from generators.geometry.frames import Matrix
from generators.model.words import EdgeKind

DEPTH_MM = 0.02
EDGE_ON = 1e-6
SAME_LINE_MM = 0.05
LARGEST_SAMPLES = 400


Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """``right`` and ``up`` on the paper and ``toward`` the eye: unit vectors in the root's frame."""

    name: str
    right: Matrix
    up: Matrix
    toward: Matrix

    def project(self, points: Matrix) -> Matrix:
        """Paper coordinates, shape (n, 2), in mm of the part."""
        out: Matrix = points @ np.column_stack([self.right, self.up])
        return out


def _camera(name: str, right: tuple[int, int, int], up: tuple[int, int, int]) -> Camera:
    x, y = (np.array(v) / np.linalg.norm(v) for v in (right, up))
    return Camera(name, x, y, np.cross(x, y))


FRONT = _camera("FRONT", (1, 0, 0), (0, 1, 0))
RIGHT = _camera("RIGHT SIDE", (0, 0, -1), (0, 1, 0))
LEFT = _camera("LEFT SIDE", (0, 0, 1), (0, 1, 0))
TOP = _camera("FROM ABOVE", (1, 0, 0), (0, 0, -1))
BOTTOM = _camera("FROM BELOW", (1, 0, 0), (0, 0, 1))
# the three axes equally foreshortened, seen from the front, right and above
ISOMETRIC = _camera("ISOMETRIC", (1, 0, -1), (-1, 2, -1))
# the same of a part turned over about u, with what points down standing up, as a printer builds it
AS_PRINTED = _camera("AS PRINTED", (1, -1, 0), (-1, -1, -2))


@dataclass(frozen=True, slots=True)
class Stroke:
    """A polyline on paper, shape (n, 2), in mm of the part. ``kind``: sharp, hole or tangent."""

    points: Matrix
    kind: EdgeKind
    hidden: bool


@dataclass(frozen=True, slots=True)
class View:
    """All strokes of one view and its bounds ``(x0, y0, x1, y1)``."""

    camera: Camera
    strokes: tuple[Stroke, ...]
    bounds: Box

    @property
    def hidden_length(self) -> float:
        """Length of the sharp edges that cannot be seen, mm."""
        return float(
            sum(
                np.linalg.norm(np.diff(s.points, axis=0), axis=1).sum()
                for s in self.strokes
                if s.hidden and s.kind == "sharp"
            )
        )


@dataclass(frozen=True, slots=True)
class Screen:
    """A face as the camera sees it: its shadow and its plane ``depth = a x + b y + c``."""

    shadow: Polygon
    box: Box
    plane: tuple[float, float, float]


def screens(faces: Iterable[Face], camera: Camera) -> list[Screen]:
    """Faces as the camera sees them, without those it sees edge-on."""
    every = list(faces)
    if not every:
        return []
    normals = np.array([face.normal for face in every])
    facing = normals @ camera.toward
    kept = np.flatnonzero(np.abs(facing) >= EDGE_ON)
    if not len(kept):
        return []
    rings = [every[k].rings[0] for k in kept]
    flat = camera.project(np.vstack(rings))
    which = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    shadows: NDArray[np.object_] = np.array(shapely.polygons(shapely.linearrings(flat, indices=which)))
    for n, k in enumerate(kept):
        if len(every[k].rings) > 1:
            shadows[n] = Polygon(*_flat_rings(every[k], camera))
    shapely.prepare(shadows)
    # n·p is constant on the face: solve it for the depth
    slope = -(normals[kept] @ np.column_stack([camera.right, camera.up])) / facing[kept][:, None]
    origins = np.array([ring[0] for ring in rings])
    rest = origins @ camera.toward - (slope * camera.project(origins)).sum(axis=1)
    boxes = shapely.bounds(shadows)
    return [
        Screen(shadow, (x0, y0, x1, y1), (a, b, c))
        for shadow, (x0, y0, x1, y1), (a, b), c in zip(
            shadows, boxes.tolist(), slope.tolist(), rest.tolist(), strict=True
        )
    ]


def _flat_rings(face: Face, camera: Camera) -> tuple[Matrix, list[Matrix]]:
    outer, *inner = (camera.project(ring) for ring in face.rings)
    return outer, inner


def covered(points: Matrix, camera: Camera, faces: Sequence[Screen]) -> NDArray[np.bool_]:
    """Which points have a face between them and the eye."""
    plane = camera.project(points)
    # a face is asked of nothing but the points between its left and its right
    order = np.argsort(plane[:, 0], kind="stable")
    across, height, depth = plane[order, 0], plane[order, 1], (points @ camera.toward)[order]
    out = np.zeros(len(points), dtype=bool)
    for screen in faces:
        x0, y0, x1, y1 = screen.box
        first = int(np.searchsorted(across, x0, side="right"))
        last = int(np.searchsorted(across, x1, side="left"))
        if first >= last:
            continue
        a, b, c = screen.plane
        x, y = across[first:last], height[first:last]
        behind = a * x + b * y + c > depth[first:last] + DEPTH_MM
        index = np.flatnonzero(behind & (y > y0) & (y < y1) & ~out[first:last])
        if len(index):
            inside = shapely.contains_xy(screen.shadow, x[index], y[index])
            out[first + index[inside]] = True
    hidden = np.empty_like(out)
    hidden[order] = out
    return hidden


def sampled(lines: Sequence[Matrix], step: float) -> list[Matrix]:
    """Polylines with points at most ``step`` apart, all at once; their corners stay."""
    if not lines:
        return []
    points = np.vstack(lines)
    ends = np.cumsum([len(line) for line in lines])
    lengths = np.zeros(len(points))
    lengths[:-1] = np.linalg.norm(np.diff(points, axis=0), axis=1)
    # the last point of a line is one sample, and no way goes on from it
    lengths[ends - 1] = 0.0
    counts = np.clip(np.ceil(lengths / step), 1, LARGEST_SAMPLES).astype(int)
    first = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(len(first)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (place / counts[first])[:, None]
    after = np.minimum(first + 1, len(points) - 1)
    out = points[first] * (1 - share) + points[after] * share
    return np.split(out, np.cumsum(counts)[ends - 1][:-1])


def _lines(body: Body, camera: Camera) -> list[tuple[Matrix, EdgeKind]]:
    """All that may be drawn of a body: its edges, and where a round face turns away from the eye."""
    lines = [(e.points, e.kind) for e in body.edges]
    for turn in body.turns:
        a, b = (side_of(n, camera) for n in turn.normals)
        if a != b:
            lines.append((turn.points, "sharp"))
    # an edge seen end-on is a point and draws nothing
    return [(points, kind) for points, kind in lines if _paper_length(points, camera) > 1e-6]


def extent(body: Body, camera: Camera) -> Box:
    """The bounds of its view, without what hides what."""
    return _bounds(_lines(body, camera), camera)


def _bounds(lines: Sequence[tuple[Matrix, EdgeKind]], camera: Camera) -> Box:
    paper = camera.project(np.vstack([points for points, _ in lines]))
    low, high = paper.min(axis=0), paper.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


@lru_cache(maxsize=64)
def view(body: Body, camera: Camera, step_mm: float) -> View:
    """Seen and hidden lines of a body; ``step_mm`` is the sampling along edges.

    Drawing, inspection sheet and the search for a scale ask for the same ones.
    """
    lines = _lines(body, camera)
    samples = sampled([points for points, _ in lines], step_mm)
    middles = np.vstack([(s[:-1] + s[1:]) / 2 for s in samples])
    hidden = covered(middles, camera, screens(body.faces, camera))
    strokes: list[Stroke] = []
    first = 0
    for points, (_, kind) in zip(samples, lines, strict=True):
        flags = hidden[first : first + len(points) - 1]
        first += len(points) - 1
        strokes += runs(camera.project(points), kind, flags)
    return View(camera, tuple(_without_shadowed(strokes)), _bounds(lines, camera))


def _without_shadowed(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Hidden lines that run along a seen one would only smear it."""
    hidden = [s for s in strokes if s.hidden]
    if not hidden:
        return list(strokes)
    seen = shapely.union_all([shapely.LineString(s.points) for s in strokes if not s.hidden])
    shapely.prepare(seen)
    spots = sampled([s.points for s in hidden], 5.0)
    beside = shapely.dwithin(shapely.points(np.vstack(spots)), seen, SAME_LINE_MM)
    starts = np.cumsum([0, *(len(spot) for spot in spots[:-1])])
    smears = iter(np.logical_and.reduceat(beside, starts).tolist())
    return [s for s in strokes if not s.hidden or not next(smears)]


def side_of(normal: Matrix, camera: Camera) -> int:
    """1 toward the eye, -1 away from it, 0 edge-on."""
    facing = float(normal @ camera.toward)
    return 0 if abs(facing) < EDGE_ON else 1 if facing > 0 else -1


def _paper_length(points: Matrix, camera: Camera) -> float:
    return float(np.linalg.norm(np.diff(camera.project(points), axis=0), axis=1).sum())


def runs(points: Matrix, kind: EdgeKind, flags: NDArray[np.bool_]) -> list[Stroke]:
    """Cut a polyline where it disappears or comes out again."""
    changes = [0, *(np.flatnonzero(flags[1:] != flags[:-1]) + 1).tolist(), len(flags)]
    return [
        Stroke(_straightened(points[a : b + 1]), kind, bool(flags[a]))
        for a, b in itertools.pairwise(changes)
        if b > a
    ]


def _straightened(points: Matrix) -> Matrix:
    """Without the samples in the middle of straight runs."""
    if len(points) < 3:
        return points
    before, after = points[1:-1] - points[:-2], points[2:] - points[1:-1]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    # an arc seen from its side runs out and back, maybe over two points that are one on paper
    back = (before * after).sum(axis=1) <= 0
    keep = np.concatenate([[True], (np.abs(cross) > 1e-9) | back, [True]])
    out: Matrix = points[keep]
    return out
