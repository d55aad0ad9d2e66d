"""The profile sheet: the folded part's profile at full size, to hold the bent part against.

A page for each profile. Where one does not fit on the paper, each of its bends has a page, with legs
drawn short; those that the part is laid on alike share one. Grey is what touches the
paper where the part stands on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from shapely.geometry import LineString, Polygon, box

from generators.drawing.bending.alike import lies, same_words
from generators.drawing.bending.chains import Chain, chains, shortened
from generators.drawing.bending.standing import Standing, standing, upper_is_free
from generators.drawing.metal import metal_words
from generators.drawing.paper.dimensions import Clutter, number, place_label
from generators.drawing.paper.furniture import Live, Words, draw_furniture, live_area
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import LIGHT, MEDIUM, Pen, wrap_text
from generators.drawing.paper.waived import MARK
from generators.drawing.part.tables.welds import held_text
from generators.figures import format_length
from generators.geometry.contours import Placement, bounds, polyline, transformed
from generators.model.contour import Contour, Vertex
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.spec.titles import capital, named_part, questions
from generators.model.words import TemplateFace
from generators.standards import paper as paper_row
from generators.units import UnitSystem

FACE: TemplateFace = "BEND CHECK"
AIR_MM = 14.0
LABEL_MM = 3.2
HOLD = (
    "Faces and bends must cover the outline within the limits of the drawing. Deburr the part first; "
    "gloves: edges cut."
)
STAND = "STAND THE PART ON ITS EDGE {edges} (letters of the drawing), on the grey, and hold it there."
ABOVE = "White is metal above the paper: set a square up against it."
OVER = "{flanges} {hides} some of the outline from above: look in under {it}, level with the paper."
CUT_OUT = (
    "THE PART DOES NOT STAND ON THIS PROFILE: print it on card or glue it to card, cut the thick line away "
    "({side} of the {bends}), on to the sheet's edges, and hold {how} the {bends}, square to the metal."
)
SIDES = {
    "inside": "the piece within it into",
    "outside": "the piece around it over",
    "upper side": "the piece beyond it against",
    "lower side": "the piece beyond it against",
}
"""A side of the profile, and which piece of the card is held there how."""
WITHIN = "Lengths outside ±{bent} mm, angles ±{angle}° (drawing)."
SQUARE, TURNS_TRIED = 4, 36
CUT_MM = 1.0
"""Width of the line that is cut away; its edge, not its middle, is the outline."""
GREY_MM = 0.02
WHITE_MM = 1.0
"""So much of the legs may stay white where nobody need be told. Ours."""


@dataclass(frozen=True, slots=True)
class _Page:
    """A chain as it lies on its page, the others that lie on it alike, and whether its legs are cut off.

    ``stood`` is how the part stands on it, None where it does not; ``upper`` then tells the side of the
    sheet that a card is held to.
    """

    chain: Chain
    outline: Contour
    whole: bool
    stood: Standing | None
    upper: bool
    likes: tuple[tuple[Chain, Standing | None], ...] = ()

    @property
    def side(self) -> str:
        """The side that a card is cut for: of bends one way inside or outside, else by the sheet's sides."""
        ways = {turn > 0 for turn in self.chain.turns}
        if len(ways) > 1:
            return "upper side" if self.upper else "lower side"
        return "inside" if self.upper in ways else "outside"

    @property
    def shape(self) -> tuple[object, ...]:
        """What two pages share that one page does for."""
        card = self.side if self.stood is None else ""
        return self.whole, card, lies(self.chain, self.stood, upper=self.upper)

    @property
    def how(self) -> str:
        """How it is used, in words."""
        if self.stood is None:
            bends = "bend" if len(self.chain.bends) == 1 else "bends"
            card = CUT_OUT.format(side=self.side, bends=bends, how=SIDES[self.side])
            return f"{card} {same_words(self.likes)}".strip()
        legs = sum(leg.flat_mm for leg in self.chain.legs)
        said = [STAND.format(edges=self.stood.on)]
        if self.stood.touching_mm < legs - WHITE_MM:
            said.append(ABOVE)
        if over := self.stood.over:
            *most, last = (name.replace("_", " ") for name in over)
            names = f"{', '.join(most)} and {last}" if most else last
            hides, it = ("hide", "them") if most else ("hides", "it")
            said.append(OVER.format(flanges=capital(names), hides=hides, it=it))
        if same := same_words(self.likes):
            said.append(same)
        return " ".join(said)


