"""Welds as a finished drawing says them, held against the folded part: gap, length and leg measured anew."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point, Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, Hole, PartPlan
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.verify.pdf.content import PdfFile
from generators.verify.pdf.weld_signs import Joint, sign_problems

WELD = re.compile(
    r"WELD (?P<number>\d+): edge [a-z]{1,2} to [a-z]{1,2} of (?P<edge>[a-z0-9 ]+) to the "
    r"(?P<face>upper|lower) side of (?P<onto>[a-z0-9 ]+), fillet \(symbol: ISO 2553, system A\), "
    r"leg z(?P<leg>[\d.]+), (?P<long>\d+) mm long, on the "
    r"(?P<side>[a-z ]+) side of [a-z0-9 ]+, after bending\. Gap (?P<gap>[\d.]+) mm; as bent "
    r"(?P<closest>-?[\d.]+) to (?P<widest>[\d.]+) mm along the edge; clamped square (?P<low>[\d.]+) to "
    r"(?P<high>[\d.]+): then tack, then weld\."
)
LIMITED = (
    r"bent by (?P<from>[\d.]+)° to (?P<to>[\d.]+)° once sprung back, never past "
    r"\((?P<faces_from>[\d.]+)° to (?P<faces_to>[\d.]+)° between the faces\)"
    r"(?:, or the gap of WELD (?P<shut>[\d and]+) closes)?\."
)
PAST = re.compile(rf"Bend (?P<names>[a-z0-9 ,]+): {LIMITED}")
LIMITS = "Where a gap is over 1.6 mm make the leg larger by the gap; over 4.8 mm do not weld it"
LEGS = ((6.0, 3.0), (12.0, 5.0), (20.0, 6.0))
"""Least legs by thickness, AWS D1.1, written down anew."""

BLANK = {
    "f": ((6.0, 0.05), (30.0, 0.1), (120.0, 0.15), (400.0, 0.2), (1000.0, 0.3)),
    "m": ((6.0, 0.1), (30.0, 0.2), (120.0, 0.3), (400.0, 0.5), (1000.0, 0.8)),
    "c": ((3.0, 0.2), (6.0, 0.3), (30.0, 0.5), (120.0, 0.8), (400.0, 1.2)),
}
"""What a length of the blank may be off by in a class of ISO 2768-1, written down anew."""

MOVED_MM, FLUSH_MM = 1e-3, 0.01
SAMPLE_MM, GAP_MM, LONG_MM, ANGLE_DEG = 0.25, 0.06, 1.6, 0.006
NEAR_MM = 8.0


def weld_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with the welds a drawing's words give."""
    said = {(m["edge"], m["onto"]): m for m in WELD.finditer(text)}
    wanted = {(a.replace("_", " "), b.replace("_", " ")): (a, b) for a, b in plan.welds}
    for pair in said.keys() - wanted.keys():
        yield f"the drawing welds {pair[0]} to {pair[1]}, which nobody asked for"
    if said and LIMITS not in text:
        yield f"the drawing does not say of its welds: {LIMITS}"
    for pair, (edge, onto) in wanted.items():
        measured = _measured(plan, edge, onto)
        if measured is None:
            continue
        if pair not in said:
            yield f"the drawing says nothing of the weld of {pair[0]} to {pair[1]}"
            continue
        match, (gap, long) = said[pair], measured
        if abs(float(match["gap"]) - gap) > GAP_MM:
            yield f"weld of {pair[0]}: a gap of {match['gap']} mm; folded it is {gap:.2f} mm"
        play = stacked_mm(plan, edge, onto)
        worst = gap + play
        if abs(float(match["high"]) - worst) > GAP_MM:
            yield f"weld of {pair[0]}: up to {match['high']} mm; by the tolerances {worst:.2f} mm"
        if abs(float(match["low"]) - max(gap - play, 0.0)) > GAP_MM:
            yield f"weld of {pair[0]}: from {match['low']} mm; by the tolerances {gap - play:.2f} mm"
        for name, end in zip(("closest", "widest"), bent_limits_mm(plan, edge, onto), strict=True):
            if abs(float(match[name]) - end) > GAP_MM:
                yield f"weld of {pair[0]}: {match[name]} mm at its {name}; by all limits {end:.2f} mm"
        if abs(float(match["long"]) - long) > LONG_MM:
            yield f"weld of {pair[0]}: {match['long']} mm long; folded it is {long:.1f} mm"
        least = min(next((leg for to, leg in LEGS if plan.thickness_mm <= to), 8.0), plan.thickness_mm)
        least += worst if worst > 25.4 / 16 else 0.0
        if not least - 1e-6 <= float(match["leg"]) <= least + 0.5:
            yield f"weld of {pair[0]}: a leg of {match['leg']} mm; by the table {least:.1f} mm"


