"""Views of a folded part: which lines are seen and which are hidden, as plane polylines.

Every edge is sampled finely and each sample asked whether a face lies between it and the eye
(no painter's order to get wrong).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
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
    bounds: tuple[float, float, float, float]

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
class _Screen:
    """A face as the camera sees it: its shadow and its plane ``depth = a x + b y + c``."""

    shadow: Polygon
    box: tuple[float, float, float, float]
    plane: tuple[float, float, float]


def _screens(faces: Sequence[Face], camera: Camera) -> list[_Screen]:
    out: list[_Screen] = []
    for face in faces:
        facing = float(face.normal @ camera.toward)
        if abs(facing) < EDGE_ON:
            continue
        rings = [camera.project(r) for r in face.rings]
        shadow = Polygon(rings[0], rings[1:])
        shapely.prepare(shadow)
        # n·p is constant on the face: solve it for the depth
        origin = face.rings[0][0]
        a, b = -float(face.normal @ camera.right) / facing, -float(face.normal @ camera.up) / facing
        x, y = camera.project(origin[None, :])[0]
        c = float(origin @ camera.toward) - a * x - b * y
        out.append(_Screen(shadow, shadow.bounds, (a, b, c)))
    return out


def _hidden(points: Matrix, camera: Camera, screens: Sequence[_Screen]) -> NDArray[np.bool_]:
    plane = camera.project(points)
    depth = points @ camera.toward
    hidden = np.zeros(len(points), dtype=bool)
    for screen in screens:
        x0, y0, x1, y1 = screen.box
        near = ~hidden
        near &= (plane[:, 0] > x0) & (plane[:, 0] < x1) & (plane[:, 1] > y0) & (plane[:, 1] < y1)
        index = np.flatnonzero(near)
        if not len(index):
            continue
        a, b, c = screen.plane
        x, y = plane[index, 0], plane[index, 1]
        index = index[a * x + b * y + c > depth[index] + DEPTH_MM]
        if len(index):
            covered = shapely.contains_xy(screen.shadow, plane[index, 0], plane[index, 1])
            hidden[index[covered]] = True
    return hidden


def _sampled(points: Matrix, step: float) -> Matrix:
    """The polyline with points at most ``step`` apart; its corners stay."""
    lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
    counts = np.clip(np.ceil(lengths / step), 1, LARGEST_SAMPLES).astype(int)
    first = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(len(first)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (place / counts[first])[:, None]
    out: Matrix = np.vstack([points[first] * (1 - share) + points[first + 1] * share, points[-1:]])
    return out


def view(body: Body, camera: Camera, step_mm: float) -> View:
    """Seen and hidden lines of a body; ``step_mm`` is the sampling along edges."""
    screens = _screens(body.faces, camera)
    lines = [(e.points, e.kind) for e in body.edges]
    for turn in body.turns:
        a, b = (_facing(n, camera) for n in turn.normals)
        if a != b:
            lines.append((turn.points, "sharp"))
    samples = [_sampled(points, step_mm) for points, _ in lines]
    # an edge seen end-on is a point and draws nothing
    kept = [(s, kind) for s, (_, kind) in zip(samples, lines, strict=True) if _paper_length(s, camera) > 1e-6]
    everything = np.vstack([s for s, _ in kept])
    middles = np.vstack([(s[:-1] + s[1:]) / 2 for s, _ in kept])
    hidden = _hidden(middles, camera, screens)
    strokes: list[Stroke] = []
    first = 0
    for points, kind in kept:
        flags = hidden[first : first + len(points) - 1]
        first += len(points) - 1
        strokes += _runs(camera.project(points), kind, flags)
    paper = camera.project(everything)
    low, high = paper.min(axis=0), paper.max(axis=0)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return View(camera, tuple(_without_shadowed(strokes)), box)


def _without_shadowed(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Hidden lines that run along a seen one would only smear it."""
    seen = shapely.union_all([shapely.LineString(s.points) for s in strokes if not s.hidden])
    shapely.prepare(seen)
    return [
        s
        for s in strokes
        if not s.hidden
        or not bool(np.all(shapely.dwithin(shapely.points(_sampled(s.points, 5.0)), seen, SAME_LINE_MM)))
    ]


def _facing(normal: Matrix, camera: Camera) -> int:
    """1 toward the eye, -1 away from it, 0 edge-on."""
    facing = float(normal @ camera.toward)
    return 0 if abs(facing) < EDGE_ON else 1 if facing > 0 else -1


def _paper_length(points: Matrix, camera: Camera) -> float:
    return float(np.linalg.norm(np.diff(camera.project(points), axis=0), axis=1).sum())


def _runs(points: Matrix, kind: EdgeKind, flags: NDArray[np.bool_]) -> list[Stroke]:
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
    back = (before * after).sum(axis=1) < 0  # an arc seen from its side runs out and back
    keep = np.concatenate([[True], (np.abs(cross) > 1e-9) | back, [True]])
    out: Matrix = points[keep]
    return out
