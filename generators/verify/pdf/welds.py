"""Welds as a finished drawing says them, held against the folded part: gap, length and leg measured anew."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np
from shapely import contains_xy
from shapely.geometry import Polygon

from generators.figures import fixed
from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Hole, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.content import Content, PdfFile, says
from generators.verify.pdf.rebuild.sheet_lengths import sold_words
from generators.verify.pdf.rebuild.weld_gaps import (
    BLANK,
    LAST_LEG_MM,
    LEGS,
    at_limits,
    cut_limits,
    gap_and_length,
    gap_limits,
    left_words,
    near_points,
    sheet_off_mm,
    sheet_words,
    taken_gap,
)
from generators.verify.pdf.weld_signs import Joint, sign_problems

WELD = re.compile(
    r"WELD (?P<number>\d+): edge [a-z]{1,2} to [a-z]{1,2} of (?P<edge>[a-z0-9 ]+) to the "
    r"(?P<face>upper|lower) side of (?P<onto>[a-z0-9 ]+), fillet \(symbol: ISO 2553, system A\), "
    r"leg z(?P<leg>[\d.]+), (?P<long>\d+) mm long, on the "
    r"(?P<side>[a-z ]+) side of [a-z0-9 ]+, after bending\. "
    r"(?:No fillet on its (?P<none>lower|upper) side: [a-z0-9 ]+ ends (?:flush with it|(?P<on>[\d.]+) mm "
    r"(?P<way>past|before) it) there, ±(?P<off>[\d.]+) mm(?P<proud>: it may stand proud or short)?\. )?"
    r"(?:Cut it (?P<cut_low>[\d.]+) to (?P<cut_high>[\d.]+) mm from edge [a-z]{1,2} to [a-z]{1,2}\. )?"
    r"Gap (?P<gap>[\d.]+) mm; as bent "
    r"(?P<closest>-?[\d.]+) to (?P<widest>[\d.]+) mm along the edge; clamped square (?P<low>[\d.]+) to "
    r"(?P<high>[\d.]+) mm: tack, then weld(?:; (?P<over>over that to (?:[^.;]|\.(?=\d))+))?\."
)
LIMITED = (
    r"bent by (?P<from>[\d.]+)° to (?P<to>[\d.]+)° once sprung back, never past "
    r"\((?P<faces_from>[\d.]+)° to (?P<faces_to>[\d.]+)° between the faces\)"
    r"(?:, or the gap of WELD (?P<shut>[\d and]+) closes)?\."
)
PAST = re.compile(rf"Bend (?P<names>[a-z0-9 ,]+): {LIMITED}")
FACES = "Between: angle between the faces of the two flanges."
LIMITS = "A gap outside what is said of it is not welded"
SHEET = re.compile(
    r"For (?P<held>the [A-Za-z0-9 ]+) the sheet is (?P<low>[\d.]+) to (?P<high>[\d.]+) mm thick"
    r"(?P<left>, which [^:]+)?: measure before cutting, and cut this part of no other\."
    r"(?: A sheet within (?P<sold>[^:]+) may lie outside: ask, as what they hold may then come out off\.)?"
)
THICK = re.compile(r"\((?:[^()]*)\); (?P<low>[\d.]+) to (?P<high>[\d.]+) (?P<unit>mm|in)")
SHEET_MM = 0.006
NEAR_MM, STEP_MM, STEPS_MM, ROOM_MM = 0.1, 0.05, 30.0, 0.11
HUNDREDTH_MM, NOISE_MM = 0.0101, 1e-3
GAP_MM, LONG_MM, ANGLE_DEG = 0.06, 1.6, 0.006


def weld_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with the welds a drawing's words give."""
    said = {(m["edge"], m["onto"]): m for m in WELD.finditer(text)}
    wanted = {(a.replace("_", " "), b.replace("_", " ")): (a, b) for a, b in plan.welds}
    for pair in said.keys() - wanted.keys():
        yield f"the drawing welds {pair[0]} to {pair[1]}, which nobody asked for"
    if said and LIMITS not in text:
        yield f"the drawing does not say of its welds: {LIMITS}"
    yield from sheet_problems(text, plan)
    for pair, (edge, onto) in wanted.items():
        measured = gap_and_length(plan, edge, onto)
        if measured is None:
            continue
        if pair not in said:
            yield f"the drawing says nothing of the weld of {pair[0]} to {pair[1]}"
            continue
        match, (gap, long) = said[pair], measured
        if abs(float(match["gap"]) - gap) > GAP_MM:
            yield f"weld of {pair[0]}: a gap of {match['gap']} mm; folded it is {gap:.2f} mm"
        yield from _cut_problems(match, cut_limits(plan, edge, onto), pair[0])
        yield from _room_problems(match, plan, edge, onto)
        limits = gap_limits(plan, edge, onto)
        worst = limits.worst
        yield from _square_problems(match, taken_gap(plan, worst), pair[0])
        for name, end in (("closest", limits.closest), ("widest", limits.widest)):
            if abs(float(match[name]) - end) > GAP_MM:
                yield f"weld of {pair[0]}: {match[name]} mm at its {name}; by all limits {end:.2f} mm"
        if abs(float(match["long"]) - long) > LONG_MM:
            yield f"weld of {pair[0]}: {match['long']} mm long; folded it is {long:.1f} mm"
        least = min(
            next((leg for to, leg in LEGS if plan.thickness_mm <= to), LAST_LEG_MM), plan.thickness_mm
        )
        least += worst if worst > 25.4 / 16 else 0.0
        if not least - 1e-6 <= float(match["leg"]) <= least + 0.5:
            yield f"weld of {pair[0]}: a leg of {match['leg']} mm; by the table {least:.1f} mm"