@lru_cache(maxsize=64)
def stacked_mm(plan: PartPlan, edge: str, onto: str) -> float:
    """By how much bent lengths and the blank widen a gap at worst: it is folded with each bend moved."""
    by_bend = _moved_mm(plan, edge, onto)
    return sum(by_bend.values()) + _blank_mm(plan, edge, onto, by_bend)


def _moved_mm(plan: PartPlan, edge: str, onto: str) -> dict[str, float]:
    """By how much each bend's length widens a gap, those that do."""
    gap = _measured(plan, edge, onto)
    out: dict[str, float] = {}
    for bend in plan.bends if gap is not None else ():
        for by in (plan.bent_mm, -plan.bent_mm):
            found = _near(_bent_off(plan, bend, by), edge, onto)
            if found is not None and gap is not None:
                _, offs, over = found
                wider = float(np.minimum(offs["lower"], offs["upper"])[over].min()) - gap[0]
                if wider > max(MOVED_MM, out.get(bend.name, 0.0)):
                    out[bend.name] = wider
    return out


def _blank_mm(plan: PartPlan, edge: str, onto: str, by_bend: Mapping[str, float]) -> float:
    """How far the edge may be off on the blank, from the bend that moves it and lies farthest off."""
    if not by_bend:
        return 0.0
    farthest = max(_on_blank(plan, edge, onto, b) for b in plan.bends if b.name in by_bend)
    rows = BLANK.get(plan.tolerance.removeprefix("ISO 2768-1 "), BLANK["m"])
    return next((by for to, by in rows if farthest <= to), rows[-1][1])


@lru_cache(maxsize=64)
def bent_limits_mm(plan: PartPlan, edge: str, onto: str) -> tuple[float, float]:
    """The least and the greatest of a gap anywhere along its edge, mm.

    The part is folded with every bend's length and angle at one of its limits, in every combination, and the
    blank comes to it.
    """
    found = _near(plan, edge, onto)
    if found is None:
        return 0.0, 0.0
    points, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    kept = points[over & (near < float(near[over].min()) + FLUSH_MM)]
    ways = []
    for bend in plan.bends:
        past = plan.bent_rad if bend.past_rad is None else bend.past_rad
        own = [
            (bend.name, by, turn) for by in (plan.bent_mm, -plan.bent_mm) for turn in (-plan.bent_rad, past)
        ]
        # a bend that moves neither flange against the other is left out
        moves = [
            np.abs(_at(plan, edge, onto, kept, (way,)) - _at(plan, edge, onto, kept, ())).max() for way in own
        ]
        if max(moves) > MOVED_MM:
            ways.append(own)
    gaps = [_at(plan, edge, onto, kept, each) for each in itertools.product(*ways)]
    blank = _blank_mm(plan, edge, onto, _moved_mm(plan, edge, onto))
    return min(float(g.min()) for g in gaps) - blank, max(float(g.max()) for g in gaps) + blank


def _at(
    plan: PartPlan, edge: str, onto: str, points: Matrix, off: Sequence[tuple[str, float, float]]
) -> Matrix:
    """How far points of the edge's flange lie off the other's faces, with bends off by length and angle."""
    flat = points
    for name, by, turn in off:
        bend = next(b for b in plan.bends if b.name == name)
        plan = _bent_off(plan, bend, by)
        turned = tuple(replace(b, angle_rad=b.angle_rad + turn) if b.name == name else b for b in plan.bends)
        plan = replace(plan, bends=turned)
        flat = flat - np.array([0.0, by]) if bend.child == edge else flat
    frames, t = folded_frames(plan), plan.thickness_mm
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    high = [apply(into, np.column_stack([flat, np.full(len(flat), w)]))[:, 2] for w in (0.0, t)]
    out: Matrix = np.minimum(*[np.maximum(z - t, -z) for z in high])
    return out


def past_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """Bends with limits of their own: the drawing must name each with them, and no other."""
    said = {name.strip(): m for m in PAST.finditer(text) for name in m["names"].split(",")}
    for bend in plan.bends:
        shown = bend.name.replace("_", " ")
        yield from angle_problems(f"bend {shown}", said.pop(shown, None), bend, plan)
    yield from (f"the drawing limits the angle of {name}, which is no bend" for name in said)


