"""Welding symbols of a finished drawing, read line by line and held against the folded part.

A symbol is known by its triangle, whose upright leg is on the left, on a reference line; that of a projection
weld by a circle in the middle of a reference line that goes on to an arrow. From there its
words, its circle, its dashed line, its tail and its arrow are looked for. Where a view stands on the page is
found from the view itself: the corners of the folded flanges, carried into it here, are laid on the ends of
the lines that are drawn, and where most of them meet is the view's place; a plate's holes are laid on the
circles. Then the arrow must end on the joint.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.content import Circle, Content, PdfFile, Point, Shape, as_circle
from generators.verify.pdf.drawing_projection import words_of_views

BROKEN_MM = 2.0
"""How far off the reference line the middles of a tail's two lines are."""

TRIANGLE_MM, SAME_MM = 3.0, 0.03
BESIDE_MM, TAIL_MM = 2.0, 5.0
ON_JOINT_MM = 0.4
"""How far off the joint, on paper, the point of an arrow may be: half its own width. Ours."""

FOUND_MM = 0.05
CAPTION_MM = 0.3
SEEN_ALONG: Mapping[str, tuple[tuple[int, int, int], tuple[int, int, int]]] = MappingProxyType(
    {
        "FRONT": ((1, 0, 0), (0, 1, 0)),
        "RIGHT SIDE": ((0, 0, -1), (0, 1, 0)),
        "LEFT SIDE": ((0, 0, 1), (0, 1, 0)),
        "FROM ABOVE": ((1, 0, 0), (0, 0, -1)),
        "FROM BELOW": ((1, 0, 0), (0, 0, 1)),
    }
)
"""What of the root's frame runs to the right and up in each view, written down anew."""

