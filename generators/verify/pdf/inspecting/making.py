"""What a drawing says once of the making: the file to cut from, the mass, what a finish does to sizes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import numpy as np
from shapely.geometry import Polygon

from generators.figures import fixed
from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Flange, Hole, PartPlan, Slot
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.standards import material
from generators.verify.pdf.inspecting.cheeks import pivots_in_line

KERF = re.compile(
    r"No kerf in these sizes(?:\.| nor in (?P<edge>\S+), the finished edge\.|"
    r"; (?P<moved>\S+) is offset for a cut (?P<kerf>[\d.]+) mm wide\.)"
)
FINISH = re.compile(
    r"FINISH: sizes are before it(?:; mask (?P<mask>[^.;:()]+))?"
    r"(?:; gauge (?P<closer>[^.;:()]+) again after it)?"
    r"(?:; bare or up to 25 µm of primer where pressed on \(paint creeps\): (?P<faces>[^.:()]+))?\."
)
AS_FAR = ", as far as bolted over at the trial fit"
ROUND = re.compile(r"(upper side|lower side|both sides) round (\d+(?:(?:, | and | to )\d+)*)")
WAYS = {"upper side": ("upper",), "lower side": ("lower",), "both sides": ("lower", "upper")}
CLAMPED = {"bolt", "bulkhead", "insert", "weld_nut", "stud", "countersunk", "rivet", "tapped", "press_nut"}
MASS = re.compile(r"mass (?:each|solid) (?P<mass>\d+\.\d{3}) kg(?:, its (?P<beside>[a-z ]+) not counted)?")
MASS_SHARE, FINE_MM = 2e-4, 0.01
"""What arcs laid out as chords make of a mass."""

LEVEL_MM, RIM_MM = 1e-6, 0.05
ON_TOP = ("paint", "primer", "enamel", "lacquer", "powder", "coat")
THIN = ("zinc", "galvanis", "galvaniz", "plate", "plating", "anodis", "anodiz")
REFUSED = re.compile(r"(?:\b(?:no|not|never|without)[ -]?|\bun)(?:paint|coat|plat|primer)\w*")
CUT_THREADS = {"tapped", "extruded", "flow_drilled", "press_nut", "weld_nut", "press_stud"}


def cut_file_problems(text: str, plan: PartPlan, cut_file: str, kerf_mm: float | None) -> Iterator[str]:
    """Whether the drawing names the cutter's file, and says whether its lines are moved."""
    if plan.printed:
        return
    said = KERF.search(" ".join(text.split()))
    if said is None:
        yield "the drawing does not say that no kerf is in its sizes"
        return
    if not cut_file:
        return
    named, moved = said["edge"] or said["moved"], "" if kerf_mm is None else fixed(kerf_mm, 2)
    if named != cut_file:
        yield f"the drawing has {named or 'no file'} for the cutter, that is {cut_file}"
    elif (said["kerf"] or "") != moved:
        yield f"the drawing has {cut_file} offset for {said['kerf'] or 'no'} kerf, the shop {moved or 'none'}"


def mass_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """Whether the drawing's mass is that of the blank with its finished holes, and what it leaves out."""
    said = MASS.search(" ".join(text.split()))
    if said is None:
        yield "the drawing does not give the part's mass"
        return
    made = [h for f in plan.flanges for h in f.holes]
    finishes = [h.finish for h in made if h.finish is not None]
    if plan.printed:
        return
    sheet = Polygon(polyline(flat_pattern(plan).contour, FINE_MM)).area
    sheet -= sum(math.pi / 4 * h.diameter_mm**2 for h in made)
    sheet -= sum(
        math.pi / 4 * s.width_mm**2 + s.width_mm * s.travel_mm for f in plan.flanges for s in f.slots
    )
    volume = sheet * plan.thickness_mm
    for hole in made:
        if hole.finish is None:
            continue
        if (ring := hole.finish.ring) is not None:
            volume += math.pi / 4 * (ring.outside_mm**2 - hole.diameter_mm**2) * ring.height_mm
        if (sink := hole.finish.sink) is not None:
            wide, narrow = sink.head_mm / 2, hole.diameter_mm / 2
            # the whole cone less its tip and the cylinder that was open already
            steep = 1 / math.tan(sink.angle_rad / 2)
            cone = math.pi / 3 * steep * (wide**3 - narrow**3)
            volume -= cone - math.pi * narrow**2 * steep * (wide - narrow)
    kilograms = volume * 1e-9 * material(plan.material).density_kg_m3
    if abs(float(said["mass"]) - kilograms) > 0.0006 + MASS_SHARE * kilograms:
        yield f"the drawing gives a mass of {said['mass']} kg, the part's metal is {fixed(kilograms, 3)} kg"
    welds = bool(plan.welds) or any(f.ring is not None and f.ring.welded for f in finishes)
    if welds != ("welds" in (said["beside"] or "")):
        yield "the drawing does not say rightly whether welds are in its mass"


