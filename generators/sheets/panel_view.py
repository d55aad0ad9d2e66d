"""A panel at a glance: not to scale for drilling, with the holes of this step filled."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.ops import nearest_points

from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THICK, THIN, Pen, text_width
from generators.drawing.template.callouts import PAD, Line, Placed, Placer, label_size
from generators.drawing.template.taken import along, ring
from generators.geometry.contours import Placement, bounds, polyline, stadium, transformed
from generators.model.contour import Contour, Vertex
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import NEW, Face
from generators.sheets.document import Picture

MARGIN_MM = 6.0
TALLEST_MM = 95.0
MARK_MM = 1.6
LEAST_MARK_MM, RIM_GAP_MM = 0.7, 0.35
"""A mark beside a large hole: the least that is seen, and what is left between both."""

NUMBER_MM = 2.8
HEAD_MM, WORDS_MM = 4.0, 2.6
"""Each line over the picture, and its letters."""
SHORT_MM = 1.5
NAME_MM, NAME_HIGH_MM = 2.3, 4.0
"""Height of a name's letters, and of what it is written into."""

NAME_LED_MM = (3.8, 4.5, 7.0, 10.0, 14.0, 19.0)
"""How far off a name stands that has no room at what it names: a line leads it there."""

ORDERS = 8
"""How many orders of numbers are tried before a lit hole's number may lie on a line."""

PAST_ORDER = 12
"""Where more lit holes than this find no room for their number, no other order gives it to all. Ours."""

RIM = 0.6
"""What a point of an outline under a number costs, a point of another word being 1."""

LED_MM, TURNS, CROSSED, CLEAR_MM = (2.0, 4.0, 7.0, 10.0, 14.0), 48, 20.0, 0.15
"""How far off and which ways a number is led that has no free place; what each thing met costs; its air."""

Spot = tuple[float, float]


