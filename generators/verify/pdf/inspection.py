"""A finished inspection sheet, read from the file alone and held against the plan.

Nothing of the writer is used: distances are taken anew on the blank, or between faces of the bent part,
limits from the tolerances of holes and from what the shop's drawing allows.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from generators.geometry.contours import bounds, polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.folding import FlatPattern, flat_pattern, folded_frames
from generators.standards import CUT_HOLE, general_hole_tolerance, material
from generators.units import UnitSystem
from generators.verify.pdf.content import PdfFile, UnreadablePdfError, read_pdf, says
from generators.verify.pdf.inspecting.asked import title_problems
from generators.verify.pdf.inspecting.complete import missing
from generators.verify.pdf.inspecting.edges import near_limits
from generators.verify.pdf.inspecting.finishes import wanted_rows
from generators.verify.pdf.inspecting.leaning import height_limits, leaning_rows, stacked
from generators.verify.pdf.inspecting.marks import mark_problems
from generators.verify.pdf.inspecting.rows import (
    AGAIN,
    BETWEEN,
    DISTANCE,
    EDGE,
    FINISHED,
    HEIGHT,
    NEAR,
    OVER,
    SLOT_EDGE,
    THREAD,
    TO_END,
    Row,
    read_rows,
)
from generators.verify.pdf.inspecting.said import said_problems
from generators.verify.pdf.inspection_map import map_problems
from generators.verify.pdf.rebuild.weld_gaps import sheet_off_mm
from generators.verify.readback import ReadBack

TITLE = "INSPECTION SHEET"
CAUTIONS = (
    "have the work checked by a licensed mechanic and follow local codes",
    "is not fitted: set it apart",
)
INCH_MM = 25.4
SQUARE_RAD = math.radians(0.01)
CHORD_MM = 0.001

Limits = tuple[float, float, float] | None
"""What is wanted: nominal, least, most, in mm or degrees."""


def read_inspection_sheet(
    path: Path,
    plan: PartPlan,
    *,
    job_title: str,
    revision: str,
    rel: str,
    units: UnitSystem = "metric",
    pulled: Sequence[str] = (),
    contact: str = "",
    date: str = "",
) -> ReadBack:
    """Read a finished inspection sheet; a file that cannot be read is a problem, not an exception."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    flat = flat_pattern(plan)
    problems = [*_words(pdf, plan, job_title, revision, units)]
    problems += title_problems(pdf.pages, plan, contact, date)
    rows, faults = read_rows(pdf)
    problems += faults
    problems += [p for row in rows for p in _row(row, plan, flat, units)]
    problems += [p for row in rows for p in said_problems(row, plan, flat, units)]
    problems += missing(rows, plan, flat)
    again = sorted(row.key[1:] for row in rows if AGAIN.fullmatch(row.key))
    if again != sorted(pulled):
        lay = ", ".join(sorted(pulled)) or "none"
        problems.append(f"measured again once bent: {', '.join(again) or 'none'}; over the open V lay {lay}")
    if pdf.pages:
        problems += map_problems(pdf.pages[0], flat)
        problems += mark_problems(pdf.pages[0], rows, plan)
    facts = (f"{len(rows)} items measured anew on the plan",)
    return ReadBack(path=rel, facts=facts, problems=tuple(dict.fromkeys(problems)))


def _words(pdf: PdfFile, plan: PartPlan, job_title: str, revision: str, units: UnitSystem) -> Iterator[str]:
    for number, page in enumerate(pdf.pages, 1):
        text = page.text
        for what, word in (
            ("title", TITLE),
            ("job", job_title),
            ("part", f"part {plan.name}"),
            ("revision", revision),
            *(("caution", c) for c in CAUTIONS),
            ("count", f"sheet {number} of {len(pdf.pages)}"),
        ):
            if not says(text, word):
                yield f"sheet {number} does not give the {what} {word!r}"
    first = pdf.pages[0].text if pdf.pages else ""
    unit = f"Lengths are in {'mm' if units == 'metric' else 'inches'}"
    for what, word in (
        ("material", material(plan.material).ordered(bent=bool(plan.bends))),
        ("unit", unit),
        ("hand", "MIRRORED (opposite hand)" if plan.mirrored else ""),
    ):
        if not says(first, word):
            yield f"sheet 1 does not give the {what} {word!r}"
    mates = any(o.mates for flange in plan.flanges for o in flange.openings)
    if says(first, "bolted to holes of a panel") != mates:
        yield f"sheet 1 {'does not speak' if mates else 'speaks'} of holes of a panel"