def angle_problems(
    where: str, match: re.Match[str] | None, bend: Bend, plan: PartPlan, *, welds: bool = True
) -> Iterator[str]:
    """What is wrong with the limits of an angle as printed, in degrees, and with the welds named for them.

    ``match`` has the groups of ``LIMITED``; None where nothing is said. Without ``welds`` none need be named.
    """
    if bend.past_rad is None:
        if match is not None and match["to"]:
            yield f"{where} is limited to {match['from']}° to {match['to']}°, which nobody asked for"
        return
    low, high = (math.degrees(bend.angle_rad + by) for by in (-plan.bent_rad, bend.past_rad))
    if match is None or not match["to"]:
        yield f"{where} does not say that it may be {low:g}° to {high:g}° only"
        return
    if max(abs(float(match["from"]) - low), abs(float(match["to"]) - high)) > ANGLE_DEG:
        yield f"{where}: {match['from']}° to {match['to']}°; it may be {low:g}° to {high:g}°"
    # the inside of what is bent by 89 to 90 degrees measures 91 to 90
    open_low, open_high = 180 - high, 180 - low
    if max(abs(float(match["faces_from"]) - open_low), abs(float(match["faces_to"]) - open_high)) > ANGLE_DEG:
        said = f"{match['faces_from']}° to {match['faces_to']}°"
        yield f"{where}: {said} between the faces; that is {open_low:g}° to {open_high:g}°"
    if not welds:
        return
    closing = {str(n) for n, (edge, onto) in enumerate(_met(plan), 1) if _shuts(plan, bend, edge, onto)}
    if set((match["shut"] or "").replace("and", " ").split()) != closing:
        yield f"{where}: past its angle it closes the gap of {', '.join(sorted(closing)) or 'no weld'}"


def _met(plan: PartPlan) -> list[tuple[str, str]]:
    return [pair for pair in plan.welds if _near(plan, *pair) is not None]


def _shuts(plan: PartPlan, bend: Bend, edge: str, onto: str) -> bool:
    """True where a weld's gap is less somewhere with the bend a degree past its angle."""
    found = _near(plan, edge, onto)
    if found is None:
        return False
    points, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    kept = points[over & (near < float(near[over].min()) + 0.1)]
    past = _at(plan, edge, onto, kept, ((bend.name, 0.0, math.radians(1)),))
    return float((_at(plan, edge, onto, kept, ()) - past).max()) > GAP_MM


def _bent_off(plan: PartPlan, bend: Bend, by: float) -> PartPlan:
    """The plan bent along a line ``by`` farther out on the blank: the one leg longer, the other shorter."""
    along = np.array(bend.end) - np.array(bend.start)
    u, v = np.array([along[1], -along[0]]) / np.linalg.norm(along) * by

    def moved(b: Bend, du: float, dv: float) -> Bend:
        start, end = ((p[0] + du, p[1] + dv) for p in (b.start, b.end))
        return replace(b, start=start, end=end)

    def shorter(f: Flange) -> Flange:
        vertices = tuple(replace(p, v=p.v - by) for p in f.contour.vertices)
        return replace(f, contour=replace(f.contour, vertices=vertices))

    return replace(
        plan,
        flanges=tuple(shorter(f) if f.name == bend.child else f for f in plan.flanges),
        bends=tuple(
            moved(b, float(u), float(v)) if b is bend else moved(b, 0.0, -by) if b.parent == bend.child else b
            for b in plan.bends
        ),
    )


def _on_blank(plan: PartPlan, edge: str, onto: str, bend: Bend) -> float:
    """How far the welded edge lies off a bend's line on the blank."""
    flat = flat_pattern(plan)
    line = next(strip.middle for strip in flat.bends if strip.bend.name == bend.name)
    found = _near(plan, edge, onto)
    if found is None:
        return 0.0
    points, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    own = points[over & (near < float(near[over].min()) + 0.1)]
    at = [flat.placements[edge].apply(float(u), float(v)) for u, v in own]
    return float(np.mean([_off_line(p, line) for p in at]))


def _off_line(point: tuple[float, float], line: tuple[tuple[float, float], tuple[float, float]]) -> float:
    """Distance from a line, endless both ways."""
    (x0, y0), (x1, y1) = line
    across = (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)
    return abs(across) / float(np.hypot(x1 - x0, y1 - y0))


def weld_sign_problems(pdf: PdfFile, plan: PartPlan) -> Iterator[str]:
    """What is wrong with a drawing's welding symbols: each must say what its line of words says, and point at
    the joint as the part is folded; so must that of each boss, by its hole, and that of alike weld nuts."""
    joints: list[Joint] = []
    wanted = {(a.replace("_", " "), b.replace("_", " ")): (a, b) for a, b in plan.welds}
    for match in WELD.finditer(" ".join(page.text for page in pdf.pages)):
        pair = wanted.get((match["edge"], match["onto"]))
        walked = None if pair is None else _walked(plan, *pair)
        if walked is None or match["number"] in {j.tail.removeprefix("WELD ") for j in joints}:
            continue
        sides = [s for s in ("lower", "upper") if s in match["side"]] or ["lower", "upper"]
        joints.append(
            Joint(
                tail=f"WELD {match['number']}",
                size=f"z{match['leg']}",
                length=match["long"],
                both_sides=match["side"] == "lower and upper",
                all_round=False,
                points=np.vstack([walked[s] for s in sides]),
            )
        )
    yield from sign_problems(pdf, plan, [*joints, *_bosses(plan), *_nuts(plan)])


