"""The folded part on a drawing: front view, a profile along each bend direction, and a picture.

Third-angle: a side view stands on the side it is seen from; first-angle: on the opposite side. Of two
opposite sides the one that hides less is taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.drawing.paper.dimensions import (
    TEXT_MM,
    Clutter,
    Point,
    aligned,
    centre_cross,
    number,
    place_label,
)
from generators.drawing.paper.pen import GREY, MEDIUM, THIN, Pen, text_width
from generators.drawing.paper.sheet_layout import Cell
from generators.drawing.part.body import Body
from generators.drawing.part.profile import Frames, Leg, inside_arc_middle, outside_legs
from generators.drawing.part.views import (
    BOTTOM,
    FRONT,
    ISOMETRIC,
    LEFT,
    RIGHT,
    TOP,
    Camera,
    View,
    extent,
    view,
)
from generators.drawing.part.weld_signs import draw_sign, shared_out, weld_signs
from generators.geometry.contours import bounds
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Flange, PartPlan
from generators.sheetmetal.folding import bend_axis, folded_frames

PAD_MM = 10.0
CAPTION_MM = 4.5
LEG_OFFSET_MM = 6.0
ROW_MM = 4.0
"""From one dimension to the next further out."""
COARSE_STEP_MM = 3.0
PAPER_STEP_MM = 0.25
HIDDEN = (1.6, 0.9)
HIDDEN_GREY = 0.45
SMALLEST_PICTURE_MM = 42.0
ISO_FOOT_MM = 5.0
PARALLEL = 1e-6
RIM_MM = 0.1
CROSS_SHARE = 0.7
LEAST_ORDINATE_MM = 0.005
WORDS = 10.0
"""What it costs a symbol to lie on a caption or the picture, beside 1 for a line of a view. Ours."""

PIVOT = "pivot"
"""How the names of a kind's pivot bores begin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldedViews:
    """The group of views of a bent part, at ``scale`` (paper mm per mm); ``scale_text`` says it."""

    plan: PartPlan
    body: Body
    frames: Frames
    cameras: tuple[Camera, ...]
    boxes: tuple[tuple[float, float, float, float], ...]
    scale: float
    scale_text: str = ""
    first_angle: bool = False

    @property
    def side_left(self) -> bool:
        """True when the side view stands to the left of the front view."""
        return (RIGHT if self.first_angle else LEFT) in self.cameras

    @property
    def other_below(self) -> bool:
        """True when the view from above or below stands under the front view."""
        return (TOP if self.first_angle else BOTTOM) in self.cameras

    @property
    def holds_picture(self) -> bool:
        """True when the isometric picture fits in the free corner of the group."""
        return len(self.cameras) == 3

    def _columns(self) -> tuple[float, float]:
        """Widths of the column of the front view and of the side view, without padding."""
        front = self.boxes[0]
        side = [b for c, b in zip(self.cameras, self.boxes, strict=True) if c in (LEFT, RIGHT)]
        wide = (side[0][2] - side[0][0]) * self.scale if side else 0.0
        if self.holds_picture:
            wide = max(wide, SMALLEST_PICTURE_MM)
        return (front[2] - front[0]) * self.scale, wide

    def _rows(self) -> tuple[float, float]:
        """Heights of the row of the front view and of the one above or below it."""
        front = self.boxes[0]
        other = [b for c, b in zip(self.cameras, self.boxes, strict=True) if c in (TOP, BOTTOM)]
        high = (other[0][3] - other[0][1]) * self.scale if other else 0.0
        if self.holds_picture:
            high = max(high, SMALLEST_PICTURE_MM)
        return (front[3] - front[1]) * self.scale, high

    def size(self) -> tuple[float, float]:
        """Width and height on paper, mm."""
        (c0, c1), (r0, r1) = self._columns(), self._rows()
        width = c0 + 2 * PAD_MM + (c1 + 2 * PAD_MM if c1 else 0.0)
        height = r0 + 2 * PAD_MM + CAPTION_MM + (r1 + 2 * PAD_MM + CAPTION_MM if r1 else 0.0)
        return width, height

    def draw(self, pen: Pen, cell: Cell, taken: Clutter) -> None:
        """Draw the group in the middle of a cell; welding symbols keep off what is ``taken`` of the sheet."""
        (c0, c1), (r0, r1) = self._columns(), self._rows()
        width, height = self.size()
        x = cell.x + (cell.width - width) / 2
        y = cell.y + (cell.height - height) / 2
        left_side, below = self.side_left, self.other_below
        front_x = x + PAD_MM + (c1 + 2 * PAD_MM if left_side else 0.0)
        side_x = x + PAD_MM if left_side else front_x + c0 + 2 * PAD_MM
        row = r1 + 2 * PAD_MM + CAPTION_MM if r1 else 0.0
        front_y = y + PAD_MM + CAPTION_MM + (row if below else 0.0)
        other_y = y + PAD_MM + CAPTION_MM if below else front_y + r0 + 2 * PAD_MM + CAPTION_MM
        signs = shared_out(tuple(weld_signs(self.plan)), self.body, self.cameras)
        whole, drawn = Clutter(list(taken.shapes), list(taken.weights)), []
        for camera, bounds_mm in zip(self.cameras, self.boxes, strict=True):
            wide = (bounds_mm[2] - bounds_mm[0]) * self.scale
            high = (bounds_mm[3] - bounds_mm[1]) * self.scale
            if camera in (LEFT, RIGHT):
                at = (side_x + (0.0 if not left_side else c1 - wide), front_y)
            elif camera in (TOP, BOTTOM):
                at = (front_x, other_y + (r1 - high if below else 0.0))
            else:
                at = (front_x, front_y)
            drawn.append((camera, *self._view(pen, camera, at, whole, sides=(not left_side, below))))
        if self.holds_picture:
            corner = Cell(side_x - PAD_MM / 2, other_y - CAPTION_MM, c1 + PAD_MM, r1 + PAD_MM)
            whole.add(draw_picture(pen, self.body, corner, self.scale), WORDS)
        # a symbol is longer than the room beside a view: the last to be placed, it keeps off all the others
        for camera, shift, area in drawn:
            for sign, tips in signs.get(camera.name, ()):
                draw_sign(pen, whole, sign, [self._paper(camera, tip, shift) for tip in tips], area)

    def _view(
        self, pen: Pen, camera: Camera, at: Point, whole: Clutter, *, sides: tuple[bool, bool]
    ) -> tuple[Point, Polygon]:
        """Draw a view with its caption and add both to ``whole``; its place on the page and its room."""
        seen = view(self.body, camera, PAPER_STEP_MM / self.scale)
        x0, y0, x1, y1 = seen.bounds
        s = self.scale
        shift = (at[0] - x0 * s, at[1] - y0 * s)
        clutter = Clutter()
        draw_strokes(pen, seen, s, shift, clutter=clutter)
        low, high = at, (at[0] + (x1 - x0) * s, at[1] + (y1 - y0) * s)
        for flange in self.plan.flanges:
            self._crosses(pen, clutter, camera, flange, seen, shift)
        if camera is FRONT:
            self._overall(pen, clutter, low, high, sides)
        legs = self._legs(camera)
        across = np.column_stack([camera.right, camera.up])
        for leg in legs:
            ends = self._paper(camera, leg.start, shift), self._paper(camera, leg.end, shift)
            away = leg.outside @ across
            out = float(away[0]), float(away[1])
            aligned(pen, clutter, ends, out, leg_offset(clutter, ends, out, low, high), number(leg.length))
        if camera in (LEFT, RIGHT):
            taken = {round(float((leg.outside @ across)[1])) for leg in legs}
            self._height(pen, clutter, camera, (low, high), shift, taken)
        area = box(low[0] - PAD_MM, low[1] - PAD_MM, high[0] + PAD_MM, high[1] + PAD_MM)
        for bend in self.plan.bends:
            if not _parallel(bend_axis(self.frames, bend), camera.toward):
                continue
            middle = inside_arc_middle(self.frames, bend, self.plan.thickness_mm)
            text = f"{number(math.degrees(bend.angle_rad))}° R{number(bend.inside_radius_mm)}"
            anchor = self._paper(camera, middle, shift)
            place_label(pen, clutter, anchor, 0.0, text, within=area, pointed=True)
        foot = min(shape.bounds[1] for shape in clutter.shapes) - TEXT_MM - 1.5
        pen.text((low[0] + high[0]) / 2, foot, camera.name, TEXT_MM, align="centre", bold=True)
        if self.scale_text:
            beside = (low[0] + high[0] + text_width(camera.name, TEXT_MM, bold=True)) / 2 + 2.0
            pen.text(beside, foot, self.scale_text, TEXT_MM)
        for shape, weight in zip(clutter.shapes, clutter.weights, strict=True):
            whole.add(shape, weight)
        half = text_width(camera.name, TEXT_MM, bold=True) / 2
        right = half + (2.0 + text_width(self.scale_text, TEXT_MM) if self.scale_text else 0.0)
        centre = (low[0] + high[0]) / 2
        whole.add(box(centre - half, foot - 1.0, centre + right, foot + TEXT_MM), WORDS)
        return shift, area

    def _legs(self, camera: Camera) -> list[Leg]:
        """The outside lengths this view shows in true size."""
        along = [b for b in self.plan.bends if _parallel(bend_axis(self.frames, b), camera.toward)]
        return outside_legs(self.plan, self.frames, along)

    def _overall(self, pen: Pen, clutter: Clutter, low: Point, high: Point, sides: tuple[bool, bool]) -> None:
        """Outside width and height of the front view, unless a neighbour dimensions the same.

        In brackets, as auxiliary (ISO 129-1, from memory): both follow from legs, angles and the blank, and
        may be off by what those stack up to, not by a bent length.
        """
        side_right, below = sides
        x0, y0, x1, y1 = self.boxes[0]
        legs = [leg for camera in self.cameras for leg in self._legs(camera)]
        own = self._legs(FRONT)

        def offset(direction: Matrix, out: Matrix) -> float:
            """One row further out than a leg of this view that is dimensioned on the same side."""
            crowded = any(leg.runs_along(direction) and float(leg.outside @ out) > 0.5 for leg in own)
            return LEG_OFFSET_MM + (ROW_MM if crowded else 0.0)

        def told(direction: Matrix, length: float) -> bool:
            return any(leg.runs_along(direction) and abs(leg.length - length) < 0.005 for leg in legs)

        if not told(FRONT.right, x1 - x0):
            v, up = (high[1], 1.0) if below else (low[1], -1.0)
            ends = ((low[0], v), (high[0], v))
            aligned(pen, clutter, ends, (0.0, up), offset(FRONT.right, FRONT.up * up), f"({number(x1 - x0)})")
        if not told(FRONT.up, y1 - y0):
            u, out = (low[0], -1.0) if side_right else (high[0], 1.0)
            ends = ((u, low[1]), (u, high[1]))
            aligned(
                pen, clutter, ends, (out, 0.0), offset(FRONT.up, FRONT.right * out), f"({number(y1 - y0)})"
            )

    def _crosses(
        self, pen: Pen, clutter: Clutter, camera: Camera, flange: Flange, seen: View, shift: Point
    ) -> None:
        """Centre lines of the holes that are seen as circles."""
        frame = self.frames[flange.name]
        if not flange.holes or not _parallel(frame[:3, 2], camera.toward):
            return
        rims = [s.points for s in seen.strokes if s.kind == "hole" and not s.hidden]
        points = apply(frame, np.array([(h.u_mm, h.v_mm, 0.0) for h in flange.holes]))
        for hole, centre in zip(flange.holes, camera.project(points), strict=True):
            if _rim_seen(rims, centre, hole.diameter_mm) < CROSS_SHARE * math.pi * hole.diameter_mm:
                continue
            x, y = (centre * self.scale + np.array(shift)).tolist()
            centre_cross(pen, clutter, x, y, hole.diameter_mm * self.scale)

    def _height(
        self,
        pen: Pen,
        clutter: Clutter,
        camera: Camera,
        corners: tuple[Point, Point],
        shift: Point,
        taken: set[int],
    ) -> None:
        """Where pivots of upright flanges, or their only holes, lie off the root's face and lower edge."""
        spots = [
            (
                hole.name.startswith(PIVOT),
                apply(self.frames[f.name], np.array([(hole.u_mm, hole.v_mm, 0.0)]))[0],
            )
            for f in self.plan.flanges[1:]
            if _parallel(self.frames[f.name][:3, 2], camera.toward)
            for hole in f.holes
        ]
        pivots = [place for pivot, place in spots if pivot] or [place for _, place in spots]
        if len({(round(float(p[1]), 3), round(float(p[2]), 3)) for p in pivots}) != 1:
            return
        place, low_v = pivots[0], bounds(self.plan.flanges[0].contour)[1]
        at = self._paper(camera, place, shift)
        foot = self._paper(camera, np.array([0.0, low_v, 0.0]), shift)
        up = -1.0 if -1 not in taken else 1.0
        base = foot[0], corners[0][1] if up < 0 else corners[1][1]
        out = 1.0 if at[0] > foot[0] else -1.0
        for ends, away, value in (
            ((at, base), (0.0, up), float(place[2])),
            ((at, foot), (out, 0.0), float(place[1]) - low_v),
        ):
            if abs(value) >= LEAST_ORDINATE_MM:
                offset = leg_offset(clutter, ends, away, *corners)
                aligned(pen, clutter, ends, away, offset, number(abs(value)))

    def _paper(self, camera: Camera, point: Matrix, shift: Point) -> Point:
        x, y = camera.project(point[None, :])[0]
        return float(x) * self.scale + shift[0], float(y) * self.scale + shift[1]


