"""Which step of the order of work a hole waits for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from generators.model.plan import PanelHole, PanelLayout


def numbered(layouts: Sequence[PanelLayout], steps: Mapping[str, int]) -> tuple[PanelLayout, ...]:
    """The layouts with the step each hole waits for that does not come with its panel.

    ``steps`` are the numbers of the first step of each task, by its key.
    """

    def waits(hole: PanelHole) -> PanelHole:
        task = hole.work.task
        if not task or task.startswith("drill:"):
            return hole
        return replace(hole, decided=replace(hole.work, step=steps.get(task, 0)))

    return tuple(replace(x, holes=tuple(waits(h) for h in x.holes)) for x in layouts)
