"""Welding symbols on the views of a part: where a weld is, drawn as ISO 2553 draws it.

System A of the standard, from memory: an arrow line to the joint, a continuous reference line, and on it
the triangle of a fillet weld, its upright leg always on the left. Left of the triangle stands the leg ``z``
or the throat ``a``, right of it the length. What stands on the continuous line is on the arrow's side, on the
dashed one beside it on the other; a weld on both sides has a triangle on either, and no dashed line. A circle
where arrow and reference line meet is a weld all round. The tail names the line of words that belongs to it.
A projection weld, which lies between the nut and the sheet, has a circle in the middle of the reference line
and no dashed one; its tail gives the process by ISO 4063, 23 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.drawing.paper.dimensions import CAP_HEIGHT, TEXT_MM, Clutter, Point, arrow
from generators.drawing.paper.pen import MEDIUM, THIN, Pen, text_width
from generators.drawing.paper.title_block import MARGIN_MM
from generators.drawing.part.body import Body
from generators.drawing.part.tables.welds import leg_text, length_text, made_welds
from generators.drawing.part.views import Camera, covered, screens
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import folded_frames

TRIANGLE_MM, GAP_MM, CIRCLE_MM = 3.0, 0.8, 2.2
TAIL_MM, DASHED_MM = 2.0, 0.9
DASH = (1.2, 0.6)
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Where along a joint the arrow may point, best first."""

AROUND = 16
PROJECTION = "ISO 4063-23"
REACHES_MM = (7.0, 10.0, 14.0, 19.0, 25.0, 32.0, 40.0, 50.0, 62.0, 75.0)
HEADINGS = tuple(
    math.radians(a) for a in (45, -45, 135, -135, 60, -60, 120, -120, 30, -30, 150, -150, 75, 105)
)
BESIDE_COST, OFF_SHEET_COST = 1.0, 1e4
"""Of a symbol past its view's own room, off the sheet's frame, beside 3 for a line. Ours."""

BROKEN_COST = 0.5
"""Of a tail on two lines, where one does as well. Ours."""

TAIL_LINE_MM = 0.45
"""Half of what is left between two lines of a tail."""

END_ON = 0.999
NUT_MM = 1.0
"""How far off a hole's rim a nut's metal is looked for, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tip:
    """A point the arrow may end on, and one in the weld's metal beside it: in the root's frame, mm."""

    at: Matrix
    bead: Matrix


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldSign:
    """What a symbol says of one weld, and where it may point; ``along`` is the joint's direction or a boss's
    axis, ``size`` reads ``z5`` or ``a3.5``, ``length`` is empty all round. A ``spot`` is a
    projection weld's."""

    size: str
    length: str
    both_sides: bool
    all_round: bool
    tail: str
    along: Matrix
    tips: tuple[Tip, ...]
    spot: bool = False

    @property
    def tails(self) -> tuple[tuple[str, ...], ...]:
        """The tail's words on one line and, where they name holes and a process, on two."""
        first, _, second = self.tail.partition(": ")
        return ((self.tail,), (f"{first}:", second)) if second and self.spot else ((self.tail,),)

    @property
    def width(self) -> float:
        """Length of the reference line on paper, mm."""
        words = text_width(self.size, TEXT_MM) + TRIANGLE_MM
        words += GAP_MM + text_width(self.length, TEXT_MM) if self.length else 0.0
        return 3 * GAP_MM + words + CIRCLE_MM / 2


def weld_signs(plan: PartPlan) -> Iterator[WeldSign]:
    """A symbol for each weld between flanges, for each boss that is welded on, and for alike weld nuts of a
    flange. Raises nothing.
    """
    frames = folded_frames(plan)
    t = plan.thickness_mm
    for number, seam in made_welds(plan):
        frame = frames[seam.edge]
        a, b = (np.array(end) for end in seam.ends)
        tips = []
        for share in SHARES:
            for side in seam.sides or ("upper",):
                w, out = (t, 1.0) if side == "upper" else (0.0, -1.0)
                place = a + (b - a) * share
                points = apply(frame, np.array([(*place, w), (*place, w + out * seam.leg_mm / 3)]))
                tips.append(Tip(at=points[0], bead=points[1]))
        line: Matrix = frame[:3, :3] @ np.array([*((b - a) / np.linalg.norm(b - a)), 0.0])
        yield WeldSign(
            size=f"z{leg_text(seam)}",
            length=length_text(seam),
            both_sides=len(seam.sides) > 1,
            all_round=False,
            tail=f"WELD {number}",
            along=line,
            tips=tuple(tips),
        )
    yield from _bosses(plan, frames)
    yield from _nuts(plan, frames)