def _rim_seen(rims: Sequence[Matrix], centre: Matrix, diameter: float) -> float:
    """How much of a hole's rim is seen, mm."""
    total = 0.0
    for rim in rims:
        if np.all(np.abs(np.linalg.norm(rim - centre, axis=1) - diameter / 2) < RIM_MM):
            total += float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum())
    return total


def leg_offset(clutter: Clutter, ends: tuple[Point, Point], away: Point, low: Point, high: Point) -> float:
    """How far past its ends a leg's dimension lies: near, or past the whole view if it meets lines there."""

    def level(point: Point) -> float:
        return point[0] * away[0] + point[1] * away[1]

    own = max(level(p) for p in ends)
    whole = max(level(p) for p in (low, high, (low[0], high[1]), (high[0], low[1])))
    offsets = (LEG_OFFSET_MM, whole - own + LEG_OFFSET_MM)
    strips = []
    for offset in offsets:
        feet = []
        for p in ends:
            out = own + offset - level(p)
            feet.append((p[0] + away[0] * out, p[1] + away[1] * out))
        # the line with its text on either side
        strips.append(LineString(feet).buffer(TEXT_MM + 0.7, cap_style="flat"))
    near, far = clutter.costs(strips)
    # past a view on the skew it may lie off the room the view has
    room = box(low[0] - PAD_MM, low[1] - PAD_MM, high[0] + PAD_MM, high[1] + PAD_MM)
    return offsets[1] if far < near and room.contains(strips[1]) else offsets[0]


