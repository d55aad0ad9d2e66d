"""Sizes of the folded part on a finished drawing: outside lengths of flanges, and where its pivots lie."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator

import numpy as np

from generators.figures import fixed
from generators.geometry.contours import bounds, circle, polyline
from generators.geometry.frames import apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.verify.pdf.content import PdfFile
from generators.verify.pdf.drawing_projection import words_of_views
from generators.verify.pdf.rebuild.legs import outside

SQUARE = 1e-6
LEAST_MM = 0.005
PIVOT = "pivot"
ASIDE = re.compile(r"\((\d+(?:\.\d+)?)\)")
CHORD_MM, ARC_STEPS, OVER_MM = 0.001, 400, 0.03
"""How fine the outline is measured here; sizes over all are taken from chords of 0.02 mm."""


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


def overall_problems(pdf: PdfFile, plan: PartPlan) -> Iterator[str]:
    """Sizes over all that follow from legs, angles and blank, and are not in brackets as such (ISO 129-1).

    A leg as long as the folded part is wide or high says the same.
    """
    if not plan.bends:
        return
    said = [word.text.strip() for page in pdf.pages for word in words_of_views(page)]
    aside = [float(match[1]) for text in said if (match := ASIDE.fullmatch(text))]
    legs = list(_legs(plan))
    over = [long for long in _extents(plan) if all(abs(long - leg) > OVER_MM for leg in legs)]
    u0, v0, u1, v1 = bounds(flat_pattern(plan).contour)
    # the blank's own stand in brackets beside its view
    every = [*over, u1 - u0, v1 - v0]
    for long in over:
        if sum(abs(x - long) < OVER_MM for x in aside) < sum(abs(x - long) < OVER_MM for x in every):
            yield f"the front view does not give {_short(long)} over all in brackets, though it follows"


def _legs(plan: PartPlan) -> Iterator[float]:
    """Outside lengths of flanges from each bend, and between each two on opposite sides, mm."""
    for flange in plan.flanges:
        own = [b for b in plan.bends if flange.name in (b.parent, b.child) and b.angle_rad < math.pi - SQUARE]
        for some in (*((b,) for b in own), *itertools.combinations(own, 2)):
            if (long := outside(flange, some, plan.thickness_mm)) is not None:
                yield long


def _extents(plan: PartPlan) -> tuple[float, float]:
    """How wide and high the folded part is as seen on its root, mm."""
    frames, t = folded_frames(plan), plan.thickness_mm
    points = []
    for flange in plan.flanges:
        rims = [(polyline(flange.contour, CHORD_MM), w) for w in (0.0, t)]
        for hole in flange.holes:
            if hole.finish is not None and (ring := hole.finish.ring) is not None:
                w = t + ring.height_mm if hole.finish.side == "upper" else -ring.height_mm
                rims.append((polyline(circle(hole.u_mm, hole.v_mm, ring.outside_mm), CHORD_MM), w))
        points += [apply(frames[flange.name], np.array([(u, v, w) for u, v in rim])) for rim, w in rims]
    for bend in plan.bends:
        up = bend.direction == "up"
        axis, sign = (t + bend.inside_radius_mm, -1.0) if up else (-bend.inside_radius_mm, 1.0)
        far = bend.inside_radius_mm + t
        arc = [
            (x, -far * math.sin(a), axis + sign * far * math.cos(a))
            for x in (0.0, math.dist(bend.start, bend.end))
            for a in np.linspace(0.0, bend.angle_rad, ARC_STEPS)
        ]
        points.append(apply(frames[bend.child], np.array(arc)))
    wide, high, _ = np.ptp(np.vstack(points), axis=0).tolist()
    return wide, high


def _short(value: float) -> str:
    text = fixed(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text
