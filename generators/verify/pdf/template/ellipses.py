"""The 95 % ellipses of a measured overlay, point by point."""

from __future__ import annotations

import math
from collections.abc import Callable

from generators.model.folds import PlaceEllipse
from generators.model.plan import PanelLayout
from generators.verify.pdf.content import Box, Content, Point, Shape

CORNERS = 40
NEAR_MM = 0.01


def ellipse_problems(
    page: Content, layout: PanelLayout, place: Callable[[float, float], Point], frame: Box
) -> list[str]:
    """Each ellipse whose centre shows must be on the page, true to 0.01 mm at every corner."""
    drawn = [s for s in page.shapes if s.stroked and s.closed and not s.curves and len(s.points) >= CORNERS]
    problems = []
    for e in layout.ellipses:
        x, y = place(e.u_mm, e.v_mm)
        inside = frame[0] < x < frame[2] and frame[1] < y < frame[3]
        if inside and e.major_mm > 0 and not any(_is(s, e, place) for s in drawn):
            problems.append(
                f"hole {e.hole} has no ellipse of {e.major_mm:.2f} x {e.minor_mm:.2f} mm at its centre"
            )
    return problems


def _is(shape: Shape, e: PlaceEllipse, place: Callable[[float, float], Point]) -> bool:
    """True when every corner lies on the ellipse, and both its axes are reached.

    A hole the frame holds in one direction has a flat one: a line, and no direction of its minor axis to see.
    """
    c, s = math.cos(e.angle_rad), math.sin(e.angle_rad)
    x, y = place(e.u_mm, e.v_mm)
    ends = [
        place(e.u_mm + c * e.major_mm, e.v_mm + s * e.major_mm),
        place(e.u_mm - s * e.minor_mm, e.v_mm + c * e.minor_mm),
    ]
    if any(min(math.dist(p, end) for p in shape.points) > 2 * NEAR_MM for end in ends):
        return False
    # 1 mm each way, so that an axis of no length has a direction all the same
    axes = [(ex - x, ey - y) for ex, ey in (place(e.u_mm + c, e.v_mm + s), place(e.u_mm - s, e.v_mm + c))]
    for px, py in shape.points:
        along, across = (((px - x) * ax + (py - y) * ay) / math.hypot(ax, ay) for ax, ay in axes)
        scale = math.hypot(*axes[0])
        major, minor = e.major_mm * scale, e.minor_mm * scale
        if minor <= NEAR_MM:
            if abs(across) > 2 * NEAR_MM or abs(along) > major + NEAR_MM:
                return False
            continue
        turn = math.atan2(across * major, along * minor)
        if math.dist((along, across), (major * math.cos(turn), minor * math.sin(turn))) > NEAR_MM:
            return False
    return True
