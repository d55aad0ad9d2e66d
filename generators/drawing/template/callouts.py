"""Places labels on a page so that they cover neither holes nor each other.

Greedy: each label tries many places and texts, the fullest text first, and takes the cheapest
place that touches nothing it must not touch. All in page mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from generators.drawing.paper.pen import text_width

LINE = 1.22
PAD = 0.7
STEP = 0.8
ON_MM, ASIDE_MM = 0.05, 0.3
LEADERS_TRIED = 400
Floats = NDArray[np.float64]
Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a label."""

    text: str
    size: float
    bold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label in its place: its box, its lines, and the leader if it has one.

    ``upright`` labels read from below to above; ``bare`` ones have no white ground; ``tier`` says
    which of the offered texts it is.
    """

    box: Box
    lines: tuple[Line, ...]
    leader: tuple[Point, Point] | None = None
    upright: bool = False
    bare: bool = False
    tier: int = 0


def label_size(lines: Sequence[Line]) -> tuple[float, float]:
    """Width and height in mm of a label with its padding."""
    width = max(text_width(line.text, line.size, bold=line.bold) for line in lines)
    return width + 2 * PAD, sum(line.size * LINE for line in lines) + PAD


def along(points: Sequence[Point], step: float = STEP) -> Floats:
    """Points at most ``step`` apart on a polyline, shape (n, 2)."""
    parts = [np.asarray(points[:1], dtype=float).reshape(-1, 2)]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        count = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / step))
        t = np.linspace(0, 1, count + 1)[1:, None]
        parts.append(np.array([[x0, y0]]) + t * np.array([[x1 - x0, y1 - y0]]))
    return np.vstack(parts)


def ring(x: float, y: float, radius: float) -> Floats:
    """Points on a circle, shape (n, 2)."""
    count = max(12, math.ceil(2 * math.pi * radius / STEP))
    t = np.arange(count) * 2 * math.pi / count
    return np.column_stack((x + radius * np.cos(t), y + radius * np.sin(t)))


class Placer:
    """The taken places of one page.

    ``hard`` points may be covered by no label; ``soft`` points cost their weight; boxes of placed
    labels are kept apart.
    """

    def __init__(self, live: Box, type_scale: float = 1.0) -> None:
        self.type_scale = type_scale
        self.live = live
        self._hard: list[Floats] = []
        self._soft: list[Floats] = []
        self._boxes: list[Box] = []
        self._holes = np.empty((0, 3))
        self._hard_all: Floats | None = None
        self._boxes_all: Floats | None = None

    def keep_clear(self, points: Floats) -> None:
        """No label may cover these points."""
        self._hard.append(points)
        self._hard_all = None

    def hole(self, x: float, y: float, radius: float) -> None:
        """No label may cover this circle, and none but its own may lie in it.

        In a hole that is there already the paper is cut away; in any other a label is taken for its own.
        """
        self.keep_clear(ring(x, y, radius))
        self._holes = np.vstack((self._holes, (x, y, radius)))

    def rather_not(self, points: Floats, weight: float) -> None:
        """A label over these points costs ``weight`` each."""
        self._soft.append(np.column_stack((points, np.full(len(points), weight))))

    def take(self, box: Box) -> None:
        """No label may touch this box."""
        self._boxes.append(box)
        self._boxes_all = None

    def sized(self, line: Line) -> Line:
        """A line at the size it is printed in: larger where large type is asked for."""
        return replace(line, size=line.size * self.type_scale)

    def _sized(self, lines: Sequence[Line]) -> tuple[Line, ...]:
        return tuple(self.sized(line) for line in lines)

    def mark(self) -> tuple[int, int]:
        """Where the taken places stand now, for ``back_to``."""
        return len(self._hard), len(self._boxes)

    def back_to(self, mark: tuple[int, int]) -> None:
        """Give back every place taken since ``mark``."""
        del self._hard[mark[0] :]
        del self._boxes[mark[1] :]
        self._hard_all = self._boxes_all = None

    def _points(self) -> Floats:
        """All hard points, shape (n, 2), sorted by x."""
        if self._hard_all is None:
            every = np.vstack([np.empty((0, 2)), *self._hard])
            self._hard_all = every[np.argsort(every[:, 0], kind="stable")]
        return self._hard_all

    def _near(self, x0: float, y0: float, x1: float, y1: float) -> Floats:
        """The hard points within a box."""
        points = self._points()
        first, last = np.searchsorted(points[:, 0], (x0, x1))
        points = points[first:last]
        near: Floats = points[(points[:, 1] >= y0) & (points[:, 1] <= y1)]
        return near

    def _taken(self) -> Floats:
        """All boxes, shape (n, 4)."""
        if self._boxes_all is None:
            self._boxes_all = np.array(self._boxes, dtype=float).reshape(-1, 4)
        return self._boxes_all

    # --- tests --------------------------------------------------------------------------
    def _inside(self, boxes: Floats, pad: float = 0.0) -> NDArray[np.bool_]:
        x0, y0, x1, y1 = self.live
        ok: NDArray[np.bool_] = (
            (boxes[:, 0] >= x0 + pad)
            & (boxes[:, 1] >= y0 + pad)
            & (boxes[:, 2] <= x1 - pad)
            & (boxes[:, 3] <= y1 - pad)
        )
        return ok

    def _hits(self, boxes: Floats, own: tuple[float, float, float] | None = None) -> Floats:
        """How many hard points, boxes and holes each candidate box touches; ``own`` hole is no matter."""
        if not len(boxes):
            return np.zeros(0)
        lo, hi = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        hits = _count_in(boxes, self._near(lo[0], lo[1], hi[0], hi[1]))
        b = self._taken()
        touch = (
            (boxes[:, 0, None] < b[:, 2])
            & (b[:, 0] < boxes[:, 2, None])
            & (boxes[:, 1, None] < b[:, 3])
            & (b[:, 1] < boxes[:, 3, None])
        )
        holes = self._holes
        if own is not None:
            holes = holes[np.abs(holes - own).max(axis=1) > ON_MM]
        dx = np.clip(holes[:, 0], boxes[:, 0, None], boxes[:, 2, None]) - holes[:, 0]
        dy = np.clip(holes[:, 1], boxes[:, 1, None], boxes[:, 3, None]) - holes[:, 1]
        within = np.hypot(dx, dy) < holes[:, 2]
        counted: Floats = hits + 40.0 * (touch.sum(axis=1) + within.sum(axis=1))
        return counted

    def _crossable(self, near: Floats, own: Point) -> NDArray[np.bool_]:
        """Which points belong to the rim of a larger hole around ``own``: its leader must get out."""
        crossed = np.zeros(len(near), dtype=bool)
        for x, y, radius in self._holes:
            if math.hypot(x - own[0], y - own[1]) < radius:
                crossed |= np.abs(np.hypot(near[:, 0] - x, near[:, 1] - y) - radius) < ON_MM
        return crossed

    def _softness(self, boxes: Floats) -> Floats:
        every = np.vstack([np.empty((0, 3)), *self._soft])
        return _count_in(boxes, every[:, :2], every[:, 2])

    def _leader_cost(self, start: Point, end: Point, own: Point, own_radius: float) -> float:
        """Infinite when a leader runs over a label or another hole, or begins where two rims cross."""
        for x, y, radius in self._holes:
            rim = abs(math.hypot(start[0] - x, start[1] - y) - radius) < ASIDE_MM
            if rim and math.hypot(x - own[0], y - own[1]) > ON_MM:
                return math.inf
        points = along((start, end), 0.6)
        x, y = points[:, 0, None], points[:, 1, None]
        b = self._taken()
        inside = (x > b[:, 0] - 0.3) & (x < b[:, 2] + 0.3) & (y > b[:, 1] - 0.3) & (y < b[:, 3] + 0.3)
        if bool(inside.any()):
            return math.inf
        (x0, y0), (x1, y1) = points.min(axis=0) - 1, points.max(axis=0) + 1
        near = self._near(x0, y0, x1, y1)
        near = near[np.hypot(near[:, 0] - own[0], near[:, 1] - own[1]) > own_radius + 0.6]
        near = near[~self._crossable(near, own)]
        if len(near) and float(np.hypot(near[:, 0] - x, near[:, 1] - y).min()) < 0.8:
            return math.inf
        return 0.0

    # --- placing ------------------------------------------------------------------------
    def callout(
        self, x: float, y: float, radius: float, texts: Sequence[Sequence[Line]], reach: float = 70.0
    ) -> Placed | None:
        """Label a circle at ``(x, y)``: the first of ``texts`` that fits somewhere, with a leader.

        ``None`` when not even the last one fits.
        """
        for tier, plain in enumerate(texts):
            lines = self._sized(plain)
            width, height = label_size(lines)
            boxes = _around(x, y, radius, width, height, reach)
            allowed = self._inside(boxes, 0.8)
            boxes = boxes[allowed]
            if not len(boxes):
                continue
            boxes = boxes[self._hits(_grown(boxes, 1.0), (x, y, radius)) == 0]
            if not len(boxes):
                continue
            ends = _nearest(boxes, x, y)
            far = np.hypot(ends[:, 0] - x, ends[:, 1] - y) - radius
            crowd = self._hits(_grown(boxes, 3.0), (x, y, radius))
            cost = np.abs(far - 4.0) + self._softness(boxes) + 0.15 * crowd + 4.0 * (far > 25)
            for k in np.argsort(cost, kind="stable")[:LEADERS_TRIED]:
                end = (float(ends[k, 0]), float(ends[k, 1]))
                distance = math.hypot(end[0] - x, end[1] - y)
                if distance < 1e-9:
                    continue
                start = (x + (end[0] - x) / distance * radius, y + (end[1] - y) / distance * radius)
                inside = distance < radius
                if not inside and self._leader_cost(start, end, (x, y), radius) == math.inf:
                    continue
                box = tuple(float(c) for c in boxes[k])
                placed = Placed(
                    box=(box[0], box[1], box[2], box[3]),
                    lines=tuple(lines),
                    leader=None if inside else (start, end),
                    tier=tier,
                )
                self._settle(placed)
                return placed
        return None

    def _settle(self, placed: Placed) -> None:
        self.take(placed.box)
        if placed.leader is not None:
            self.keep_clear(along(placed.leader))

    def beside(self, x: float, y: float, gap: float, lines: Sequence[Line]) -> Placed:
        """Label a mark: in the place next to it that touches least.

        The label is ``bare`` (no white ground) when it could not help touching something.
        """
        lines = self._sized(lines)
        width, height = label_size(lines)
        low = [
            (x + dx * d - (dx < 0) * width - (dx == 0) * width / 2, y + dy * d - (dy < 0) * height)
            for d in (gap, gap + 2.0)
            for dx, dy in ((1, 1), (1, -1), (-1, 1), (-1, -1))
        ]
        out = gap + 2.6
        low += [(x - width / 2, y + out), (x - width / 2, y - out - height)]
        low += [(x + out, y - height / 2), (x - out - width, y - height / 2)]
        corner = np.array(low)
        boxes = np.hstack((corner, corner + np.array([width, height])))
        # the points on a rim lie apart: a corner between two of them would cover it
        hits = self._hits(_grown(boxes, 0.5))
        cost = hits + 0.2 * self._softness(boxes) + 1000.0 * ~self._inside(boxes, 0.4)
        cost += 0.01 * np.arange(len(boxes))
        best = int(np.argmin(cost))
        box = tuple(float(c) for c in boxes[best])
        placed = Placed(box=(box[0], box[1], box[2], box[3]), lines=tuple(lines), bare=bool(hits[best] > 0))
        self._settle(placed)
        return placed

    def anywhere(
        self, spots: Iterable[Point], texts: Sequence[Sequence[Line]], *, upright: bool = False
    ) -> Placed | None:
        """Label an area or a line: centred on one of ``spots`` where it touches nothing, or ``None``.

        ``upright`` labels read from below to above.
        """
        at = np.array(list(spots), dtype=float).reshape(-1, 2)
        for plain in texts:
            lines = self._sized(plain)
            width, height = label_size(lines)
            if upright:
                width, height = height, width
            half = np.array([width / 2, height / 2])
            boxes = np.hstack((at - half, at + half))
            boxes = boxes[self._inside(boxes, 0.8)]
            boxes = boxes[self._hits(_grown(boxes, 0.5)) == 0] if len(boxes) else boxes
            if not len(boxes):
                continue
            crowd = self._hits(_grown(boxes, 8.0))
            cost = self._softness(boxes) + 0.05 * crowd + 0.001 * np.arange(len(boxes))
            box = tuple(float(c) for c in boxes[int(np.argmin(cost))])
            placed = Placed(box=(box[0], box[1], box[2], box[3]), lines=tuple(lines), upright=upright)
            self._settle(placed)
            return placed
        return None

    def on_line(self, a: Point, b: Point, clear_a: float, clear_b: float, text: Line) -> Point | None:
        """Middle of a text lying on the line from ``a`` to ``b``, or ``None`` when it cannot.

        The line itself must cross no label and no third circle; the text needs room between the
        circles at its ends (radii ``clear_a``, ``clear_b``).
        """
        length = math.dist(a, b)
        width = text_width(text.text, text.size, bold=text.bold) + 2
        du, dv = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        if length - clear_a - clear_b < width + 3:
            return None
        start = (a[0] + du * (clear_a + 0.9), a[1] + dv * (clear_a + 0.9))
        end = (b[0] - du * (clear_b + 0.9), b[1] - dv * (clear_b + 0.9))
        if self._leader_cost(start, end, (math.inf, math.inf), 0.0) == math.inf:
            return None
        span = length - clear_a - clear_b - width - 2
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9):
            along_mm = clear_a + 1 + width / 2 + span * share
            middle = (a[0] + du * along_mm, a[1] + dv * along_mm)
            count = max(2, math.ceil(width / text.size))
            offsets = np.linspace(-width / 2, width / 2, count)
            centres = np.column_stack((middle[0] + du * offsets, middle[1] + dv * offsets))
            half = text.size * 0.62
            boxes = np.hstack((centres - half, centres + half))
            if bool(np.all(self._inside(boxes, 0.5))) and not np.any(self._hits(boxes)):
                for box in boxes:
                    self.take((float(box[0]), float(box[1]), float(box[2]), float(box[3])))
                self.keep_clear(along((start, end)))
                return middle
        return None


def _count_in(boxes: Floats, points: Floats, weights: Floats | None = None) -> Floats:
    """How many points lie in each box, or the sum of their weights."""
    if not len(points) or not len(boxes):
        return np.zeros(len(boxes))
    lo, hi = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    near = np.all((points >= lo) & (points <= hi), axis=1)
    x, y = points[near, 0], points[near, 1]
    inside = (
        (boxes[:, 0, None] < x) & (x < boxes[:, 2, None]) & (boxes[:, 1, None] < y) & (y < boxes[:, 3, None])
    )
    counts: Floats = inside @ (np.ones(len(x)) if weights is None else weights[near])
    return counts


def _grown(boxes: Floats, by: float) -> Floats:
    grown: Floats = boxes + np.array([-by, -by, by, by])
    return grown


def _around(x: float, y: float, radius: float, width: float, height: float, reach: float) -> Floats:
    """Boxes around a circle at growing distances; for a large circle also inside it."""
    boxes: list[tuple[float, float]] = []
    if radius >= 20:
        boxes += [
            (x - width / 2 + dx, y - height / 2 + dy)
            for dx in (0.0, -radius / 2, radius / 2)
            for dy in (-radius / 2, radius / 2, -radius / 3, radius / 3)
        ]
    distance = 3.5
    while distance < reach:
        for k in range(24):
            t = k * math.pi / 12 + math.pi / 24
            c, s = math.cos(t), math.sin(t)
            px, py = x + (radius + distance) * c, y + (radius + distance) * s
            # the box hangs on the point by the part of its rim that faces the circle
            boxes.append((px - width / 2 * (1 - c), py - height / 2 * (1 - s)))
        distance += 3.0 if distance < 20 else 6.0
    low = np.array(boxes)
    return np.hstack((low, low + np.array([width, height])))


def _nearest(boxes: Floats, x: float, y: float) -> Floats:
    """The point of each box nearest to ``(x, y)``."""
    return np.column_stack((np.clip(x, boxes[:, 0], boxes[:, 2]), np.clip(y, boxes[:, 1], boxes[:, 3])))
