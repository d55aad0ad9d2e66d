"""A folder whose limits are worked out by hand, and parts bent on it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from bent_parts import box

from generators.bending.folder.trial import FolderSetting
from generators.bending.search import Search
from generators.bending.steps import Sequence
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import FoldCapacity, Folder

# 1 mm of air; fingers 60 deep and 100 high, a nose at 45 deg that stands upright from 30 back; the beam over them
# from 30 to 110 back; a leaf 40 deep and 25 thick; the bed 120 deep
FOLD = Folder(capacity=(FoldCapacity(thickness_mm=3.0, length_mm=1250.0),))


def folded(plan: PartPlan, folder: Folder = FOLD, **more: Any) -> Sequence:
    return Search(plan=plan, setting=FolderSetting(folder=folder, tensile_mpa=400.0, **more)).run()


def one_lip(lip: float) -> PartPlan:
    """A tray with a lip turned in on its right side alone."""
    plan = box(250.0, 240.0, 45.0, lip=lip)
    return replace(
        plan,
        flanges=tuple(f for f in plan.flanges if f.name != "left_lip"),
        bends=tuple(b for b in plan.bends if b.name != "lip_left"),
    )
