"""Rows of what leans or stands between others: lengths at oblique bends, openings in leaning flanges, webs.

Found from the planes of the folded part's faces alone; limits by turning and moving what is measured.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

import numpy as np

from generators.figures import fixed
from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Hole, PartPlan, Slot
from generators.sheetmetal.folding import folded_frames
from generators.standards import CUT_HOLE
from generators.verify.pdf.inspecting.rows import outside

SQUARE_RAD, ALIKE, CHORD_MM = math.radians(0.01), 1e-6, 0.001
FLAT_SINE = 0.02
"""Faces nearer to parallel than about a degree: no height of one shows over the other."""

PARALLELS, EDGES, RIMS = (
    "height gauge, on parallels",
    "height gauge, straightedges",
    "height gauge, both rims",
)
TWO = 2
HEIGHTS = re.compile(r"\bH (of \d[0-9a-z .,:;-]*?), by angles and lengths\.")
OF_THESE = re.compile(r"of (\d+(?:(?:, | and | to )\d+)*): (-?\d+\.\d+) to (-?\d+\.\d+)")
PRINTED_MM = 0.0152
"""Limits are rounded inward to 0.01 mm, from a height rounded to 0.01 mm."""

Row = tuple[str, float, float, float]
"""Instrument, and nominal, least and most in mm."""

Plane = tuple[Matrix, Matrix]
"""A point of an outer face, and the way from it into the metal."""


@lru_cache(maxsize=64)
def leaning_rows(plan: PartPlan) -> Mapping[str, Row]:
    """Every such length by the words beside it."""
    if plan.printed or not plan.bends:
        return {}
    return {words: row for flange in plan.flanges for words, row in _of_flange(plan, flange.name)}


def leans(plan: PartPlan, flange: str) -> bool:
    """Whether openings of a flange have a height over the root."""
    across = folded_frames(plan)[flange][:2, 2]
    return flange != plan.flanges[0].name and float(np.linalg.norm(across)) >= FLAT_SINE


def stacked(plan: PartPlan, flange: str) -> bool:
    """Whether a bend that is not square lies between the root and a flange."""
    return any(abs(b.angle_rad - math.pi / 2) > SQUARE_RAD for b in _way_to(plan, flange))


def _of_flange(plan: PartPlan, flange: str) -> Iterator[tuple[str, Row]]:
    groups: list[list[Bend]] = []
    for bend in plan.bends:
        if flange in (bend.parent, bend.child) and bend.angle_rad < math.pi - ALIKE:
            way = _out(bend, flange)
            same = (g for g in groups if abs(_cross(way, _out(g[0], flange))) < ALIKE)
            own = next(same, None)
            if own is None:
                groups.append([bend])
            else:
                own.append(bend)
    for own in groups:
        if any(abs(b.angle_rad - math.pi / 2) > SQUARE_RAD for b in own):
            yield from _oblique(plan, flange, own)
        elif (
            len(own) == TWO and _ends(plan, flange, own) is not None and own[0].direction == own[1].direction
        ):
            yield from _on_web(plan, flange, own)


def _cross(a: Sequence[float], b: Sequence[float]) -> float:
    return a[0] * b[1] - a[1] * b[0]


def _out(bend: Bend, flange: str) -> tuple[float, float]:
    """Out of a flange over its bend, in the flange's frame."""
    if flange == bend.child:
        return 0.0, -1.0
    long = math.dist(bend.start, bend.end)
    return (bend.end[1] - bend.start[1]) / long, (bend.start[0] - bend.end[0]) / long


def _other(bend: Bend, flange: str) -> str:
    return bend.parent if bend.child == flange else bend.child


def _said(name: str) -> str:
    return name.replace("_", " ")


def _outer(plan: PartPlan, flange: str, bend: Bend) -> Plane:
    frame = folded_frames(plan)[flange]
    up = bend.direction == "up"
    point = apply(frame, np.array([[0.0, 0.0, 0.0 if up else plan.thickness_mm]]))[0]
    return point, frame[:3, 2] if up else -frame[:3, 2]


def _meet(one: Plane, other: Plane) -> Matrix:
    """A point of the line where two planes cross."""
    fold = np.cross(one[1], other[1])
    sides = np.array([one[1], other[1], fold])
    out: Matrix = np.linalg.solve(sides, np.array([one[0] @ one[1], other[0] @ other[1], one[0] @ fold]))
    return out


