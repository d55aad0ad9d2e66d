"""Places labels on a page so that they cover neither holes nor each other.

Greedy: each label tries many places and texts, the fullest text first, and takes the cheapest
place that touches nothing it must not touch. All in page mm.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from generators.drawing.paper.pen import text_width
from generators.drawing.template.taken import Box, Floats, Point, Taken, along, grown

LINE = 1.22
PAD = 0.7
LEADERS_TRIED = 400
LOOKED_AT_ONCE = 64
BEST_MM, FAR_MM, FAR_COSTS = 4.0, 25.0, 4.0


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


class Placer(Taken):
    """Places labels on one page where nothing is taken yet; ``type_scale`` enlarges them."""

    def __init__(self, live: Box, type_scale: float = 1.0) -> None:
        super().__init__(live)
        self.type_scale = type_scale

    def sized(self, line: Line) -> Line:
        """A line at the size it is printed in: larger where large type is asked for."""
        return line if self.type_scale == 1.0 else replace(line, size=line.size * self.type_scale)

    def _sized(self, lines: Sequence[Line]) -> tuple[Line, ...]:
        return tuple(self.sized(line) for line in lines)

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
            for box, end in self._cheapest(boxes[self.inside(boxes, 0.8)], x, y, radius):
                distance = math.hypot(end[0] - x, end[1] - y)
                if distance < 1e-9:
                    continue
                start = (x + (end[0] - x) / distance * radius, y + (end[1] - y) / distance * radius)
                inside = distance < radius
                if not inside and self.leader_blocked(start, end, (x, y), radius):
                    continue
                leader = None if inside else (start, end)
                placed = Placed(box=box, lines=tuple(lines), leader=leader, tier=tier)
                self.put(placed)
                return placed
        return None

    def _cheapest(self, boxes: Floats, x: float, y: float, radius: float) -> Iterator[tuple[Box, Point]]:
        """The free boxes, the cheapest first, each with its point nearest to the circle.

        A box costs at least what its distance costs, so what is far is looked at only when all nearer boxes
        are dearer, or have been given back.
        """
        ends = _nearest(boxes, x, y)
        far = np.hypot(ends[:, 0] - x, ends[:, 1] - y) - radius
        off, beyond = np.abs(far - BEST_MM), FAR_COSTS * (far > FAR_MM)
        least = off + beyond
        order = np.argsort(least, kind="stable")
        own = (x, y, radius)
        ready: list[tuple[float, int]] = []
        begin = 0
        for _ in range(LEADERS_TRIED):
            while begin < len(order) and (not ready or ready[0][0] >= least[order[begin]]):
                some = order[begin : begin + LOOKED_AT_ONCE]
                begin += LOOKED_AT_ONCE
                some = some[self.free(grown(boxes[some], 1.0), own)]
                crowd = self.hits(grown(boxes[some], 3.0), own)
                cost = off[some] + self.softness(boxes[some]) + 0.15 * crowd + beyond[some]
                for pair in zip(cost.tolist(), some.tolist(), strict=True):
                    heapq.heappush(ready, pair)
            if not ready:
                return
            _, k = heapq.heappop(ready)
            yield _box(boxes[k]), (float(ends[k, 0]), float(ends[k, 1]))

    def put(self, placed: Placed) -> None:
        """Take the place of a label and of its leader."""
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
        hits = self.hits(grown(boxes, 0.5))
        cost = hits + 0.2 * self.softness(boxes) + 1000.0 * ~self.inside(boxes, 0.4)
        cost += 0.01 * np.arange(len(boxes))
        best = int(np.argmin(cost))
        placed = Placed(box=_box(boxes[best]), lines=tuple(lines), bare=bool(hits[best] > 0))
        self.put(placed)
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
            boxes = boxes[self.inside(boxes, 0.8)]
            boxes = boxes[self.free(grown(boxes, 0.5))]
            if not len(boxes):
                continue
            crowd = self.hits(grown(boxes, 8.0))
            cost = self.softness(boxes) + 0.05 * crowd + 0.001 * np.arange(len(boxes))
            box = _box(boxes[int(np.argmin(cost))])
            placed = Placed(box=box, lines=tuple(lines), upright=upright)
            self.put(placed)
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
        if self.leader_blocked(start, end, (math.inf, math.inf), 0.0):
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
            if bool(np.all(self.inside(boxes, 0.5))) and len(self.free(boxes)) == len(boxes):
                for box in boxes:
                    self.take(_box(box))
                self.keep_clear(along((start, end)))
                return middle
        return None


def _box(row: Floats) -> Box:
    x0, y0, x1, y1 = row.tolist()
    return x0, y0, x1, y1


@lru_cache(maxsize=64)
def _distances(reach: float) -> Floats:
    """How far from a circle labels are tried, shape (n, 1)."""
    out, distance = [], 3.5
    while distance < reach:
        out.append(distance)
        distance += 3.0 if distance < 20 else 6.0
    return np.array(out)[:, None]


_TURNS = [k * math.pi / 12 + math.pi / 24 for k in range(24)]
_COS, _SIN = np.array([math.cos(t) for t in _TURNS]), np.array([math.sin(t) for t in _TURNS])


def _around(x: float, y: float, radius: float, width: float, height: float, reach: float) -> Floats:
    """Boxes around a circle at growing distances; for a large circle also inside it."""
    inner: list[tuple[float, float]] = []
    if radius >= 20:
        inner = [
            (x - width / 2 + dx, y - height / 2 + dy)
            for dx in (0.0, -radius / 2, radius / 2)
            for dy in (-radius / 2, radius / 2, -radius / 3, radius / 3)
        ]
    out = radius + _distances(reach)
    # the box hangs on the point by the part of its rim that faces the circle
    left = x + out * _COS - width / 2 * (1 - _COS)
    low = y + out * _SIN - height / 2 * (1 - _SIN)
    corner = np.concatenate((np.array(inner).reshape(-1, 2), np.column_stack((left.ravel(), low.ravel()))))
    return np.hstack((corner, corner + np.array([width, height])))


def _nearest(boxes: Floats, x: float, y: float) -> Floats:
    """The point of each box nearest to ``(x, y)``."""
    return np.column_stack((np.clip(x, boxes[:, 0], boxes[:, 2]), np.clip(y, boxes[:, 1], boxes[:, 3])))
