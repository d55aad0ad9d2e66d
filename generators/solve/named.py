"""Holes of a part that several like things sit on, called after the thing in them.

A hanger knows its masters as left and right, a plate its reservoirs by numbers; who fits them has them in
bags with names of their own. Sheets that say both are read as two things.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from generators.layout.spots import Sheets, place
from generators.model.plan import PanelLayout
from generators.model.spec.lines import Component
from generators.model.spec.titles import within

KINDS = ("master", "reservoir")
NOSE = " nose"


def named_after(
    layouts: Sequence[PanelLayout], components: Sequence[Component], sheets: Sheets
) -> tuple[PanelLayout, ...]:
    """The layouts with those holes called after their component. Raises ``GeometryFault`` as ``place``."""
    on_part = [c for c in components if c.kind in KINDS and c.on.part and c.title]
    like = Counter((c.kind, c.on.part) for c in on_part)
    called: dict[tuple[str, str, str], str] = {}
    for component in (c for c in on_part if like[c.kind, c.on.part] > 1):
        where = place(component.on, sheets)
        layout = next((x for x in layouts if x.panel == where.panel), None)
        if layout is None:
            continue
        for hole in layout.holes:
            known = _known(hole.purpose)
            # a master that its part knows by its own name has no second one
            if hole.number in (where.hole, *where.holes) and known not in within(component.title):
                called[layout.panel, component.on.part, known] = within(component.title)
    return tuple(
        replace(
            layout,
            holes=tuple(
                replace(hole, purpose=_called(hole.purpose, layout.panel, hole.owners, called))
                for hole in layout.holes
            ),
        )
        for layout in layouts
    )


def _known(purpose: str) -> str:
    """What a part calls the thing in its hole: ``left brake master`` of its nose and of its bolts."""
    return purpose.rpartition(", ")[2].removesuffix(NOSE)


def _called(purpose: str, panel: str, owners: Sequence[str], called: dict[tuple[str, str, str], str]) -> str:
    known = _known(purpose)
    title = next((called[panel, owner, known] for owner in owners if (panel, owner, known) in called), "")
    return purpose.replace(known, title) if title else purpose
