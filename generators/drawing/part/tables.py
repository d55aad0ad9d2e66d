"""The tables of a part drawing: every hole, every bend."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.drawing.paper.dimensions import number
from generators.drawing.paper.pen import LIGHT, MEDIUM, THIN, Pen, fit_text, text_width, wrap_text
from generators.figures import fixed
from generators.geometry.contours import bounds, segments
from generators.geometry.frames import apply
from generators.model.joints.hole_finish import called_out
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.allowance import deduction, din_deduction, setback, tangent_setback
from generators.sheetmetal.folding import FlatBend, FlatPattern, folded_frames
from generators.units import INCH_MM, UnitSystem

TABLE_TEXT_MM = 2.5
ROW_MM = 4.2
TITLE_MM = 5.0
NOTE_ROW_MM = 3.4
CELL_PAD_MM = 1.0
WIDEST_TEXT_MM = 44.0
DATUM_EDGE_MM = 5.0

FINE_MM = 0.05
"""A tolerance narrower than this is a fit: it is printed with its name and to 0.001 mm."""

INWARD = 1e-6
"""Of a hundredth: what is nearer to one than this is one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Datums:
    """Where X and Y of the blank are measured from, in blank coordinates and in words."""

    u_mm: float
    v_mm: float
    u_words: str
    v_words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole or slot with its number on the drawing; ``height_mm`` is over the root after bending."""

    number: str
    item: Hole | Slot
    marked: bool
    height_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Text in rows and columns; columns are as wide as their longest text."""

    name: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[bool, ...]
    notes: tuple[str, ...] = ()

    def widths(self) -> list[float]:
        """Column widths, mm."""
        columns = zip(self.heads, *self.rows, strict=True)
        return [
            min(
                WIDEST_TEXT_MM,
                max(text_width(t, TABLE_TEXT_MM, bold=i == 0) for i, t in enumerate(column)),
            )
            + 2 * CELL_PAD_MM
            for column in columns
        ]

    def note_lines(self) -> list[str]:
        """Notes broken to the table's width."""
        width = sum(self.widths())
        return [line for note in self.notes for line in wrap_text(note, TABLE_TEXT_MM, width)]

    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        height = TITLE_MM + ROW_MM * (len(self.rows) + 1)
        if self.notes:
            height += 1.0 + NOTE_ROW_MM * len(self.note_lines())
        return sum(self.widths()), height

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw with the upper left corner at ``(x, top)``."""
        widths = self.widths()
        pen.text(x, top - TITLE_MM + 1.6, self.title, 3.0, bold=True)
        y = top - TITLE_MM
        total = sum(widths)
        pen.stroke(THIN)
        pen.rect(x, y - ROW_MM, total, ROW_MM, fill=LIGHT, edge=False)
        for r, row in enumerate((self.heads, *self.rows)):
            left = x
            for text, width, is_left in zip(row, widths, self.left, strict=True):
                shown = fit_text(text, TABLE_TEXT_MM, width - 2 * CELL_PAD_MM + 0.01, bold=r == 0)
                base = y - ROW_MM + 1.2
                if is_left:
                    pen.text(left + CELL_PAD_MM, base, shown, TABLE_TEXT_MM, bold=r == 0)
                else:
                    pen.text(
                        left + width - CELL_PAD_MM, base, shown, TABLE_TEXT_MM, bold=r == 0, align="right"
                    )
                left += width
            y -= ROW_MM
            pen.stroke(THIN)
            pen.line(x, y, x + total, y)
        upper = top - TITLE_MM
        left = x
        for width in widths[:-1]:
            left += width
            pen.line(left, upper, left, y)
        pen.stroke(MEDIUM)
        pen.rect(x, y, total, upper - y)
        for line in self.note_lines():
            y -= NOTE_ROW_MM
            pen.text(x, y, line, TABLE_TEXT_MM)

    def split(self, height: float) -> list[Table]:
        """The same table in pieces no higher than ``height`` mm."""
        spare = height - (self.size()[1] - ROW_MM * len(self.rows))
        count = max(1, int(spare // ROW_MM))
        if count >= len(self.rows):
            return [self]
        return [
            Table(
                name=f"{self.name}{i}",
                title=self.title if i == 0 else f"{self.title} (continued)",
                heads=self.heads,
                rows=self.rows[i : i + count],
                left=self.left,
                notes=self.notes,
            )
            for i in range(0, len(self.rows), count)
        ]


def find_datums(flat: FlatPattern) -> Datums:
    """The left and lower edges of the blank where it has straight ones, else the part's origin."""
    u0, v0, u1, v1 = bounds(flat.contour)
    has_left = has_low = False
    for a, b in segments(flat.contour):
        if a.bulge == 0 and math.hypot(b.u - a.u, b.v - a.v) >= DATUM_EDGE_MM:
            has_left |= max(abs(a.u - u0), abs(b.u - u0)) < 1e-6
            has_low |= max(abs(a.v - v0), abs(b.v - v0)) < 1e-6
    hole = next(
        (
            f"the centre of hole {i + 1}"
            for i, h in enumerate(flat.holes)
            if math.hypot(h.u_mm, h.v_mm) < 1e-6
        ),
        "",
    )

    def origin(low: float, high: float) -> str:
        return hole or ("the middle of the blank" if abs(low + high) < 1e-6 else "the part's origin")

    return Datums(
        u_mm=u0 if has_left else 0.0,
        v_mm=v0 if has_low else 0.0,
        u_words="the left edge" if has_left else origin(u0, u1),
        v_words="the lower edge" if has_low else origin(v0, v1),
    )


