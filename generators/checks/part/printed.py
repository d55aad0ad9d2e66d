"""Rules on one printed part: walls, pegs, the bed, and how well it leads a drill."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np

from generators.checks.measure import Point, line_to_line, near_pairs, spine_distance
from generators.checks.rule import SAME_MM, Rule, finding, listed, mm, mm_up, more, short_of
from generators.geometry.contours import bounds, fits_turned, segments
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.plan import Flange, Hole, PartPlan, Peg
from generators.model.spec.shop import PartPrinter, Shop

PEGS_TO_HOLD = 2


WALL_FLOOR = 0.5
"""Fail limit of a wall over the shop's thinnest: two lines of a 0.4 mm nozzle where four are asked for."""

BUSH_FLOOR = 1.0
"""Fail limit of a bush's length over the drill's diameter: common practice, no source."""

PLAY_FAIL = 2.0
"""Fail limit of a guide's play over the warned one: ours."""

PRINT_WALL = Rule(
    code="print-wall",
    title="Printed wall too thin",
    meaning=(
        "The plastic between two bores, or between a bore and the outside of the block. A thin wall comes "
        "out as one or two lines side by side, and splits when a bush is pressed in."
    ),
    formula="wall >= printer.smallest_wall of the shop file (1.6 mm); fail below half of that",
    source="four lines of a 0.4 mm nozzle; published design guides ask for 0.8 to 1.6 mm",
    trust="CP",
    mend="Give the block more margin, or guide holes that lie closer together with two guides.",
)

PEG_NEAR_BORE = Rule(
    code="peg-near-bore",
    title="Peg too near a bore",
    meaning=(
        "A drill that comes out of its bush beside a peg cuts into the peg or pushes it aside, and the peg "
        "is what holds the guide in place. The distance runs from rim to rim."
    ),
    formula="rim to rim >= printer.smallest_wall of the shop file (1.6 mm); fail below half of that",
    source="common practice, no source",
    trust="CP",
    mend="Put the peg into another existing hole.",
)

PEG_THIN = Rule(
    code="peg-thin",
    title="Peg too thin to print",
    meaning="A thin printed peg shears along a layer the first time the guide is pushed home.",
    formula="diameter >= printer.smallest_peg of the shop file (3 mm); fail below half of that",
    source="a published design guide asks for 3 mm",
    trust="CP",
    mend="Put the peg into a larger existing hole.",
)

PRINT_BED = Rule(
    code="print-bed",
    title="Part larger than the printer",
    meaning=(
        "The part as it stands on the bed, pegs up, does not fit in the room the shop file gives, however it "
        "is turned on the bed. A guide is not cut in pieces: the play of their joint would be in every hole. "
        "Several guides do it, each with two pegs in the panel; which go together is worked out."
    ),
    formula="its rectangle goes into bed_width x bed_depth, turned by any angle, and height <= height",
    source="the shop file",
    trust="C",
    mend="Guide fewer holes with one block, or put the pegs into nearer holes.",
)

BUSH_LENGTH = Rule(
    code="bush-length",
    title="Bush too short for its drill, or longer than the block",
    meaning=(
        "A drill in a short bush leans, and the hole wanders. A bush longer than its block stands proud of "
        "it, where it is pushed back when the drill binds."
    ),
    formula="length >= bush_length_ratio x drill (1.5); fail below 1 x drill; and length <= block",
    source="1 to 2 drill diameters: common practice in jig design, no source",
    trust="CP",
    mend="Make the block thicker, so that a longer bush goes in.",
    limit_key="bush_length_ratio",
)

GUIDE_PLAY = Rule(
    code="guide-play",
    title="Guide lets its holes wander",
    meaning=(
        "The pegs have play in their holes, and a bore beyond them swings further than they do. The play of "
        "the two pegs that hold a bore best is carried over to it as if both stood against their holes in "
        "the worst way at once."
    ),
    formula=(
        "(|1 - z| c1 + |z| c2) / 2 <= guide_play_mm (0.5 mm), z = place of the bore along and beside the "
        "line of the pegs, 0 at the first and 1 at the second, as a complex number; c = hole - peg diameter; "
        "fail above twice that"
    ),
    source="rigid motion of small angle, closed form; the limit is ours",
    trust="C",
    mend="Put the pegs further apart, or lower peg_clearance in the shop file after a test print.",
    limit_key="guide_play_mm",
)

