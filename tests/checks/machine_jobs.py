"""Parts bent on the folder, and a bracket that is welded: each rule on them just outside and just inside."""

from __future__ import annotations

from dataclasses import replace

from parts.plans_in_space import plan_of
from small_jobs import SHOP, channel, part

from generators.model.spec.tools.folder import FoldCapacity, Folder
from generators.sheetmetal.seams import never_past

WITH_FOLDER = replace(SHOP, folder=Folder(capacity=(FoldCapacity(thickness_mm=3.0, length_mm=1250.0),)))
OVER_A_DIE = replace(WITH_FOLDER, stock=(replace(SHOP.stock[0], die_opening_mm=24.0),))
ON_FOLDER = replace(channel(100.0), bent_on="folder")

MACHINE_CASES = {
    "folder-missing": (lambda: part(ON_FOLDER), lambda: part(ON_FOLDER, shop=WITH_FOLDER)),
    "folder-flat": (
        lambda: part(ON_FOLDER, shop=OVER_A_DIE),
        lambda: part(replace(ON_FOLDER, bent_on="brake"), shop=OVER_A_DIE),
    ),
    # 1/16 in is 1.5875 mm; the bent length may be 0.5 off and the blank 0.1 (ISO 2768-1 m), and
    # the sheet a hundredth thinner, 0.03
    "weld-gap": (
        lambda: part(never_past(plan_of("slave_bracket", gusset_gap_mm=0.97))),
        lambda: part(never_past(plan_of("slave_bracket", gusset_gap_mm=0.95))),
    ),
    # the same 0.63 off the gap, of which 0.1 must be left
    "weld-gap-closes": (
        lambda: part(never_past(plan_of("slave_bracket", gusset_gap_mm=0.729))),
        lambda: part(never_past(plan_of("slave_bracket", gusset_gap_mm=0.731))),
    ),
}
