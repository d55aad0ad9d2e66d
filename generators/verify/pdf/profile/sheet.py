"""A finished profile sheet, measured from the file alone: the outline's sides and turns against the plan.

Each page has one closed outline. Its straight sides and its arcs are taken from the path, walked once round,
and compared with a strip of sheet worked out here: flat lengths from the flanges, turns and radii from the
bends.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from generators.figures import fixed
from generators.model.plan import Bend, PartPlan
from generators.model.words import CAUTIONS
from generators.verify.pdf.content import Content, Shape, UnreadablePdfError, plain, read_pdf
from generators.verify.pdf.inspecting.asked import title_problems
from generators.verify.pdf.profile.alike import alike_problems, likes_of
from generators.verify.pdf.profile.standing import standing_problems
from generators.verify.pdf.rebuild.legs import outside, span
from generators.verify.pdf.template.words import bar_problems
from generators.verify.pdf.welds import LIMITED, angle_problems
from generators.verify.readback import ReadBack

SIZE_MM = 0.03
TURN_RAD = math.radians(0.05)
MUST_SAY = ("BEND CHECK", "Measure all four bars", "gloves: edges cut", CAUTIONS[0])
DRILLING = "Before drilling"
LENGTH = re.compile(r"(.+): (\d+(?:\.\d+)?) outside(, drawn short)?")
TOO_LARGE = "Toolargeforthispaper"
PRINTED_MM = 0.0051
"""Lengths are printed to 0.01 mm."""
WAIVED = "WAIVED: see list on the drawing."

Side = tuple[float, float]
"""Length, and by how much the outline turns along it: a straight side, or an arc with its turn in rad."""


def read_profile_sheet(
    path: Path,
    plan: PartPlan,
    *,
    job_title: str,
    revision: str,
    rel: str,
    waived: bool = False,
    contact: str = "",
    date: str = "",
) -> ReadBack:
    """Measure every outline at full size; each bend of the plan must be in one. Nothing is raised."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    problems = [] if pdf.print_scaling is False else ["lets a viewer scale it"]
    problems += title_problems(pdf.pages, plan, contact, date)
    seen: list[str] = []
    for i, page in enumerate(pdf.pages, 1):
        said = plain(page.text)
        wanted = (
            *MUST_SAY,
            job_title,
            f"part {plan.name}",
            f"revision {revision}",
            *([WAIVED] if waived else []),
        )
        problems += [f"page {i} does not say {word!r}" for word in wanted if plain(word) not in said]
        if DRILLING in page.text:
            problems.append(f"page {i} speaks of drilling, and nothing is drilled by it")
        problems += [f"page {i}: {text}" for text in bar_problems(page)]
        names = [b.name for b in plan.bends if any(_is_label(w.text, b) for w in page.words)]
        own = [b for b in plan.bends if b.name in names]
        problems += [f"page {i}: {text}" for text in _outline_problems(page, plan, own)]
        problems += [f"page {i}: {text}" for text in _limit_problems(page, plan, own)]
        seen += [*names, *(b.name for bends, _ in likes_of(page, plan) for b in bends)]
    for bend in plan.bends:
        if bend.name not in seen:
            problems.append(f"bend {bend.name!r} is in no profile")
    facts = (f"{len(pdf.pages)} profiles at full size, {len(seen)} bends measured",)
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))


def _limit_problems(page: Content, plan: PartPlan, own: Sequence[Bend]) -> Iterator[str]:
    """Bends of a page with limits of their own: how far bent, and what is then between the faces."""
    for bend in own:
        shown = bend.name.replace("_", " ")
        match = re.search(rf"(?<![a-z0-9] ){re.escape(shown)}: {LIMITED}", " ".join(page.text.split()))
        yield from angle_problems(f"bend {shown}", match, bend, plan, welds=False)


def _is_label(text: str, bend: Bend) -> bool:
    degrees = fixed(math.degrees(bend.angle_rad), 2).rstrip("0").rstrip(".")
    return text.strip().startswith(f"{bend.name.replace('_', ' ')}: {degrees}°, R")


def _outline_problems(page: Content, plan: PartPlan, bends: Sequence[Bend]) -> Iterator[str]:
    shapes = [s for s in page.shapes if s.closed and s.stroked and s.curves and not s.dashed]
    if not bends or len(shapes) != 1:
        yield f"has {len(shapes)} outlines for {len(bends)} bends"
        return
    straight, turns = _walk(shapes[0])
    t = plan.thickness_mm
    ends = sum(abs(length - t) < SIZE_MM for length in straight)
    if ends < 2:
        yield f"the outline has no two ends {t:g} mm thick"
    radii = sorted(((abs(turn), length / abs(turn)) for length, turn in turns), key=_rounded)
    wanted = sorted(
        ((b.angle_rad, b.inside_radius_mm + out) for b in bends for out in (0.0, t)), key=_rounded
    )
    if len(radii) != len(wanted) or any(
        abs(r[0] - w[0]) > TURN_RAD or abs(r[1] - w[1]) > SIZE_MM for r, w in zip(radii, wanted, strict=True)
    ):
        said = ", ".join(f"{math.degrees(a):.2f}° R{r:.2f}" for a, r in radii)
        yield f"the outline turns by {said}"
    elif not _same_way([1 if turn > 0 else -1 for _, turn in turns], _sides_turned(bends)):
        yield "bends turn to another side than planned"
    yield from _length_problems(page, straight, plan, bends)
    yield from standing_problems(page, shapes[0], plan, bends)
    yield from alike_problems(page, shapes[0], plan, bends)


