"""What a template says about one hole, in few words."""

from __future__ import annotations

import math
import textwrap

from generators.drawing.template.callouts import Line
from generators.figures import fixed, format_limits, format_short, nearest_64th
from generators.model.plan import PanelHole
from generators.model.words import NEW, Face
from generators.units import MM_PER_INCH, UnitSystem

ACTIONS = {
    "weld": "WELD A STUD, no hole",
    "datum": "KEEP, datum",
    "reuse": "HOLE USED AGAIN",
    "blank": "BLANK, close it",
}
HEAD, BODY, LEAST = 3.4, 3.1, 2.9
STAR = "*"
"""After a size whose label has no room for what the hole may be."""

STARRED = "Label with * or no size: what the hole may be stands in the hole table."
WAY_CHARS = 52
PURPOSE_CHARS = 44
SAME_MM = 0.005


def millimetres(mm: float, places: int = 2) -> str:
    """A length without useless zeros: ``11.5``."""
    text = f"{mm:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text


def inches(mm: float) -> str:
    """A length in decimal inches and the nearest 1/64: ``0.453 in``, ``15/32 in`` when it is that."""
    value = mm / float(MM_PER_INCH)
    near = abs(value - round(value * 64) / 64) <= 0.0005
    return f"{nearest_64th(value)} in" if near else f"{fixed(value, 3)} in"


def drilling(hole: PanelHole, units: UnitSystem = "metric") -> str:
    """``pilot Ø3 → Ø12 (0.472 in)``, inches first ``pilot Ø1/8 in → Ø15/32 in (11.91 mm)``.

    Without a pilot, or with one that no paper shows, only the final size; of a stud its own thickness.
    """
    piloted = hole.pilot_dia_mm > 0 and hole.work.punched
    pilot = f"pilot {diameter(hole.pilot_dia_mm, units)} → " if piloted else ""
    other = f"{millimetres(hole.final_dia_mm)} mm" if units == "inch" else inches(hole.final_dia_mm)
    final = f"{diameter(hole.final_dia_mm, units)} ({other})"
    return f"{pilot}{final}" if hole.status == "drill" else final


def diameter(mm: float, units: UnitSystem) -> str:
    """``Ø11.5`` in mm, ``Ø29/64 in`` in inches."""
    return f"Ø{millimetres(mm)}" if units == "metric" else f"Ø{format_short(mm, units)}"


def limits_words(hole: PanelHole, units: UnitSystem) -> str:
    """``may be 11.31 to 12.11 mm``; nothing where nobody says."""
    limits = format_limits(hole.least_mm, hole.most_mm, units)
    return f"may be {limits}" if limits else ""


def slot_words(hole: PanelHole, units: UnitSystem = "metric") -> str:
    """``slot 9 × 25 mm, turned 30°``; nothing for a round hole."""
    if not hole.travel_mm:
        return ""
    turned = f"turned {millimetres(math.degrees(hole.angle_rad))}° from u"
    wide, long = hole.final_dia_mm, hole.final_dia_mm + hole.travel_mm
    if units == "inch":
        return f"slot {format_short(wide, units)} × {format_short(long, units)}, {turned}"
    return f"slot {millimetres(wide)} × {millimetres(long)} mm, {turned}"


def _lines(text: str, most: int) -> list[str]:
    """The text in lines of whole words, ``most`` characters at most: nothing is left out."""
    return textwrap.wrap(text, most, break_long_words=False, break_on_hyphens=False)


def _action(hole: PanelHole, units: UnitSystem) -> str:
    """What is done to a hole that is not drilled anew, in capitals."""
    if hole.work.when == "open":
        wider = abs(hole.there_mm - hole.final_dia_mm) > SAME_MM
        there, wanted = diameter(hole.there_mm, units), diameter(hole.final_dia_mm, units)
        return f"OPEN UP {there} → {wanted}" if hole.there_mm and wider else "HOLE USED AGAIN, see below"
    return ACTIONS[hole.status]


def callout_texts(
    hole: PanelHole, face: Face, *, witness: bool = False, units: UnitSystem = "metric"
) -> tuple[tuple[Line, ...], ...]:
    """The label of a hole, fullest first; the last is its number alone: then its ring alone says how."""
    work = hole.work
    wait = [Line(said, BODY, True) for said in _lines(work.step_words, WAY_CHARS)]
    limits = [Line(text, BODY) for text in (limits_words(hole, units),) if text]
    star = STAR if limits else ""
    size = f"{diameter(hole.final_dia_mm, units)}{star}"
    later = f"{size}  {work.after}" if work.after and hole.status in NEW else size
    bare = Line(hole.number, BODY, True)
    short = Line(f"{hole.number}  {later}", BODY, True)
    if work.pilot_from is not None and hole.pilot_dia_mm > 0:
        now = f"{hole.number}  pilot {diameter(hole.pilot_dia_mm, units)} now"
        short = Line(f"{now}, {later}", BODY, True)
    less = Line(f"{drilling(hole, units)}{star}", BODY)
    if hole.status != "drill":
        action = _action(hole, units) + (", WITNESS HOLE" if witness else "")
        head = Line(f"{hole.number}  {action}", HEAD, True)
        purpose = [Line(text, BODY) for text in _lines(hole.purpose, PURPOSE_CHARS)]
        body = [*purpose, Line(drilling(hole, units), BODY), *limits, *wait]
        if hole.tool:
            body.append(Line(hole.tool, BODY))
        if hole.travel_mm:
            body.append(Line(slot_words(hole, units), BODY))
        if hole.status == "weld":
            body.append(Line(f"on the {hole.drill_face} side", BODY))
        if work.when == "close" and work.part:
            body += [Line(text, BODY) for text in _lines(f"closed by the {work.part_title}", WAY_CHARS)]
        return (head, *body), (head, less), (short,), (bare,)
    heads = [Line(text, HEAD, True) for text in _lines(f"{hole.number}  {hole.purpose}", PURPOSE_CHARS)]
    drilled = Line(drilling(hole, units), BODY)
    kind = hole.kind.replace("_", " ")
    if hole.kind in ("insert", "weld_nut"):
        kind = f"{hole.thread} {kind}"
    what = Line(f"{kind}; {hole.tool}" if hole.tool else kind, BODY)
    other = [] if hole.drill_face == face else [Line(f"drill from the {hole.drill_face} side", BODY, True)]
    return (
        (*heads, drilled, *limits, what, *wait, *other),
        (*heads, less, what, *wait, *other),
        (*heads, less, *wait, *other),
        (Line(hole.number, HEAD, True), less, *wait),
        (short,),
        (bare,),
    )