def number_openings(plan: PartPlan, flat: FlatPattern, smallest_hole_mm: float) -> list[Opening]:
    """Holes then slots, numbered from 1, with their heights over the root flange once bent."""
    frames = folded_frames(plan)
    root = plan.flanges[0].name
    outside = {b.child: 0.0 if b.direction == "up" else plan.thickness_mm for b in plan.bends}
    heights: dict[str, list[float | None]] = {"hole": [], "slot": []}
    for flange in plan.flanges:
        kinds: tuple[tuple[str, tuple[Hole | Slot, ...]], ...] = (
            ("hole", flange.holes),
            ("slot", flange.slots),
        )
        for kind, items in kinds:
            for item in items:
                if flange.name == root:
                    heights[kind].append(None)
                    continue
                place = np.array([[item.u_mm, item.v_mm, outside[flange.name]]])
                heights[kind].append(float(apply(frames[flange.name], place)[0, 2]))
    out: list[Opening] = []
    items_flat: tuple[Hole | Slot, ...] = (*flat.holes, *flat.slots)
    for i, (item, height) in enumerate(zip(items_flat, heights["hole"] + heights["slot"], strict=True)):
        width = item.diameter_mm if isinstance(item, Hole) else item.width_mm
        marked = width < smallest_hole_mm
        out.append(
            Opening(number=f"{i + 1}{'*' if marked else ''}", item=item, marked=marked, height_mm=height)
        )
    return out


def opening_size(item: Hole | Slot) -> tuple[str, str]:
    """Diameter, or width × overall length of a slot, in mm and in inches."""
    if isinstance(item, Hole):
        return fixed(item.diameter_mm, 2), f"{item.diameter_mm / INCH_MM:.3f}"
    length = item.width_mm + item.travel_mm
    return (
        f"{fixed(item.width_mm, 2)} × {fixed(length, 2)}",
        f"{item.width_mm / INCH_MM:.3f} × {length / INCH_MM:.3f}",
    )


def deviations(item: Hole | Slot) -> str:
    """``0/+0.22``: how far the diameter may be off in mm, rounded inward; ``–`` for the general tolerance."""
    if item.tolerance is None:
        return "–"
    lower_mm, upper_mm = item.tolerance.lower_mm, item.tolerance.upper_mm
    places = 3 if upper_mm - lower_mm < FINE_MM else 2
    lower = math.ceil(lower_mm * 10**places - INWARD) / 10**places + 0.0
    upper = math.floor(upper_mm * 10**places + INWARD) / 10**places + 0.0
    deviation = "/".join(f"{x:+.{places}f}" if x else "0" for x in (lower, upper))
    return f"{item.tolerance.name} {deviation}" if places > 2 else deviation


def hole_table(
    plan: PartPlan, openings: Sequence[Opening], datums: Datums, units: UnitSystem = "metric"
) -> Table | None:
    """Number, size (``units`` first), place, purpose and fitting of every opening; ``None`` without any."""
    if not openings:
        return None
    folded = bool(plan.bends)
    rows = []
    for o in openings:
        sizes = opening_size(o.item)
        row = [
            o.number,
            *(sizes if units == "metric" else sizes[::-1]),
            fixed(o.item.u_mm - datums.u_mm, 2),
            fixed(o.item.v_mm - datums.v_mm, 2),
        ]
        if folded:
            row.append("–" if o.height_mm is None else fixed(o.height_mm, 2))
        row.append(deviations(o.item))
        rows.append((*(t.replace("-0.00", "0.00") for t in row), o.item.purpose, o.item.fitting.label))
    what = "block" if plan.printed else "flat blank"
    notes = [f"X from {datums.u_words}, Y from {datums.v_words} of the {what}."]
    if folded and any(o.height_mm is not None for o in openings):
        notes.append(
            f"H: centre above the lower side of {plan.flanges[0].name} once bent, on the flange's outer side."
        )
    if any(o.item.tolerance is not None for o in openings):
        notes.append("Ø off by: what a diameter, or a slot's width, may be off; – as the title block says.")
    if any(isinstance(o.item, Slot) for o in openings):
        notes.append("Slots: width × overall length, X and Y of the middle.")
    notes += called_out((o.number, o.item.finish) for o in openings if isinstance(o.item, Hole))
    if any(o.marked for o in openings):
        notes.append("* Centre mark only on the blank: smaller than the cutting process makes. Drill.")
    height = ("H mm",) if folded else ()
    diameter = ("Ø mm", "Ø in") if units == "metric" else ("Ø in", "Ø mm")
    return Table(
        name="holes",
        title="HOLES",
        heads=(
            "No.",
            *diameter,
            "X mm",
            "Y mm",
            *height,
            "Ø off by",
            "for",
            "takes",
        ),
        rows=tuple(rows),
        left=(False,) * (6 + len(height)) + (True, True),
        notes=tuple(notes),
    )