def _rounded(arc: tuple[float, float]) -> tuple[float, float]:
    """To sort by: equal turns are equal."""
    return round(arc[0], 3), arc[1]


def _sides_turned(bends: Sequence[Bend]) -> list[int]:
    """Once round the outline: 1 for each left turn, -1 for each right one, the upper side on the left."""
    left = list(bends)
    used = [name for b in bends for name in (b.parent, b.child)]
    here = next((name for name in used if used.count(name) == 1), used[0])
    way: list[int] = []
    while left:
        bend = next((b for b in left if here in (b.parent, b.child)), left[0])
        left.remove(bend)
        way.append(1 if bend.direction == "up" else -1)
        here = bend.child if here == bend.parent else bend.parent
    return [*way, *(-w for w in reversed(way))]


def _same_way(found: Sequence[int], wanted: Sequence[int]) -> bool:
    """True for the same turns in order, wherever one begins and from whichever end the part is seen."""
    ways = (list(wanted), [-w for w in wanted][::-1], [-w for w in wanted], list(wanted)[::-1])
    turned = [[*found[i:], *found[:i]] for i in range(len(found))]
    return any(way in turned for way in ways)


def _length_problems(
    page: Content, straight: Sequence[float], plan: PartPlan, bends: Sequence[Bend]
) -> Iterator[str]:
    """Each flange's printed length outside, and its flat length on both sides of the sheet.

    A leg whose own label says so is drawn short: its outline is not measured, its label is.
    """
    labels = [m for w in page.words if (m := LENGTH.fullmatch(" ".join(w.text.split())))]
    names = sorted({name for b in bends for name in (b.parent, b.child)})
    words = {name.replace("_", " ") for name in names}
    cut_off = TOO_LARGE in plain(page.text)
    yield from (f"names a leg {m[1]}" for m in labels if m[1] not in words)
    if any(m[3] for m in labels) and not cut_off:
        yield "has legs drawn short and does not say why"
    for name in names:
        shown, flange = name.replace("_", " "), plan.flange(name)
        own = [b for b in bends if name in (b.parent, b.child)]
        likely = [own]
        if cut_off:
            # the leg's other bend has a page of its own
            others = [b for b in plan.bends if name in (b.parent, b.child) and b not in own]
            likely += [[*own, b] for b in others if len(own) == 1 and span(flange, [*own, b]) is not None]
        flats = [x for some in likely if (x := span(flange, some)) is not None]
        outsides = [x for some in likely if (x := outside(flange, some, plan.thickness_mm)) is not None]
        if not flats:
            yield f"{shown} has bends on one side of it"
            continue
        said = [m for m in labels if m[1] == shown]
        if len(said) != 1:
            yield f"gives {len(said)} lengths of {shown}"
        for m in said:
            if all(abs(float(m[2]) - x) > PRINTED_MM for x in outsides):
                yield f"{shown} is said to be {m[2]} outside, by the plan {outsides[-1]:.2f}"
        if any(m[3] for m in said):
            continue
        if all(sum(abs(side - x) < SIZE_MM for side in straight) < 2 for x in flats):
            yield f"{shown} is not {flats[-1]:.2f} mm long on both sides of the outline"


def _walk(shape: Shape) -> tuple[list[float], list[Side]]:
    """Straight sides and arcs of a closed path in turn; Béziers of one radius that go on are one arc."""
    curves = {(c[0], c[3]): c for c in shape.curves}
    points = list(shape.points)
    if math.dist(points[0], points[-1]) > 1e-6:
        points.append(points[0])
    straight: list[float] = []
    arcs: list[tuple[float, float, float]] = []
    joined = False
    for a, b in itertools.pairwise(points):
        curve = curves.get((a, b))
        if curve is None:
            if math.dist(a, b) > 1e-6:
                straight.append(math.dist(a, b))
                joined = False
            continue
        into = math.atan2(curve[1][1] - a[1], curve[1][0] - a[0])
        out = math.atan2(b[1] - curve[2][1], b[0] - curve[2][0])
        turn = math.remainder(out - into, 2 * math.pi)
        radius = math.dist(a, b) / (2 * math.sin(abs(turn) / 2))
        if joined and math.copysign(1, arcs[-1][1]) == math.copysign(1, turn):
            arcs[-1] = arcs[-1][0] + radius * abs(turn), arcs[-1][1] + turn, radius
        else:
            arcs.append((radius * abs(turn), turn, radius))
        joined = True
    return straight, [(length, turn) for length, turn, _ in arcs]
