"""What a template says about one hole, in few words."""

from __future__ import annotations

import math

from generators.drawing.template.callouts import Line
from generators.model.plan import PanelHole
from generators.model.words import Face
from generators.units import MM_PER_INCH, nearest_64th

ACTIONS = {
    "weld": "WELD A STUD, no hole",
    "datum": "KEEP, datum",
    "reuse": "REUSE",
    "blank": "BLANK, close it",
}
HEAD, BODY, LEAST = 3.4, 3.1, 2.9


def millimetres(mm: float, places: int = 2) -> str:
    """A length without useless zeros: ``11.5``."""
    text = f"{mm:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text


def inches(mm: float) -> str:
    """A length in decimal inches and the nearest 1/64: ``0.453 in``, ``15/32 in`` when it is that."""
    value = mm / float(MM_PER_INCH)
    near = abs(value - round(value * 64) / 64) <= 0.0005
    return f"{nearest_64th(value)} in" if near else f"{value:.3f} in"


def drilling(hole: PanelHole) -> str:
    """``pilot Ø3 → Ø11.5 (0.453 in)``; without a pilot only the final drill, of a stud its own thickness."""
    final = f"Ø{millimetres(hole.final_dia_mm)} ({inches(hole.final_dia_mm)})"
    if hole.status == "drill" and hole.pilot_dia_mm > 0:
        return f"pilot Ø{millimetres(hole.pilot_dia_mm)} → {final}"
    return final


def slot_words(hole: PanelHole) -> str:
    """``slot 9 × 25 mm, turned 30°``; nothing for a round hole."""
    if not hole.travel_mm:
        return ""
    size = f"{millimetres(hole.final_dia_mm)} × {millimetres(hole.final_dia_mm + hole.travel_mm)} mm"
    return f"slot {size}, turned {millimetres(math.degrees(hole.angle_rad))}° from u"


def _shortened(text: str, most: int) -> str:
    """Whole words up to ``most`` characters."""
    if len(text) <= most:
        return text
    cut = text[:most].rsplit(" ", 1)[0]
    return f"{cut.rstrip(' ,;:-')}…"


def callout_texts(hole: PanelHole, face: Face, *, witness: bool = False) -> tuple[tuple[Line, ...], ...]:
    """The label of a hole, fullest first; the last is its number alone with the diameter."""
    short = Line(f"{hole.number}  Ø{millimetres(hole.final_dia_mm)}", BODY, True)
    bare = Line(hole.number, BODY, True)
    if hole.status != "drill":
        action = ACTIONS[hole.status] + (", WITNESS HOLE" if witness else "")
        head = Line(f"{hole.number}  {action}", HEAD, True)
        body = [Line(_shortened(hole.purpose, 44), BODY), Line(drilling(hole), BODY)]
        if hole.tool:
            body.append(Line(hole.tool, BODY))
        if hole.travel_mm:
            body.append(Line(slot_words(hole), BODY))
        if hole.status == "weld":
            body.append(Line(f"on the {hole.drill_face} side", BODY))
        return (head, *body), (head, body[1]), (short,), (bare,)
    head = Line(f"{hole.number}  {_shortened(hole.purpose, 40)}", HEAD, True)
    size = Line(drilling(hole), BODY)
    kind = hole.kind.replace("_", " ")
    if hole.kind in ("insert", "weld_nut"):
        kind = f"{hole.thread} {kind}"
    what = Line(f"{kind}; {hole.tool}" if hole.tool else kind, BODY)
    other = [] if hole.drill_face == face else [Line(f"drill from the {hole.drill_face} side", BODY, True)]
    return (
        (head, size, what, *other),
        (head, size, *other),
        (Line(hole.number, HEAD, True), size),
        (short,),
        (bare,),
    )
