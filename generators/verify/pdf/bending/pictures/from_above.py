"""The view from above of a squared sheet: sheet, die, square and finger where the step's words have them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

from shapely.affinity import affine_transform
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.bending.blank import in_mm, shown
from generators.verify.pdf.bending.gauged import Point, given_by
from generators.verify.pdf.bending.instead import in_turn
from generators.verify.pdf.bending.pictures.layers import Drawn
from generators.verify.pdf.bending.squared import WAYS, Seen
from generators.verify.pdf.bending.tools import Tools

ALIKE, DRAWN_MM, NEAR_MM, HAIR_MM = 0.02, 0.15, 0.3, 0.01
"""What of a form may differ; how far what is drawn may be off on paper, and on the sheet, mm."""

STOCK_MM, BLADE_MM = (10.0, 40.0), (15.0, 45.0)
"""How wide stock and blade of a square are at least and at most."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """All that is drawn and written in a step's box, mm on paper, y up."""

    drawn: Sequence[Drawn]
    words: Sequence[str]


def above_problems(
    pictures: Mapping[str, Picture],
    steps: Sequence[re.Match[str]],
    letters: Mapping[str, Point],
    plan: PartPlan,
    tools: Tools,
) -> Iterator[str]:
    """What is wrong with the views from above; ``pictures`` by the numbers of their steps."""
    for match, bend, before in in_turn(steps, plan):
        if not match.groupdict().get("edge"):
            continue
        die = next((d for d in tools.dies if d.name == match["die"]), None)
        ends = [x for x in match["edge"].split(" to ") if x in letters]
        picture = pictures.get(match["number"])
        if die is None or len(ends) != 2 or picture is None:
            continue  # said where dies and edges are judged
        corners = [given_by(x, letters, flat_pattern(plan)) for x in ends]
        yield from _judged(match, bend, before, plan, die, corners, picture)


def _judged(
    match: re.Match[str],
    bend: Bend,
    before: Set[str],
    plan: PartPlan,
    die: Die,
    corners: Sequence[Point],
    picture: Picture,
) -> Iterator[str]:
    where = f"step {match['number']}, from above"
    seen = Seen(match, bend, before, plan, flat_pattern(plan))
    # along the bend as the machine has it, left to right as one faces the gauge
    turned = (match["rear"] == shown(bend.child)) == (bend.direction == "up")
    way, start = (-1.0, seen.long) if turned else (1.0, 0.0)
    # flanges and the strips between them are one sheet, whatever hair's breadth is between their sums
    whole = seen.blank.buffer(HAIR_MM, join_style="mitre").buffer(-HAIR_MM, join_style="mitre")
    blank = affine_transform(whole, [way, 0.0, 0.0, 1.0, start, 0.0])
    found = _scale(blank, picture.drawn)
    if found is None:
        yield f"{where}: no outline of the sheet as it is laid in"
        return
    scale, left, low = found
    near = NEAR_MM + DRAWN_MM / scale
    shapes, lines = (
        [
            [((x - left) / scale, (y - low) / scale) for x, y in d.points]
            for d in picture.drawn
            if d.filled == filled
        ]
        for filled in (True, False)
    )
    boxes = [_box(s) for s in shapes if len({(round(x, 2), round(y, 2)) for x, y in s}) == 4]

    unit, (one, two) = match["along_unit"], [seen.at(c) for c in corners]
    along, stock = in_mm(match["along"], unit), in_mm(match["stock"], unit)
    # one of the corners may be on what is bent away already: only what lies flat says where the sheet is
    flat = [min(max(y, blank.bounds[1]), blank.bounds[3]) for y in (one[1], two[1])]
    x, middle = start + way * (one[0] + two[0]) / 2, sum(flat) / 2
    out = -1.0 if blank.covers(Spot(x + near, middle)) else 1.0
    half = die.width_mm / 2
    face = -half if match["against"] == "front" else half
    toward = WAYS[match["against"], match["blade"]]
    begins = max(min(toward * (y - face) for _, y in (one, two)), 0.0)

    def is_stock(b: Box) -> bool:
        deep = (face - b[1], b[3] - face)[face > 0]
        return _spans(b, 0, (x, x + out * stock), near) and (
            abs((b[3], b[1])[face > 0] - face) < near and STOCK_MM[0] < deep < STOCK_MM[1]
        )

    def is_blade(b: Box) -> bool:
        wide = (b[2] - x) if out > 0 else (x - b[0])
        at_edge = abs((b[0], b[2])[out < 0] - x) < near and BLADE_MM[0] < wide < BLADE_MM[1]
        far = (b[3] - face) if toward > 0 else (face - b[1])
        from_face = abs((b[1], b[3])[toward < 0] - face) < near
        return at_edge and from_face and far > begins + along - near

    def is_die(b: Box) -> bool:
        ends = min(0.0, x + out * stock), max(seen.long, x + out * stock)
        return _spans(b, 1, (-half, half), near) and b[0] < ends[0] + near and b[2] > ends[1] - near

    def is_finger(b: Box) -> bool:
        return abs(b[1] - in_mm(match["stop"], match["unit"])) < near

    for what, judge in (("stock", is_stock), ("blade", is_blade), ("die", is_die), ("finger", is_finger)):
        if not any(judge(b) for b in boxes):
            yield f"{where}: no {what} where its words have it"
    # where a corner is round the stretch begins past its round
    side = sorted(y for _, y in (one, two))
    marks = [sorted(p[1] for p in line) for line in lines if len(line) == 2 and _upright(line, x, near)]
    if not any(
        abs(high - low - along) < near and side[0] - near < low and high < side[1] + near
        for low, high in marks
    ):
        yield f"{where}: the {along:.1f} mm of edge the blade lies along are not marked"
    wanted = (
        f"stock {match['stock']} {unit}",
        f"blade {match['along']} {unit} or more",
        f"die, its {match['against']} face",
        *match["edge"].split(" to "),
    )
    said = {" ".join(w.split()) for w in picture.words}
    yield from (f"{where}: {word!r} is not written there" for word in wanted if word not in said)


def _scale(blank: BaseGeometry, drawn: Sequence[Drawn]) -> tuple[float, float, float] | None:
    """Paper mm to one of the sheet, and where on paper the left end of the bend's middle is."""
    whole = max(getattr(blank, "geoms", [blank]), key=lambda part: part.area)
    solid = Polygon(whole.exterior)
    x0, y0, x1, _ = solid.bounds
    found: list[tuple[float, float, float]] = []
    for one in drawn:
        if not one.filled or len(one.points) < 4:
            continue
        area = Polygon(one.points).buffer(0)
        if area.is_empty:
            continue
        scale = (area.bounds[2] - area.bounds[0]) / (x1 - x0)
        left, low = area.bounds[0] - scale * x0, area.bounds[1] - scale * y0
        there = affine_transform(solid, [scale, 0.0, 0.0, scale, left, low])
        if there.symmetric_difference(area).area < ALIKE * there.area:
            found.append((scale, left, low))
    # some small piece may have the sheet's proportions, none as large
    return max(found, default=None)


def _upright(line: Sequence[Point], x: float, near: float) -> bool:
    return all(abs(p[0] - x) < near for p in line)


def _box(points: Sequence[Point]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _spans(box: Box, axis: int, ends: tuple[float, float], near: float) -> bool:
    low, high = sorted(ends)
    return abs(box[axis] - low) < near and abs(box[axis + 2] - high) < near
