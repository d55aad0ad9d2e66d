"""What is taken on a page: points and circles no label may cover, boxes of labels, points better left free.

All in page mm. Everything is asked of many candidate boxes at once.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

STEP = 0.8
ON_MM, ASIDE_MM = 0.05, 0.3
BESIDE_MM, OFF_MM, OUT_MM = 0.3, 0.8, 0.6
"""How near a leader comes to a label and to a point; what of its own circle's rim is no matter. Ours."""

LEADER_STEP = 0.6
SIEVE = 8
"""Of many points every eighth is asked first: most boxes that cover any cover one of those."""
BOX_COUNTS = 40.0
TENTHS = 10
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Point = tuple[float, float]
Box = tuple[float, float, float, float]
Circle = tuple[float, float, float]


@lru_cache(maxsize=1024)
def _shares(count: int) -> Floats:
    """The ends of ``count`` equal steps from 0 to 1, without the 0, shape (count, 1)."""
    shares = np.linspace(0, 1, count + 1)[1:, None]
    shares.setflags(write=False)
    return shares


@lru_cache(maxsize=1024)
def _shares_from(count: int) -> Floats:
    """The ends of ``count`` equal steps from 0 to 1, with the 0, shape (count + 1, 1)."""
    shares = np.concatenate((np.zeros((1, 1)), _shares(count)))
    shares.setflags(write=False)
    return shares


def along(points: Sequence[Point], step: float = STEP) -> Floats:
    """Points at most ``step`` apart on a polyline, shape (n, 2)."""
    parts = [np.asarray(points[:1], dtype=float).reshape(-1, 2)]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        count = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / step))
        parts.append(np.array([x0, y0]) + _shares(count) * np.array([x1 - x0, y1 - y0]))
    return np.concatenate(parts)


def ring(x: float, y: float, radius: float) -> Floats:
    """Points on a circle, shape (n, 2)."""
    count = max(12, math.ceil(2 * math.pi * radius / STEP))
    t = np.arange(count) * 2 * math.pi / count
    return np.column_stack((x + radius * np.cos(t), y + radius * np.sin(t)))


def grown(boxes: Floats, by: float) -> Floats:
    """The boxes, ``by`` mm larger on every side."""
    out: Floats = boxes + np.array([-by, -by, by, by])
    return out