def _ends(plan: PartPlan, flange: str, own: Sequence[Bend]) -> Bend | None:
    """Of the bends of a flange along one line the one at the other end from the first."""
    frame = folded_frames(plan)[flange]
    out = frame[:3, :2] @ np.array(_out(own[0], flange))

    def corner(bend: Bend) -> float:
        met = _meet(_outer(plan, flange, bend), _outer(plan, _other(bend, flange), bend))
        return float(met @ out)

    if any(math.sin(b.angle_rad) < ALIKE for b in own):
        return None
    far = min(own[1:], key=lambda b: round(corner(b), 9), default=None)
    return far if far is not None and corner(own[0]) - corner(far) > ALIKE else None


def _oblique(plan: PartPlan, flange: str, own: Sequence[Bend]) -> Iterator[tuple[str, Row]]:
    far = _ends(plan, flange, own)
    if len(own) > 1 and far is None:
        return
    from_bend = own[0]
    if far is not None:
        # a square one first, else the one towards the root
        pair = [own[0], far]
        square = [b for b in pair if abs(b.angle_rad - math.pi / 2) <= SQUARE_RAD]
        toward = [b for b in square or pair if b.child == flange]
        from_bend = (toward or square or pair)[0]
        far = next(b for b in pair if b is not from_bend)
    if math.sin(from_bend.angle_rad) < FLAT_SINE:
        return
    beside = _other(from_bend, flange)
    head = f"{_said(flange)}, over {outside(plan, (beside, from_bend))}"
    frame = folded_frames(plan)[flange]
    if far is None:
        words = f"{head} laid on parallels to the highest edge of its far end"
        ring = np.array(polyline(plan.flange(flange).contour, CHORD_MM))
        points = np.vstack(
            [apply(frame, np.column_stack([ring, np.full(len(ring), w)])) for w in (0.0, plan.thickness_mm)]
        )
        yield words, (PARALLELS, *_turned(plan, flange, from_bend, points))
        return
    beyond = _other(far, flange)
    words = f"{head} to where edges laid on {outside(plan, (flange, far), (beyond, far))} cross"
    point = _meet(_outer(plan, flange, far), _outer(plan, beyond, far))
    yield words, (EDGES, *_turned(plan, flange, from_bend, point[None, :]))


def _turned(plan: PartPlan, flange: str, bend: Bend, points: Matrix) -> tuple[float, float, float]:
    """How far the highest of some points is off the outer face beside, nominal, at least and at most."""
    own, beside = _outer(plan, flange, bend), _outer(plan, _other(bend, flange), bend)
    corner, angle = _meet(own, beside), bend.angle_rad
    # along the flange from the corner, and the same along the face beside, on beyond the corner
    along = (beside[1] - math.cos(angle) * own[1]) / math.sin(angle)
    beyond = math.cos(angle) * along - math.sin(angle) * own[1]
    x, z = (points - corner) @ beyond, (points - corner) @ beside[1]

    def highest(by: float) -> float:
        return float((x * math.sin(by) + z * math.cos(by)).max())

    past = plan.bent_rad if bend.past_rad is None else bend.past_rad
    offs = [-plan.bent_rad, 0.0, past]
    if -plan.bent_rad < math.pi / 2 - angle < past:
        offs.append(math.pi / 2 - angle)
    found = [highest(by) + sign * plan.bent_mm * math.sin(angle + by) for by in offs for sign in (-1, 1)]
    return highest(0.0), min(found), max(found)


def _on_web(plan: PartPlan, web: str, own: Sequence[Bend]) -> Iterator[tuple[str, Row]]:
    """The first hole of a web that stays as cut, from the outer faces of the flanges at both its ends."""
    before = 0
    for flange in plan.flanges:
        if flange.name == web:
            break
        before += len(flange.holes)
    cut = [(before + i, h) for i, h in enumerate(plan.flange(web).holes, 1) if h.finish is None]
    if not cut:
        return
    number, hole = cut[0]
    at = apply(folded_frames(plan)[web], np.array([[hole.u_mm, hole.v_mm, 0.0]]))[0]
    tolerance = hole.tolerance or CUT_HOLE
    for bend in own:
        other = _other(bend, web)
        point, inward = _outer(plan, other, bend)
        far = float((at - point) @ inward)
        rims = (far - (hole.diameter_mm + by) / 2 for by in (0.0, tolerance.upper_mm, tolerance.lower_mm))
        near, least, most = rims
        words = f"{_said(web)}, from {outside(plan, (other, bend))} to the near rim of hole {number}"
        off = plan.bent_mm + plan.position_mm
        yield words, (PARALLELS, near, least - off, most + off)


