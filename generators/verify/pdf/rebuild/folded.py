"""Sizes of the folded part on a finished drawing: outside lengths of flanges, and where its pivots lie."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.geometry.frames import apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.content import PdfFile
from generators.verify.pdf.rebuild.legs import outside

SQUARE = 1e-6
LEAST_MM = 0.005
PIVOT = "pivot"


def folded_problems(pdf: PdfFile, plan: PartPlan) -> Iterator[str]:
    """Outside lengths and places of pivots no view gives.

    Views look along the axes of the root flange, so bends across them are asked for alone.
    """
    if not plan.bends:
        return
    said = {word.text.strip() for page in pdf.pages for word in page.words}
    frames = folded_frames(plan)

    def axis(bend: Bend) -> int | None:
        """Which axis of the root a bend runs along."""
        length = math.dist(bend.start, bend.end)
        line = [(b - a) / length for a, b in zip(bend.start, bend.end, strict=True)]
        along = np.abs(frames[bend.parent][:3, :3] @ np.array([*line, 0.0]))
        return int(along.argmax()) if along.max() > 1 - SQUARE else None

    for flange in plan.flanges:
        for way in range(3):
            own = [
                b
                for b in plan.bends
                if flange.name in (b.parent, b.child) and axis(b) == way and b.angle_rad < math.pi - SQUARE
            ]
            length = outside(flange, own, plan.thickness_mm) if own else None
            if length is not None and _short(length) not in said:
                yield f"no view gives {flange.name.replace('_', ' ')} {_short(length)} outside"
    places = {
        (round(float(p[1]), 3), round(float(p[2]), 3))
        for f in plan.flanges[1:]
        if abs(float(frames[f.name][0, 2])) > 1 - SQUARE
        for hole in f.holes
        if hole.name.startswith(PIVOT)
        for p in apply(frames[f.name], np.array([(hole.u_mm, hole.v_mm, 0.0)]))
    }
    if len(places) == 1:
        ((v, w),) = places
        for what, value in (
            ("off the face", w),
            ("over the lower edge", v - bounds(plan.flanges[0].contour)[1]),
        ):
            if abs(value) >= LEAST_MM and _short(abs(value)) not in said:
                yield f"no view gives the pivots {_short(abs(value))} {what} of the {plan.flanges[0].name}"


def _short(value: float) -> str:
    text = fixed(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text
