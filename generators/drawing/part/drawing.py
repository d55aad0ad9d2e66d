"""A dimensioned drawing of one part that a machinist need not ask about.

Everything is computed from the plan: the flat blank with ordinates and numbered holes, the folded
views with outside lengths, the tables. One sheet if it stays legible, else two; scales of ISO 5455
(from memory) and upright or lying paper, whichever shows the part larger.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from shapely.geometry import box

from generators.drawing.metal import metal_words
from generators.drawing.paper.dimensions import Clutter
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import MEDIUM, Pen
from generators.drawing.paper.sheet_layout import Block, Cell
from generators.drawing.paper.title_block import AS_SHOWN, MARGIN_MM, NOTHING_DRAWN, TitleBlock
from generators.drawing.paper.waived import MARK, WaivedList, waived_list
from generators.drawing.part.body import Body, folded_body
from generators.drawing.part.flat_view import FlatView
from generators.drawing.part.folded_view import WORDS, FoldedViews, draw_picture, folded_views
from generators.drawing.part.sheets import share
from generators.drawing.part.tables.bends import bend_table
from generators.drawing.part.tables.cheeks import cheek_lines
from generators.drawing.part.tables.coating import coating_lines
from generators.drawing.part.tables.corners import Corner, corner_table, corners_of
from generators.drawing.part.tables.datums import Datums, find_datums
from generators.drawing.part.tables.feet import feet_lines
from generators.drawing.part.tables.holes import hole_table, peg_table
from generators.drawing.part.tables.openings import Opening, number_openings
from generators.drawing.part.tables.table import Table
from generators.drawing.part.tables.welded import welded_lines
from generators.drawing.part.tables.welds import sheet_text, weld_lines, welds_elsewhere
from generators.drawing.part.views import AS_PRINTED, ISOMETRIC
from generators.errors import GeometryFault
from generators.figures import fixed, format_length
from generators.geometry.contours import bounds
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.spec.titles import number_words
from generators.sheetmetal.folding import FlatPattern, flat_pattern
from generators.sheetmetal.grain import grain_letter
from generators.sheetmetal.marking.etching import Etching, etching
from generators.sheetmetal.volume import cutting, mass_kg, uncounted_words
from generators.standards import CUT_HOLE, general_tolerance_words, projection_of
from generators.standards import paper as paper_row
from generators.units import UnitSystem

SCALES = ((2, 1), (1, 1), (1, 2), (1, 3), (1, 4), (1, 5), (1, 10), (1, 20), (1, 50))
BETWEEN = (3, 4)
"""Scales between those of ISO 5455, which it allows where no other does (from memory)."""
USUAL_SHEETS = 2
"""More sheets than these are not taken for a usual scale, where one between saves a sheet. Ours."""
GOOD_MM = 110.0
"""A flat view this large on paper is not made larger at the price of a sheet. Ours."""
FAIR_MM = 90.0
"""A flat view this large is taken rather than a third sheet. Ours."""
INNER_GAP_MM = 2.0
VIEWS = ("picture", "flat", "views")
OFF_LIMITS = 1000.0
"""What it costs a symbol to lie on the title block, beside 1 for a line of a view. Ours."""
PICTURE_MM = (58.0, 52.0)
MARK_MM, MARK_ROW_MM = 5.0, 9.0
ISSUE = "The issue is the part's, the revision these papers': work from the newest."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """What every sheet and scale of one drawing shares."""

    plan: PartPlan
    flat: FlatPattern
    body: Body
    openings: tuple[Opening, ...]
    datums: Datums
    corners: tuple[Corner, ...]
    tables: tuple[Table | WaivedList, ...]
    first_angle: bool
    smallest_hole_mm: float
    head_mm: float
    units: UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class _Content:
    """The views and tables of a drawing at one scale."""

    flat: FlatView
    views: FoldedViews | None
    tables: tuple[Table | WaivedList, ...]
    table_blocks: tuple[Block, ...]

    def block(self, name: str) -> Block:
        """Size of one of them."""
        if name == "flat":
            return Block(name, *self.flat.size())
        if name == "picture":
            return Block(name, *PICTURE_MM)
        if name == "views" and self.views is not None:
            return Block(name, *self.views.size())
        return next(b for b in self.table_blocks if b.name == name)

    def table(self, name: str) -> Table | WaivedList:
        """The table of that name."""
        return next(t for t in self.tables if t.name == name)

    def scale_of(self, names: Iterable[str]) -> str:
        """What the title block of a sheet with these blocks on it says of its scale."""
        own = self.views.scale_text.removeprefix("scale ") if self.views is not None else ""
        each = {"flat": self.flat.scale_text, "views": own or self.flat.scale_text}
        said = {each[name] for name in names if name in each}
        return (said.pop() if len(said) == 1 else AS_SHOWN) if said else NOTHING_DRAWN

    def views_of(self) -> tuple[tuple[str, ...], ...]:
        """The groups of views that stay together on a sheet."""
        if self.views is None:
            return (("flat", "picture"),) if self.flat.plan.printed else (("flat",),)
        return ("flat",), (("views",) if self.views.holds_picture else ("views", "picture"))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layout:
    """A chosen arrangement: the paper, and a cell for each block of each sheet."""

    content: _Content
    width: float
    height: float
    sheets: tuple[dict[str, Cell], ...]

    @property
    def rank(self) -> tuple[float, float, float, float]:
        """Larger is better."""
        return _rank(self.content, len(self.sheets))


def _rank(content: _Content, sheets: int) -> tuple[float, float, float, float]:
    """A good scale matters most, but for a third sheet; then few sheets, then size."""
    u0, v0, u1, v1 = bounds(content.flat.flat.contour)
    size = max(u1 - u0, v1 - v0) * content.flat.scale
    views = content.views.scale if content.views else 0.0
    if size >= GOOD_MM or content.flat.scale >= 1:
        usual = round(1 / content.flat.scale, 6) not in BETWEEN
        return 2.0 if usual and sheets <= USUAL_SHEETS else 1.0, -sheets, size, views
    if size >= FAIR_MM and sheets <= USUAL_SHEETS:
        # behind all that is good on as few sheets, before a third; one sheet before larger folded views
        return 1.0, -USUAL_SHEETS - 0.5, size, -sheets + views / 10
    return 0.0, size, -sheets, views


def write_part_drawing(
    plan: PartPlan,
    path: Path,
    *,
    job_title: str,
    revision: str,
    paper: str = "A4",
    smallest_hole_mm: float = 0.0,
    waived: Sequence[Waived] = (),
    projection: str = "",
    units: UnitSystem = "metric",
    cut_file: str = "",
    kerf_mm: float | None = None,
    contact: str = "",
    date: str = "",
) -> None:
    """Write the drawing as a PDF on ``paper`` (A4, A3, letter or tabloid), ``units`` first in its tables.

    Openings narrower than ``smallest_hole_mm`` are shown as centre marks to drill. ``waived``
    rules are marked on every sheet and listed. ``projection`` is ``first`` or ``third``; by itself
    the paper's. ``cut_file`` is the file the blank is cut from, its lines moved for a cut of ``kerf_mm``.
    ``contact`` is who answers questions; without one there is a line to write on. ``date``: of the job.

    Raises ``LookupFault`` for unknown paper or material, ``GeometryFault`` when the plan has no
    flat pattern or is too large for the paper at the smallest scale, ``ExportError`` when the file
    cannot be written.
    """
    sheet = paper_row(paper)
    projection = projection or projection_of(paper)
    flat = flat_pattern(plan)
    datums = find_datums(flat)
    openings = tuple(number_openings(plan, flat, smallest_hole_mm))
    corners = corners_of(flat.contour, openings)
    tables = (
        hole_table(plan, openings, datums, units),
        peg_table(plan, datums),
        corner_table(corners, datums),
        bend_table(plan, flat, datums, corners),
    )
    part = _Part(
        plan=plan,
        flat=flat,
        body=folded_body(plan),
        openings=openings,
        datums=datums,
        corners=corners,
        tables=(*(t for t in tables if t is not None), *((waived_list(waived),) if waived else ())),
        head_mm=MARK_ROW_MM if waived else 0.0,
        first_angle=projection == "first",
        smallest_hole_mm=smallest_hole_mm,
        units=units,
    )
    facts = _facts(part)
    u0, v0, u1, v1 = bounds(flat.contour)

    welding = (*weld_lines(plan, corners), *welded_lines(plan))

    def block(scale_text: str, sheet: int = 1) -> TitleBlock:
        # with the flat view and its letters, which the words on the edges need
        welds = welding if sheet == 1 else welds_elsewhere(plan) or welding
        return TitleBlock(
            job=job_title,
            title=plan.title,
            name=plan.name,
            number=plan.etch,
            revision=revision,
            scale_text=scale_text,
            folded=bool(plan.bends),
            printed=plan.printed,
            projection=projection,
            within={
                "hole": f"+{CUT_HOLE.upper_mm:g}/{CUT_HOLE.lower_mm:g}",
                "position": f"{plan.position_mm:g}",
                "bent": f"{plan.bent_mm:g}",
                "angle": f"{math.degrees(plan.bent_rad):g}",
            },
            general=general_tolerance_words(plan.tolerance, max(u1 - u0, v1 - v0)),
            mirrored=plan.mirrored,
            facts=facts,
            # one after the other: a line more may cost the views their scale
            part_notes=(
                *filter(None, [" ".join((*plan.notes, *cheek_lines(plan), *feet_lines(plan)))]),
                *welds,
            ),
            coating=tuple(coating_lines(plan)),
            cut_file=cut_file,
            kerf_mm=kerf_mm,
            contact=contact,
            date=date,
        )

    strips = {width: block("1:2").height(width) for width in (sheet.width_mm, sheet.height_mm)}
    chosen = _choose(part, (sheet.width_mm, sheet.height_mm), strips)
    pen = PdfPen(path, title=f"{job_title}: {plan.title}", subject=f"part {plan.name} {revision}")
    for i, cells in enumerate(chosen.sheets):
        pen.page(chosen.width, chosen.height)
        foot = block(chosen.content.scale_of(cells), i + 1)
        foot.draw(pen, i + 1, len(chosen.sheets))
        strip = foot.height(chosen.width)
        # what a lower strip leaves goes to both sides
        spare = (strips[chosen.width] - strip) / 2
        if waived:
            _mark(pen)
        x, y = MARGIN_MM + INNER_GAP_MM, MARGIN_MM + strip + spare + INNER_GAP_MM
        placed = {n: Cell(c.x + x, c.y + y, c.width, c.height) for n, c in cells.items()}
        taken = Clutter()
        taken.add(box(0.0, 0.0, chosen.width, MARGIN_MM + strip), OFF_LIMITS)
        if waived:
            low = chosen.height - MARGIN_MM - MARK_ROW_MM
            taken.add(box(0.0, low, chosen.width, chosen.height), OFF_LIMITS)
        # views last: their welding symbols go where the rest of the sheet has left room
        for name in sorted(placed, key=lambda n: VIEWS.index(n) if n in VIEWS else -1):
            _draw(pen, part, chosen.content, name, placed[name], taken)
    pen.finish()


def _choose(part: _Part, paper: tuple[float, float], strips: dict[float, float]) -> _Layout:
    """The best of all scales, both ways to turn the paper, and all shares among sheets."""
    best: _Layout | None = None
    views = folded_views(part.plan, part.body, 1.0, first_angle=part.first_angle) if part.plan.bends else None
    for width, height in (paper[::-1], paper):
        room = width - 2 * (MARGIN_MM + INNER_GAP_MM), height - 2 * (MARGIN_MM + INNER_GAP_MM) - strips[width]
        room = room[0], room[1] - part.head_mm
        tables = tuple(piece for t in part.tables for piece in t.split(room[1]))
        blocks = tuple(Block(t.name, *t.size()) for t in tables)
        for k, (up, down) in enumerate(SCALES):
            flat = FlatView(
                plan=part.plan,
                flat=part.flat,
                openings=part.openings,
                datums=part.datums,
                corners=part.corners,
                scale=up / down,
                scale_text=f"{up}:{down}",
                first_angle=part.first_angle,
            )
            # a flat view drawn smaller than it is may have smaller folded views beside it
            smaller = SCALES[k : k + 3] if views is not None and up < down else SCALES[k : k + 1]
            for scale in smaller:
                content = _Content(
                    flat=flat,
                    views=_scaled(views, scale, own=scale != (up, down)),
                    tables=tables,
                    table_blocks=blocks,
                )
                # one sheet is the best that can come of it
                if best is not None and _rank(content, 1) <= best.rank:
                    continue
                names = tuple(t.name for t in tables)
                groups = content.views_of()
                every = {n: content.block(n) for n in (*names, *(n for group in groups for n in group))}
                sheets = share(groups, names, every, room)
                if sheets is None:
                    continue
                layout = _Layout(content=content, width=width, height=height, sheets=sheets)
                if best is None or layout.rank > best.rank:
                    best = layout
    if best is None:
        raise GeometryFault(f"part {part.plan.name!r} is too large to draw on this paper")
    return best


def _scaled(views: FoldedViews | None, scale: tuple[int, int], *, own: bool) -> FoldedViews | None:
    """The folded views at a scale, which they say where it is their ``own``."""
    if views is None:
        return None
    up, down = scale
    return replace(views, scale=up / down, scale_text=f"scale {up}:{down}" if own else "")


def _mark(pen: Pen) -> None:
    """The mark of waived rules, in a row of its own under the frame's upper edge."""
    low = pen.height - MARGIN_MM - MARK_ROW_MM
    pen.stroke(MEDIUM)
    pen.line(MARGIN_MM, low, pen.width - MARGIN_MM, low)
    pen.text(pen.width / 2, low + 2.6, MARK, MARK_MM, bold=True, align="centre")