def _bosses(plan: PartPlan) -> Iterator[Joint]:
    """The foot of each boss that is welded on, all round."""
    frames = folded_frames(plan)
    holes = [(f, h) for f in plan.flanges for h in f.holes]
    for number, (flange, hole) in enumerate(holes, 1):
        finish = hole.finish
        if finish is None or finish.ring is None or not finish.ring.welded:
            continue
        foot = _circle(hole, finish.ring.outside_mm, plan.thickness_mm if finish.side == "upper" else 0.0)
        yield Joint(
            tail=f"hole {number}",
            size=f"a{finish.ring.weld_mm:g}",
            length="",
            both_sides=False,
            all_round=True,
            points=apply(frames[flange.name], foot),
        )


def _nuts(plan: PartPlan) -> Iterator[Joint]:
    """The holes of alike weld nuts on one face of a flange: a circle on the line, and process 23."""
    frames = folded_frames(plan)
    alike: dict[tuple[str, str, str], list[tuple[int, Hole]]] = {}
    for number, (flange, hole) in enumerate(((f, h) for f in plan.flanges for h in f.holes), 1):
        finish = hole.finish
        if finish is not None and finish.kind == "weld_nut" and finish.fitted is not None:
            alike.setdefault((flange.name, finish.side, finish.fitted.item), []).append((number, hole))
    for (name, side, _), own in alike.items():
        w = plan.thickness_mm if side == "upper" else 0.0
        numbers = ", ".join(str(n) for n, _ in own)
        yield Joint(
            tail=f"{'holes' if len(own) > 1 else 'hole'} {numbers}: ISO 4063-23",
            size="",
            length="",
            both_sides=False,
            all_round=False,
            points=apply(frames[name], np.vstack([_circle(h, h.diameter_mm, w) for _, h in own])),
            spot=True,
        )


def _circle(hole: Hole, diameter_mm: float, w: float) -> Matrix:
    """Points round a hole on a face of its flange."""
    turns = np.linspace(0.0, 2 * np.pi, 361)
    u, v = hole.u_mm + diameter_mm / 2 * np.cos(turns), hole.v_mm + diameter_mm / 2 * np.sin(turns)
    return np.column_stack([u, v, np.full(len(turns), w)])


def _walked(plan: PartPlan, edge: str, onto: str) -> dict[str, Matrix] | None:
    """Points along the joint on each face of the edge's flange, in the root's frame."""
    found = _near(plan, edge, onto)
    if found is None:
        return None
    frames, (flat, offs, over) = folded_frames(plan), found
    near = np.minimum(offs["lower"], offs["upper"])
    kept = flat[over & (near < float(near[over].min()) + 0.1)]
    return {
        face: apply(frames[edge], np.column_stack([kept, np.full(len(kept), w)]))
        for face, w in (("lower", 0.0), ("upper", plan.thickness_mm))
    }


def _measured(plan: PartPlan, edge: str, onto: str) -> tuple[float, float] | None:
    """Least distance of rim points of one flange to the other's faces, and the length they are that near."""
    found = _near(plan, edge, onto)
    if found is None:
        return None
    _, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    gap = float(near[over].min())
    return max(gap, 0.0), float(np.sum(over & (near < gap + 0.1))) * SAMPLE_MM


def _near(plan: PartPlan, edge: str, onto: str) -> tuple[Matrix, dict[str, Matrix], NDArray[np.bool_]] | None:
    """Points walked along the outline of the edge's flange, how far each is from the other's faces on both
    its own, and which lie over the other's metal; None where none comes near.
    """
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    ground = Polygon(polyline(plan.flange(onto).contour, 0.05))
    ring = Polygon(polyline(plan.flange(edge).contour, 0.05)).exterior
    along = np.arange(0.0, ring.length, SAMPLE_MM)
    flat = np.array([ring.interpolate(s).coords[0] for s in along])
    t = plan.thickness_mm
    offs, carried = {}, []
    for face, w in (("lower", 0.0), ("upper", t)):
        there = apply(into, np.column_stack([flat, np.full(len(flat), w)]))
        carried.append(there)
        offs[face] = np.maximum(there[:, 2] - t, -there[:, 2])
    near = np.minimum(offs["lower"], offs["upper"])
    middle = (carried[0] + carried[1]) / 2
    over = np.array([ground.contains(Point(p[0], p[1])) for p in middle])
    return (flat, offs, over) if np.any(over & (near < NEAR_MM)) else None
