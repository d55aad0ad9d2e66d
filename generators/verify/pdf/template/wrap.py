"""The fold on a finished template: its two tangent lines, and the length across it, measured."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import numpy as np

from generators.figures import fixed
from generators.model.folds import Wrap
from generators.model.plan import PanelLayout
from generators.verify.pdf.content import Box, Content, Point
from generators.verify.pdf.template.pose import HOLE_MM, Pose
from generators.verify.pdf.template.words import says

FOLD = re.compile(
    r"fold ([\d.]+)° (toward|away from) you, inside radius ([\d. /]+) (mm|in): lay the paper round it"
)
ROUNDED = 0.0501
INCH_MM = 25.4
HALF_THOU_MM = 0.0128


def wrap_key(wrap: Wrap) -> str:
    """What marks a check length as found among the numbers of holes; no hole is called so."""
    return f"check {wrap.check}"


def wrap_problems(page: Content, layout: PanelLayout, pose: Pose, rim: Box, found: set[str]) -> list[str]:
    """Folds of one page that are not where the metal turns; adds the check lengths it shows to ``found``."""
    lines = [
        (s.points[0], s.points[1])
        for s in page.shapes
        if s.stroked and not s.filled and not s.curves and len(s.points) == 2
    ]
    problems = []
    mirrored = float(np.linalg.det(pose.matrix[:, :2])) < 0
    true = [
        (math.degrees(w.angle_rad), "toward" if (w.toward == "engine") == mirrored else "away from", w)
        for w in layout.wraps
    ]
    for angle, way, radius, short in FOLD.findall(page.text):
        if not any(
            abs(float(angle) - a) < ROUNDED
            and way == true_way
            and _is_radius(radius, short, w.inside_radius_mm)
            for a, true_way, w in true
        ):
            problems.append(
                f"says its fold is {angle}° {way} you with inside radius {radius} {short}, which is not so"
            )
    for wrap in layout.wraps:
        for name, start, end in (("first", wrap.start, wrap.end), ("second", wrap.far_start, wrap.far_end)):
            a, b = pose.page(*start), pose.page(*end)
            if _crosses(a, b, rim) and not _drawn(lines, a, b):
                problems.append(f"the {name} line of the fold is not where it belongs")
        a, b = (pose.page(*p) for p in wrap.check)
        if not (_inside(a, rim) and _inside(b, rim)):
            continue
        if not _drawn(lines, a, b):
            problems.append("its check length across the fold is not where it belongs")
        elif says(page, f"check {_check(wrap, layout)}"):
            found.add(wrap_key(wrap))
        else:
            problems.append(f"does not say that the check length is {_check(wrap, layout)}")
    return problems


def _check(wrap: Wrap, layout: PanelLayout) -> str:
    length = math.dist(*wrap.check)
    return f"{fixed(length, 1)} mm" if layout.units == "metric" else f"{fixed(length / INCH_MM, 2)} in"


def _is_radius(text: str, short: str, radius_mm: float) -> bool:
    """True for a printed radius: to 0.1 mm, to 0.001 in or to a 64th."""
    try:
        found = sum(float(Fraction(piece)) for piece in text.split())
    except (ValueError, ZeroDivisionError):
        return False
    if short == "mm":
        return abs(found - radius_mm) < ROUNDED
    return abs(found * INCH_MM - radius_mm) < HALF_THOU_MM


def _inside(p: Point, rim: Box) -> bool:
    return rim[0] < p[0] < rim[2] and rim[1] < p[1] < rim[3]


def _crosses(a: Point, b: Point, rim: Box) -> bool:
    """True when some of the line shows within the frame (sampled: a fold is much longer than a step)."""
    return any(
        _inside((a[0] + (b[0] - a[0]) * k / 200, a[1] + (b[1] - a[1]) * k / 200), rim) for k in range(201)
    )


def _drawn(lines: list[tuple[Point, Point]], a: Point, b: Point) -> bool:
    return any(
        min(
            max(math.dist(p, a), math.dist(q, b)),
            max(math.dist(p, b), math.dist(q, a)),
        )
        <= HOLE_MM
        for p, q in lines
    )