def _draw(pen: Pen, part: _Part, content: _Content, name: str, cell: Cell, taken: Clutter) -> None:
    """Draw a block in its cell and add to ``taken`` what it covers."""
    if name == "flat":
        content.flat.draw(pen, cell, taken)
    elif name == "views" and content.views is not None:
        content.views.draw(pen, cell, taken)
    elif name == "picture":
        camera = AS_PRINTED if part.plan.printed else ISOMETRIC
        taken.add(draw_picture(pen, part.body, cell, content.flat.scale, camera), WORDS)
    else:
        table = content.table(name)
        width, height = table.size()
        x, y = cell.x + (cell.width - width) / 2, cell.y + (cell.height - height) / 2
        table.draw(pen, x, y + height)
        around = box(x, y, x + width, y + height).buffer(INNER_GAP_MM, join_style="mitre")
        taken.add(around, WORDS)


def _facts(part: _Part) -> tuple[tuple[str, str], ...]:
    """The lines of the title block that describe the sheet and the cut."""
    plan = part.plan
    u0, v0, u1, v1 = bounds(part.flat.contour)
    work = cutting(plan, part.smallest_hole_mm)
    kilograms = mass_kg(plan)
    grain = grain_letter(plan)
    if plan.printed:
        tall = plan.thickness_mm + max((p.height_mm for p in plan.flanges[0].pegs), default=0.0)
        return (
            ("material", f"{plan.material}, printed"),
            ("thickness", format_length(plan.thickness_mm, part.units)),
            ("quantity", str(plan.quantity)),
            ("mass solid", f"{kilograms:.3f} kg"),
            ("size", f"{fixed(u1 - u0, 2)} × {fixed(v1 - v0, 2)} × {fixed(tall, 2)} mm"),
        )
    return (
        ("material", metal_words(plan)),
        ("thickness", f"{format_length(plan.thickness_mm, part.units)}; {sheet_text(plan, part.units)}"),
        ("finish", plan.finish or "none stated"),
        ("burrs", f"on the lower side: cut upper side up{'' if grain else '; grain either way'}"),
        *([("etched", _etched(letters, part.datums))] if (letters := etching(plan, part.flat)) else []),
        *([("grain", f"along {grain}")] if grain else []),
        ("quantity", str(plan.quantity)),
        ("mass each", f"{kilograms:.3f} kg{uncounted_words(plan)}"),
        ("blank", f"{fixed(u1 - u0, 2)} × {fixed(v1 - v0, 2)} mm"),
        ("cut length", f"{work.length_mm:.0f} mm, {work.pierces} pierce{'s' if work.pierces > 1 else ''}"),
    )


def _etched(letters: Etching, datums: Datums) -> str:
    """What is etched, how high, and where: the box of its letters from the drawing's two datums."""
    u0, v0, u1, v1 = letters.box
    x = f"X {fixed(u0 - datums.u_mm, 1)} to {fixed(u1 - datums.u_mm, 1)}"
    y = f"Y {fixed(v0 - datums.v_mm, 1)} to {fixed(v1 - datums.v_mm, 1)}"
    where = letters.flange.replace("_", " ")
    return (
        f"{number_words(letters.text)}: {letters.height_mm:g} mm high, upper side of {where}, "
        f"{x}, {y}; a mark only, 0.1 to 0.2 deep or stamped by hand, never through; shown in the flat only. "
        f"{ISSUE}"
    )
