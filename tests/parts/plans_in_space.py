"""Plans of kinds and where their holes end up in space."""

from __future__ import annotations

import numpy as np

from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.seams import never_past


def plan_of(name: str, thickness: float = 3.0, **parameters: object) -> PartPlan:
    kind = kind_named(name)
    spec = PartSpec(
        name="p",
        kind=name,
        material="1008 steel",
        thickness_mm=thickness,
        parameters=kind.parameters(**parameters),
    )
    # as a job plans it: a bend that would close a weld's gap is drawn as never past its angle
    return never_past(kind.plan(spec, bend_rule(Shop(), spec.material, thickness, None)))


def in_space(plan: PartPlan) -> dict[str, np.ndarray]:
    frames = folded_frames(plan)
    return {
        h.name: (frames[f.name] @ np.array([h.u_mm, h.v_mm, 0.0, 1.0]))[:3]
        for f in plan.flanges
        for h in f.holes
    }
