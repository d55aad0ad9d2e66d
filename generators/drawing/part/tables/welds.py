"""What the drawing says of welds between flanges of the part: in words, as ISO 2553 has it in symbols."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely.geometry import LineString

from generators.drawing.inspection.item import length, printed
from generators.drawing.paper.dimensions import number
from generators.drawing.part.tables.corners import Corner
from generators.drawing.part.tables.welded import no_room_text
from generators.figures import fixed
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.allowance import left_to_bends_mm
from generators.sheetmetal.folding import between_limits, flat_pattern
from generators.sheetmetal.seams import (
    Seam,
    closed_by,
    cut_from,
    seams,
    sheet_for,
    sheet_for_lengths,
    thickness_limits,
)
from generators.standards import GROWN_GAP_MM, WIDEST_GAP_MM, rolled_off_mm
from generators.units import UnitSystem

SAME_MM = 0.02
BETWEEN = "between the faces"
"""Of a bend's two flanges: where the angle is that a protractor reads. So every sheet calls it."""

LIMITS = (
    "A gap outside what is said of it is not welded (AWS D1.1). Process and filler: the shop's own for this "
    "material; clean both faces first."
)


def weld_lines(plan: PartPlan, corners: Sequence[Corner]) -> Iterator[str]:
    """A line for each weld: edge, face, kind, leg, length, sides, and the gap as bent."""
    placed = flat_pattern(plan).placements
    for index, seam in made_welds(plan):
        ends = tuple(placed[seam.edge].apply(*end) for end in seam.ends)
        edge, onto = seam.edge.replace("_", " "), seam.onto.replace("_", " ")
        side = " and ".join(seam.sides) or "either"
        face, cut = "upper" if seam.upper else "lower", _cut_text(plan, seam, corners)
        yield (
            f"WELD {index}: edge {_letters(corners, ends)} of {edge} to the {face} side of {onto}, fillet "
            f"(symbol: ISO 2553, system A), leg z{leg_text(seam)}, {length_text(seam)} mm long, on the "
            f"{side} side of {edge}, after bending. {no_room_text(plan, seam)}{cut}"
            f"Gap {fixed(seam.most_mm, 1)} mm; {bent_text(seam)}; clamped square 0 to "
            f"{_down(fits_mm(seam))} mm: tack, then weld{f'; {over}' if (over := over_text(seam)) else ''}."
        )
    if any(made_welds(plan)):
        yield LIMITS
    yield from sheet_lines(plan)


def welds_elsewhere(plan: PartPlan) -> tuple[str, ...]:
    """What the further sheets say instead: where the welds they show are in words; nothing without one."""
    numbers = [number for number, _ in made_welds(plan)]
    return (f"WELD {numbered(numbers)}, and what holds for them: in full on sheet 1.",) if numbers else ()


def _cut_text(plan: PartPlan, seam: Seam, corners: Sequence[Corner]) -> str:
    """How far its flange's end the edge is cut, where the gap asks for nearer than the general limits."""
    held = cut_from(plan, seam)
    if held is None:
        return ""
    ends, off, by = held
    return f"Cut it {fixed(off - by, 2)} to {fixed(off + by, 2)} mm from {edge_named(corners, ends)}. "


def edge_named(corners: Sequence[Corner], ends: tuple[tuple[float, float], tuple[float, float]]) -> str:
    """``edge n to r``: a straight side of the blank by the letters of its corners, which ``ends`` lie on."""
    middle = LineString(ends).centroid
    sides = zip(corners, (*corners[1:], *corners[:1]), strict=True)
    named = (f"{a.letter} to {b.letter}" for a, b in sides if _side(a, b).distance(middle) < SAME_MM)
    return f"edge {next(named, 'at its end')}"


def _side(a: Corner, b: Corner) -> LineString:
    """The straight side of the blank from one corner to the next."""
    return LineString([a.leaves, b.enters])


def sheet_lines(plan: PartPlan) -> Iterator[str]:
    """How thick the sheet may be where something hangs on it nearer than on the next stock sheet."""
    if held := held_by_sheet(plan):
        low, high = _ends(plan, "metric")
        left, rolled = left_text(plan), rolled_text(plan)
        sold = (
            f" A sheet within {rolled} may lie outside: ask, as what they hold may then come out off."
            if rolled
            else ""
        )
        yield (
            f"For {held} the sheet is {low} to {high} mm thick{left}: measure before cutting, and "
            f"cut this part of no other.{sold}"
        )


def sheet_text(plan: PartPlan, units: UnitSystem) -> str:
    """``2.25 to 2.75 mm``: how thick the sheet may be, as it is inspected.

    Why, where something holds it nearer than half way to the next stock sheet, has a line of its own
    (``sheet_lines``).
    """
    return f"{' to '.join(_ends(plan, units))} {'mm' if units == 'metric' else 'in'}"


