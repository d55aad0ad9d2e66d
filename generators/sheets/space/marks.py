"""What is said in a view: names with leaders, arrows, marked gaps; placed first, drawn last."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.drawing.paper.pen import BLACK, THIN, WHITE, Pen
from generators.drawing.template.callouts import PAD, Line, Placed, Placer
from generators.drawing.template.taken import Box, Point, along
from generators.figures import fixed

LABEL_MM, DOT_MM, GAP_DOT_MM = 2.4, 0.6, 0.9
BOLD_LINE, GAP_LINE = 0.6, 0.5
HEAD_MM = 2.4
CROSSED, NEAR_MM = 0.25, 0.4
"""What a leader over a line costs, a label over it being 1, and how near it lies on it."""


@dataclass(frozen=True, kw_only=True)
class _Said:
    label: Placed
    spot: Point
    grey: float
    boxed: bool
    dot: bool


class Marks:
    """The marks of one view: labels keep off each other, off arrows and off gaps."""

    def __init__(self, box: Box, *, choosy: bool = False) -> None:
        """``choosy`` marks look at all spots of a thing and take the best, others the first with room; their
        names lie on no line, but for bold ones, which must be said."""
        self._choosy = choosy
        self.placer = Placer(box)
        self._box = box
        self._said: list[_Said] = []

    def name(
        self,
        spots: Sequence[Point],
        words: str,
        *,
        radius: float = 0.2,
        bold: bool = False,
        boxed: bool = False,
        grey: float = BLACK,
        dot: bool = False,
    ) -> bool:
        """Words led from the first of the spots that has room beside it; False where none has."""
        best: tuple[float, Placed, Point] | None = None
        for x, y in spots:
            before = self.placer.mark()
            label = self.placer.callout(x, y, radius, [[Line(words, LABEL_MM, bold=bold)]])
            if label is None:
                continue
            self.placer.back_to(before)
            if self._choosy and not bold and self.placer.softness(np.array([label.box]))[0] > 0:
                continue
            cost = self._cost(label) if self._choosy else 0.0
            if best is None or cost < best[0]:
                best = cost, label, (x, y)
            if not self._choosy:
                break
        if best is None:
            return False
        _cost, label, spot = best
        self.placer.put(label)
        self._said.append(_Said(label=label, spot=spot, grey=grey, boxed=boxed, dot=dot))
        return True

    def _cost(self, label: Placed) -> float:
        """What a label and its leader lie on, and how far the leader goes."""
        cost = float(self.placer.softness(np.array([label.box]))[0])
        if label.leader is None:
            return cost
        points = along(label.leader)
        boxes = np.hstack((points - NEAR_MM, points + NEAR_MM))
        return cost + CROSSED * float(self.placer.softness(boxes).sum()) + math.dist(*label.leader)

    def arrow(self, pen: Pen, start: Point, end: Point, words: str, *, at: Point) -> None:
        """A strong arrow with its words at one of its ends, or beside its middle."""
        arrow(pen, start, end, BOLD_LINE)
        self.placer.keep_clear(along([start, end]))
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.name([at, middle], words, radius=0.3, bold=True)

    def gap(self, pen: Pen, start: Point, end: Point, words: str) -> None:
        """A line between two points with its words in a frame."""
        pen.stroke(GAP_LINE, BLACK)
        pen.line(*start, *end)
        for point in (start, end):
            pen.circle(*point, GAP_DOT_MM, fill=BLACK)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        spots = [middle, start, end]
        if not self.name(spots, words, radius=GAP_DOT_MM / 2, bold=True, boxed=True):
            lines = [Line(words, LABEL_MM, bold=True)]
            label = self.placer.beside(*middle, GAP_DOT_MM, lines)
            self._said.append(_Said(label=label, spot=middle, grey=BLACK, boxed=True, dot=False))

    def corner(self, size: tuple[float, float]) -> Point:
        """Lower left of a free room of that size in the emptiest corner, which is taken then."""
        x0, y0, x1, y1 = self._box
        spots = [(x, y) for y in (y0 + 1.0, y1 - size[1] - 1.0) for x in (x0 + 1.0, x1 - size[0] - 1.0)]
        boxes = np.array([(x, y, x + size[0], y + size[1]) for x, y in spots])
        cost = self.placer.softness(boxes) + 1000.0 * self.placer.hits(boxes)
        best = int(np.argmin(cost))
        x, y = spots[best]
        self.placer.take((x, y, x + size[0], y + size[1]))
        return x, y

    def paint(self, pen: Pen) -> None:
        """Leaders first: no label lies under the leader of another."""
        for said in self._said:
            pen.stroke(THIN, said.grey)
            if said.label.leader is not None:
                pen.line(*said.label.leader[0], *said.label.leader[1])
            if said.dot:
                pen.circle(*said.spot, DOT_MM, fill=said.grey, edge=False)
        for said in self._said:
            left, low, right, high = said.label.box
            (line,) = said.label.lines
            pen.stroke(THIN, said.grey)
            pen.rect(left, low, right - left, high - low, fill=WHITE, edge=said.boxed)
            pen.text(left + PAD, low + PAD, line.text, line.size, bold=line.bold, grey=said.grey)


def gap_words(letter: str, gap_mm: float) -> str:
    """What stands beside a marked gap."""
    return f"{letter} {fixed(gap_mm, 1)} mm"


def arrow(pen: Pen, start: Point, end: Point, width: float) -> None:
    """A line with a filled head at its end."""
    length = math.dist(start, end)
    if length < 1e-6:
        return
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    head = min(HEAD_MM, length / 2)
    x, y = end[0] - ux * head, end[1] - uy * head
    pen.stroke(width, BLACK)
    pen.line(*start, x, y)
    pen.stroke(THIN, BLACK)
    wing = head / 3
    pen.polygon([end, (x - uy * wing, y + ux * wing), (x + uy * wing, y - ux * wing)], fill=BLACK)