SCALE = re.compile(r"scale (\d+):(\d+)")
TITLE = re.compile(r"(?:FLAT BLANK|PLATE) (\d+):(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One symbol as drawn: its words, and the point of its arrow in page mm."""

    page: int
    sizes: tuple[str, ...]
    lengths: tuple[str, ...]
    above: bool
    below: bool
    dashed: bool
    all_round: bool
    tail: str
    tip: Point | None
    spot: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A weld as the plan has it: the points its arrow may end on, in the root's frame."""

    tail: str
    size: str
    length: str
    both_sides: bool
    all_round: bool
    points: Matrix
    spot: bool = False


def signs(pdf: PdfFile) -> Iterator[Sign]:
    """Every welding symbol of a file."""
    for number, page in enumerate(pdf.pages):
        circles = [c for s in page.shapes if (c := as_circle(s)) is not None]
        corners = [found for s in page.shapes if (found := _corner(s)) is not None]
        heights: dict[tuple[float, float], list[tuple[float, float, int]]] = {}
        for x, y, up in corners:
            heights.setdefault((round(x, 1), round(y, 1)), []).append((x, y, up))
        for own in heights.values():
            yield _sign(number, page, circles, own)
        for c in circles:
            # most circles of this size are holes: a symbol has an arrow
            if abs(c.diameter - TRIANGLE_MM) < SAME_MM:
                sign = _sign(number, page, circles, [(c.x - TRIANGLE_MM / 2, c.y, 0)])
                if sign.tip is not None:
                    yield replace(sign, spot=True)


def _corner(shape: Shape) -> tuple[float, float, int] | None:
    """Right angle of a fillet's triangle, and 1 for one above its line, -1 below."""
    points = list(dict.fromkeys((round(x, 3), round(y, 3)) for x, y in shape.points))
    if len(points) != 3 or shape.curves or shape.filled or not shape.closed:
        return None
    x0 = min(x for x, _ in points)
    tall = sorted(y for x, y in points if abs(x - x0) < SAME_MM)
    rest = [(x, y) for x, y in points if abs(x - x0) >= SAME_MM]
    if len(tall) != 2 or abs(tall[1] - tall[0] - TRIANGLE_MM) > SAME_MM:
        return None
    ((x, y),) = rest
    if abs(x - x0 - TRIANGLE_MM) > SAME_MM or min(abs(y - h) for h in tall) > SAME_MM:
        return None
    return x0, y, 1 if abs(y - tall[0]) < SAME_MM else -1


def _sign(
    number: int, page: Content, circles: Sequence[Circle], own: Sequence[tuple[float, float, int]]
) -> Sign:
    x, y, _ = own[0]
    ways = {up for _, _, up in own}
    lines = [
        (min(a, b), max(a, b), s)
        for s in page.shapes
        if len(s.points) == 2 and not s.closed
        for (a, _), (b, _) in (s.points,)
        if abs(s.points[0][1] - s.points[1][1]) < SAME_MM and min(a, b) < x and max(a, b) > x + TRIANGLE_MM
    ]
    solid = [line for line in lines if abs(line[2].points[0][1] - y) < SAME_MM and not line[2].dashed]
    beside = [line for line in lines if 0 < y - line[2].points[0][1] < 1.5 and line[2].dashed]
    sizes, lengths, tail = [], [], ""
    broken: list[tuple[float, str]] = []
    ends = (solid[0][0], solid[0][1]) if solid else (x, x)
    tip, round_, tails = None, False, (True, True)
    for shape in page.shapes:
        if len(shape.points) == 2 and not shape.closed and tip is None:
            for a, b in (shape.points, shape.points[::-1]):
                begins = abs(a[1] - y) < SAME_MM < abs(b[1] - y)
                if begins and min(abs(a[0] - e) for e in ends) < SAME_MM and _pointed(page, b):
                    tip = b
                    round_ = any(math.dist((c.x, c.y), a) < SAME_MM for c in circles)
                    # the tail is at the other end
                    tails = abs(a[0] - ends[1]) < SAME_MM, abs(a[0] - ends[0]) < SAME_MM
    for word in page.words:
        x0, y0, x1, y1 = word.box
        if not word.text.strip():
            continue
        middle = (y0 + y1) / 2
        if abs(middle - y) < TRIANGLE_MM and ends[0] < x0 and x1 < ends[1]:
            if -SAME_MM < x - x1 < BESIDE_MM:
                sizes.append(word.text.strip())
            elif -SAME_MM < x0 - x - TRIANGLE_MM < BESIDE_MM:
                lengths.append(word.text.strip())
        elif (tails[0] and 0 < ends[0] - x1 < TAIL_MM) or (tails[1] and 0 < x0 - ends[1] < TAIL_MM):
            if abs(middle - y) < 1.0:
                tail = word.text.strip()
            elif abs(middle - y) < BROKEN_MM:
                broken.append((y - middle, word.text.strip()))
    return Sign(
        page=number,
        sizes=tuple(sizes),
        lengths=tuple(lengths),
        above=1 in ways,
        below=-1 in ways,
        dashed=bool(beside),
        all_round=round_,
        tail=tail or " ".join(text for _, text in sorted(broken)),
        tip=tip,
    )


def _pointed(page: Content, at: Point) -> bool:
    """True where a filled arrow head ends."""
    return any(s.filled and len(s.points) >= 3 and math.dist(s.points[0], at) < SAME_MM for s in page.shapes)


def sign_problems(pdf: PdfFile, plan: PartPlan, joints: Sequence[Joint]) -> Iterator[str]:
    """What is wrong with a drawing's welding symbols, where ``joints`` are to be welded."""
    drawn = list(signs(pdf))
    found = {sign.tail: sign for sign in drawn}
    for tail, count in sorted(Counter(sign.tail for sign in drawn).items()):
        if count > 1 and tail:
            yield f"{count} welding symbols of {tail}"
    for tail in sorted(found.keys() - {j.tail for j in joints}):
        yield f"a welding symbol for {tail or 'nothing that is named'}, which is not welded"
    corners = _corners(plan)
    for joint in joints:
        sign = found.get(joint.tail)
        if sign is None:
            yield f"no welding symbol for {joint.tail}"
            continue
        yield from _said(sign, joint)
        if sign.tip is None:
            yield f"the symbol of {joint.tail} has no arrow"
        elif not (
            _on_joint(pdf.pages[sign.page], pdf, corners, joint, sign.tip)
            if plan.bends
            else _on_plate(pdf.pages[sign.page], plan, joint, sign.tip)
        ):
            yield f"the arrow of {joint.tail} does not end on the joint in any view"


def _said(sign: Sign, joint: Joint) -> Iterator[str]:
    """What a symbol says otherwise than its joint wants."""
    sides = 2 if joint.both_sides else 1
    if sign.sizes != ((joint.size,) * sides if joint.size else ()):
        yield f"the symbol of {joint.tail} says {' and '.join(sign.sizes)}, by the plan {joint.size}"
    if joint.length and sign.lengths != (joint.length,) * sides:
        said = " and ".join(sign.lengths)
        yield f"the symbol of {joint.tail} is {said} long, by the plan {joint.length}"
    if sign.spot != joint.spot:
        has = "a circle" if sign.spot else "a triangle"
        yield f"the symbol of {joint.tail} has {has} on its line"
    elif sign.spot:
        if sign.dashed:
            yield f"the symbol of {joint.tail} stands for one side of a weld that lies between"
    elif (sign.above and sign.below) != joint.both_sides or sign.dashed == joint.both_sides:
        yield f"the symbol of {joint.tail} stands for the wrong sides"
    if sign.all_round != joint.all_round:
        has = "a" if sign.all_round else "no"
        yield f"the symbol of {joint.tail} has {has} circle of a weld all round"


def _corners(plan: PartPlan) -> Matrix:
    """The corners of every flange, both faces, in the root's frame."""
    frames = folded_frames(plan)
    return np.vstack(
        [
            apply(frames[f.name], np.array([(p.u, p.v, w) for p in f.contour.vertices]))
            for f in plan.flanges
            for w in (0.0, plan.thickness_mm)
        ]
    )


def _on_joint(page: Content, pdf: PdfFile, corners: Matrix, joint: Joint, tip: Point) -> bool:
    views, general = words_of_views(page), _scale(*pdf.pages)
    ends = np.array([p for s in page.shapes if not s.closed for p in s.points])
    if general is None or not len(ends):
        return False
    for word in views:
        name = word.text.strip()
        if name not in SEEN_ALONG:
            continue
        x0, y0, x1, y1 = word.box
        own = [
            m
            for w in views
            if (m := SCALE.fullmatch(w.text.strip())) and abs(w.box[1] - y0) < 1 and 0 < w.box[0] - x1 < 4
        ]
        said = own[0] if own else general
        across = np.array(SEEN_ALONG[name], dtype=float).T * int(said[1]) / int(said[2])
        move = _placed(corners @ across, ends, (x0 + x1) / 2, y1)
        if move is None:
            continue
        seen = joint.points @ across + move
        if float(np.min(np.linalg.norm(seen - np.array(tip), axis=1))) < ON_JOINT_MM:
            return True
    return False


def _scale(*pages: Content) -> re.Match[str] | None:
    """The scale of the flat view, which the folded ones have too unless they say another."""
    return next((m for p in pages for w in words_of_views(p) if (m := TITLE.match(w.text.strip()))), None)


def _on_plate(page: Content, plan: PartPlan, joint: Joint, tip: Point) -> bool:
    """True where the arrow ends on a plate's joint: its holes are laid on the circles of their size."""
    title = _scale(page)
    if title is None:
        return False
    scale = int(title[1]) / int(title[2])
    circles = [c for s in page.shapes if (c := as_circle(s)) is not None]
    moves = np.array(
        [
            (c.x - h.u_mm * scale, c.y - h.v_mm * scale)
            for h in plan.flanges[0].holes
            for c in circles
            if abs(c.diameter - h.diameter_mm * scale) < FOUND_MM
        ]
    )
    if not len(moves):
        return False
    seen = joint.points[:, :2] * scale + _most(moves)
    return float(np.min(np.linalg.norm(seen - np.array(tip), axis=1))) < ON_JOINT_MM


def _placed(corners: Matrix, ends: Matrix, caption: float, above: float) -> Matrix | None:
    """Where a view stands: over its caption, and so that most of its corners lie on ends of lines."""
    spots = np.unique(np.round(corners, 3), axis=0)
    ends = np.unique(np.round(ends[ends[:, 1] > above], 3), axis=0)
    moves = (ends[:, None, :] - spots[None, :, :]).reshape(-1, 2)
    middle = (spots[:, 0].min() + spots[:, 0].max()) / 2
    moves = moves[np.abs(moves[:, 0] + middle - caption) < CAPTION_MM + 4.0]
    if not len(moves):
        return None
    return _most(moves)


def _most(moves: Matrix) -> Matrix:
    """Where most of them are, to ``FOUND_MM``."""
    cells = np.round(moves / FOUND_MM).astype(int)
    places, counts = np.unique(cells, axis=0, return_counts=True)
    best = places[int(np.argmax(counts))]
    near = np.all(np.abs(cells - best) <= 1, axis=1)
    out: Matrix = moves[near].mean(axis=0)
    return out
