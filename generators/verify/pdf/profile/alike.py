"""Profiles said to be the same as the one a page draws: each is laid on the other, both worked out anew.

Where the part stands on it only turning is allowed, seen from over the end that is down by the letters of
the edge; a card may be turned over, its cut side kept.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence

import numpy as np
from shapely.geometry import LineString

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.content import Content, Shape
from generators.verify.pdf.profile.standing import CUT_ALONG, STAND, end_at, named_sides, standing_problems
from generators.verify.pdf.rebuild.legs import span, tangent

SAME = re.compile(r"THE SAME PROFILE: (?P<likes>[a-z0-9 ,;]+)\.")
LIKE = re.compile(r"bends? (?P<bends>[a-z0-9 ]+?)(?:, on its edge (?P<edges>[a-z ]+))?")
MANY = re.compile(r"profile of (\d+) alike")
OFF_MM, ON_MM = 0.05, 0.8
"""So far apart two profiles are alike, and so near the metal lies to the edge named. Ours."""


def likes_of(page: Content, plan: PartPlan) -> list[tuple[list[Bend], str]]:
    """The bends of each profile said to be the same as a page's, with the edge it stands on."""
    said = SAME.search(" ".join(page.text.split()))
    if said is None:
        return []
    by_name = {b.name.replace("_", " "): b for b in plan.bends}
    out = []
    for one in said["likes"].split("; "):
        like = LIKE.fullmatch(one)
        names = _named(like["bends"], by_name) if like is not None else []
        out.append(([by_name[n] for n in names], (like and like["edges"]) or ""))
    return out


def _named(words: str, known: dict[str, Bend]) -> list[str]:
    """Names joined by and, the longest that are known."""
    if words in known:
        return [words]
    for at in (m.start() for m in re.finditer(" and ", words)):
        if words[:at] in known and (rest := _named(words[at + 5 :], known)):
            return [words[:at], *rest]
    return []


def alike_problems(page: Content, outline: Shape, plan: PartPlan, own: Sequence[Bend]) -> Iterator[str]:
    """Profiles said to be a page's own that cannot be laid on it, and a number of them that is not said."""
    text = " ".join(page.text.split())
    likes, many = likes_of(page, plan), MANY.search(text)
    if (int(many[1]) if many else 1) != 1 + len(likes):
        yield f"is said to be {many[0] if many else 'one profile'}, and names {len(likes)} more"
    for bends, edges in likes:
        if not bends:
            yield "names bends of the same profile that the part has not"
            continue
        names = " and ".join(b.name.replace("_", " ") for b in bends)
        yield from (f"{names}: {said}" for said in standing_problems(page, outline, plan, bends, edges))
        if not _laid_on(text, plan, own, bends, edges):
            yield f"{names} cannot be laid on this profile"


def _laid_on(text: str, plan: PartPlan, own: Sequence[Bend], other: Sequence[Bend], edges: str) -> bool:
    if len(own) != len(other):
        return False
    card, stood = CUT_ALONG.search(text), STAND.search(text)
    if card is not None:
        one, two = (_strip(plan, bends, 1.0, _cut_upper(card["side"], bends)) for bends in (own, other))
        return _congruent(one, two, swapped=(False,), over=True)
    if stood is None:
        return False
    ends = [list(_ways(plan, own, stood["edges"])), list(_ways(plan, other, edges))]
    return any(
        _congruent(
            _strip(plan, own, a, upper=True), _strip(plan, other, b, upper=True), (False, True), over=False
        )
        for a, b in itertools.product(*ends)
    )


def _cut_upper(side: str, bends: Sequence[Bend]) -> bool:
    """True where the card lies on the sheet's upper side."""
    if side in ("upper side", "lower side"):
        return side == "upper side"
    return (side == "inside") == (bends[0].direction == "up")


def _ways(plan: PartPlan, bends: Sequence[Bend], edges: str) -> Iterator[float]:
    """Along which way of its bends a part that stands on those edges has its end down."""
    sides = named_sides(plan, edges) or []
    for way in (1.0, -1.0):
        end = end_at(plan, bends, way)
        if end is None or not end.places:
            continue
        if all(any(LineString(s).distance(LineString([p, p])) < ON_MM for s in sides) for p in end.places):
            yield way


def _strip(plan: PartPlan, bends: Sequence[Bend], way: float, upper: bool) -> Matrix:
    """Leg by leg both its ends, each on both faces, seen with that end down; the named face first."""
    left, legs = list(bends), []
    used = [n for b in bends for n in (b.parent, b.child)]
    here = next(n for n in used if used.count(n) == 1)
    while True:
        legs.append(here)
        bend = next((b for b in left if here in (b.parent, b.child)), None)
        if bend is None:
            break
        left.remove(bend)
        here = bend.child if here == bend.parent else bend.parent
    frames, t = folded_frames(plan), plan.thickness_mm
    base = frames[bends[0].child]
    # looked at against the way that is down, the second axis of the two is up where the first is to the right
    onto: Matrix = base[:3, 1:3] * np.array([-way, 1.0])
    points = []
    for index, name in enumerate(legs):
        own = [b for b in bends if name in (b.parent, b.child)]
        # the bend before it first, so that its ends come in turn
        own.sort(key=lambda b: index == 0 or legs[index - 1] not in (b.parent, b.child))
        flange = plan.flange(name)
        (u0, v0), (u1, v1) = tangent(flange, own[0])
        long, far = math.dist((u0, v0), (u1, v1)), span(flange, own) or 0.0
        off = -(v1 - v0) / long * far, (u1 - u0) / long * far
        ends = [(u0, v0), (u0 + off[0], v0 + off[1])]
        for u, v in ends if index else ends[::-1]:
            for w in (t, 0.0) if upper else (0.0, t):
                points.append(apply(frames[name], np.array([(u, v, w)]))[0] @ onto)
    return np.array(points).reshape(len(legs), 2, 2, 2)


def _congruent(one: Matrix, two: Matrix, swapped: Sequence[bool], *, over: bool) -> bool:
    """True where one lies on the other, turned only, or turned over too; from either end of it."""
    fixed = one.reshape(-1, 2) - one.reshape(-1, 2).mean(axis=0)
    for backward, swap, flip in itertools.product(
        (False, True), swapped, (False, True) if over else (False,)
    ):
        moved = two[::-1, ::-1] if backward else two
        moved = moved[:, :, ::-1] if swap else moved
        points = moved.reshape(-1, 2) * np.array([-1.0 if flip else 1.0, 1.0])
        points = points - points.mean(axis=0)
        # the turn that brings them nearest, as complex numbers
        a, b = fixed @ np.array([1, 1j]), points @ np.array([1, 1j])
        turn = np.vdot(b, a)
        if abs(turn) > 0 and float(np.abs(b * turn / abs(turn) - a).max()) < OFF_MM:
            return True
    return False