def write_profile_sheet(
    plan: PartPlan,
    path: Path,
    *,
    job_title: str,
    revision: str,
    paper: str = "A4",
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
    contact: str = "",
    date: str = "",
) -> None:
    """Write the sheet as a PDF on ``paper`` (A4, A3, letter or tabloid), upright.

    Raises ``LookupFault`` for unknown paper, ``ExportError`` when the file cannot be written.
    """
    sheet = paper_row(paper)
    live = live_area(sheet.width_mm, sheet.height_mm)
    pages = _pages(plan, live)
    pen = PdfPen(
        path, title=f"{job_title}: {plan.title}, profile", subject=f"part {plan.name} {revision}, 1:1"
    )
    within = WITHIN.format(bent=f"{plan.bent_mm:g}", angle=f"{math.degrees(plan.bent_rad):g}")
    for i, page in enumerate(pages, 1):
        pen.page(sheet.width_mm, sheet.height_mm)
        words = Words(
            face=FACE,
            job=job_title,
            panel=f"{plan.title}, {named_part(plan.name, plan.etch)}",
            material=f"{metal_words(plan)}, {format_length(plan.thickness_mm, units)}, 1:1",
            revision=f"{revision}, {date}" if date else revision,
            paper=sheet.name,
            witness_note=" ".join([within, *_held(plan, page.chain)]),
            # first, so that no line breaks within it
            lay=" ".join([*([f"{MARK} on the drawing."] if waived else []), page.how]),
            notes=(questions(contact),),
            join=HOLD,
            units=units,
        )
        # never as 2×: beside 1:1 that reads as a scale
        many = f"profile of {1 + len(page.likes)} alike" if page.likes else "profile"
        draw_furniture(pen, words, many, i, len(pages), None)
        _draw(pen, page, live)
    pen.finish()


def _held(plan: PartPlan, chain: Chain) -> Iterator[str]:
    """The bends of a page with limits of their own, as the drawing has them."""
    for bend in chain.bends:
        if held := held_text(plan, bend):
            yield f"{bend.name.replace('_', ' ')}: {held}."


def _pages(plan: PartPlan, live: Live) -> list[_Page]:
    """A page for each profile; one for all that the part, or a card, is laid on alike."""
    out: dict[tuple[object, ...], _Page] = {}
    for chain in chains(plan):
        for page in _pages_of(plan, chain, live):
            like = out.setdefault(page.shape, page)
            if like is not page:
                out[page.shape] = replace(like, likes=(*like.likes, (page.chain, page.stood)))
    return list(out.values())


def _pages_of(plan: PartPlan, chain: Chain, live: Live) -> Iterator[_Page]:
    stood = standing(plan, chain)
    placed = _fitted(chain, stood, live)
    if placed is not None:
        yield _Page(chain, placed, whole=True, stood=stood, upper=upper_is_free(plan, chain))
        return
    # two legs of this length and a bend fit at any angle
    most = (min(live.width, live.height) - 2 * AIR_MM) / 2
    for part in shortened(chain, most):
        stood = standing(plan, part)
        placed = _fitted(part, stood, live)
        if placed is not None:
            yield _Page(part, placed, whole=False, stood=stood, upper=upper_is_free(plan, part))


