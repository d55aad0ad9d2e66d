"""One step seen from an end of the machine: sheet as laid in, part as it comes out, tools, stop.

From the right end, the gauge on the right; from the left, the other way round, where less of what was bent
before stands between the eye and the bend.
"""

from __future__ import annotations

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep, FoldStep
from generators.drawing.bending.views.on_brake import on_brake
from generators.drawing.bending.views.on_folder import on_folder
from generators.drawing.bending.views.picture import SideView
from generators.model.plan import PartPlan


def side_view(plan: PartPlan, step: AnyStep, machines: Machines, share: float = 1.0) -> SideView:
    """The picture of one step, at its end or where a ``share`` of the bend is made.

    Raises ``KeyError`` for tools the brake has not.
    """
    if isinstance(step, FoldStep):
        return on_folder(plan, step, machines.folder, share)
    return on_brake(plan, step, machines, share)