class PanelView(Picture):
    """The panel as seen from the cab or the engine bay, scaled to the width of the text.

    ``sheets`` are frames of 1:1 sheets with a word for each, drawn where they lie.
    """

    def __init__(
        self,
        layout: PanelLayout,
        *,
        width_mm: float,
        face: Face = "cab",
        lit: Collection[str] = (),
        name_all: bool = True,
        tallest_mm: float = TALLEST_MM,
        sheets: Sequence[tuple[str, tuple[int, int, int, int]]] = (),
        headed: bool = True,
    ) -> None:
        """Without ``headed`` its words are left to whoever shows it."""
        u0, v0, u1, v1 = bounds(layout.contour)
        self._scale = min((width_mm - 2 * MARGIN_MM) / (u1 - u0), tallest_mm / (v1 - v0))
        self._sheets = tuple(sheets)
        self._layout = layout
        self._face = face
        self._head = self._heading(width_mm) if headed else ()
        self._head_mm = HEAD_MM * len(self._head)
        super().__init__(width_mm, (v1 - v0) * self._scale + 2 * MARGIN_MM + self._head_mm)
        self._lit = frozenset(lit)
        self._name_all = name_all
        self._named_at: list[tuple[float, float, float]] = []
        self._small: list[tuple[str, int, tuple[float, float, float, float]]] = []
        self._stand: list[Polygon] = []
        self._lettered: list[tuple[float, float]] = []
        self._framed: list[list[tuple[float, float]]] = []
        self._low = (u0, v0)
        self._wide = (u1 - u0) * self._scale
        self._sizes: dict[int, float] = {}

    def _heading(self, width_mm: float) -> tuple[tuple[str, float], ...]:
        """What stands over the picture, line by line with its letters: no wider than the picture."""
        wide = text_width(self.words, WORDS_MM) > width_mm
        lines = self.words.split("; ", 1) if wide else [self.words]
        return tuple(
            (line, min(WORDS_MM, WORDS_MM * width_mm / text_width(line, WORDS_MM))) for line in lines
        )

    def _place(self, u: float, v: float) -> tuple[float, float]:
        x = (u - self._low[0]) * self._scale
        if self._face == "engine":
            x = self._wide - x
        return MARGIN_MM + x, MARGIN_MM + (v - self._low[1]) * self._scale

    def lit_places(self) -> list[tuple[float, float]]:
        """Where the lit holes are in the picture, mm."""
        return [self._place(h.u_mm, h.v_mm) for h in self._layout.holes if h.number in self._lit]

    def _contour(self, contour: Contour) -> Contour:
        if self._face == "engine":
            contour = transformed(contour, Placement(mirror=True))
            shift = self._low[0] * self._scale + self._wide + MARGIN_MM
        else:
            shift = MARGIN_MM - self._low[0] * self._scale
        rise = MARGIN_MM - self._low[1] * self._scale
        return Contour(
            tuple(
                Vertex(p.u * self._scale + shift, p.v * self._scale + rise, p.bulge) for p in contour.vertices
            )
        )

    @property
    def scale(self) -> float:
        """Size on paper over true size."""
        return self._scale

    @property
    def layout(self) -> PanelLayout:
        """The panel in it."""
        return self._layout

    def lettered(self, pen: Pen) -> int:
        """How many holes have their number beside them, painted with that pen."""
        self.paint(pen)
        return len(self._lettered)

    @property
    def words(self) -> str:
        """What it shows, and from where."""
        return f"{self._layout.title} {self._layout.seen(self._face)}; picture only, not for drilling"

    def paint(self, pen: Pen) -> None:
        """Outline, what is in the way on this face, part outlines, holes with their numbers."""
        layout = self._layout
        self._named_at, self._small, self._lettered, self._framed, self._stand = [], [], [], [], []
        for k, (line, size) in enumerate(self._head):
            pen.text(0, self.size[1] - 3 - HEAD_MM * k, line, size, grey=GREY)
        pen.stroke(THICK)
        pen.contour(self._contour(layout.contour))
        pen.stroke(THIN, GREY)
        for keepout in layout.keepouts:
            if keepout.face == self._face:
                pen.contour(self._contour(keepout.contour), fill=LIGHT)
                self._stand.append(Polygon(polyline(self._contour(keepout.contour))))
                self._name(pen, keepout.contour, keepout.reason)
        for reach in layout.reaches:
            pen.stroke(THIN, BLACK, (2.0, 0.6, 0.6, 0.6))
            for band in reach.rings:
                pen.contour(self._contour(band))
        pen.stroke(MEDIUM, GREY)
        for footprint in layout.footprints:
            pen.stroke(MEDIUM, GREY, None if footprint.face == self._face else (1.2, 0.8))
            pen.contour(self._contour(footprint.contour))
        pen.stroke(MEDIUM, BLACK, (1.5, 1.0))
        for fold in layout.folds:
            pen.line(*self._place(*fold.start), *self._place(*fold.end))
        self._frames(pen)
        for hole in layout.holes:
            self._hole(pen, hole)
        placer = self._numbers(pen)
        self._names_beside(pen, placer)
        self._beside(pen, placer)

    def _outlines(self) -> Iterator[Contour]:
        """What is drawn as an outline: a number that lies on one is hard to read."""
        yield from (k.contour for k in self._layout.keepouts if k.face == self._face)
        yield from (footprint.contour for footprint in self._layout.footprints)

    def _drawn_over(self, placer: Placer) -> None:
        """What else is drawn that a hole's number had better not lie on."""

    def _beside(self, pen: Pen, placer: Placer) -> None:
        """What another picture of the panel says besides, where ``placer`` has room for it."""

    def _frames(self, pen: Pen) -> None:
        """Where the sheets lie, within the picture."""
        for word, (u0, v0, u1, v1) in self._sheets:
            (ax, ay), (bx, by) = self._place(u0, v0), self._place(u1, v1)
            x0, x1 = max(min(ax, bx), 0.3), min(max(ax, bx), self.size[0] - 0.3)
            y0, y1 = max(ay, 0.3), min(by, self.size[1] - self._head_mm)
            pen.stroke(THIN, GREY, (3.0, 1.0))
            pen.rect(x0, y0, x1 - x0, y1 - y0)
            pen.text(x0 + 1.0, y1 - 3.2, word, NUMBER_MM, bold=True, grey=GREY)
            wide = text_width(word, NUMBER_MM, bold=True)
            self._named_at.append((x0 + 1.0 + wide / 2, y1 - 2.4, wide))
            self._framed.append([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])

    def _name(self, pen: Pen, contour: Contour, name: str) -> None:
        """In the middle of what is seen of it, or where that is too small kept to be put beside it."""
        u0, v0, u1, v1 = bounds(self._contour(contour))
        u0, v0 = max(u0, 0.0), max(v0, 0.0)
        u1, v1 = min(u1, self.size[0]), min(v1, self.size[1] - self._head_mm)
        wide = text_width(name, NAME_MM)
        high, free = v1 - v0 >= NAME_HIGH_MM, u1 - u0 >= wide + 2 * PAD
        if high and free and not self._under_hole((u0 + u1) / 2, (v0 + v1) / 2, wide):
            self._named_at.append(((u0 + u1) / 2, (v0 + v1) / 2, wide))
            pen.text((u0 + u1) / 2, (v0 + v1) / 2 - 0.8, name, NAME_MM, align="centre", grey=GREY)
        elif name:
            self._small.append((name, len(self._stand) - 1, (u0, v0, u1, v1)))

    def _under_hole(self, x: float, y: float, wide: float) -> bool:
        """Whether a hole, painted later, would cover a name ``wide`` whose middle is at ``x``, ``y``."""
        for hole in self._layout.holes:
            hx, hy = self._place(hole.u_mm, hole.v_mm)
            off = math.hypot(max(abs(hx - x) - wide / 2, 0.0), max(abs(hy - y) - NAME_MM / 2, 0.0))
            if off < self._size(hole) / 2 + PAD:
                return True
        return False

    def _names_beside(self, pen: Pen, placer: Placer) -> None:
        """The names that found no room in what they name: at it, nearer than anything else, or led to it."""
        for name, which, (x0, y0, x1, y1) in self._small:
            shares = (0.5, 0.25, 0.75, 0.0, 1.0)
            at = [(x0 + (x1 - x0) * share, y) for y in (y1 + 2.2, y0 - 2.2) for share in shares]
            texts = [[Line(name, NAME_MM)]]
            label = placer.anywhere(self._told_by(at, name, which), texts)
            led = label is None
            if label is None:
                off = [
                    (x0 + (x1 - x0) * share, y)
                    for far in NAME_LED_MM
                    for y in (y1 + far, y0 - far)
                    for share in shares
                ]
                label = placer.anywhere(self._led_over_none(off, name, which), texts)
            if label is None:
                continue
            left, low, right, high = label.box
            if led:
                start, end = nearest_points(box(left, low, right, high), self._stand[which])
                pen.stroke(THIN, GREY)
                pen.line(start.x, start.y, end.x, end.y)
            pen.text((left + right) / 2, low + PAD, name, NAME_MM, align="centre", grey=GREY)

    def _told_by(self, spots: Sequence[Spot], name: str, which: int) -> list[Spot]:
        """The spots from which a name centred on them is taken for its own thing: no other is nearer."""
        away = shapely.distance(_words_at(spots, name)[:, None], np.array(self._stand, dtype=object))
        near: NDArray[np.intp] = np.argmin(away, axis=1)
        return [spot for spot, nearest in zip(spots, near.tolist(), strict=True) if nearest == which]

    def _led_over_none(self, spots: Sequence[Spot], name: str, which: int) -> list[Spot]:
        """The spots from which a line comes from a name centred on them to its own thing over no other."""
        lines = shapely.shortest_line(_words_at(spots, name), self._stand[which])
        others = np.array([other for k, other in enumerate(self._stand) if k != which], dtype=object)
        over: NDArray[np.bool_] = np.any(shapely.intersects(lines[:, None], others), axis=1)
        return [spot for spot, crossed in zip(spots, over.tolist(), strict=True) if not crossed]

    def _size(self, hole: PanelHole) -> float:
        """How wide a hole of this panel is drawn, mm; looked at once, as it hangs on all the others."""
        known = self._sizes.get(id(hole))
        if known is None:
            known = self._sizes[id(hole)] = self._drawn_dia(hole)
        return known

    def _drawn_dia(self, hole: PanelHole) -> float:
        """As wide as it is, or as wide as can be seen; but no mark lies on the rim of another hole."""
        true = hole.final_dia_mm * self._scale
        if true >= MARK_MM:
            return true
        gaps = [
            math.dist((hole.u_mm, hole.v_mm), (h.u_mm, h.v_mm)) * self._scale
            - h.final_dia_mm * self._scale / 2
            for h in self._layout.holes
            if h is not hole and h.final_dia_mm * self._scale > MARK_MM and not h.travel_mm
        ]
        # from the middle of the mark to the rim, with a hair of paper between
        least = min(gaps, default=MARK_MM) - RIM_GAP_MM
        return max(true, min(MARK_MM, 2 * least), LEAST_MARK_MM)

    def _hole(self, pen: Pen, hole: PanelHole) -> None:
        pen.stroke(MEDIUM, BLACK, None if hole.status in NEW else (0.8, 0.6))
        fill = BLACK if hole.number in self._lit else 1.0
        if hole.travel_mm:
            slot = stadium(hole.u_mm, hole.v_mm, hole.final_dia_mm, hole.travel_mm, hole.angle_rad)
            pen.contour(self._contour(slot))
        pen.circle(*self._place(hole.u_mm, hole.v_mm), self._size(hole), fill=fill)

    def _numbers(self, pen: Pen) -> Placer:
        """Numbers beside their holes, led out where holes stand close; the lit ones choose first."""
        placer = Placer((0.0, 0.0, self.size[0], self.size[1] - self._head_mm))
        edge = polyline(self._contour(self._layout.contour))
        placer.keep_clear(along([*edge, edge[0]]))
        for hole in self._layout.holes:
            placer.keep_clear(ring(*self._place(hole.u_mm, hole.v_mm), self._size(hole) / 2))
        for x, y, wide in self._named_at:
            placer.take((x - wide / 2, y - NAME_MM / 2, x + wide / 2, y + NAME_MM / 2))
        for contour in self._outlines():
            rim = polyline(self._contour(contour))
            placer.rather_not(along([*rim, rim[0]]), RIM)
        for frame in self._framed:
            placer.rather_not(along(frame), RIM)
        self._drawn_over(placer)
        named = [
            h for h in self._layout.holes if h.number in self._lit or self._name_all or h.status not in NEW
        ]
        for label in self._labels(placer, sorted(named, key=lambda h: h.number not in self._lit)):
            (text,) = label.lines
            left, low, right, high = label.box
            self._lettered.append(((left + right) / 2, (low + high) / 2))
            leader = self._leader(label)
            if leader is not None:
                pen.stroke(THIN, GREY)
                pen.line(*leader[0], *leader[1])
            pen.text(left + PAD, low + PAD, text.text, text.size, bold=text.bold)
        return placer

    def _leader(self, label: Placed) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """From the hole to its number, where that does not stand at it."""
        return label.leader if label.leader is not None and math.dist(*label.leader) > SHORT_MM else None

    def _labels(self, placer: Placer, holes: Sequence[PanelHole]) -> list[Placed]:
        """Each hole's number in its place; every lit one has one, others where there is room.

        Where a few lit ones find none, those that found none choose first and all is placed anew.
        """
        before = placer.mark()
        for turn in range(ORDERS + 1):
            found = [(hole, self._label(placer, hole)) for hole in holes]
            shut_out = [h for h, label in found if label is None and h.number in self._lit]
            if not shut_out or len(shut_out) > PAST_ORDER or turn == ORDERS:
                break
            placer.back_to(before)
            holes = [*shut_out, *(h for h in holes if h not in shut_out)]
        labels = [label for _hole, label in found if label is not None]
        labels += [self._led_out(placer, hole) for hole in shut_out]
        return labels

    def _led_out(self, placer: Placer, hole: PanelHole) -> Placed:
        """A number with a leader in any case: clear of other holes, whatever else it crosses."""
        x, y = self._place(hole.u_mm, hole.v_mm)
        radius = self._size(hole) / 2
        line = placer.sized(self._line(hole))
        wide, high = label_size([line])
        found: list[tuple[float, Placed]] = []
        for out in LED_MM:
            for turn in range(TURNS):
                cos, sin = math.cos(math.tau * turn / TURNS), math.sin(math.tau * turn / TURNS)
                left = x + (radius + out) * cos - wide / 2 * (1 - cos)
                low = y + (radius + out) * sin - high / 2 * (1 - sin)
                box = (left, low, left + wide, low + high)
                end = min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3])
                apart = math.hypot(end[0] - x, end[1] - y)
                if apart <= radius:
                    continue
                start = x + (end[0] - x) / apart * radius, y + (end[1] - y) / apart * radius
                found.append((out, Placed(box=box, lines=(line,), leader=(start, end))))
        boxes = np.array([one.box for _, one in found]).reshape(-1, 4)
        there = np.flatnonzero(placer.inside(boxes, 0.4))
        if not len(there):
            return placer.beside(x, y, radius, [self._line(hole)])
        outs = np.array([out for out, _ in found])[there]
        crossed = self._crossed(hole, [found[k][1].leader for k in there.tolist()])
        cost = outs + CROSSED * crossed + CROSSED * placer.hits(boxes[there])
        _, best = found[int(there[int(np.argmin(cost))])]
        placer.put(best)
        return best

    def _crossed(self, own: PanelHole, leaders: Sequence[Any]) -> np.ndarray:
        """How many other holes each leader runs over."""
        others = [hole for hole in self._layout.holes if hole is not own]
        at = np.array([self._place(h.u_mm, h.v_mm) for h in others]).reshape(-1, 2)
        clear = np.array([self._size(h) / 2 + CLEAR_MM for h in others])
        far = np.hypot(*(at - self._place(own.u_mm, own.v_mm)).T) - clear
        near = far < self._size(own) / 2 + max(LED_MM) + CLEAR_MM
        if not near.any():
            return np.zeros(len(leaders))
        ends = np.array(leaders)
        begin, way = ends[:, None, 0], ends[:, None, 1] - ends[:, None, 0]
        off = at[near] - begin
        share = np.clip((off * way).sum(axis=2) / (way * way).sum(axis=2), 0.0, 1.0)
        away = np.hypot(*np.moveaxis(off - share[..., None] * way, 2, 0))
        over: np.ndarray = (away < clear[near]).sum(axis=1)
        return over

    def _line(self, hole: PanelHole) -> Line:
        return Line(hole.number, NUMBER_MM, bold=hole.number in self._lit)

    def _label(self, placer: Placer, hole: PanelHole) -> Placed | None:
        x, y = self._place(hole.u_mm, hole.v_mm)
        return placer.callout(x, y, self._size(hole) / 2, [[self._line(hole)]])


def _words_at(spots: Sequence[Spot], name: str) -> NDArray[np.object_]:
    """The room a name takes, centred on each spot."""
    wide, high = text_width(name, NAME_MM) / 2, NAME_MM / 2
    x, y = np.array(spots).T
    rooms: NDArray[np.object_] = shapely.box(x - wide, y - high, x + wide, y + high)
    return rooms