def _room_problems(match: re.Match[str], plan: PartPlan, edge: str, onto: str) -> Iterator[str]:
    """Beside which face the other flange has no room for the leg, how far it goes on and how far that may be
    off: stepped out from each face, half-way along."""
    found = near_points(plan, edge, onto)
    if found is None:
        return
    flat, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    middle = flat[over & (near < near[over].min() + NEAR_MM)]
    middle = (middle.min(axis=0) + middle.max(axis=0)) / 2
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    ends = apply(into, np.array([(*middle, w) for w in (0.0, plan.thickness_mm)]))[:, :2]
    ground = Polygon(polyline(plan.flange(onto).contour, 0.05))
    steps, room = np.arange(-STEPS_MM, STEPS_MM, STEP_MM), {}
    for side, (start, other) in {"lower": ends, "upper": ends[::-1]}.items():
        across = float(np.linalg.norm(start - other))
        if across < NEAR_MM:
            return
        out = (start - other) / across
        within = [contains_xy(ground, *(start + out * d)) for d in steps]
        leaves = [
            float(d) for d, now, then in zip(steps, within, within[1:], strict=False) if now and not then
        ]
        # the way out of the metal under the face, else the last before it
        if contains_xy(ground, *(start + out * 2 * STEP_MM)):
            last = next((d for d in leaves if d > 0), STEPS_MM)
        else:
            last = max((d for d in leaves if d < 2 * STEP_MM), default=-STEPS_MM)
        room[side] = last + STEP_MM / 2, out
    leg = float(match["leg"])
    short = [side for side, (goes_on, _) in room.items() if goes_on < leg - 0.5]
    wanted = short[0] if len(short) == 1 else None
    if match["none"] != wanted and all(abs(goes_on - leg) > 0.5 for goes_on, _ in room.values()):
        there = f"there is no room on {wanted or 'none'}"
        yield f"weld of {edge}: no fillet on its {match['none'] or 'no'} side; {there}"
    if match["none"] is None:
        return
    goes_on, out = room[match["none"]]
    said = float(match["on"] or 0.0) * (-1 if match["way"] == "before" else 1)
    if abs(said - goes_on) > ROOM_MM:
        yield f"weld of {edge}: {onto} ends {said} mm past it; that is {goes_on:.1f} mm"
    way = frames[onto][:3, :2] @ out
    hangs, off = {b.child: b for b in plan.bends}, 0.0
    lines: list[list[Bend]] = [[], []]
    for line, flange in zip(lines, (edge, onto), strict=True):
        here = flange
        while here in hangs:
            line.append(hangs[here])
            here = hangs[here].parent
    for bend in {b.name: b for line in lines for b in line if not all(b in x for x in lines)}.values():
        du, dv = (q - p for p, q in zip(bend.start, bend.end, strict=True))
        parent, child = frames[bend.parent], frames[bend.child]
        moved = (dv * parent[:3, 0] - du * parent[:3, 1]) / math.hypot(du, dv) - child[:3, 1]
        off += plan.bent_mm * abs(float(moved @ way))
    u0, v0, u1, v1 = ground.bounds
    long = abs(float(out[0] * (u1 - u0) + out[1] * (v1 - v0)))
    rows = BLANK.get(plan.tolerance.removeprefix("ISO 2768-1 "), BLANK["m"])
    off += next((by for to, by in rows if long <= to), rows[-1][1])
    if abs(float(match["off"]) - off) > ROOM_MM or bool(match["proud"]) != (abs(goes_on) <= off):
        yield f"weld of {edge}: {onto} ends there within ±{match['off']} mm; that is {off:.1f} mm"