def _way_to(plan: PartPlan, flange: str) -> list[Bend]:
    """The bends from the root to a flange."""
    for bend in plan.bends:
        if bend.child == flange:
            return [*_way_to(plan, bend.parent), bend]
    return []


@lru_cache(maxsize=256)
def height_limits(plan: PartPlan, flange: str, u_mm: float, v_mm: float) -> tuple[float, float, float]:
    """Height over the root of an opening's middle on its flange's outer side: nominal, at least, at most.

    Every bend at either end of its angle's limits, every length on the way at either end of its own.
    """
    way, frames = _way_to(plan, flange), folded_frames(plan)
    start = np.array([u_mm, v_mm, 0.0 if way[-1].direction == "up" else plan.thickness_mm, 1.0])
    links = [np.linalg.inv(frames[b.parent]) @ frames[b.child] for b in way]
    found = []
    for turns in itertools.product((-1, 0, 1), repeat=len(way)):
        step = np.eye(4)
        play = []
        for bend, link, turn in zip(way, links, turns, strict=True):
            # what the length before this bend is off moves the bend out of its parent
            play.append(step[2, :2] @ np.array(_out(bend, bend.parent)))
            step = step @ _farther(plan, bend, turn) @ link
        play = [*play[1:], step[2, 1]]
        at, off = float((step @ start)[2]), plan.bent_mm * sum(abs(float(p)) for p in play)
        found += [at - off, at + off]
    return float((frames[flange] @ start)[2]), min(found), max(found)


def height_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with what a drawing says of heights that angles and lengths stack up to."""
    opened: list[tuple[str, Hole | Slot]] = [(f.name, h) for f in plan.flanges for h in f.holes]
    opened += [(f.name, slot) for f in plan.flanges for slot in f.slots]
    said: dict[int, tuple[float, float]] = {}
    for line in HEIGHTS.finditer(" ".join(text.split())):
        for numbers, low, high in OF_THESE.findall(line[1]):
            for first, last in re.findall(r"(\d+)(?: to (\d+))?", numbers):
                said |= dict.fromkeys(range(int(first), int(last or first) + 1), (float(low), float(high)))
    for number, (flange, item) in enumerate(opened, 1):
        found = said.pop(number, None)
        if not (leans(plan, flange) and stacked(plan, flange)):
            if found is not None:
                yield f"the drawing has H of {number} by angles and lengths, the part by its length alone"
            continue
        _, least, most = height_limits(plan, flange, item.u_mm, item.v_mm)
        wanted = f"{fixed(least, 2)} to {fixed(most, 2)}"
        if found is None:
            yield f"the drawing does not say that H of {number} may be {wanted} by its angles"
        elif max(abs(found[0] - least), abs(found[1] - most)) > PRINTED_MM:
            yield f"the drawing has H of {number} {found[0]} to {found[1]}, it is {wanted}"
    yield from (f"the drawing has H of {number}, which the part has not" for number in said)


def _farther(plan: PartPlan, bend: Bend, turn: int) -> Matrix:
    """In the parent's frame: what lies beyond a bend turned about its corner to an end of its limits."""
    t, sign = plan.thickness_mm, 1.0 if bend.direction == "up" else -1.0
    past = plan.bent_rad if bend.past_rad is None else bend.past_rad
    by = sign * (past if turn > 0 else plan.bent_rad) * turn
    nu, nv = _out(bend, bend.parent)
    back = math.tan(bend.angle_rad / 2) * (bend.inside_radius_mm + t)
    # out of the parent, along the bend, and up; the turn takes the first toward the last
    base = np.array([[nu, -nv, 0.0, bend.start[0] + nu * back], [nv, nu, 0.0, bend.start[1] + nv * back]])
    lift = np.array([[0.0, 0.0, 1.0, 0.0 if sign > 0 else t], [0.0, 0.0, 0.0, 1.0]])
    here = np.vstack([base, lift])
    c, s = math.cos(by), math.sin(by)
    spun = np.array([[c, 0.0, -s, 0.0], [0.0, 1.0, 0.0, 0.0], [s, 0.0, c, 0.0], [0.0, 0.0, 0.0, 1.0]])
    out: Matrix = here @ spun @ np.linalg.inv(here)
    return out