def _parallel(a: Matrix, b: Matrix) -> bool:
    return abs(abs(float(a @ b)) - 1) < PARALLEL


def folded_views(plan: PartPlan, body: Body, scale: float, *, first_angle: bool = False) -> FoldedViews:
    """Choose the views of a bent part: front and side, and one from below or above if bends run upright."""
    frames = folded_frames(plan)
    axes = [bend_axis(frames, b) for b in plan.bends]
    seen = [view(body, FRONT, COARSE_STEP_MM)]
    # a side view always: it shows either the profile or the true shape of upright flanges
    for pair, always in (((RIGHT, LEFT), True), ((BOTTOM, TOP), False)):
        if always or any(_parallel(axis, pair[0].toward) for axis in axes):
            # a tie goes to the first of the pair
            both = [view(body, camera, COARSE_STEP_MM) for camera in pair]
            seen.append(min(both, key=lambda v: round(v.hidden_length)))
    return FoldedViews(
        plan=plan,
        body=body,
        frames=frames,
        cameras=tuple(v.camera for v in seen),
        boxes=tuple(v.bounds for v in seen),
        scale=scale,
        first_angle=first_angle,
    )


def draw_strokes(
    pen: Pen, seen: View, scale: float, shift: Point, *, hidden: bool = True, clutter: Clutter | None = None
) -> None:
    """Hidden lines first and thin, then tangent lines, then what is seen."""
    for wanted in ("hidden", "tangent", "seen"):
        if wanted == "hidden":
            pen.stroke(THIN, HIDDEN_GREY, dash=HIDDEN)
        elif wanted == "tangent":
            pen.stroke(THIN, GREY)
        else:
            pen.stroke(MEDIUM)
        for stroke in seen.strokes:
            kind = "hidden" if stroke.hidden else "tangent" if stroke.kind == "tangent" else "seen"
            if kind != wanted or (stroke.hidden and (not hidden or stroke.kind != "sharp")):
                continue
            points = [(x * scale + shift[0], y * scale + shift[1]) for x, y in stroke.points.tolist()]
            pen.polygon(points, closed=False)
            if clutter is not None and len(points) > 1:
                clutter.add(LineString(points), 0.4 if kind == "hidden" else 1.0)


