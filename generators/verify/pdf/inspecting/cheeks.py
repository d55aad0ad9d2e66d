"""How far apart cheeks stand at their pivots, by the folded part, for drawing and inspection sheet."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.inspecting.welded import welded_names

IN_LINE_MM, PRINTED_MM = 0.01, 0.0051
CHEEKS = re.compile(
    r"CHEEKS (?P<names>[a-z0-9 ,]+): (?P<free>[\d.]+) ±(?P<off>[\d.]+) mm free between them once "
    r"(?P<done>bent|welded and cool), all round pivot bores (?P<bores>\d+ and \d+)(?P<state>[a-z ,]*); "
    r"set them to it\."
)

Row = tuple[str, str, str, float, float, float]
"""Key, words, instrument, and nominal, least and most in mm."""


class _Pivot(NamedTuple):
    number: int
    flange: str
    at: Matrix
    normal: Matrix
    sheet: Matrix
    faces: Matrix


class _Gap(NamedTuple):
    names: tuple[str, str]
    bores: str
    free_mm: float
    state: str


def wanted_widths(plan: PartPlan) -> Iterator[Row]:
    """Rows of the free width at each pair of pivots; what goes between them is made to it."""
    faced = "hub and spacers are faced to it"
    if plan.spacer is not None:
        faced = "the spacer tube is faced to it"
    if plan.bush is not None and plan.bush.bearing is not None:
        faced = "the hub is shimmed to it"
    for count, gap in enumerate(_gaps(plan), 1):
        words = (
            f"free width between {' and '.join(gap.names)}, all round pivot bores {gap.bores}{gap.state}: "
            f"{faced}"
        )
        yield f"U{count}", words, "", gap.free_mm, gap.free_mm - plan.bent_mm, gap.free_mm + plan.bent_mm


def cheek_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with what a drawing says of the width between cheeks."""
    wanted = {gap.bores: gap for gap in _gaps(plan)}
    done = "welded and cool" if welded_names(plan) else "bent"
    said = list(CHEEKS.finditer(text))
    for bores in set(wanted) - {match["bores"] for match in said}:
        yield f"the drawing does not say how far apart the cheeks stand at pivot bores {bores}"
    for match in said:
        gap = wanted.get(match["bores"])
        if gap is None:
            yield f"the drawing has cheeks at pivot bores {match['bores']}, the part none"
            continue
        good = (
            match["names"] == ", ".join(gap.names)
            and abs(float(match["free"]) - gap.free_mm) < PRINTED_MM
            and float(match["off"]) == plan.bent_mm
            and (match["done"], match["state"]) == (done, gap.state)
        )
        if not good:
            yield (
                f"the drawing has {match[0]!r}; it is {', '.join(gap.names)}, {gap.free_mm:.2f} "
                f"±{plan.bent_mm:g} mm once {done}{gap.state}"
            )


def pivots_in_line(plan: PartPlan) -> set[int]:
    """Numbers of the pivot bores that something stands between."""
    return {int(number) for gap in _gaps(plan) for number in gap.bores.split(" and ")}


def _gaps(plan: PartPlan) -> Iterator[_Gap]:
    """Pivots of two flanges in line, and what is free between the faces that look at each other, mm."""
    if plan.printed or not plan.bends:
        return
    flanged = plan.bush.flange_thick_mm if plan.bush is not None else 0.0
    for one, other in itertools.combinations(_pivots(plan), 2):
        step = other.at - one.at
        if one.flange == other.flange or np.linalg.norm(np.cross(step, one.normal)) > IN_LINE_MM:
            continue
        if np.linalg.norm(np.cross(one.normal, other.normal)) > IN_LINE_MM:
            continue
        bare, free = _nearest(one.sheet, other.sheet), _nearest(one.faces, other.faces)
        if free <= 2 * flanged:
            continue
        state = (", between their bosses" if free < bare - IN_LINE_MM else "") + (
            ", bushes in" if flanged > 0 else ""
        )
        names = (one.flange.replace("_", " "), other.flange.replace("_", " "))
        yield _Gap(names, f"{one.number} and {other.number}", free - 2 * flanged, state)


def _nearest(one: Matrix, other: Matrix) -> float:
    return min(float(np.linalg.norm(a - b)) for a in one for b in other)


def _pivots(plan: PartPlan) -> Iterator[_Pivot]:
    """Each pivot bore of the bent part: both faces of its sheet, and those of what stands on it."""
    frames = folded_frames(plan)
    pairs = ((flange.name, hole) for flange in plan.flanges for hole in flange.holes)
    for number, (name, hole) in enumerate(pairs, 1):
        if not hole.name.startswith("pivot") or hole.fitting.kind not in {"bore", "pivot"}:
            continue
        low, high = _raised(hole)
        spots = [(hole.u_mm, hole.v_mm, w) for w in (0.0, plan.thickness_mm, -low, plan.thickness_mm + high)]
        placed = apply(frames[name], np.array(spots))
        yield _Pivot(number, name, placed[:2].mean(axis=0), frames[name][:3, 2], placed[:2], placed[2:])


def _raised(hole: Hole) -> tuple[float, float]:
    """How far a boss or collar stands out of the lower and of the upper face, mm."""
    finish = hole.finish
    if finish is None or finish.ring is None:
        return 0.0, 0.0
    high = finish.ring.height_mm
    return (0.0, high) if finish.side == "upper" else (high, 0.0)