def _row(row: Row, plan: PartPlan, flat: FlatPattern, units: UnitSystem) -> Iterator[str]:
    if row.filled:
        yield f"item {row.key}: the room to write in is not empty"
    made = wanted_rows(plan).get(row.key)
    if made is not None and made.bent != row.bent:
        yield f"item {row.key} stands {'after' if row.bent else 'before'} bending"
    if made is not None and made.tried is not None:
        yield from _tried(row, made.tried, units)
        return
    if row.key[:1] in ("P", "G"):
        wanted = plan.shaft_mm or 0.0
        if match := THREAD.fullmatch(row.what):
            holes = [h for f in plan.flanges for h in f.holes]
            hole = holes[int(match[2]) - 1] if int(match[2]) <= len(holes) else None
            wanted = hole.fitting.shank_mm if hole is not None and hole.fitting.kind == "tapped" else 0.0
            if hole is None or not match[1].startswith(hole.fitting.label.partition(" ")[0]):
                yield f"item {row.key}: thread {match[1]}, the plan has {hole and hole.fitting.label}"
        yield from _tried(row, wanted, units)
        return
    limits, is_bent = _wanted(row, plan, flat)
    if limits is None:
        yield f"item {row.key}: {row.what!r} is nothing of this part"
        return
    if row.bent != is_bent:
        yield f"item {row.key} stands {'after' if row.bent else 'before'} bending"
    angle = row.nominal.endswith("°")
    one = 1.0 if units == "metric" or angle else INCH_MM
    for name, text, value, inward in zip(
        ("nominal", "least", "most"), (row.nominal, row.least, row.most), limits, (0, 1, -1), strict=True
    ):
        if math.isnan(value):
            if text != "–":
                yield f"item {row.key}: {name} {text} where nobody says one"
            continue
        said = _number(text)
        places = len(text.rstrip("°").partition(".")[2])
        last = 10.0**-places * one
        # the size is rounded to the nearest, what it may be off inward
        off = math.nan if said is None else said * one - value
        low = -0.51 * last - (last if inward < 0 else 0.0)
        high = 0.51 * last + (last if inward > 0 else 0.0)
        if said is None or not low <= off <= high:
            yield f"item {row.key}: {name} {text}, by the plan {value / one:.4f}"


def _tried(row: Row, wanted_mm: float, units: UnitSystem) -> Iterator[str]:
    """What goes through, or in, as the row gives it."""
    said = _number(row.nominal.replace("Ø", ""))
    one = 1.0 if units == "metric" else INCH_MM
    if said is None or abs(said * one - wanted_mm) > 0.006 * one:
        yield f"item {row.key}: {row.nominal} is tried; the plan has {wanted_mm:g} mm"


def _number(text: str) -> float | None:
    try:
        return float(text.strip().rstrip("°"))
    except ValueError:
        return None


def _openings(flat: FlatPattern) -> list[Hole | Slot]:
    return [*flat.holes, *flat.slots]


def _width(item: Hole | Slot) -> tuple[float, float, float]:
    """Width of an opening, and how far it may be off."""
    tolerance = item.tolerance or CUT_HOLE
    wide = item.diameter_mm if isinstance(item, Hole) else item.width_mm
    return wide, tolerance.lower_mm, tolerance.upper_mm


def _wanted(row: Row, plan: PartPlan, flat: FlatPattern) -> tuple[Limits, bool]:
    """What the plan says of an item, and whether it is there only after bending."""
    made = wanted_rows(plan).get(row.key)
    if made is not None:
        return (made.nominal, made.least, made.most), made.bent
    if match := SLOT_EDGE.fullmatch(row.what):
        return _slot_rim(plan, flat, int(match[1]) - 1, match[2]), False
    if NEAR.fullmatch(row.what):
        return near_limits(row.what, plan, flat), False
    return _usual(row, plan, flat)


