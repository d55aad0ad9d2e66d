"""Dimensions and labels on paper: arrows, aligned and ordinate dimensions, labels that keep clear.

All coordinates are page mm. Whatever is drawn here is also remembered as clutter, so that a label
placed later finds a free spot instead of lying on a line.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.drawing.paper.pen import THIN, Pen, text_width
from generators.figures import fixed

Point = tuple[float, float]
TEXT_MM = 2.6
ARROW_LENGTH_MM, ARROW_WIDTH_MM = 2.2, 0.75
EXTENSION_GAP_MM, EXTENSION_PAST_MM = 0.8, 1.2
CAP_HEIGHT = 0.72
WHERE = tuple(i * math.pi / 4 for i in (1, 3, 7, 5, 0, 2, 4, 6))
BETWEEN = tuple((i + 0.5) * math.pi / 4 for i in range(8))
FINER = tuple((i + 0.5) * math.pi / 8 for i in range(16))
NEAR_REACH = (0.8, 2.5, 5.0, 8.0, 12.0, 17.0, 23.0)
FAR_REACH = (5.0, 6.0, 7.0, 8.2, 9.5, 10.7, 12.0, 14.0, 16.0, 18.0, 20.0, 22.5, 25.0)
LEVEL_MM, LABEL_AIR_MM, CLEAR_MM = 0.01, 0.4, 1.2
APART_MM = 4.0
"""Nearer than this, two words are read as one. Ours."""

BESIDE_COST, LEVEL_COST, NEAR_COST = 2.5, 2.0, 0.4
"""Of a label with an arrow beside other words, of a leader that runs with the lines of a view, and of a line
nearer to its words than ``CLEAR_MM``, beside those of a line under them. Ours."""

UNDER_COST, POINTED_COST = 3.0, 6.0
"""Of a line under a label, and under one with an arrow, which finds room farther off. Ours."""


def number(value: float) -> str:
    """At most two decimals, without trailing zeros."""
    text = fixed(value, 2).rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(slots=True)
class Clutter:
    """What is already on the paper, with how much it hurts to draw over it.

    ``said`` are the words of dimensions and of labels with an arrow: beside each other they read as one.
    """

    shapes: list[BaseGeometry] = field(default_factory=list)
    weights: list[float] = field(default_factory=list)
    said: list[BaseGeometry] = field(default_factory=list)

    def add(self, shape: BaseGeometry, weight: float = 1.0) -> None:
        """Remember a shape."""
        self.shapes.append(shape)
        self.weights.append(weight)

    def add_line(self, points: Iterable[Point], weight: float = 1.0) -> None:
        """Remember a line of two or more points."""
        self.add(LineString(list(points)), weight)

    def costs(self, areas: Sequence[BaseGeometry] | NDArray[np.object_]) -> list[float]:
        """Weight of everything each area touches."""
        out = [0.0] * len(areas)
        if not self.shapes or not len(areas):
            return out
        tree = STRtree(self.shapes)
        first, second = tree.query(areas, predicate="intersects")
        for i, j in zip(first.tolist(), second.tolist(), strict=True):
            out[i] += self.weights[j]
        return out

    def beside(self, areas: Sequence[BaseGeometry]) -> list[bool]:
        """Whether each area stands so near to words that both may be read as one."""
        return [any(area.distance(words) < APART_MM for words in self.said) for area in areas]


def arrow(pen: Pen, tip: Point, heading: float) -> None:
    """A filled arrow head that ends at ``tip`` pointing along ``heading`` (rad)."""
    c, s = math.cos(heading), math.sin(heading)
    back = (tip[0] - c * ARROW_LENGTH_MM, tip[1] - s * ARROW_LENGTH_MM)
    h = ARROW_WIDTH_MM / 2
    pen.polygon([tip, (back[0] - s * h, back[1] + c * h), (back[0] + s * h, back[1] - c * h)], fill=0.0)


def text_box(x: float, y: float, text: str, size: float, *, bold: bool = False) -> Polygon:
    """Box of an upright line of text whose lower left corner is ``(x, y)``."""
    return box(x, y, x + text_width(text, size, bold=bold), y + CAP_HEIGHT * size)


def turned_box(middle: Point, width: float, height: float, angle: float) -> Polygon:
    """A box about ``middle`` turned by ``angle`` (rad)."""
    c, s = math.cos(angle), math.sin(angle)
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    half = (width / 2, height / 2)
    return Polygon(
        [
            (
                middle[0] + c * a * half[0] - s * b * half[1],
                middle[1] + s * a * half[0] + c * b * half[1],
            )
            for a, b in corners
        ]
    )


def readable(angle: float) -> float:
    """The same line direction, read from below or from the right, never upside down."""
    angle = math.remainder(angle, math.pi)
    return angle + math.pi if angle <= -math.pi / 2 + 1e-6 else angle


def turned_text(pen: Pen, middle: Point, text: str, angle: float, size: float = TEXT_MM) -> None:
    """Text centred on ``middle`` along a line of direction ``angle`` (rad)."""
    drop = CAP_HEIGHT * size / 2
    pen.text(
        middle[0] + math.sin(angle) * drop,
        middle[1] - math.cos(angle) * drop,
        text,
        size,
        align="centre",
        angle_deg=math.degrees(angle),
    )


def aligned(
    pen: Pen, clutter: Clutter, ends: tuple[Point, Point], away: Point, offset: float, text: str
) -> None:
    """A dimension between two points, measured square to the unit vector ``away``.

    The dimension line lies ``offset`` mm beyond the farther point; short ones get their arrows and
    their text outside.
    """
    p, q = ends
    level = max(p[0] * away[0] + p[1] * away[1], q[0] * away[0] + q[1] * away[1]) + offset
    feet = []
    pen.stroke(THIN)
    for point in (p, q):
        out = level - (point[0] * away[0] + point[1] * away[1])
        foot = (point[0] + away[0] * out, point[1] + away[1] * out)
        feet.append(foot)
        start = (point[0] + away[0] * EXTENSION_GAP_MM, point[1] + away[1] * EXTENSION_GAP_MM)
        end = (foot[0] + away[0] * EXTENSION_PAST_MM, foot[1] + away[1] * EXTENSION_PAST_MM)
        pen.line(*start, *end)
        clutter.add_line([start, end])
    a, b = feet
    length = math.dist(a, b)
    heading = math.atan2(b[1] - a[1], b[0] - a[0])
    width = text_width(text, TEXT_MM)
    lift = CAP_HEIGHT * TEXT_MM / 2 + 0.7
    c, s = math.cos(heading), math.sin(heading)
    inside = length >= 2 * ARROW_LENGTH_MM + 1
    tail = 0.0 if inside else ARROW_LENGTH_MM + 1.5
    # past the arrow, which stands there itself where the line is short
    past = 0.5 if inside else ARROW_LENGTH_MM + 0.8
    beyond = 0.0 if length >= width + 1 else past + width + 0.5
    start = (a[0] - c * tail, a[1] - s * tail)
    end = (b[0] + c * max(tail, beyond), b[1] + s * max(tail, beyond))
    pen.line(*start, *end)
    clutter.add_line([start, end])
    arrow(pen, a, heading + (math.pi if inside else 0.0))
    arrow(pen, b, heading + (0.0 if inside else math.pi))
    angle = readable(heading)
    along = length / 2 if not beyond else length + past + width / 2
    # above the line as it is read
    middle = (a[0] + c * along - math.sin(angle) * lift, a[1] + s * along + math.cos(angle) * lift)
    turned_text(pen, middle, text, angle)
    words = turned_box(middle, width, CAP_HEIGHT * TEXT_MM + 0.6, angle)
    clutter.add(words, 4.0)
    clutter.said.append(words)


def spread(values: Sequence[float], apart: float) -> list[float]:
    """Positions at least ``apart`` from each other, as near to the sorted ``values`` as they get."""
    groups: list[list[float]] = []  # each: sum of wanted first positions, members
    for value in values:
        groups.append([value, 1.0])
        while len(groups) > 1:
            (s0, n0), (s1, n1) = groups[-2], groups[-1]
            if s0 / n0 + n0 * apart <= s1 / n1:
                break
            groups[-2:] = [[s0 + s1 - n1 * n0 * apart, n0 + n1]]
    out: list[float] = []
    for total, members in groups:
        out += [total / members + i * apart for i in range(int(members))]
    return out


@dataclass(frozen=True, slots=True)
class Ordinate:
    """A value on a ruler: where it is on paper, what it reads, and how far its feature is inside."""

    at: float
    text: str
    inside: float = 0.0
    bold: bool = False


RULER_STEP_MM = 3.1
RULER_NEAR_MM, RULER_JOG_MM, RULER_TEXT_MM = 2.0, 5.0, 6.0


def ruler_depth(texts: Iterable[str]) -> float:
    """Room a ruler with these texts needs beside the view, mm."""
    return RULER_TEXT_MM + max((text_width(t, TEXT_MM, bold=True) for t in texts), default=0.0) + 0.5


def ruler(pen: Pen, clutter: Clutter, values: Sequence[Ordinate], edge: float, *, below: bool) -> None:
    """Ordinates along the lower (``below``) or left side of a view whose side lies at ``edge``.

    A line runs from each feature to the side and on, jogged where texts would crowd.
    """
    values = sorted(values, key=lambda o: o.at)
    places = spread([o.at for o in values], RULER_STEP_MM)
    half = CAP_HEIGHT * TEXT_MM / 2

    def page(along: float, out: float) -> Point:
        return (along, edge - out) if below else (edge - out, along)

    for value, place in zip(values, places, strict=True):
        pen.stroke(THIN, 0.65)
        inner = page(value.at, -value.inside), page(value.at, EXTENSION_GAP_MM)
        if value.inside > 0:
            pen.line(*inner[0], *inner[1])
            clutter.add_line(inner, 0.3)
        pen.stroke(THIN)
        path = [
            page(value.at, EXTENSION_GAP_MM),
            page(value.at, RULER_NEAR_MM),
            page(place, RULER_JOG_MM),
            page(place, RULER_TEXT_MM - 0.4),
        ]
        pen.polygon(path, closed=False)
        clutter.add_line(path)
        x, y = page(place, RULER_TEXT_MM)
        size = text_width(value.text, TEXT_MM, bold=value.bold), 2 * half
        middle = page(place, RULER_TEXT_MM + size[0] / 2)
        clutter.add(turned_box(middle, *size, math.pi / 2 if below else 0.0), 4.0)
        if below:
            pen.text(x + half, y, value.text, TEXT_MM, align="right", angle_deg=90.0, bold=value.bold)
        else:
            pen.text(x, y - half, value.text, TEXT_MM, align="right", bold=value.bold)


def place_label(
    pen: Pen,
    clutter: Clutter,
    anchor: Point,
    radius: float,
    text: str,
    *,
    size: float = TEXT_MM,
    bold: bool = False,
    within: Polygon | None = None,
    pointed: bool = False,
    air: float = LABEL_AIR_MM,
) -> None:
    """Write ``text`` near a feature of ``radius`` about ``anchor``, where it lies on least.

    Away from the feature a thin leader joins them; ``pointed`` makes it a leader with an arrow
    always. ``within`` keeps the text in an area, such as the view's own cell. ``air`` is kept about it, mm.
    """
    reach = [far + air - LABEL_AIR_MM for far in (FAR_REACH if pointed else NEAR_REACH)]
    width, height = text_width(text, size, bold=bold), CAP_HEIGHT * size
    corners: list[Point] = []
    leaders: list[tuple[Point, Point] | None] = []
    penalties: list[float] = []
    for step, far in enumerate(reach):
        for rank, angle in enumerate((*WHERE, *BETWEEN, *(FINER if pointed else ()))):
            c, s = math.cos(angle), math.sin(angle)
            x, y = anchor[0] + c * (radius + far), anchor[1] + s * (radius + far)
            corners.append((x - width * _share(c), y - height * _share(s)))
            leaders.append(
                None
                if step == 0 and not pointed
                else ((anchor[0] + c * radius, anchor[1] + s * radius), (x, y))
            )
            penalties.append((0.075 if pointed else 0.15) * step + 0.01 * rank)
    left, low = np.array(corners).T
    boxes = shapely.box(left - air, low - air, left + width + air, low + height + air)
    areas: list[BaseGeometry] = list(boxes)
    if within is not None:
        inside = shapely.contains(within, boxes).tolist()
        penalties = [p + (0.0 if kept else 50.0) for p, kept in zip(penalties, inside, strict=True)]
    costs = clutter.costs(areas)
    crossings = clutter.costs([LineString(ends) if ends else Polygon() for ends in leaders])
    if pointed:
        near = clutter.beside(areas)
        wide = air + CLEAR_MM
        close = clutter.costs(
            list(shapely.box(left - wide, low - wide, left + width + wide, low + height + wide))
        )
        penalties = [
            p + BESIDE_COST * n + NEAR_COST * c + LEVEL_COST * _level(e)
            for p, n, c, e in zip(penalties, near, close, leaders, strict=True)
        ]
    under = POINTED_COST if pointed else UNDER_COST
    totals = [under * a + 0.6 * b + c for a, b, c in zip(costs, crossings, penalties, strict=True)]
    best = min(range(len(totals)), key=totals.__getitem__)
    leader = leaders[best]
    if leader is not None:
        pen.stroke(THIN)
        pen.line(*leader[0], *leader[1])
        clutter.add_line(leader, 0.5)
        if pointed:
            (x1, y1), (x2, y2) = leader
            arrow(pen, leader[0], math.atan2(y1 - y2, x1 - x2))
    x0, y0, _, _ = areas[best].bounds
    pen.text(x0 + air, y0 + air, text, size, bold=bold)
    clutter.add(areas[best], 4.0)
    if pointed:
        clutter.said.append(areas[best])


def _level(leader: tuple[Point, Point] | None) -> bool:
    """True for a leader that runs level or upright, as most lines of a view do."""
    if leader is None:
        return False
    (x0, y0), (x1, y1) = leader
    return min(abs(x1 - x0), abs(y1 - y0)) < LEVEL_MM


def _share(component: float) -> float:
    """How much of a label lies before its anchor: none if it points away along that axis."""
    return 0.5 if abs(component) < 1e-3 else 0.0 if component > 0 else 1.0


def place_along(
    pen: Pen,
    clutter: Clutter,
    line: tuple[Point, Point],
    lift: float,
    text: str,
    size: float = TEXT_MM,
    aside: Sequence[BaseGeometry] = (),
) -> bool:
    """Write ``text`` beside a line, ``lift`` mm off it, where it lies on least; False if too long.

    Of places it lies on as little it is the one that touches fewest areas of ``aside``.
    """
    (ax, ay), (bx, by) = line
    length = math.hypot(bx - ax, by - ay)
    width, height = text_width(text, size), CAP_HEIGHT * size
    if width + 2 > length:
        return False
    angle = readable(math.atan2(by - ay, bx - ax))
    c, s = (bx - ax) / length, (by - ay) / length
    spots: list[Point] = []
    for i in range(13):
        share = 0.5 + (0.04 * ((i + 1) // 2)) * (1 if i % 2 else -1) * 2
        along = min(max(share * length, width / 2 + 1), length - width / 2 - 1)
        for side in (1, -1):
            off = side * (lift + height / 2)
            spots.append((ax + c * along - math.sin(angle) * off, ay + s * along + math.cos(angle) * off))
    areas = [turned_box(m, width + 0.8, height + 0.6, angle) for m in spots]
    kept = [0.1 * sum(area.intersects(other) for other in aside) for area in areas]
    costs = [
        cost + by + 0.001 * i for i, (cost, by) in enumerate(zip(clutter.costs(areas), kept, strict=True))
    ]
    best = min(range(len(costs)), key=costs.__getitem__)
    turned_text(pen, spots[best], text, angle, size)
    clutter.add(areas[best], 4.0)
    return True


def centre_cross(pen: Pen, clutter: Clutter, x: float, y: float, diameter: float) -> None:
    """Thin centre lines a little longer than the hole."""
    arm = diameter / 2 + min(1.5, 0.4 + 0.2 * diameter)
    pen.stroke(THIN)
    for a, b in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))):
        pen.line(*a, *b)
        clutter.add_line((a, b))


def disc(x: float, y: float, diameter: float) -> BaseGeometry:
    """A round area, for clutter."""
    return shapely.Point(x, y).buffer(diameter / 2)