RULES = (
    PRINT_WALL,
    PEG_NEAR_BORE,
    PEG_THIN,
    PRINT_BED,
    BUSH_LENGTH,
    GUIDE_PLAY,
)


def check_printed(plan: PartPlan, limits: Limits, shop: Shop) -> Iterator[Finding]:
    """Findings on one printed part, flange by flange, in no order of gravity."""
    printer = shop.printer
    yield from _bed(plan, printer)
    for flange in plan.flanges:
        where = f"part:{plan.name} flange {flange.name}"
        yield from _walls(flange, printer, where)
        yield from _pegs(flange, printer, where)
        yield from _bushes(plan, flange.holes, limits, where)
        if plan.tool and len(flange.pegs) >= PEGS_TO_HOLD:
            yield from _play(flange, limits, where)


def _bed(plan: PartPlan, printer: PartPrinter) -> Iterator[Finding]:
    u0, v0, u1, v1 = bounds(plan.flanges[0].contour)
    tall = plan.thickness_mm + max((p.height_mm for p in plan.flanges[0].pegs), default=0.0)
    short, long = sorted((u1 - u0, v1 - v0))
    least, most = sorted((printer.bed_width_mm, printer.bed_depth_mm))
    if fits_turned(long, short, most, least) and tall <= printer.height_mm + SAME_MM:
        return
    yield finding(
        PRINT_BED,
        Severity.FAIL,
        f"part:{plan.name}",
        value=long,
        found=f"{mm(long)} x {mm(short)} x {mm(tall)}",
        limit=most,
        wanted=f"{mm_up(most)} x {mm_up(least)} x {mm_up(printer.height_mm)}",
        advice=_split_words(plan.flanges[0], (most, least)) if plan.tool else "a larger printer",
    )


def _split_words(block: Flange, bed_mm: tuple[float, float]) -> str:
    """How several guides do what one does that is too large, each with two pegs of its own.

    Pieces that key into each other would add the play of their joint to every hole; pegs in the panel do not.
    """
    usual = "guide fewer holes with one block, or choose pegs nearer to them"
    guides, left = split_guides(block, bed_mm)
    if not guides and not left:
        return usual
    said = "; ".join(
        f"one over {listed(map(_panel_hole, bores))} with pegs in {listed(map(_panel_hole, pegs))}"
        for bores, pegs in guides
    )
    alone = listed(_panel_hole(b) for b in left)
    rest = f"{alone}: no two pegs fit on the bed with it, so choose nearer ones or drill it by the template"
    if not guides:
        return f"{usual}; {rest}"
    many = "guides, each a part of its own with its own over and pegs" if len(guides) > 1 else "guide"
    return f"print {len(guides)} {many}: {said}" + (f"; {rest}" if left else "")


def split_guides(
    block: Flange, bed_mm: tuple[float, float]
) -> tuple[list[tuple[list[Hole], tuple[Peg, Peg]]], list[Hole]]:
    """Bores and the two pegs of each smaller guide that fits on the bed, and bores no pair of pegs fits with.

    Each time the pair that takes most of the bores that are left; of equals the one with them most between
    its pegs, which is where play is carried out least.
    """
    left = [h for h in block.holes if h.bush is not None]
    rounds: list[Hole | Peg] = [*left, *block.pegs]
    u0, v0, u1, v1 = bounds(block.contour)
    margin = min(
        (min(x.u_mm - u0, x.v_mm - v0, u1 - x.u_mm, v1 - x.v_mm) - x.diameter_mm / 2 for x in rounds),
        default=0.0,
    )
    guides: list[tuple[list[Hole], tuple[Peg, Peg]]] = []
    while left:
        best: tuple[int, float, list[Hole], tuple[Peg, Peg]] | None = None
        for one, other in itertools.combinations(block.pegs, 2):
            apart = math.hypot(one.u_mm - other.u_mm, one.v_mm - other.v_mm)
            own: list[Hole] = []
            # the nearest to the pegs first
            for bore in sorted(left, key=lambda b: _off(b, one) + _off(b, other)):
                if _on_bed([one, other, *own, bore], margin, bed_mm):
                    own.append(bore)
            if not own:
                continue
            u, v = (one.u_mm + other.u_mm) / 2, (one.v_mm + other.v_mm) / 2
            out = max(math.hypot(b.u_mm - u, b.v_mm - v) for b in own) / apart
            if best is None or (len(own), -out) > best[:2]:
                best = len(own), -out, own, (one, other)
        if best is None:
            break
        guides.append((best[2], best[3]))
        left = [b for b in left if b not in best[2]]
    return guides, left


