"""The 95 % ellipses of a measured overlay, point by point."""

from __future__ import annotations

import math
from collections.abc import Callable

from generators.model.plan import PanelLayout, PlaceEllipse
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
    """True when every corner lies on the ellipse, and both its axes are reached."""
    c, s = math.cos(e.angle_rad), math.sin(e.angle_rad)
    ends = [
        place(e.u_mm + c * e.major_mm, e.v_mm + s * e.major_mm),
        place(e.u_mm - s * e.minor_mm, e.v_mm + c * e.minor_mm),
    ]
    x, y = place(e.u_mm, e.v_mm)
    axes = [(ex - x, ey - y) for ex, ey in ends]
    if any(min(math.dist(p, end) for p in shape.points) > 2 * NEAR_MM for end in ends):
        return False
    for px, py in shape.points:
        along = [((px - x) * ax + (py - y) * ay) / max(math.hypot(ax, ay), 1e-9) for ax, ay in axes]
        far = math.hypot(*along)
        turn = math.atan2(along[1] * max(e.major_mm, 1e-9), along[0] * max(e.minor_mm, 1e-9))
        wanted = math.hypot(e.major_mm * math.cos(turn), e.minor_mm * math.sin(turn))
        if abs(far - wanted) > NEAR_MM:
            return False
    return True