def _bosses(plan: PartPlan, frames: dict[str, Matrix]) -> Iterator[WeldSign]:
    number = 0
    for flange in plan.flanges:
        for hole in flange.holes:
            number += 1
            ring = hole.finish.ring if hole.finish is not None else None
            if hole.finish is None or ring is None or not ring.welded:
                continue
            w, out = (plan.thickness_mm, 1.0) if hole.finish.side == "upper" else (0.0, -1.0)
            rim, foot = ring.outside_mm / 2, ring.weld_mm * math.sqrt(2) / 3
            tips = _round_rim(hole, rim, foot, frames[flange.name], (w, out))
            yield WeldSign(
                size=f"a{ring.weld_mm:g}",
                length="",
                both_sides=False,
                all_round=True,
                tail=f"hole {number}",
                along=frames[flange.name][:3, 2],
                tips=tips,
            )


def _nuts(plan: PartPlan, frames: dict[str, Matrix]) -> Iterator[WeldSign]:
    """One symbol for all alike weld nuts on a side of a flange; its arrow ends on the rim of a hole."""
    alike: dict[tuple[str, str], list[tuple[int, Hole]]] = {}
    holes = [(flange.name, hole) for flange in plan.flanges for hole in flange.holes]
    for number, (flange, hole) in enumerate(holes, 1):
        if hole.finish is not None and hole.finish.kind == "weld_nut":
            alike.setdefault((flange, hole.finish.words), []).append((number, hole))
    for (flange, _), own in alike.items():
        upper = own[0][1].finish is not None and own[0][1].finish.side == "upper"
        faces = [(plan.thickness_mm, 1.0), (0.0, -1.0)]
        # looked at from either face, the hole is where the nut is: a view that shows it round is best
        at, seen = faces if upper else faces[::-1]
        rims = [
            _round_rim(hole, hole.diameter_mm / 2, NUT_MM, frames[flange], at, beads)
            for _, hole in own
            for beads in (at, seen)
        ]
        yield WeldSign(
            size="",
            length="",
            both_sides=False,
            all_round=False,
            tail=f"hole{'s' if len(own) > 1 else ''} {', '.join(str(n) for n, _ in own)}: {PROJECTION}",
            along=frames[flange][:3, 2],
            # the same place of each hole in turn: which hole matters less than which way the line goes
            tips=tuple(tip for places in zip(*rims, strict=True) for tip in places),
            spot=True,
        )


def _round_rim(
    hole: Hole,
    rim_mm: float,
    foot_mm: float,
    frame: Matrix,
    face: tuple[float, float],
    beads: tuple[float, float] | None = None,
) -> tuple[Tip, ...]:
    """Tips round a hole on a face at ``face[0]``, the weld's metal ``foot_mm`` out from there and off it.

    ``beads`` is the face off which the metal is looked for, where it is another.
    """
    w, out = beads or face
    tips = []
    for i in range(AROUND):
        turn = math.tau * (i + 2) / AROUND
        c, s = math.cos(turn), math.sin(turn)
        near, far = rim_mm, rim_mm + foot_mm
        local = [
            (hole.u_mm + near * c, hole.v_mm + near * s, face[0]),
            (hole.u_mm + far * c, hole.v_mm + far * s, w + out * foot_mm),
        ]
        points = apply(frame, np.array(local))
        tips.append(Tip(at=points[0], bead=points[1]))
    return tuple(tips)


def shared_out(
    signs: Sequence[WeldSign], body: Body, cameras: Sequence[Camera]
) -> dict[str, list[tuple[WeldSign, list[Matrix]]]]:
    """The view each symbol stands in, by its name, with the points its arrow may end on, best first.

    That is a view in which the joint is seen, and as a line rather than from its end. Where none sees it, the
    arrow ends on the first view's hidden line.
    """
    out: dict[str, list[tuple[WeldSign, list[Matrix]]]] = {}
    seen_faces = {camera.name: screens(body.faces, camera) for camera in cameras} if signs else {}
    for sign in signs:
        beads = np.array([tip.bead for tip in sign.tips])
        ranked = []
        for k, camera in enumerate(cameras):
            hidden = covered(beads, camera, seen_faces[camera.name])
            free = [tip.at for tip, behind in zip(sign.tips, hidden, strict=True) if not behind]
            from_its_end = abs(float(sign.along @ camera.toward)) > END_ON
            # a ring is seen round from its end, a joint as a point
            ranked.append((not free, from_its_end != (sign.all_round or sign.spot), k, free))
        _, _, k, free = min(ranked, key=lambda r: r[:3])
        out.setdefault(cameras[k].name, []).append((sign, free or [tip.at for tip in sign.tips]))
    return out


