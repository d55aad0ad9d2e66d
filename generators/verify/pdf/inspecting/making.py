"""What a drawing says once of the making: the file it is cut from, and what a finish does to its sizes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from generators.figures import fixed
from generators.model.plan import PartPlan

KERF = re.compile(
    r"No kerf in these sizes(?:\.| nor in (?P<edge>\S+), the finished edge\.|"
    r"; (?P<moved>\S+) is offset for a cut (?P<kerf>[\d.]+) mm wide\.)"
)
FINISH = re.compile(
    r"FINISH: sizes are before it(?:; mask (?:(?P<mask>[^.;:()]*?), and )?the faces bolts, nuts and mating "
    r"parts press on \((?P<faces>paint creeps there)\)|"
    r"; gauge (?P<closer>[^.;:]+) again after it)?\."
)
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
    if paint and said["faces"] is None:
        yield "the drawing does not keep paint off the faces that a bolt clamps"
    if not paint and bool(said["closer"]) != close:
        yield "the drawing does not have bores and threads gauged again after the finish"
    words = said["mask"] or said["closer"] or ""
    for what, numbers in wanted.items():
        called = what if len(numbers) == 1 else f"{what}s"
        named = re.search(rf"\b{called} (\d+(?:(?:, | and )\d+)*)", words)
        found = re.findall(r"\d+", named[1]) if named else []
        if found != numbers:
            has = ", ".join(numbers) or "none"
            yield f"of the finish the drawing has {called} {', '.join(found) or 'none'}, the part {has}"
