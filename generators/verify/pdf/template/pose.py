"""Where a page of a finished template lies on its panel, from its own marks alone.

Each page carries targets labelled ``u 300 v 150``. From them come its scale, turn and mirror.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.errors import UnitError
from generators.geometry.printing import PrintMap
from generators.model.spec.shop import PaperPrinter
from generators.model.words import Face
from generators.units import parse_length_mm
from generators.verify.pdf.content import Box, Circle, Content, Point, Shape

SIZE_MM = 0.01
HOLE_MM = 0.01
SCALE = 1e-5
PAPER = re.compile(r"· paper (?:roll:(?P<roll>[0-9./ -]+ ?(?:mm|cm|m|inch|in|ft))|(?P<sheet>\w+))")
LABEL = re.compile(r"u (-?\d+) v (-?\d+)")
LABEL_REACH_MM, LARGE_REACH_MM = 8.0, 9.0
"""How far off its mark a label may stand, and one in large type. At the outer ring of places, aslant, letters
begin 5.3 mm beside their mark and as far over or under it: 7.5 mm off."""

LARGE_MM = 2.5
"""Labels of marks are 2.1 mm high, in large type 2.9."""

FINAL_LINE = (0.3, 0.5)
FRAME_LINE = (0.3, 0.4)
SHORTEST_SPAN_MM = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """Page point = ``matrix @ (u, v, 1)``; mm."""

    matrix: np.ndarray

    def page(self, u: float, v: float) -> Point:
        """The page point of a panel point."""
        x, y = self.matrix @ np.array([u, v, 1.0])
        return float(x), float(y)

    def panel(self, x: float, y: float) -> Point:
        """The panel point under a page point."""
        u, v = np.linalg.solve(self.matrix[:, :2], np.array([x, y]) - self.matrix[:, 2])
        return float(u), float(v)


def roll_width(text: str) -> float | None:
    """The width of a roll in mm, or ``None`` when it is no length."""
    try:
        return parse_length_mm(text)
    except UnitError:
        return None


def print_matrix(page: Content, printer: PaperPrinter) -> NDArray[np.float64]:
    """What the printer does to this page: turned where the page lies on the paper."""
    named = PAPER.search(page.text)
    lying = page.width > page.height
    if named is not None and named["roll"]:
        width = roll_width(named["roll"])
        lying = width is not None and abs(page.width - width) > SIZE_MM
    print_map = PrintMap(x_scale=printer.x_scale, y_scale=printer.y_scale, skew_rad=printer.skew_rad)
    return print_map.matrix(lying=lying)


def is_final(shape: Shape) -> bool:
    """True for the line width in which holes are drawn at their final size."""
    return shape.stroked and shape.width >= FINAL_LINE[0]


def labelled_marks(page: Content, circles: Sequence[Circle]) -> list[tuple[Point, tuple[int, int]]]:
    """Targets (a circle with two black quarters) with the panel point written beside each."""
    corners = [s.points[0] for s in page.shapes if s.filled and not s.stroked and len(s.curves) == 1]
    targets = [
        (c.x, c.y)
        for c in circles
        if c.shape.stroked and sum(math.dist(p, (c.x, c.y)) < SIZE_MM for p in corners) >= 2
    ]
    found: list[tuple[Point, tuple[int, int]]] = []
    for word in page.words:
        match = LABEL.fullmatch(word.text.strip())
        if match is None or not targets:
            continue
        x0, y0, x1, y1 = word.box
        gaps = [(math.hypot(min(max(x, x0), x1) - x, min(max(y, y0), y1) - y), (x, y)) for x, y in targets]
        gap, target = min(gaps)
        if gap <= (LARGE_REACH_MM if y1 - y0 > LARGE_MM else LABEL_REACH_MM):
            found.append((target, (int(match[1]), int(match[2]))))
    return found


def page_pose(marks: Sequence[tuple[Point, tuple[int, int]]], face: Face) -> tuple[Pose | None, list[str]]:
    """The affine map from panel to page by least squares, and what is wrong with it."""
    if len({m[0] for m in marks}) < 3:
        return None, [f"has {len(marks)} labelled registration marks, needs 3 to be measured"]
    panel = np.array([[u, v, 1.0] for _, (u, v) in marks])
    paper = np.array([point for point, _ in marks])
    spread = np.linalg.svd(panel[:, :2] - panel[:, :2].mean(axis=0), compute_uv=False)
    if spread[-1] < SHORTEST_SPAN_MM / 2:
        return None, ["has its registration marks on one line"]
    solution = np.linalg.lstsq(panel, paper, rcond=None)[0]
    residual = float(np.abs(panel @ solution - paper).max())
    matrix = solution.T
    problems: list[str] = []
    if residual > HOLE_MM:
        problems.append(f"its registration marks disagree by {residual:.3f} mm")
    scale_u, scale_v = math.hypot(*matrix[:, 0]), math.hypot(*matrix[:, 1])
    for name, scale in (("u", scale_u), ("v", scale_v)):
        if abs(scale - 1) > SCALE:
            problems.append(f"its scale along {name} is {scale:.6f}, not 1")
    mirrored = float(np.linalg.det(matrix[:, :2])) < 0
    if mirrored != (face == "engine"):
        problems.append("is mirrored" if mirrored else "is not mirrored, as the engine face must be")
    turn = math.atan2(-matrix[0, 1], matrix[1, 1])
    skew = abs(float(matrix[:, 0] @ matrix[:, 1]))
    if abs(turn) > SCALE or skew > SCALE:
        problems.append(f"is turned by {math.degrees(turn):.4f}° or skewed")
    return Pose(matrix=matrix), problems


def frame(page: Content) -> Box | None:
    """The largest stroked box of the frame's line width on the paper: the edge of the live area.

    The panel's own edge is thicker and may reach beyond the paper.
    """
    boxes = [
        s.box
        for s in page.shapes
        if s.stroked
        and not s.filled
        and s.closed
        and not s.curves
        and len(s.points) in {4, 5}
        and FRAME_LINE[0] <= s.width <= FRAME_LINE[1]
        and _square(s)
    ]
    boxes = [b for b in boxes if b[0] > 0 and b[1] > 0 and b[2] < page.width and b[3] < page.height]
    return max(boxes, key=lambda b: (b[2] - b[0]) * (b[3] - b[1]), default=None)


def _square(shape: Shape) -> bool:
    """True when every side runs along the page."""
    ends = [*shape.points[1:], shape.points[0]]
    sides = zip(shape.points, ends, strict=True)
    return all(min(abs(a[0] - b[0]), abs(a[1] - b[1])) < SIZE_MM for a, b in sides)
