"""The two templates of a panel as a pair: both measured, and laid on top of each other.

Whoever drills from one side and checks from the other must meet the same holes. Each finished file is
measured by itself through its own registration marks; only then are the two compared.
"""

from __future__ import annotations

import math
from pathlib import Path

from generators.model.plan import PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import Face
from generators.verify.pdf.content import Content, UnreadablePdfError, as_circle, printed, read_pdf
from generators.verify.pdf.template.pose import frame, is_final, labelled_marks, page_pose, print_matrix
from generators.verify.readback import ReadBack

PAIR_MM = 0.01
SEARCH_MM = 1.0
Found = dict[str, tuple[float, float, float]]


def measured_holes(path: Path, layout: PanelLayout, face: Face, printer: PaperPrinter | None) -> Found:
    """Centre and diameter (u, v, d in mm) of each hole on the sheets of one face, by number.

    Panel coordinates come from the sheet's marks; ``layout`` says only which circle has which number,
    up to 1 mm off. Raises ``UnreadablePdfError``.
    """
    found: Found = {}
    apart: dict[str, float] = {}
    for drawn in read_pdf(path).pages:
        page: Content = printed(drawn, print_matrix(drawn, printer)) if printer is not None else drawn
        circles = [c for c in map(as_circle, page.shapes) if c is not None]
        pose, _ = page_pose(labelled_marks(page, circles), face)
        rim = frame(page)
        if pose is None or rim is None:
            continue
        for c in circles:
            if not is_final(c.shape) or not (rim[0] < c.x < rim[2] and rim[1] < c.y < rim[3]):
                continue
            u, v = pose.panel(c.x, c.y)
            for hole in layout.holes:
                off, wider = math.hypot(hole.u_mm - u, hole.v_mm - v), abs(hole.final_dia_mm - c.diameter)
                # two holes of a waived job may be nearer than that: the nearer circle is its own
                if max(off, wider) < SEARCH_MM and off + wider < apart.get(hole.number, math.inf):
                    found[hole.number], apart[hole.number] = (u, v, c.diameter), off + wider
    return found


def pair_reading(
    cab: Path,
    engine: Path,
    layout: PanelLayout,
    *,
    rel: str,
    printer: PaperPrinter | None = None,
    engine_layout: PanelLayout | None = None,
) -> ReadBack:
    """Mirrored engine-side holes against the cab-side ones, to 0.01 mm in place and diameter.

    Round a fold the two faces are developed over different radii: then ``engine_layout`` says where the
    engine face has what ``layout`` has in the cab, and the difference between the two is allowed for.
    """
    shift = _shifts(layout, engine_layout or layout)
    try:
        near = measured_holes(cab, layout, "cab", printer)
        far = measured_holes(engine, engine_layout or layout, "engine", printer)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    problems = [
        f"hole {number} is on the {here} template only"
        for here, one, other in (("cab", near, far), ("engine", far, near))
        for number in one
        if number not in other
    ]
    worst = 0.0
    for number in sorted(near.keys() & far.keys()):
        a, b = near[number], far[number]
        du, dv = shift[number]
        apart = math.hypot(a[0] + du - b[0], a[1] + dv - b[1])
        worst = max(worst, apart)
        if apart > PAIR_MM:
            problems.append(f"hole {number} is {apart:.3f} mm elsewhere on the engine template")
        if abs(a[2] - b[2]) > PAIR_MM:
            problems.append(
                f"hole {number} is Ø{a[2]:.2f} on the cab template, Ø{b[2]:.2f} on the engine one"
            )
    both = len(near.keys() & far.keys())
    fact = f"cab and mirrored engine holes agree to {worst:.4f} mm, {both} holes"
    return ReadBack(path=rel, facts=(fact,), problems=tuple(problems))


def _shifts(cab: PanelLayout, engine: PanelLayout) -> dict[str, tuple[float, float]]:
    """How far each hole lies elsewhere on the engine face's sheet, in mm; nothing on a flat panel."""
    there = {h.number: h for h in engine.holes}
    return {
        h.number: (there[h.number].u_mm - h.u_mm, there[h.number].v_mm - h.v_mm)
        for h in cab.holes
        if h.number in there
    }