def _ends(plan: PartPlan, units: UnitSystem) -> tuple[str, str]:
    """The thinnest and the thickest the sheet may be, with the figures of the inspection sheet's row."""
    said = printed(length("T", "", "", plan.thickness_mm, thickness_limits(plan)), units)
    low, high = (fixed(end, said.places) for end in (said.least, said.most) if end is not None)
    return low, high


def held_by_sheet(plan: PartPlan) -> str:
    """``the gap of WELD 1 and 2 and the outside lengths``: what holds the sheet; empty where nothing does."""
    numbers = sheet_for(plan)
    gaps = (f"the gap of WELD {numbered(numbers)}",) if numbers else ()
    lengths = ("the outside lengths",) if sheet_for_lengths(plan) else ()
    return " and ".join((*gaps, *lengths))


def left_text(plan: PartPlan) -> str:
    """What of the outside lengths the limits of the sheet leave to the bending; empty where none holds it."""
    if not sheet_for_lengths(plan):
        return ""
    left = left_to_bends_mm(plan, thickness_limits(plan))
    return f", which leaves ±{_down(left)} mm to blank, stop and bends"


def rolled_text(plan: PartPlan) -> str:
    """``EN 10051 (7.70 to 8.30 mm)``: what a sheet is sold within, where one may lie outside the limits; else
    empty."""
    off = rolled_off_mm(plan.material, plan.thickness_mm)
    low, high = thickness_limits(plan)
    if off is None or (low <= -off and high >= off):
        return ""
    ends = " to ".join(fixed(plan.thickness_mm + by, 2) for by in (-off, off))
    return f"EN 10051 ({ends} mm)"


def made_welds(plan: PartPlan) -> Iterator[tuple[int, Seam]]:
    """Each weld between two flanges that meet, by its number on the drawing."""
    return enumerate((seam for _, seam in seams(plan) if seam is not None), 1)


def numbered(numbers: Sequence[int]) -> str:
    """``1 and 2``: welds by their numbers on the drawing."""
    return " and ".join(str(n) for n in numbers)


def bent_text(seam: Seam) -> str:
    """How narrow and how wide the gap may come out, anywhere along the edge, before it is clamped."""
    return f"as bent {fixed(seam.closest_mm, 1)} to {fixed(seam.widest_mm, 1)} mm along the edge"


def never_past_text(plan: PartPlan, bend: Bend) -> str:
    """The limits of a bend that has its own, and the gaps that close past them; empty with the usual ones.

    ``bent by 89° to 90° once sprung back, never past (90° to 91° between the faces)``: the brake is set to
    the one, a protractor in the bend reads the other, and with one of them alone a man may work to the wrong
    side.
    """
    held = held_text(plan, bend)
    shut = closed_by(plan, bend) if held else ()
    return f"{held}, or the gap of WELD {numbered(shut)} closes" if shut else held


def held_text(plan: PartPlan, bend: Bend) -> str:
    """The same without the gaps."""
    if bend.past_rad is None:
        return ""
    low, high = (number(math.degrees(bend.angle_rad + by)) for by in (-plan.bent_rad, bend.past_rad))
    least, most = (number(math.degrees(angle)) for angle in between_limits(plan, bend))
    return f"bent by {low}° to {high}° once sprung back, never past ({least}° to {most}° {BETWEEN})"


def fits_mm(seam: Seam) -> float:
    """The widest gap, clamped square, that the leg drawn is for, mm: one that had to grow has grown by it."""
    return max(GROWN_GAP_MM, seam.worst_mm)


def plain_leg_mm(seam: Seam) -> float:
    """The leg for a gap of nothing, mm: without what it has grown by."""
    return seam.leg_mm - (seam.worst_mm if seam.worst_mm > GROWN_GAP_MM else 0.0)


def over_text(seam: Seam) -> str:
    """What is done where a gap is wider than the leg drawn is for, and how far that goes; empty for none."""
    if fits_mm(seam) >= WIDEST_GAP_MM:
        return ""
    leg = fixed(math.ceil(plain_leg_mm(seam) * 2 - 1e-6) / 2, 1).removesuffix(".0")
    return f"over that to {_down(WIDEST_GAP_MM)} mm with a leg of {leg} mm and the gap"


def _down(gap_mm: float) -> str:
    return fixed(math.floor(gap_mm * 100 + 1e-6) / 100, 2)


def length_text(seam: Seam) -> str:
    """How long it is, whole mm."""
    return fixed(seam.length_mm, 0)


def leg_text(seam: Seam) -> str:
    """Its leg in halves of a mm, rounded up."""
    return fixed(math.ceil(seam.leg_mm * 2 - 1e-6) / 2, 1).removesuffix(".0")


def _letters(corners: Sequence[Corner], ends: Sequence[tuple[float, float]]) -> str:
    """``k to m``: the corners at the two ends, rounded ones by their arc."""
    names = []
    for end in ends:
        near = [c for c in corners if min(math.dist(end, c.enters), math.dist(end, c.leaves)) < SAME_MM]
        names.append(near[0].letter if near else "?")
    return " to ".join(names)