class Taken:
    """The taken places of one page, of which ``live`` is the area to draw in.

    ``hard`` points may be covered by no label; ``soft`` points cost their weight; boxes of placed
    labels are kept apart.
    """

    def __init__(self, live: Box) -> None:
        self.live = live
        self._hard: list[Floats] = []
        self._soft: list[Floats] = []
        self._boxes: list[Box] = []
        self._holes = np.empty((0, 3))
        self._hard_all: Floats | None = None
        self._soft_all: Floats | None = None
        self._boxes_all: Floats | None = None
        self._boxes_wide: Floats | None = None

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
        """A label over these points costs ``weight`` each, in whole tenths.

        Sums of whole numbers are the same in any order, so that no machine places a label otherwise.
        """
        self._soft.append(np.column_stack((points, np.full(len(points), float(round(weight * TENTHS))))))
        self._soft_all = None

    def take(self, box: Box) -> None:
        """No label may touch this box."""
        self._boxes.append(box)
        self._boxes_all = self._boxes_wide = None

    def mark(self) -> tuple[int, int]:
        """Where the taken places stand now, for ``back_to``."""
        return len(self._hard), len(self._boxes)

    def back_to(self, mark: tuple[int, int]) -> None:
        """Give back every place taken since ``mark``."""
        del self._hard[mark[0] :]
        del self._boxes[mark[1] :]
        self._hard_all = self._boxes_all = self._boxes_wide = None

    def _points(self) -> Floats:
        """All hard points, shape (n, 2), sorted by x."""
        if self._hard_all is None:
            every = np.concatenate([np.empty((0, 2)), *self._hard])
            self._hard_all = every[np.argsort(every[:, 0], kind="stable")]
        return self._hard_all

    def _near(self, x0: float, y0: float, x1: float, y1: float) -> Floats:
        """The hard points within a box."""
        points = self._points()
        first, last = points[:, 0].searchsorted((x0, x1))
        points = points[first:last]
        y = points[:, 1]
        near: Floats = points[(y >= y0) & (y <= y1)]
        return near

    def _taken(self) -> Floats:
        """All boxes, shape (n, 4)."""
        if self._boxes_all is None:
            self._boxes_all = np.array(self._boxes, dtype=float).reshape(-1, 4)
        return self._boxes_all

    def _taken_wide(self) -> Floats:
        """All boxes with the air a leader leaves them, shape (n, 4)."""
        if self._boxes_wide is None:
            self._boxes_wide = grown(self._taken(), BESIDE_MM)
        return self._boxes_wide

    # --- boxes --------------------------------------------------------------------------
    def inside(self, boxes: Floats, pad: float = 0.0) -> Flags:
        """Which boxes lie in the live area, ``pad`` mm off its rim."""
        x0, y0, x1, y1 = self.live
        ok: Flags = (
            (boxes[:, 0] >= x0 + pad)
            & (boxes[:, 1] >= y0 + pad)
            & (boxes[:, 2] <= x1 - pad)
            & (boxes[:, 3] <= y1 - pad)
        )
        return ok

    def _things(self, boxes: Floats, own: Circle | None) -> NDArray[np.intp]:
        """How many labels and holes each box touches."""
        b = self._taken()
        touch = (
            (boxes[:, 0, None] < b[:, 2])
            & (b[:, 0] < boxes[:, 2, None])
            & (boxes[:, 1, None] < b[:, 3])
            & (b[:, 1] < boxes[:, 3, None])
        )
        holes = self._holes
        if not len(holes):
            # a picture keeps its holes clear by their rims alone
            labels: NDArray[np.intp] = np.add.reduce(touch, axis=1)
            return labels
        if own is not None:
            holes = holes[np.abs(holes - own).max(axis=1) > ON_MM]
        dx = np.clip(holes[:, 0], boxes[:, 0, None], boxes[:, 2, None]) - holes[:, 0]
        dy = np.clip(holes[:, 1], boxes[:, 1, None], boxes[:, 3, None]) - holes[:, 1]
        within = np.hypot(dx, dy) < holes[:, 2]
        count: NDArray[np.intp] = touch.sum(axis=1) + within.sum(axis=1)
        return count

    def hits(self, boxes: Floats, own: Circle | None = None) -> Floats:
        """How many hard points each box covers, and ``BOX_COUNTS`` for each label and hole it touches.

        The ``own`` hole is no matter.
        """
        if not len(boxes):
            return np.zeros(0)
        covered = _inside(boxes, self._near(*_hull(boxes))).sum(axis=1)
        counted: Floats = covered + BOX_COUNTS * self._things(boxes, own)
        return counted

    def free(self, boxes: Floats, own: Circle | None = None) -> NDArray[np.intp]:
        """The numbers of the boxes that ``hits`` says 0 of."""
        left = np.flatnonzero(self._things(boxes, own) == 0) if len(boxes) else np.empty(0, dtype=np.intp)
        near = self._near(*_hull(boxes[left])) if len(left) else None
        for step in (SIEVE, 1):
            if len(left) and near is not None:
                left = left[~np.logical_or.reduce(_inside(boxes[left], near[::step]), axis=1)]
        return left

    def softness(self, boxes: Floats) -> Floats:
        """The weights of the soft points each box covers, added up."""
        if self._soft_all is None:
            self._soft_all = np.concatenate([np.empty((0, 3)), *self._soft])
        every = self._soft_all
        if not len(every) or not len(boxes):
            return np.zeros(len(boxes))
        x0, y0, x1, y1 = _hull(boxes)
        x, y = every[:, 0], every[:, 1]
        near = every[(x >= x0) & (x <= x1) & (y >= y0) & (y <= y1)]
        cost: Floats = _inside(boxes, near) @ near[:, 2] / TENTHS
        return cost

    # --- leaders ------------------------------------------------------------------------
    def leader_blocked(self, start: Point, end: Point, own: Point, own_radius: float) -> bool:
        """True when a leader runs over a label or another hole, or begins where two rims cross."""
        # asked some thousand times a sheet, mostly of a few points: single numbers where arrays cost more
        holes = self._holes
        if len(holes):
            rim = np.abs(np.hypot(start[0] - holes[:, 0], start[1] - holes[:, 1]) - holes[:, 2]) < ASIDE_MM
            if (
                np.count_nonzero(rim)
                and (np.hypot(holes[rim, 0] - own[0], holes[rim, 1] - own[1]) > ON_MM).any()
            ):
                return True
        x0, x1 = (start[0], end[0]) if start[0] <= end[0] else (end[0], start[0])
        y0, y1 = (start[1], end[1]) if start[1] <= end[1] else (end[1], start[1])
        b = self._taken_wide()
        b = b[(b[:, 0] < x1) & (x0 < b[:, 2]) & (b[:, 1] < y1) & (y0 < b[:, 3])]
        near = self._near(x0 - 1, y0 - 1, x1 + 1, y1 + 1)
        near = near[np.hypot(near[:, 0] - own[0], near[:, 1] - own[1]) > own_radius + OUT_MM]
        if not len(b) and not len(near):
            return False
        along_x, along_y = end[0] - start[0], end[1] - start[1]
        shares = _shares_from(max(1, math.ceil(math.hypot(along_x, along_y) / LEADER_STEP)))
        x, y = start[0] + shares * along_x, start[1] + shares * along_y
        if len(b) and np.count_nonzero((x > b[:, 0]) & (x < b[:, 2]) & (y > b[:, 1]) & (y < b[:, 3])):
            return True
        if len(near) and len(holes):
            near = near[~self._crossable(near, own)]
        return len(near) > 0 and bool(np.count_nonzero(np.hypot(near[:, 0] - x, near[:, 1] - y) < OFF_MM))

    def _crossable(self, near: Floats, own: Point) -> Flags:
        """Which points belong to the rim of a larger hole around ``own``: its leader must get out."""
        crossed = np.zeros(len(near), dtype=bool)
        holes = self._holes
        around = np.hypot(holes[:, 0] - own[0], holes[:, 1] - own[1]) < holes[:, 2]
        for x, y, radius in holes[around]:
            crossed |= np.abs(np.hypot(near[:, 0] - x, near[:, 1] - y) - radius) < ON_MM
        return crossed


def _hull(boxes: Floats) -> tuple[float, float, float, float]:
    """The box around all boxes."""
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _inside(boxes: Floats, points: Floats) -> Flags:
    """Which points (columns) lie in which boxes (rows)."""
    x, y = points[:, 0], points[:, 1]
    inside: Flags = (
        (boxes[:, 0, None] < x) & (x < boxes[:, 2, None]) & (boxes[:, 1, None] < y) & (y < boxes[:, 3, None])
    )
    return inside
