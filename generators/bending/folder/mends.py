"""What would let a part be bent on the folder: other fingers, a narrower leaf, more lift; each tried."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from generators.bending.folder.trial import FolderSetting
from generators.bending.mended import Budget, Mend
from generators.bending.search import Search
from generators.bending.steps import Refusal
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import Folder

Tried = Callable[[PartPlan, FolderSetting, Budget], Mend | None]
WIDTHS_MM = (5.0, 10.0, 15.0, 20.0, 30.0, 40.0)
"""Fingers a shop may make or buy for a width it lacks (ours)."""

LEAST_LEAF_MM = 12.0
"""A narrower leaf gives way (ours)."""

STEP_MM, MOST_HIGH_MM = 25.0, 300.0


def folder_tries(refusal: Refusal) -> Iterator[Tried]:
    """What is tried against a refusal, the least first."""
    if refusal.why == "pieces":
        yield _narrow_fingers
    if refusal.tool == "leaf":
        yield _narrower_leaf
    if refusal.tool == "beam":
        yield _higher_fingers
    if refusal.why == "opening":
        yield _more_lift


def _finds(plan: PartPlan, setting: FolderSetting, folder: Folder, budget: Budget) -> bool:
    return budget.finds(Search(plan=plan, setting=replace(setting, folder=folder)))


def _narrow_fingers(plan: PartPlan, setting: FolderSetting, budget: Budget) -> Mend | None:
    folder = setting.folder
    for width in WIDTHS_MM:
        if _finds(plan, setting, replace(folder, fingers_mm=(*folder.fingers, width)), budget):
            return Mend(words=f"add a finger {width:g} mm wide to the folder's, and state it under [folder]")
    return None


def _narrower_leaf(plan: PartPlan, setting: FolderSetting, budget: Budget) -> Mend | None:
    """The deepest leaf that goes, halved in to 1 mm."""

    def holds(deep: float) -> bool:
        return _finds(plan, setting, replace(setting.folder, leaf_depth_mm=deep), budget)

    low, high = LEAST_LEAF_MM, setting.folder.leaf_depth_mm
    if low >= high or not holds(low):
        return None
    while high - low > 1.0:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return Mend(words=f"take a bar {math.floor(low)} mm deep in the leaf, where the folder has one")


def _higher_fingers(plan: PartPlan, setting: FolderSetting, budget: Budget) -> Mend | None:
    folder, high = setting.folder, setting.folder.finger_height_mm + STEP_MM
    while high <= MOST_HIGH_MM:
        lift = max(folder.lift_mm, high)
        if _finds(plan, setting, replace(folder, finger_height_mm=high, lift_mm=lift), budget):
            return Mend(words=f"take fingers {high:g} mm high, under a beam that lifts as much")
        high += STEP_MM
    return None


def _more_lift(plan: PartPlan, setting: FolderSetting, budget: Budget) -> Mend | None:
    folder, lift = setting.folder, setting.folder.lift_mm + STEP_MM
    while lift <= MOST_HIGH_MM:
        if _finds(plan, setting, replace(folder, lift_mm=lift), budget):
            return Mend(words=f"fold it where the beam lifts {lift:g} mm")
        lift += STEP_MM
    return None
