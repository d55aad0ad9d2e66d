"""Holes and slots of a blank with the numbers they have on the drawing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import apply
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.folding import FlatPattern, folded_frames


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole or slot with its number on the drawing; ``height_mm`` is over the root after bending."""

    number: str
    item: Hole | Slot
    marked: bool
    height_mm: float | None


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