def weld_place_problems(pages: Sequence[Content]) -> Iterator[str]:
    """Welds in full on the sheet of the flat view, whose letters they need; on the others where that is."""
    full = {n: sorted({m["number"] for m in WELD.finditer(page.text)}) for n, page in enumerate(pages, 1)}
    if not any(full.values()):
        return
    wanted = f"WELD {' and '.join(full[1])}, and what holds for them: in full on sheet 1."
    for number, page in enumerate(pages, 1):
        if bool(full[number]) != (number == 1):
            yield f"sheet {number} has {len(full[number])} welds in full, which sheet 1 has"
        if says(page.text, wanted) != (number > 1):
            yield f"sheet {number} {'says' if number == 1 else 'does not say'} {wanted!r}"


def _square_problems(match: re.Match[str], taken: tuple[float, str], edge: str) -> Iterator[str]:
    """The gap clamped square, its wide end inward in hundredths, and what is done with a wider one."""
    most, over = taken
    if not -HUNDREDTH_MM <= float(match["high"]) - most <= NOISE_MM:
        yield f"weld of {edge}: up to {match['high']} mm; its leg is for {most:.3f} mm"
    if float(match["low"]) != 0:
        yield f"weld of {edge}: from {match['low']} mm; faces that touch are welded as well"
    if (match["over"] or "") != over:
        yield f"weld of {edge}: of a wider gap {match['over'] or 'nothing'!r}; that is {over or 'nothing'!r}"


def _cut_problems(match: re.Match[str], wanted: tuple[float, float] | None, edge: str) -> Iterator[str]:
    """How far from its flange's end the edge is cut, where its gap hangs on that."""
    said = None if match["cut_low"] is None else (float(match["cut_low"]), float(match["cut_high"]))
    if (said is None) != (wanted is None):
        yield f"weld of {edge}: its edge is cut to {said or 'no limits'}; its gap asks for {wanted or 'none'}"
    elif said and wanted and max(abs(a - b) for a, b in zip(said, wanted, strict=True)) > SHEET_MM:
        yield f"weld of {edge}: its edge is cut at {said[0]} to {said[1]}; {wanted[0]:.2f} to {wanted[1]:.2f}"


