"""The pedal from the side, to scale: at rest and pressed, with pivot, pad, pin, rod and cylinder axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THIN, WHITE, Pen
from generators.figures import fixed
from generators.hydraulics.linkage import Linkage, motion
from generators.sheets.document import Picture
from generators.sheets.plots import CHAIN, DASHED, SMALL_MM, TEXT_MM, draw_tag

Point = tuple[float, float]

SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0)
_EDGE_MM, _FOOT_MM, _HEAD_MM = 9.0, 8.0, 13.0
_PAD_MM, _ARC_STEPS = 6.0, 24
_DIMENSION_MM = 6.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """The moving points at one turn of the pedal, mm from the pivot: out to the right, up."""

    pin: Point
    pad: Point
    seat: Point


def turned(link: Linkage, point: Point, angle_rad: float) -> Point:
    """A point of the pedal after it has turned by ``angle_rad``, out and up from the pivot, mm."""
    c, s = math.cos(angle_rad), link.sense * math.sin(angle_rad)
    out, up = point
    # across x out = -up and across x up = out, for across = up x out
    return c * out + s * up, c * up - s * out


def side_of(link: Linkage, place: tuple[float, float, float]) -> Point:
    """A place in the vehicle as seen from the side, out and up from the pivot, mm."""
    gap = np.array(place) - np.array(link.frame.pivot)
    return float(gap @ np.array(link.frame.out)), float(gap @ np.array(link.frame.up))


def pose(link: Linkage, angle_rad: float) -> Pose:
    """Pin, pad and rod seat at a turn of the pedal."""
    piston = float(motion(link, np.array([angle_rad])).piston_mm[0])
    seat, axis = np.array(link.frame.seat), np.array(link.frame.axis)
    x, y, z = seat + piston * axis
    return Pose(
        pin=turned(link, link.pin, angle_rad),
        pad=turned(link, link.pad, angle_rad),
        seat=side_of(link, (float(x), float(y), float(z))),
    )


class LinkageView(Picture):
    """Rest in full lines, the pressed pedal dashed. ``pressed`` names it; ``reach_mm`` is pad travel."""

    def __init__(
        self,
        link: Linkage,
        *,
        reach_mm: float,
        pressed: str,
        bore_mm: float,
        stroke_mm: float,
        width_mm: float,
        height_mm: float,
        least: float = SCALES[0],
    ) -> None:
        """``least`` is the largest scale it may have, as the number after ``1:``."""
        super().__init__(width_mm, height_mm)
        self._link = link
        self._reach_mm = reach_mm
        self._pressed = pressed
        self._bore_mm = bore_mm
        seat = side_of(link, link.frame.seat)
        x, y, z = np.array(link.frame.seat) + stroke_mm * np.array(link.frame.axis)
        self._barrel = (seat, side_of(link, (float(x), float(y), float(z))))
        self._poses = (pose(link, 0.0), pose(link, reach_mm / link.pad_radius_mm))
        points = [(0.0, 0.0), *self._arc(), *self._barrel]
        points += [p for each in self._poses for p in (each.pin, each.pad, each.seat)]
        self._low = (min(p[0] for p in points), min(p[1] for p in points))
        self._high = (max(p[0] for p in points), max(p[1] for p in points))
        room = (width_mm - 2 * _EDGE_MM, height_mm - _FOOT_MM - _HEAD_MM)
        need = max((self._high[0] - self._low[0]) / room[0], (self._high[1] - self._low[1]) / room[1], least)
        self.scale = next((s for s in SCALES if s >= need), math.ceil(need))
        self._shift = tuple(
            edge + (room[k] - (self._high[k] - self._low[k]) / self.scale) / 2
            for k, edge in enumerate((_EDGE_MM, _FOOT_MM))
        )

    def _arc(self) -> list[Point]:
        end = self._reach_mm / self._link.pad_radius_mm
        return [turned(self._link, self._link.pad, end * k / _ARC_STEPS) for k in range(_ARC_STEPS + 1)]

    def place(self, point: Point) -> Point:
        """Where a point lies on the paper, mm."""
        return (
            self._shift[0] + (point[0] - self._low[0]) / self.scale,
            self._shift[1] + (point[1] - self._low[1]) / self.scale,
        )

    def paint(self, pen: Pen) -> None:
        """Cylinder first, then the pressed pedal, then the pedal at rest over both."""
        height = self.size[1]
        pen.text(0, height - 3, "The linkage from the side", TEXT_MM, bold=True)
        pen.text(
            0, height - 6.6, f"to scale 1:{self.scale:g}; full at rest, dashed {self._pressed}", SMALL_MM
        )
        self._cylinder(pen)
        rest, down = self._poses
        self._pedal(pen, down, dash=(1.2, 0.8), grey=GREY)
        self._pedal(pen, rest, dash=None, grey=BLACK)
        x, y = self.place((0.0, 0.0))
        pen.stroke(MEDIUM, BLACK)
        pen.circle(x, y, 2.4, fill=WHITE)
        pen.circle(x, y, 0.8, fill=BLACK)
        draw_tag(pen, x + 2.2, y + 0.9, "pivot")
        self._travel(pen)
        self._rod(pen)

    def _cylinder(self, pen: Pen) -> None:
        (x0, y0), (x1, y1) = (self.place(p) for p in self._barrel)
        long = math.hypot(x1 - x0, y1 - y0)
        if long < 1e-6:
            return
        dx, dy = (x1 - x0) / long, (y1 - y0) / long
        half = self._bore_mm / 2 / self.scale
        pen.stroke(MEDIUM, BLACK)
        pen.polygon(
            [
                (x0 - half * dy, y0 + half * dx),
                (x1 - half * dy, y1 + half * dx),
                (x1 + half * dy, y1 - half * dx),
                (x0 + half * dy, y0 - half * dx),
            ],
            fill=LIGHT,
        )
        for each, dash in zip(self._poses, (None, DASHED), strict=True):
            x, y = self.place(each.seat)
            pen.stroke(MEDIUM, BLACK, dash)
            pen.line(x - half * dy, y + half * dx, x + half * dy, y - half * dx)
        pin = self.place(self._poses[0].pin)
        back = max((x0 - pin[0]) * dx + (y0 - pin[1]) * dy, 0.0) + 4
        pen.stroke(THIN, BLACK, CHAIN)
        pen.line(x0 - back * dx, y0 - back * dy, x1 + 5 * dx, y1 + 5 * dy)
        # the name on the side away from the rod's dimension, under the barrel's middle
        side = self._away()
        mx, my = (x0 + x1) / 2 + 0.5 * dx, (y0 + y1) / 2
        lift = half + (1.2 if side[1] < 0 else 2.9)
        draw_tag(pen, mx, my + (lift if side[1] < 0 else -lift), "cylinder axis", align="centre")

    def _pedal(self, pen: Pen, each: Pose, *, dash: tuple[float, float] | None, grey: float) -> None:
        pivot, pin, pad, seat = (self.place(p) for p in ((0.0, 0.0), each.pin, each.pad, each.seat))
        pen.stroke(0.9 if dash is None else 0.5, grey, dash)
        pen.line(*pivot, *pad)
        pen.line(*pivot, *pin)
        pen.stroke(0.55 if dash is None else MEDIUM, grey, dash)
        pen.line(*pin, *seat)
        long = math.hypot(pad[0] - pivot[0], pad[1] - pivot[1])
        dx, dy = (pad[0] - pivot[0]) / long, (pad[1] - pivot[1]) / long
        pen.stroke(1.4 if dash is None else 0.9, grey)
        pen.line(
            pad[0] - _PAD_MM / 2 * dx,
            pad[1] - _PAD_MM / 2 * dy,
            pad[0] + _PAD_MM / 2 * dx,
            pad[1] + _PAD_MM / 2 * dy,
        )
        pen.stroke(MEDIUM, grey)
        pen.circle(*pin, 1.5, fill=WHITE)
        if dash is None:
            right = self._poses[1].pin[0] < each.pin[0]
            draw_tag(
                pen,
                pin[0] + (1.6 if right else -1.6),
                pin[1] - 0.9,
                "pin",
                align="left" if right else "right",
            )

    def _travel(self, pen: Pen) -> None:
        points = [self.place(p) for p in self._arc()]
        pen.stroke(THIN, BLACK)
        pen.polygon(points, closed=False)
        pivot = self.place((0.0, 0.0))
        for end, near in ((points[0], points[1]), (points[-1], points[-2])):
            _arrow(pen, end, near)
        for end, name in ((points[0], "pad at rest"), (points[-1], self._pressed)):
            self._outside(pen, pivot, end, _PAD_MM / 2 + 2.2, name)
        middle = points[len(points) // 2]
        self._outside(
            pen,
            pivot,
            middle,
            -4.0,
            f"stop {self._reach_mm:.1f} mm" if "stop" in self._pressed else f"{self._reach_mm:.1f} mm",
            bold=True,
        )

    @staticmethod
    def _outside(pen: Pen, pivot: Point, at: Point, by: float, text: str, *, bold: bool = False) -> None:
        dx, dy = at[0] - pivot[0], at[1] - pivot[1]
        long = math.hypot(dx, dy)
        x, y = at[0] + by * dx / long, at[1] + by * dy / long
        draw_tag(pen, x, y - 0.9, text, bold=bold, align="centre")

    def _away(self) -> Point:
        """Unit vector across the rod, away from the pad: where the dimension has room."""
        pin, seat = self.place(self._poses[0].pin), self.place(self._poses[0].seat)
        long = math.hypot(seat[0] - pin[0], seat[1] - pin[1])
        nx, ny = -(seat[1] - pin[1]) / long, (seat[0] - pin[0]) / long
        pad = self.place(self._poses[0].pad)
        toward = (pad[0] - pin[0]) * nx + (pad[1] - pin[1]) * ny
        return (-nx, -ny) if toward > 0 else (nx, ny)

    def _rod(self, pen: Pen) -> None:
        pin, seat = self.place(self._poses[0].pin), self.place(self._poses[0].seat)
        nx, ny = self._away()
        by = _DIMENSION_MM
        pen.stroke(THIN, BLACK)
        ends = [(p[0] + by * nx, p[1] + by * ny) for p in (pin, seat)]
        for start, end in zip((pin, seat), ends, strict=True):
            pen.line(start[0] + 1.5 * nx, start[1] + 1.5 * ny, end[0] + 1.5 * nx, end[1] + 1.5 * ny)
        pen.line(*ends[0], *ends[1])
        _arrow(pen, ends[0], ends[1])
        _arrow(pen, ends[1], ends[0])
        x, y = (ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2
        lift = 1.2 if ny > 0 else -3.0
        draw_tag(pen, x, y + lift, f"rod {fixed(self._link.rod_length_mm, 1)} mm", bold=True, align="centre")


def _arrow(pen: Pen, tip: Point, toward: Point) -> None:
    """A slim filled arrow head at ``tip``, its shaft running to ``toward``."""
    dx, dy = toward[0] - tip[0], toward[1] - tip[1]
    long = math.hypot(dx, dy)
    if long < 1e-9:
        return
    dx, dy = dx / long, dy / long
    base = (tip[0] + 2.0 * dx, tip[1] + 2.0 * dy)
    pen.polygon(
        [tip, (base[0] - 0.4 * dy, base[1] + 0.4 * dx), (base[0] + 0.4 * dy, base[1] - 0.4 * dx)], fill=BLACK
    )
