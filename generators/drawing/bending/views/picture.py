"""The picture of a step: what is drawn of machine and part, in which order, and what is named."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry import LinearRing, LineString, Polygon

from generators.drawing.bending.views.naming import named
from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THIN, WHITE, Pen

Point = tuple[float, float]
Box = tuple[float, float, float, float]
ARC_STEPS = 12
DASH, DOTS = (1.6, 0.9), (0.25, 0.75)
TOOL = 0.93
ROUND_MM = 4.0
"""Air round the part in the picture, mm of it."""

FINGER_MM, BREAK_MM = 42.0, 3.0
"""A longer finger is drawn broken off so far behind its face, by a line with a zigzag, mm of it."""

LEAST_SEEN_MM = 45.0
"""At least so much is seen above and below the top of the die."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideView:
    """What is drawn of a step: y to the right on paper, z up from the sheet's lower face, mm.

    Seen from the right end y goes to the gauge, as in the machine's frame; from the left end away from it.

    ``laid`` is the part as it is laid in, ``finger`` the stop, None by eye. The part at the end, the farthest
    first: ``behind`` what stands beyond the far end of the tools, ``bent`` its legs and what is over the
    bend, ``before`` what stands between the eye and the tools. ``standing`` and ``moving`` are outlines of
    the machine, the rearmost first. ``names`` are the two legs' flanges with a place beyond their ends,
    ``tools`` what else is named, by its outline.
    """

    laid: tuple[tuple[Point, ...], ...]
    behind: tuple[tuple[Point, ...], ...]
    bent: tuple[tuple[Point, ...], ...]
    before: tuple[tuple[Point, ...], ...]
    standing: tuple[tuple[Point, ...], ...]
    moving: tuple[tuple[Point, ...], ...]
    finger: tuple[Point, ...] | None
    names: tuple[tuple[str, Point], ...]
    tools: tuple[tuple[str, tuple[Point, ...]], ...] = ()

    def turned(self) -> SideView:
        """The same seen from the other end of the machine."""

        def rings(every: tuple[tuple[Point, ...], ...]) -> tuple[tuple[Point, ...], ...]:
            return tuple(tuple((-y, z) for y, z in ring) for ring in every)

        return SideView(
            laid=rings(self.laid),
            behind=rings(self.behind),
            bent=rings(self.bent),
            before=rings(self.before),
            standing=rings(self.standing),
            moving=rings(self.moving),
            finger=None if self.finger is None else rings((self.finger,))[0],
            names=tuple((name, (-y, z)) for name, (y, z) in self.names),
            tools=tuple((name, rings((ring,))[0]) for name, ring in self.tools),
        )

    @property
    def hidden(self) -> Iterator[tuple[Point, ...]]:
        """Lines of the tools' outlines that flanges before them hide, and nothing else of the tools."""
        cover = shapely.union_all([Polygon(ring).buffer(0) for ring in self.before])
        for ring in (*self.standing, *self.moving):
            lines = shapely.line_merge(LinearRing(ring).intersection(cover))
            for line in getattr(lines, "geoms", [lines]):
                if isinstance(line, LineString) and not line.is_empty:
                    yield tuple((float(y), float(z)) for y, z in line.coords)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """What must be seen: the part as laid in and at the end, the die's mouth, the front of the stop."""
        part = (*self.laid, *self.behind, *self.bent, *self.before)
        points = [p for ring in part for p in ring] + [p for _, p in self.names]
        ys, zs = [p[0] for p in points], [p[1] for p in points]
        if self.finger is not None:
            ys += [p[0] for p in self.finger]
            zs += [p[1] for p in self.finger]
        ys += [-LEAST_SEEN_MM, LEAST_SEEN_MM]
        zs += [-LEAST_SEEN_MM, LEAST_SEEN_MM]
        return min(ys) - ROUND_MM, min(zs) - ROUND_MM, max(ys) + ROUND_MM, max(zs) + ROUND_MM

    def draw(
        self, pen: Pen, x: float, y: float, width: float, height: float, seen: Box | None = None
    ) -> float:
        """Draw into that box of the page, ``seen`` of the machine or all that must be; returns the scale."""
        y0, z0, y1, z1 = seen or self.box
        scale = min(width / (y1 - y0), height / (z1 - z0))
        left, low = x + width / 2 - scale * (y0 + y1) / 2, y + height / 2 - scale * (z0 + z1) / 2

        def page(ring: tuple[Point, ...]) -> list[Point]:
            return [(left + scale * p[0], low + scale * p[1]) for p in ring]

        with pen.clipped(x, y, width, height):
            pen.stroke(MEDIUM)
            for ring in self.behind:
                pen.polygon(page(ring), fill=LIGHT)
            pen.stroke(THIN)
            for ring in self.standing:
                pen.polygon(page(ring), fill=TOOL)
            if self.finger is not None:
                pen.polygon(page(self.finger), fill=LIGHT)
            pen.stroke(THIN, GREY, DASH)
            for ring in self.laid:
                pen.polygon(page(ring))
            pen.stroke(THIN)
            for ring in self.moving:
                pen.polygon(page(ring), fill=TOOL)
            pen.stroke(MEDIUM)
            for ring in (*self.bent, *self.before):
                pen.polygon(page(ring), fill=LIGHT)
            # a cheek before the tools would hide them: their edges are seen through it, and only there
            pen.stroke(THIN, GREY, DOTS)
            for line in self.hidden:
                pen.polygon(page(line), closed=False)
        flanges = [(name, page((place,))[0]) for name, place in self.names]
        tools = [(name, page(ring)) for name, ring in self.tools]
        within = (x + 0.5, y + 0.5, x + width - 0.5, y + height - 0.5)
        pen.stroke(THIN)
        metal = [page(ring) for ring in (*self.bent, *self.before)]
        for one in named(
            flanges,
            tools,
            metal,
            within,
            [page(ring) for ring in self.behind],
            [page(ring) for ring in self.laid],
        ):
            x0, y0, x1, y1 = one.box
            if not one.on_tool:
                pen.rect(x0, y0, x1 - x0, y1 - y0, fill=WHITE, edge=False)
            if one.lead is not None:
                pen.line(*one.lead[0], *one.lead[1])
            pen.text(*one.at, one.text, one.size_mm, grey=BLACK)
        return scale


def finger_ring(y: float, low: float, long_mm: float, high_mm: float) -> tuple[Point, ...]:
    """A finger with its face at ``y`` and its foot at ``low``, broken off where it is long.

    All of one would take half the picture, and what is cut off at its frame reads as if it went on to there.
    """
    far, top = y + min(long_mm, FINGER_MM), low + high_mm
    if long_mm <= FINGER_MM:
        return (y, low), (far, low), (far, top), (y, top)
    shares = ((0.0, 0.0), (0.42, 0.0), (0.46, BREAK_MM), (0.54, -BREAK_MM), (0.58, 0.0), (1.0, 0.0))
    return (y, low), *((far + out, low + share * high_mm) for share, out in shares), (y, top)


def called(name: str, ring: tuple[Point, ...] | None) -> tuple[tuple[str, tuple[Point, ...]], ...]:
    """A stop by its name, where there is one."""
    return () if ring is None else ((name, ring),)


def ring_of(shape: object, up: float = 0.0) -> tuple[Point, ...]:
    """Corners of an outline, lifted ``up`` mm. Raises ``TypeError`` for what is no polygon."""
    if not isinstance(shape, Polygon):
        raise TypeError(f"{type(shape).__name__} is no outline")
    return tuple((float(y), float(z) + up) for y, z in list(shape.exterior.coords)[:-1])