def sheet_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with how thick the drawing lets the sheet be for outside lengths and gaps of welds."""
    match, wanted = SHEET.search(text), sheet_words(plan)
    found = "" if match is None else match["held"]
    if found != wanted:
        yield f"the thickness is said for {found or 'nothing'}; it is for {wanted or 'nothing'}"
    if match is None:
        return
    sold = sold_words(plan, sheet_off_mm(plan))
    if (match["sold"] or "") != sold:
        yield f"of a sheet as sold the drawing says {match['sold'] or 'nothing'}; that is {sold or 'nothing'}"
    if (match["left"] or "") != left_words(plan):
        left = match["left"] or "nothing"
        yield f"of blank, stop and bends the drawing says {left!r}; it is {left_words(plan)!r}"
    for side, by in zip(("low", "high"), sheet_off_mm(plan), strict=True):
        if abs(float(match[side]) - plan.thickness_mm - by) > SHEET_MM:
            yield f"a sheet {match[side]} mm thick; there is left {plan.thickness_mm + by:.2f} mm"


def thickness_problems(pages: Sequence[Content], plan: PartPlan) -> Iterator[str]:
    """Whether each title block limits the sheet as the inspection sheet does."""
    if plan.printed:
        return
    least, most = (plan.thickness_mm + by for by in sheet_off_mm(plan))
    for number, page in enumerate(pages, 1):
        match = THICK.search(" ".join(page.text.split()))
        if match is None:
            yield f"sheet {number} does not limit the thickness of the sheet"
            continue
        # the size as printed may be half a figure off, a limit a figure inward
        one, near = (1.0, 0.0151) if match["unit"] == "mm" else (25.4, 0.00151 * 25.4)
        low, high = float(match["low"]) * one, float(match["high"]) * one
        if abs(low - least) > near or abs(high - most) > near:
            wanted = f"{fixed(least, 2)} to {fixed(most, 2)}"
            yield f"sheet {number} wants a sheet {fixed(low, 2)} to {fixed(high, 2)} mm; it is {wanted} mm"


def past_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """Bends with limits of their own: the drawing must name each with them, and no other.

    Of any bend it must say which angle it gives.
    """
    if plan.bends and FACES not in text:
        yield f"the drawing does not say of its bends: {FACES}"
    said = {name.strip(): m for m in PAST.finditer(text) for name in m["names"].split(",")}
    for bend in plan.bends:
        shown = bend.name.replace("_", " ")
        yield from angle_problems(f"bend {shown}", said.pop(shown, None), bend, plan)
    yield from (f"the drawing limits the angle of {name}, which is no bend" for name in said)


def middle_deg(bend: Bend, plan: PartPlan) -> float:
    """The middle of a bend's limits, what it is aimed at: as many come out short of it as past it."""
    past = plan.bent_rad if bend.past_rad is None else bend.past_rad
    return math.degrees(bend.angle_rad + (past - plan.bent_rad) / 2)


def angle_problems(
    where: str, match: re.Match[str] | None, bend: Bend, plan: PartPlan, *, welds: bool = True
) -> Iterator[str]:
    """What is wrong with the limits of an angle as printed, in degrees, and with the welds named for them.

    ``match`` has the groups of ``LIMITED``; None where nothing is said. Without ``welds`` none need be named.
    """
    if bend.past_rad is None:
        if match is not None and match["to"]:
            yield f"{where} is limited to {match['from']}° to {match['to']}°, which nobody asked for"
        return
    low, high = (math.degrees(bend.angle_rad + by) for by in (-plan.bent_rad, bend.past_rad))
    if match is None or not match["to"]:
        yield f"{where} does not say that it may be {low:g}° to {high:g}° only"
        return
    if max(abs(float(match["from"]) - low), abs(float(match["to"]) - high)) > ANGLE_DEG:
        yield f"{where}: {match['from']}° to {match['to']}°; it may be {low:g}° to {high:g}°"
    # the inside of what is bent by 89 to 90 degrees measures 91 to 90
    open_low, open_high = 180 - high, 180 - low
    if max(abs(float(match["faces_from"]) - open_low), abs(float(match["faces_to"]) - open_high)) > ANGLE_DEG:
        said = f"{match['faces_from']}° to {match['faces_to']}°"
        yield f"{where}: {said} between the faces; that is {open_low:g}° to {open_high:g}°"
    if not welds:
        return
    closing = {str(n) for n, (edge, onto) in enumerate(_met(plan), 1) if _shuts(plan, bend, edge, onto)}
    if set((match["shut"] or "").replace("and", " ").split()) != closing:
        yield f"{where}: past its angle it closes the gap of {', '.join(sorted(closing)) or 'no weld'}"


def _met(plan: PartPlan) -> list[tuple[str, str]]:
    return [pair for pair in plan.welds if near_points(plan, *pair) is not None]


def _shuts(plan: PartPlan, bend: Bend, edge: str, onto: str) -> bool:
    """True where a weld's gap is less somewhere with the bend a degree past its angle."""
    found = near_points(plan, edge, onto)
    if found is None:
        return False
    points, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    kept = points[over & (near < float(near[over].min()) + 0.1)]
    past = at_limits(plan, edge, onto, kept, ((bend.name, 0.0, math.radians(1)),))
    return float((at_limits(plan, edge, onto, kept, ()) - past).max()) > GAP_MM


