"""Which step of the order of work a hole waits for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from generators.model.install import Guide, closed_at, first_steps, waits_for
from generators.model.plan import PanelHole, PanelLayout


def numbered(layouts: Sequence[PanelLayout], guide: Guide) -> tuple[PanelLayout, ...]:
    """The layouts with the step each hole waits for, or is closed at, that does not come with its panel.

    It is 0 for one that no step brings.
    """
    settled, first = waits_for(guide), first_steps(guide)

    def waits(panel: str, hole: PanelHole) -> PanelHole:
        task, at = hole.work.task, (panel, hole.number)
        if not task or task.startswith("drill:"):
            return hole
        step = closed_at(guide, at, hole.work) or settled.get(at, 0) or first.get(task, 0)
        return replace(hole, decided=replace(hole.work, step=step))

    return tuple(replace(x, holes=tuple(waits(x.panel, h) for h in x.holes)) for x in layouts)