def _usual(row: Row, plan: PartPlan, flat: FlatPattern) -> tuple[Limits, bool]:
    items = _openings(flat)
    u0, v0, u1, v1 = bounds(flat.contour)
    if row.key == "T":
        t, (low, high) = plan.thickness_mm, sheet_off_mm(plan)
        return (t, t + low, t + high), False
    if row.key in ("S1", "S2"):
        long, p = (u1 - u0 if row.key == "S1" else v1 - v0), plan.position_mm
        return ((long, long - p, long + p) if plan.bends else _over_all(long, plan.tolerance)), False
    number = re.fullmatch(r"R?(\d+)(L?)", row.key)
    if number and 1 <= int(number[1]) <= len(items):
        item = items[int(number[1]) - 1]
        if number[2]:
            long = item.width_mm + item.travel_mm if isinstance(item, Slot) else math.nan
            return _over_all(long, plan.tolerance), False
        wide, lower, upper = _width(item)
        return (wide, wide + lower, wide + upper), row.key[0] == "R"
    if match := FINISHED.fullmatch(row.key):
        return _finished(plan, int(match[1]) - 1)
    if (match := EDGE.fullmatch(row.what)) and 1 <= int(match[1]) <= len(items):
        item = items[int(match[1]) - 1]
        wide, lower, upper = _width(item)
        far = (item.u_mm - u0 if match[2] == "left" else item.v_mm - v0) + wide / 2
        p = plan.position_mm
        return (far, far + lower / 2 - p, far + upper / 2 + p), False
    if match := DISTANCE.fullmatch(row.what):
        return _distance(plan, flat, int(match[1]) - 1, int(match[2]) - 1)
    return _of_folded(row, plan, items), True


def _slot_rim(plan: PartPlan, flat: FlatPattern, index: int, edge: str) -> Limits:
    """The far rim of a slot from an edge of the blank: half its travel and its round end from its middle."""
    slot = dict(enumerate(_openings(flat))).get(index)
    if not isinstance(slot, Slot):
        return None
    u0, v0, _, _ = bounds(flat.contour)
    share = abs((math.cos if edge == "left" else math.sin)(slot.angle_rad))
    middle = slot.u_mm - u0 if edge == "left" else slot.v_mm - v0
    far = middle + (share * slot.travel_mm + slot.width_mm) / 2
    wide, lower, upper = _width(slot)
    _, least, most = _over_all(wide + slot.travel_mm, plan.tolerance) or (0.0, math.nan, math.nan)
    size = wide + slot.travel_mm
    ends = [w if math.isnan(x) else x - size for x, w in ((least, lower), (most, upper))]
    down, up = (share * e / 2 + (1 - share) * w / 2 for e, w in zip(ends, (lower, upper), strict=True))
    return far, far + down - plan.position_mm, far + up + plan.position_mm


def _over_all(size: float, tolerance: str) -> Limits:
    general = general_hole_tolerance(size, tolerance)
    if general is None:
        return size, math.nan, math.nan
    return size, size + general.lower_mm, size + general.upper_mm


def _finished(plan: PartPlan, index: int) -> tuple[Limits, bool]:
    """A hole as it is in the end, where it is cut otherwise."""
    holes = [h for f in plan.flanges for h in f.holes]
    finish = holes[index].finish if index < len(holes) else None
    if finish is None or finish.tolerance is None:
        return None, False
    low, high = finish.tolerance.limits_mm(holes[index].diameter_mm)
    return (holes[index].diameter_mm, low, high), finish.bent


def _owners(plan: PartPlan) -> list[str]:
    holes = [f.name for f in plan.flanges for _ in f.holes]
    return holes + [f.name for f in plan.flanges for _ in f.slots]


def _own(plan: PartPlan, index: int) -> Hole | Slot:
    """An opening as its own flange has it."""
    owner = _owners(plan)[index]
    before = _owners(plan)[:index].count(owner)
    flange = plan.flange(owner)
    holes = sum(len(f.holes) for f in plan.flanges)
    return flange.holes[before] if index < holes else flange.slots[before - len(flange.holes)]