def peg_table(plan: PartPlan, datums: Datums) -> Table | None:
    """Number, size, place and hole of every peg of the root flange; ``None`` without any."""
    pegs = plan.flanges[0].pegs
    if not pegs:
        return None
    rows = [
        (
            f"P{i}",
            fixed(peg.diameter_mm, 2),
            f"{peg.diameter_mm / INCH_MM:.3f}",
            fixed(peg.u_mm - datums.u_mm, 2),
            fixed(peg.v_mm - datums.v_mm, 2),
            fixed(peg.height_mm, 2),
            f"{fixed(peg.chamfer_mm, 2)} × 45°",
            fixed(peg.hole_mm, 2),
            peg.purpose,
        )
        for i, peg in enumerate(pegs, 1)
    ]
    return Table(
        name="pegs",
        title="PEGS, on the far side",
        heads=(
            "No.",
            "Ø mm",
            "Ø in",
            "X mm",
            "Y mm",
            "height mm",
            "tip",
            "hole Ø mm",
            "drops into",
        ),
        rows=tuple(rows),
        left=(False,) * 8 + (True,),
    )


def _line_place(strip: FlatBend, datums: Datums) -> str:
    (u0, v0), (u1, v1) = strip.middle
    if abs(u0 - u1) < 1e-6:
        return f"X {number(u0 - datums.u_mm)}"
    if abs(v0 - v1) < 1e-6:
        return f"Y {number(v0 - datums.v_mm)}"
    return (
        f"({number(u0 - datums.u_mm)}, {number(v0 - datums.v_mm)}) to "
        f"({number(u1 - datums.u_mm)}, {number(v1 - datums.v_mm)})"
    )


def bend_table(plan: PartPlan, flat: FlatPattern, datums: Datums) -> Table | None:
    """All a press brake needs for every bend; ``None`` without any."""
    if not flat.bends:
        return None
    rows = []
    for strip in flat.bends:
        b = strip.bend
        takes = "–"
        if b.angle_rad < math.pi:
            takes = f"{deduction(b.angle_rad, b.inside_radius_mm, plan.thickness_mm, b.k_factor):.2f}"
        rows.append(
            (
                b.name,
                b.direction.upper(),
                f"{number(math.degrees(b.angle_rad))}°",
                f"{number(180 - math.degrees(b.angle_rad))}°",
                fixed(b.inside_radius_mm, 2),
                f"{b.k_factor:.3f}",
                b.k_source,
                f"{strip.allowance_mm:.2f}",
                takes,
                _line_place(strip, datums),
            )
        )
    return Table(
        name="bends",
        title="BENDS",
        heads=(
            "bend",
            "to",
            "bent by",
            "between",
            "R inside",
            "K",
            "K from",
            "allowance",
            "deduction",
            "line at",
        ),
        rows=tuple(rows),
        left=(True, True, False, False, False, False, True, False, False, True),
        notes=(
            "mm. UP: toward you in the flat view. Between: angle between the two flanges. Line: its middle.",
            *_past_square(plan),
        ),
    )


def _past_square(plan: PartPlan) -> tuple[str, ...]:
    """Both conventions for sharp bends: to where outside faces meet, and DIN 6935's to the tangent."""
    sharp = [b for b in plan.bends if math.pi / 2 + 1e-9 < b.angle_rad < math.pi]
    if not sharp:
        return ()
    said: dict[str, list[str]] = {}
    for b in sharp:
        size = (b.angle_rad, b.inside_radius_mm, plan.thickness_mm, b.k_factor)
        words = (
            f"{number(math.degrees(b.angle_rad))}°: {deduction(*size):.2f} to there, "
            f"{din_deduction(*size):.2f} by DIN 6935, with each length "
            f"{setback(*size[:3]) - tangent_setback(*size[:3]):.2f} shorter"
        )
        said.setdefault(words, []).append(b.name)
    return (
        "Past 90° lengths go to where the outside faces meet, outside the part; DIN 6935 measures to the "
        "bend's outermost tangent. The blank is the same. Deductions:",
        *(f"{', '.join(names)}, {words}." for words, names in said.items()),
    )