def coat_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """Whether the drawing says what a finish that is put on does to bores, threads and clamped faces."""
    said = FINISH.search(" ".join(text.split()))
    finish = REFUSED.sub("", plan.finish.lower())
    paint = any(word in finish for word in ON_TOP)
    if plan.printed or not (paint or any(word in finish for word in THIN)):
        if said is not None:
            yield "the drawing speaks of a finish that is put on, and the part has none"
        return
    if said is None:
        yield f"the drawing does not say that its sizes are before the finish {plan.finish!r}"
        return
    wanted: dict[str, list[str]] = {"bore": [], "thread": []}
    for number, hole in enumerate((h for f in plan.flanges for h in f.holes), 1):
        if hole.fitting.kind in {"bore", "pivot"}:
            wanted["bore"].append(str(number))
        if hole.finish is not None and hole.finish.kind in CUT_THREADS:
            wanted["thread"].append(str(number))
    close = any(wanted.values())
    if paint and bool(said["faces"]) != bool(_pressed(plan)):
        yield "the drawing does not keep paint off the faces that a bolt clamps"
    elif paint and said["faces"]:
        yield from _face_problems(said["faces"], plan)
    if not paint and (bool(said["closer"]) != close or said["faces"]):
        yield "the drawing does not have bores and threads gauged again after the finish"
    words = said["mask" if paint else "closer"] or ""
    for what, numbers in wanted.items():
        called = what if len(numbers) == 1 else f"{what}s"
        named = re.search(rf"\b{called} (\d+(?:(?:, | and | to )\d+)*)", words)
        found = [str(n) for n in _counted(named[1])] if named else []
        if found != numbers:
            has = ", ".join(numbers) or "none"
            yield f"of the finish the drawing has {called} {', '.join(found) or 'none'}, the part {has}"


def _counted(words: str) -> list[int]:
    """``2, 4 to 6 and 9`` as numbers."""
    out: list[int] = []
    for low, high in re.findall(r"(\d+)(?: to (\d+))?", words):
        out += range(int(low), int(high or low) + 1)
    return out


def _face_problems(words: str, plan: PartPlan) -> Iterator[str]:
    """Whether the sides that stay bare are those that something presses on, and round which openings."""
    has = {side: set(_counted(numbers)) for side, numbers in ROUND.findall(words)}
    wanted = _pressed(plan)
    low = re.search(r"lower side of ([a-z0-9 ]+)", words)
    whole = set(low[1].split(" and ")) if low else set()
    laid = {flange for (flange, _), numbers in wanted.items() if not numbers}
    if whole != laid:
        there, lies = (", ".join(sorted(names)) or "none" for names in (whole, laid))
        yield f"bare on all of the lower side the drawing has {there}; {lies} lies on the panel"
    each: dict[int, set[str]] = {}
    for (_, side), numbers in wanted.items():
        for number in numbers:
            each.setdefault(number, set()).add(side)
    for number in sorted({*each, *(n for own in has.values() for n in own)}):
        found, asked = {w for side, own in has.items() if number in own for w in WAYS[side]}, each.get(number)
        if found != (asked or set()):
            yield (
                f"round {number} the drawing has its {_sides(found)} side bare, what is bolted presses on "
                f"its {_sides(asked)}"
            )
    if words.endswith(AS_FAR) != bool(each):
        yield "the drawing does not say how far round holes it stays bare, or says so of none"


def _sides(sides: set[str] | None) -> str:
    return " and ".join(sorted(sides or ())) or "no"


def _pressed(plan: PartPlan) -> dict[tuple[str, str], set[int]]:
    """Sides of flanges that are pressed on and round which openings; an empty set is all over.

    The panel is the plane of the root's lower side: what has its lower face there lies on it.
    """
    frames = folded_frames(plan)
    opened: list[tuple[str, Hole | Slot]] = [(f.name, o) for f in plan.flanges for o in f.holes]
    opened += [(f.name, o) for f in plan.flanges for o in f.slots]
    middle = np.mean([apply(frames[f.name], _rim(f)).mean(axis=0) for f in plan.flanges], axis=0)
    out: dict[tuple[str, str], set[int]] = {}
    paired = pivots_in_line(plan)
    for flange in plan.flanges:
        frame, shown = frames[flange.name], flange.name.replace("_", " ")
        heights = apply(frame, _rim(flange))[:, 2]
        flat = float(np.abs(heights).max()) < LEVEL_MM and frame[2, 2] > 0
        down = flat and (plan.doubler or any(o.mates for o in flange.openings))
        if down:
            out[shown, "lower"] = set()
        for number, (name, o) in enumerate(opened, 1):
            if name != flange.name:
                continue
            sides: tuple[str, ...] = ("lower", "upper") if o.fitting.kind in CLAMPED else ()
            if not sides and o.name.startswith("pivot"):
                # the other cheek is where most of the part is
                toward = (np.linalg.inv(frame) @ np.append(middle, 1.0))[2] > 0
                if plan.spacer is not None:
                    sides = ("lower", "upper")
                elif number in paired and (plan.bush is None or plan.bush.bearing is None):
                    # what turns on ball bearings stands between their inner rings, off the cheeks
                    sides = ("upper",) if toward else ("lower",)
            for side in sides:
                if not (down and side == "lower"):
                    out.setdefault((shown, side), set()).add(number)
    return out


def _rim(flange: Flange) -> Matrix:
    return np.array([(u, v, 0.0) for u, v in polyline(flange.contour, RIM_MM)])
