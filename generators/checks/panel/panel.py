"""All panel rules on one layout."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from generators.checks.panel import bodies, folds, metal, notes, parts, room
from generators.checks.panel.moves import moves
from generators.checks.panel.view import panel_view
from generators.checks.rule import ordered
from generators.model.findings import Finding
from generators.model.plan import PanelLayout
from generators.model.spec.job import Limits


def check_panel(
    layout: PanelLayout,
    limits: Limits,
    part_thickness_mm: Mapping[str, float] = MappingProxyType({}),
) -> list[Finding]:
    """Findings of all panel rules on one layout, gravest first.

    ``part_thickness_mm`` gives the sheet thickness of mounted parts by name, for the air they need
    under obstacles; a part that is not in it counts as 3 mm and then only warns. Time grows about
    linearly with the holes while each has few neighbours. Raises nothing.
    """

    def found() -> Iterator[Finding]:
        panel = panel_view(layout, limits)
        mend = moves(panel, limits, part_thickness_mm)
        yield from metal.off_panel(panel, mend)
        yield from metal.edges(panel, limits, mend)
        yield from metal.pairs(panel, limits, mend)
        yield from metal.beads(panel, mend)
        yield from folds.folds(panel, limits, mend)
        yield from folds.in_folds(panel, mend)
        yield from notes.notes(panel)
        yield from room.obstacles(panel, limits, mend)
        yield from room.nuts(panel, mend)
        yield from parts.holes_and_parts(panel, mend)
        yield from parts.footprints(panel, mend)
        yield from parts.parts_on_panel(panel, part_thickness_mm, mend)
        yield from bodies.bodies(panel, mend)

    return ordered(found())