def weld_sign_problems(pdf: PdfFile, plan: PartPlan) -> Iterator[str]:
    """What is wrong with a drawing's welding symbols: each must say what its line of words says, and point at
    the joint as the part is folded; so must that of each boss, by its hole, and that of alike weld nuts."""
    joints: list[Joint] = []
    wanted = {(a.replace("_", " "), b.replace("_", " ")): (a, b) for a, b in plan.welds}
    for match in WELD.finditer(" ".join(page.text for page in pdf.pages)):
        pair = wanted.get((match["edge"], match["onto"]))
        walked = None if pair is None else _walked(plan, *pair)
        if walked is None or match["number"] in {j.tail.removeprefix("WELD ") for j in joints}:
            continue
        sides = [s for s in ("lower", "upper") if s in match["side"]] or ["lower", "upper"]
        joints.append(
            Joint(
                tail=f"WELD {match['number']}",
                size=f"z{match['leg']}",
                length=match["long"],
                both_sides=match["side"] == "lower and upper",
                all_round=False,
                points=np.vstack([walked[s] for s in sides]),
            )
        )
    yield from sign_problems(pdf, plan, [*joints, *_bosses(plan), *_nuts(plan)])


def _bosses(plan: PartPlan) -> Iterator[Joint]:
    """The foot of each boss that is welded on, all round."""
    frames = folded_frames(plan)
    holes = [(f, h) for f in plan.flanges for h in f.holes]
    for number, (flange, hole) in enumerate(holes, 1):
        finish = hole.finish
        if finish is None or finish.ring is None or not finish.ring.welded:
            continue
        foot = _circle(hole, finish.ring.outside_mm, plan.thickness_mm if finish.side == "upper" else 0.0)
        yield Joint(
            tail=f"hole {number}",
            size=f"a{finish.ring.weld_mm:g}",
            length="",
            both_sides=False,
            all_round=True,
            points=apply(frames[flange.name], foot),
        )


def _nuts(plan: PartPlan) -> Iterator[Joint]:
    """The holes of alike weld nuts on one face of a flange: a circle on the line, and process 23."""
    frames = folded_frames(plan)
    alike: dict[tuple[str, str, str], list[tuple[int, Hole]]] = {}
    for number, (flange, hole) in enumerate(((f, h) for f in plan.flanges for h in f.holes), 1):
        finish = hole.finish
        if finish is not None and finish.kind == "weld_nut" and finish.fitted is not None:
            alike.setdefault((flange.name, finish.side, finish.fitted.item), []).append((number, hole))
    for (name, side, _), own in alike.items():
        w = plan.thickness_mm if side == "upper" else 0.0
        numbers = ", ".join(str(n) for n, _ in own)
        yield Joint(
            tail=f"{'holes' if len(own) > 1 else 'hole'} {numbers}: ISO 4063-23",
            size="",
            length="",
            both_sides=False,
            all_round=False,
            points=apply(frames[name], np.vstack([_circle(h, h.diameter_mm, w) for _, h in own])),
            spot=True,
        )


def _circle(hole: Hole, diameter_mm: float, w: float) -> Matrix:
    """Points round a hole on a face of its flange."""
    turns = np.linspace(0.0, 2 * np.pi, 361)
    u, v = hole.u_mm + diameter_mm / 2 * np.cos(turns), hole.v_mm + diameter_mm / 2 * np.sin(turns)
    return np.column_stack([u, v, np.full(len(turns), w)])


def _walked(plan: PartPlan, edge: str, onto: str) -> dict[str, Matrix] | None:
    """Points along the joint on each face of the edge's flange, in the root's frame."""
    found = near_points(plan, edge, onto)
    if found is None:
        return None
    frames, (flat, offs, over) = folded_frames(plan), found
    near = np.minimum(offs["lower"], offs["upper"])
    kept = flat[over & (near < float(near[over].min()) + 0.1)]
    return {
        face: apply(frames[edge], np.column_stack([kept, np.full(len(kept), w)]))
        for face, w in (("lower", 0.0), ("upper", plan.thickness_mm))
    }