def draw_picture(
    pen: Pen, body: Body, cell: Cell, largest_scale: float, camera: Camera = ISOMETRIC
) -> BaseGeometry:
    """The isometric view, hidden parts hidden, as large as the cell allows; what it covers."""
    x0, y0, x1, y1 = extent(body, camera)
    wide, high = x1 - x0, y1 - y0
    scale = min(largest_scale, (cell.width - 2) / wide, (cell.height - ISO_FOOT_MM - 2) / high)
    seen = view(body, camera, PAPER_STEP_MM / scale)
    x = cell.x + (cell.width - wide * scale) / 2
    y = cell.y + ISO_FOOT_MM + (cell.height - ISO_FOOT_MM - high * scale) / 2
    draw_strokes(pen, seen, scale, (x - x0 * scale, y - y0 * scale), hidden=False)
    pen.text(
        cell.x + cell.width / 2,
        y - ISO_FOOT_MM + 1.0,
        f"{camera.name}, not to scale",
        TEXT_MM,
        align="centre",
    )
    half = max(wide * scale, text_width(f"{camera.name}, not to scale", TEXT_MM)) / 2 + 1.0
    middle = cell.x + cell.width / 2
    return box(middle - half, y - ISO_FOOT_MM, middle + half, y + high * scale + 1.0)
