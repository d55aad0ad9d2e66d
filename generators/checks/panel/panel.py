"""All panel rules on one layout."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from generators.checks.panel import bodies, folds, metal, notes, parts, room
from generators.checks.panel.moves import moves
from generators.checks.panel.view import panel_view
from generators.checks.panel.zones import Blocked
from generators.checks.rule import ordered
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.plan import PanelLayout
from generators.model.words import FACES


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
        blocked = Blocked(
            zones=(
                *metal.zones(panel, limits),
                *folds.zones(panel, limits),
                *room.zones(panel, limits),
                *parts.zones(panel),
            ),
            pairs=(
                metal.ligament_apart(panel, limits),
                metal.spacing_apart(panel, limits),
                *(room.nuts_apart(panel, face) for face in FACES),
                *(room.swings_apart(panel, face) for face in FACES),
            ),
            under=parts.not_under(panel, part_thickness_mm),
        )
        mend = moves(panel, blocked)
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
