"""Which step of the order of work a hole waits for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from generators.model.install import Guide, told_step
from generators.model.plan import PanelHole, PanelLayout


def numbered(layouts: Sequence[PanelLayout], guide: Guide) -> tuple[PanelLayout, ...]:
    """The layouts with the step each hole waits for, or is closed at, that does not come with its panel."""

    def waits(panel: str, hole: PanelHole) -> PanelHole:
        task = hole.work.task
        if not task or task.startswith("drill:"):
            return hole
        step = told_step(guide, (panel, hole.number), hole.work)
        return replace(hole, decided=replace(hole.work, step=step))

    return tuple(replace(x, holes=tuple(waits(x.panel, h) for h in x.holes)) for x in layouts)