def _on_bed(rounds: Sequence[Hole | Peg], margin_mm: float, bed_mm: tuple[float, float]) -> bool:
    sizes = []
    for axis in ("u_mm", "v_mm"):
        low = min(getattr(x, axis) - x.diameter_mm / 2 for x in rounds)
        sizes.append(max(getattr(x, axis) + x.diameter_mm / 2 for x in rounds) - low + 2 * margin_mm)
    return fits_turned(max(sizes), min(sizes), *bed_mm)


def _off(bore: Hole, peg: Peg) -> float:
    return math.hypot(bore.u_mm - peg.u_mm, bore.v_mm - peg.v_mm)


def _panel_hole(item: Hole | Peg) -> str:
    return item.purpose.partition(",")[0].removeprefix("panel ")


Spine = tuple[Point, Point, float, str]
"""From where to where the middle of an opening runs, how far it reaches from there, mm, its name."""


def _walls(flange: Flange, printer: PartPrinter, where: str) -> Iterator[Finding]:
    limit = printer.smallest_wall_mm
    outline = list(segments(flange.contour))
    spines = [((h.u_mm, h.v_mm), (h.u_mm, h.v_mm), h.diameter_mm / 2, h.name) for h in flange.holes]
    for s in flange.slots:
        du, dv = math.cos(s.angle_rad) * s.travel_mm / 2, math.sin(s.angle_rad) * s.travel_mm / 2
        ends = (s.u_mm - du, s.v_mm - dv), (s.u_mm + du, s.v_mm + dv)
        spines.append((*ends, s.width_mm / 2, s.name))
    walls = [(spine_distance(a, b, outline) - r, f"{name} and the outside") for a, b, r, name in spines]
    walls += [
        (line_to_line(a, b, c, d) - r - q, f"{one} and {two}")
        for (a, b, r, one), (c, d, q, two) in _near(spines, limit)
    ]
    for value, names in walls:
        severity = short_of(value, limit, WALL_FLOOR * limit)
        if severity:
            yield finding(
                PRINT_WALL,
                severity,
                f"{where}, {names}",
                value=value,
                limit=limit,
                floor=WALL_FLOOR * limit,
                advice=f"leave at least {more(limit - value)} more between {names}",
            )


def _near(spines: Sequence[Spine], limit_mm: float) -> Iterator[tuple[Spine, Spine]]:
    """Pairs between which there may be less than so much metal."""
    ends = np.array([(*a, *b) for a, b, _, _ in spines]).reshape(-1, 4)
    half = np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]) / 2
    reach = half + np.array([r for _, _, r, _ in spines]) + limit_mm / 2 + SAME_MM
    first, second, _ = near_pairs((ends[:, 0] + ends[:, 2]) / 2, (ends[:, 1] + ends[:, 3]) / 2, reach)
    yield from ((spines[i], spines[j]) for i, j in zip(first.tolist(), second.tolist(), strict=True))