def draw_sign(
    pen: Pen,
    clutter: Clutter,
    sign: WeldSign,
    tips: Sequence[Point],
    area: Polygon,
) -> None:
    """Draw the symbol where it lies on least, its arrow ending on one of ``tips`` (page mm).

    Best in the ``area`` of its view, else anywhere within the sheet's frame.
    """
    best: tuple[float, Point, _Spot] | None = None
    spots = [
        (
            rank,
            tip,
            _Spot(sign, (tip[0] + reach * math.cos(turn), tip[1] + reach * math.sin(turn)), tip, tail),
        )
        for t, tip in enumerate(tips)
        for r, reach in enumerate(REACHES_MM)
        for h, turn in enumerate(HEADINGS)
        for b, tail in enumerate(sign.tails)
        for rank in (0.3 * t + 0.2 * r + 0.02 * h + BROKEN_COST * b,)
    ]
    sheet = box(MARGIN_MM, MARGIN_MM, pen.width - MARGIN_MM, pen.height - MARGIN_MM)
    areas = [spot.room for _, _, spot in spots]
    costs = clutter.costs(areas)
    crossings = clutter.costs([_arrow_line(tip, spot.elbow) for _, tip, spot in spots])
    for (rank, tip, spot), room, cost, crossed in zip(spots, areas, costs, crossings, strict=True):
        total = 3 * cost + 0.6 * crossed + rank
        # the rest only adds
        if best is not None and total >= best[0]:
            continue
        total += 0.0 if area.contains(room) else BESIDE_COST
        total += 0.0 if sheet.contains(room) else OFF_SHEET_COST
        if best is None or total < best[0]:
            best = total, tip, spot
    if best is not None:
        _draw(pen, clutter, *best[1:])


def _arrow_line(tip: Point, elbow: Point) -> LineString:
    """The arrow line but for its end, which always lies on the joint's own lines."""
    share = 1.0 / max(1.0, math.dist(tip, elbow))
    start = tip[0] + (elbow[0] - tip[0]) * share, tip[1] + (elbow[1] - tip[1]) * share
    return LineString([start, elbow])


@dataclass(frozen=True, slots=True)
class _Spot:
    """A symbol where arrow and reference line may meet, ``elbow``, with the lines of its tail."""

    sign: WeldSign
    elbow: Point
    tip: Point
    tail: tuple[str, ...]

    @property
    def way(self) -> int:
        """1 where the reference line runs to the right, -1 to the left: away from the arrow's tip."""
        return 1 if self.elbow[0] >= self.tip[0] else -1

    @property
    def room(self) -> BaseGeometry:
        """What all but the arrow covers; two lines of a tail are no higher than a triangle."""
        sign, way, (x, y) = self.sign, self.way, self.elbow
        high = TRIANGLE_MM + 0.5
        low = high if sign.both_sides or sign.spot else DASHED_MM + 0.5
        words = max(text_width(line, TEXT_MM) for line in self.tail)
        far = sign.width + TAIL_MM + GAP_MM + words + 0.5
        x0, x1 = sorted((x - way * CIRCLE_MM / 2, x + way * far))
        return box(x0, y - low, x1, y + high)


def _draw(pen: Pen, clutter: Clutter, tip: Point, spot: _Spot) -> None:
    sign, way, (x, y) = spot.sign, spot.way, spot.elbow
    end = x + way * sign.width
    pen.stroke(THIN)
    pen.line(*tip, x, y)
    arrow(pen, tip, math.atan2(tip[1] - y, tip[0] - x))
    pen.line(x, y, end, y)
    # the tail opens away from the arrow
    for up in (1, -1):
        pen.line(end, y, end + way * TAIL_MM, y + up * TAIL_MM * 0.7)
    if not sign.both_sides and not sign.spot:
        pen.stroke(THIN, dash=DASH)
        pen.line(x, y - DASHED_MM, end, y - DASHED_MM)
    pen.stroke(MEDIUM)
    if sign.all_round:
        pen.circle(x, y, CIRCLE_MM)
    left = min(x, end) + GAP_MM + (CIRCLE_MM / 2 if way > 0 else 0.0)
    corner = left + text_width(sign.size, TEXT_MM) + GAP_MM / 2
    if sign.spot:
        pen.circle(corner + TRIANGLE_MM / 2, y, TRIANGLE_MM)
    for up in () if sign.spot else (1, -1) if sign.both_sides else (1,):
        pen.polygon([(corner, y), (corner, y + up * TRIANGLE_MM), (corner + TRIANGLE_MM, y)])
        base = y + 0.5 if up > 0 else y - 0.5 - CAP_HEIGHT * TEXT_MM
        pen.text(left, base, sign.size, TEXT_MM)
        if sign.length:
            pen.text(corner + TRIANGLE_MM + GAP_MM / 2, base, sign.length, TEXT_MM)
    word = end + way * (TAIL_MM + GAP_MM / 2)
    half = CAP_HEIGHT * TEXT_MM / 2
    lines = (y - half,) if len(spot.tail) == 1 else (y + TAIL_LINE_MM, y - TAIL_LINE_MM - 2 * half)
    for base, line in zip(lines, spot.tail, strict=True):
        pen.text(word, base, line, TEXT_MM, align="left" if way > 0 else "right")
    clutter.add(spot.room, 4.0)
    clutter.add(_arrow_line(tip, spot.elbow), 0.5)