def _fitted(chain: Chain, stood: Standing | None, live: Live) -> Contour | None:
    """The outline turned so that it has most room in the middle of the live area, or ``None``."""
    best: tuple[float, Contour] | None = None
    outline = chain.outline()
    if stood is not None and stood.mirrored:
        outline = Contour(tuple(Vertex(p.u, -p.v, -p.bulge) for p in outline.vertices))
    for i in range(TURNS_TRIED):
        # what stands square on the page comes first
        if i == SQUARE and best is not None:
            break
        turn = (i % 4) * math.pi / 2 + (i // 4) * math.pi / 18
        turned = transformed(outline, Placement(angle=turn))
        u0, v0, u1, v1 = bounds(turned)
        room = min(live.width - 2 * AIR_MM - (u1 - u0), live.height - 2 * AIR_MM - (v1 - v0))
        if room < 0 or (best is not None and room <= best[0] + 1e-6):
            continue
        du = live.x + (live.width - u0 - u1) / 2
        dv = live.y + (live.height - v0 - v1) / 2
        best = room, transformed(turned, Placement(du, dv))
    return best[1] if best else None


def _grey(page: _Page) -> Iterator[list[tuple[float, float]]]:
    """What touches the paper: spans of legs, and the bends between them."""
    if page.stood is None:
        return
    right = page.outline.vertices
    # the left side of the sheet comes after the right one, walked back
    left = right[::-1]

    def at(side: Sequence[Vertex], index: int, share: float) -> tuple[float, float]:
        a, b = side[2 * index], side[2 * index + 1]
        return a.u + (b.u - a.u) * share, a.v + (b.v - a.v) * share

    for i, (leg, spans) in enumerate(zip(page.chain.legs, page.stood.spans, strict=True)):
        for low, high in spans:
            a, b = low / leg.flat_mm, high / leg.flat_mm
            yield [at(right, i, a), at(right, i, b), at(left, i, b), at(left, i, a)]
    for i in range(len(page.chain.bends)):
        one, two = right[2 * i + 1], right[2 * i + 2]
        back, end = left[2 * i + 2], left[2 * i + 1]
        ring = Contour((one, Vertex(two.u, two.v), back, Vertex(end.u, end.v)))
        yield [(float(u), float(v)) for u, v in polyline(ring, GREY_MM)]


def _draw(pen: Pen, page: _Page, live: Live) -> None:
    for ring in _grey(page):
        pen.polygon(ring, fill=LIGHT, edge=False)
    pen.stroke(MEDIUM)
    pen.contour(page.outline)
    if page.stood is None:
        # once round, the right side of the sheet, its lower one, comes before the left
        half = len(page.outline.vertices) // 2
        side = page.outline.vertices[half:] if page.upper else page.outline.vertices[:half]
        rim = LineString(polyline(Contour((*side[:-1], Vertex(side[-1].u, side[-1].v))), GREY_MM))
        pen.stroke(CUT_MM)
        # the metal is on the left of either side
        within = rim.offset_curve(CUT_MM / 2)
        pen.polygon([(float(u), float(v)) for u, v in within.coords], closed=False)
        pen.stroke(MEDIUM)
    clutter = Clutter()
    points = polyline(page.outline, 0.05)
    clutter.add(Polygon(points), 3.0)
    area = box(live.x + 2, live.y + 2, live.x + live.width - 2, live.y + live.height - 2)
    vertices = page.outline.vertices
    for i, leg in enumerate(page.chain.legs):
        a, b = vertices[2 * i], vertices[2 * i + 1]
        text = f"{leg.name.replace('_', ' ')}: {number(leg.outside_mm)} outside"
        text += ", drawn short" if leg.cut else ""
        anchor = (a.u + b.u) / 2, (a.v + b.v) / 2
        place_label(pen, clutter, anchor, 0.0, text, size=LABEL_MM, within=area, pointed=True)
    for i, bend in enumerate(page.chain.bends):
        a, b = vertices[2 * i + 1], vertices[2 * i + 2]
        degrees = number(math.degrees(bend.angle_rad))
        text = f"{bend.name.replace('_', ' ')}: {degrees}°, R{number(bend.inside_radius_mm)} inside"
        anchor = (a.u + b.u) / 2, (a.v + b.v) / 2
        place_label(pen, clutter, anchor, 0.0, text, size=LABEL_MM, within=area, pointed=True)
    if not page.whole:
        note = "Too large for this paper: legs are drawn short, bends and angles are true."
        for k, line in enumerate(wrap_text(note, LABEL_MM, live.width - 6)):
            pen.text(live.x + 3, live.y + live.height - 6 - 4 * k, line, LABEL_MM, bold=True)