def _pegs(flange: Flange, printer: PartPrinter, where: str) -> Iterator[Finding]:
    for peg in flange.pegs:
        thin = short_of(peg.diameter_mm, printer.smallest_peg_mm, WALL_FLOOR * printer.smallest_peg_mm)
        if thin:
            yield finding(
                PEG_THIN,
                thin,
                f"{where}, {peg.name}",
                value=peg.diameter_mm,
                limit=printer.smallest_peg_mm,
                floor=WALL_FLOOR * printer.smallest_peg_mm,
                advice=f"leave {peg.name} away and key the guide to a larger hole",
            )
        for hole in flange.holes:
            apart = math.hypot(hole.u_mm - peg.u_mm, hole.v_mm - peg.v_mm)
            value = apart - (hole.diameter_mm + peg.diameter_mm) / 2
            near = short_of(value, printer.smallest_wall_mm, WALL_FLOOR * printer.smallest_wall_mm)
            if near:
                yield finding(
                    PEG_NEAR_BORE,
                    near,
                    f"{where}, {peg.name} and {hole.name}",
                    value=value,
                    limit=printer.smallest_wall_mm,
                    floor=WALL_FLOOR * printer.smallest_wall_mm,
                    advice=f"leave {peg.name} away and key the guide to a hole further from {hole.name}",
                )


def _bushes(plan: PartPlan, holes: Sequence[Hole], limits: Limits, where: str) -> Iterator[Finding]:
    thickness = plan.thickness_mm
    for hole in holes:
        if hole.bush is None:
            continue
        length, drill = hole.bush.length_mm, hole.bush.drill_mm
        limit, floor = limits.bush_length_ratio * drill, BUSH_FLOOR * drill
        severity = short_of(length, limit, floor)
        if severity:
            yield finding(
                BUSH_LENGTH,
                severity,
                f"{where}, {hole.name}",
                value=length,
                limit=limit,
                floor=floor,
                advice=f"make the block at least {mm_up(limit)} thick",
                proposals=(_thicker(plan, limit),),
            )
        if length > thickness + SAME_MM:
            yield finding(
                BUSH_LENGTH,
                Severity.WARN,
                f"{where}, {hole.name} stands proud",
                value=length,
                limit=thickness,
                advice=f"make the block {mm_up(length)} thick",
                proposals=(_thicker(plan, length),),
            )


def _thicker(plan: PartPlan, thickness_mm: float) -> Proposal:
    """A block of at least that thickness."""
    change = Change(path=f"part[{plan.name}].thickness", to=thickness_mm, rounding="up")
    return Proposal(words=f"make {plan.name} {mm_up(thickness_mm)} thick", steps=(change,))


def wander(place: complex, pegs: Sequence[Peg]) -> float:
    """How far the plan's point ``place`` (u + v i, mm) may move in a guide held by these pegs, mm.

    A small rigid motion is complex linear: the move at ``z`` of the way from the first peg to the second
    is ``(1 - z) m1 + z m2``, and no peg moves more than half its play. The best pair of pegs counts.
    Raises ``ValueError`` without two pegs.
    """
    out = []
    for a, b in itertools.combinations(pegs, 2):
        z = (place - _at(a)) / (_at(b) - _at(a))
        out.append((abs(1 - z) * _clearance(a) + abs(z) * _clearance(b)) / 2)
    return min(out)


def _at(peg: Peg) -> complex:
    return complex(peg.u_mm, peg.v_mm)


def _clearance(peg: Peg) -> float:
    return peg.hole_mm - peg.diameter_mm


def _play(flange: Flange, limits: Limits, where: str) -> Iterator[Finding]:
    limit = limits.guide_play_mm
    for hole in flange.holes:
        if hole.bush is None:
            continue
        value = wander(complex(hole.u_mm, hole.v_mm), flange.pegs)
        if value > limit + SAME_MM:
            yield finding(
                GUIDE_PLAY,
                Severity.FAIL if value > PLAY_FAIL * limit + SAME_MM else Severity.WARN,
                f"{where}, {hole.name}",
                value=value,
                found=mm_up(value),
                limit=limit,
                wanted=f"{mm(limit)} (fail above {mm(PLAY_FAIL * limit)})",
                advice=f"put the pegs further apart, or one nearer to {hole.name}",
            )