def _centre(plan: PartPlan, index: int, frames: dict[str, Matrix]) -> Matrix:
    """The centre of an opening on the lower side of its flange, bent, in the root's frame."""
    owner, item = _owners(plan)[index], _own(plan, index)
    out: Matrix = apply(frames[owner], np.array([[item.u_mm, item.v_mm, 0.0]]))[0]
    return out


def _distance(plan: PartPlan, flat: FlatPattern, one: int, other: int) -> tuple[Limits, bool]:
    items = _openings(flat)
    if max(one, other) >= len(items):
        return None, False
    a, b = items[one], items[other]
    step = np.array([b.u_mm - a.u_mm, b.v_mm - a.v_mm])
    owners = _owners(plan)[one], _owners(plan)[other]
    frames = folded_frames(plan)
    in_plane = [frames[o][2, 2] > 1 - 1e-9 and abs(frames[o][2, 3]) < 1e-6 for o in owners]
    bent = owners[0] != owners[1] and any(
        flush and owner != plan.flanges[0].name for flush, owner in zip(in_plane, owners, strict=True)
    )
    each = 2 * plan.position_mm
    if bent:
        step = (_centre(plan, other, frames) - _centre(plan, one, frames))[:2]
        each += plan.bent_mm
    d = float(np.linalg.norm(step))
    worst = each * float(np.abs(step).sum()) / d
    sizes = [_width(x) for x in (a, b)]
    outer, lower, upper = (sum(s[k] for s in sizes) / 2 for k in range(3))
    return (d + outer, d + outer + lower - worst, d + outer + upper + worst), bent


def _of_folded(row: Row, plan: PartPlan, items: Sequence[Hole | Slot]) -> Limits:
    """An angle, an outside length or a height of the bent part."""
    names = {f.name.replace("_", " "): f.name for f in plan.flanges}
    frames = folded_frames(plan)
    off = plan.bent_mm
    if (leaning := leaning_rows(plan).get(row.what)) is not None:
        return leaning[1:]
    if match := BETWEEN.fullmatch(row.what):
        for bend in plan.bends:
            if {names.get(match[1]), names.get(match[2])} == {bend.parent, bend.child}:
                degrees, within = 180 - math.degrees(bend.angle_rad), math.degrees(plan.bent_rad)
                held = None if row.key.endswith("W") else bend.past_rad
                past = within if held is None else math.degrees(held)
                return degrees, degrees - past, degrees + within
    if (match := OVER.fullmatch(row.what)) and {match[2], match[3]} <= names.keys():
        one, other = names[match[2]], names[match[3]]
        long = max(_off_face(plan, frames, one, _faces(plan, frames, other)[:, :1]))
        return long, long - off, long + off
    if (match := TO_END.fullmatch(row.what)) and {match[1], match[2]} <= names.keys():
        own = plan.flange(names[match[1]])
        ring = np.array(polyline(own.contour, CHORD_MM))
        points = apply(frames[own.name], np.column_stack([ring, np.zeros(len(ring))]))
        long = max(_off_face(plan, frames, names[match[2]], points[None, :, :]))
        return long, long - off, long + off
    match = HEIGHT.fullmatch(row.what)
    if match and 1 <= int(match[1]) <= len(items):
        owner = _owners(plan)[int(match[1]) - 1]
        if stacked(plan, owner):
            item = _own(plan, int(match[1]) - 1)
            return height_limits(plan, owner, item.u_mm, item.v_mm)
        high = float(_centre(plan, int(match[1]) - 1, frames)[2])
        return high, high - off, high + off
    return None


def _faces(plan: PartPlan, frames: dict[str, Matrix], flange: str) -> Matrix:
    """The flange's corner points on its lower and its upper side, shape (2, n, 3)."""
    ring = np.array([(v.u, v.v) for v in plan.flange(flange).contour.vertices])
    sides = [
        apply(frames[flange], np.column_stack([ring, np.full(len(ring), w)]))
        for w in (0.0, plan.thickness_mm)
    ]
    out: Matrix = np.array(sides)
    return out


def _off_face(plan: PartPlan, frames: dict[str, Matrix], flange: str, points: Matrix) -> list[float]:
    """How far the points reach off each side of a flange, mm: the greater is from its outer face."""
    normal = frames[flange][:3, 2]
    return [float(np.abs((points - side[0]) @ normal).max()) for side in _faces(plan, frames, flange)]
