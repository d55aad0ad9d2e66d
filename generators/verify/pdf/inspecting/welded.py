"""What is read before a part is welded and what once it is, from the plan alone, for sheet and drawing."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np

from generators.geometry.contours import polyline
from generators.model.plan import PartPlan
from generators.verify.pdf.inspecting.rows import BETWEEN, OVER, TO_END, Row
from generators.verify.pdf.rebuild.weld_gaps import near_points

FLAT = {120: 0.5, 400: 1.0, 1000: 1.5, 2000: 2.0}
"""ISO 13920 class E by length, mm, written down anew (from memory)."""

BEFORE = "BDLRV"
"""Letters of what is read on the bent part before it is welded; ``B1W`` and ``L1W`` are read again."""

AGAIN = re.compile(r"[BL]\d+W")
ROUNDED_MM, OFF = 0.05, 1e-6
WELDED = re.compile(
    r"ONCE WELDED and cool (?P<names>[a-z0-9 ,]+): outside lengths ±(?P<long>[\d.]+) mm, angles of "
    r"their bends ±(?P<turn>[\d.]+)°(?:; lower side of (?P<face>[a-z0-9 ]+) flat within (?P<flat>[\d.]+) mm "
    r"\(ISO 13920 E\))?; straighten what the weld pulled\."
)


def welded_names(plan: PartPlan) -> list[str]:
    """The flanges that a weld is on, as people read them, in the plan's order."""
    met = {name for pair in plan.welds if near_points(plan, *pair) is not None for name in pair}
    for flange in plan.flanges:
        rings = [h.finish.ring for h in flange.holes if h.finish is not None and h.finish.ring is not None]
        if any(ring.welded for ring in rings):
            met.add(flange.name)
    return [flange.name.replace("_", " ") for flange in plan.flanges if flange.name in met]


def flat_side(plan: PartPlan, feet: object) -> tuple[str, float] | None:
    """The root, where it is welded and bolted down by itself, and how flat it must be, mm."""
    root = plan.flanges[0]
    shown = root.name.replace("_", " ")
    mates = any(o.mates for o in root.openings)
    if feet is not None or not mates or shown not in welded_names(plan):
        return None
    long = float(np.ptp(np.array(polyline(root.contour, ROUNDED_MM)), axis=0).max())
    return shown, next((by for to, by in FLAT.items() if long <= to), FLAT[2000])


def stage_problems(rows: Sequence[Row], plan: PartPlan) -> Iterator[str]:
    """Rows under another heading than they are measured at, and those read again that are missing."""
    names = welded_names(plan)
    for row in rows:
        if row.stage is None:
            continue
        early = row.key[0].isdigit() or (row.key[0] in BEFORE and AGAIN.fullmatch(row.key) is None)
        wanted = (bool(names), bool(names) and not early)
        if row.stage != wanted:
            when = "after" if row.stage[1] else "before" if row.stage[0] else "without"
            yield f"item {row.key} stands {when} welding"
    first = {row.key: row for row in rows}
    for key, row in first.items():
        if AGAIN.fullmatch(key):
            if key[:-1] not in first or first[key[:-1]].what != row.what:
                yield f"item {key}: {row.what!r} is not what {key[:-1]} is"
            continue
        ends = BETWEEN.fullmatch(row.what)
        own = OVER.fullmatch(row.what) or TO_END.fullmatch(row.what)
        read = set(ends.groups() if ends else own.groups()[:1] if own else ())
        if bool(read & set(names)) != (f"{key}W" in first):
            yield f"item {key} is {'not ' if read & set(names) else ''}read again once welded"


def welded_problems(text: str, plan: PartPlan, feet: object) -> Iterator[str]:
    """What is wrong with what a drawing says of the welded part."""
    names, said = welded_names(plan), WELDED.search(text)
    if said is None or not names:
        if names or said is not None:
            yield f"of the part once welded the drawing says {said and said[0]}; welded are {names or 'none'}"
        return
    if said["names"].split(", ") != names:
        yield f"the drawing names {said['names']} as welded; that is {', '.join(names)}"
    for what, wanted in (("long", plan.bent_mm), ("turn", math.degrees(plan.bent_rad))):
        if abs(float(said[what]) - wanted) > OFF * max(1.0, wanted) * 10:
            yield f"once welded ±{said[what]}; by the plan ±{wanted:g}"
    flat = flat_side(plan, feet)
    found = (said["face"], float(said["flat"])) if said["face"] else None
    if found != flat:
        yield f"once welded flat is {found or 'no face'}; it is {flat or 'none'}"
