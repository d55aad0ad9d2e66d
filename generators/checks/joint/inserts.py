"""Rules on threaded inserts: what they grip, and which way their bolt goes in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from generators.checks.measure import area_of
from generators.checks.rule import SAME_MM, Rule, finding, listed, mm, mm_up, more
from generators.layout.stacking import gripped
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelHole, PanelLayout

INSERT_GRIP = Rule(
    code="insert-grip",
    title="Threaded insert does not suit its sheet",
    meaning=(
        "A rivet nut is squeezed against the sheet it is set in. In less than its least grip it does not "
        "seize and turns with the bolt; in more than its greatest it cannot form behind. It grips the panel "
        "and every part whose opening there lets its body through but not its flange, a doubler say."
    ),
    formula="least grip <= sum of the sheets <= greatest grip",
    source="geometry; hole and grip are the maker's, as the spec gives them",
    trust="C",
    mend="Take the insert of the next grip range, or set it in the panel alone.",
)

INSERT_FACE = Rule(
    code="insert-face",
    title="Part on the blind side of an insert",
    meaning=(
        "The bolt goes into a threaded insert from the face it was set from. A part on the other face lies "
        "on its formed end: nothing seats flat there, and the bolt does not reach it."
    ),
    formula="face of the part = face the insert is set from",
    source="common practice, no source",
    trust="CP",
    mend="Set the insert from the part's face (nut_face of the hole), or put a bolt and nut there.",
)

RULES = (INSERT_GRIP, INSERT_FACE)


def check_inserts(layouts: Sequence[PanelLayout]) -> Iterator[Finding]:
    """Findings on every threaded insert of the panels. Raises nothing."""
    for layout in layouts:
        for hole in layout.holes:
            if hole.kind == "insert" and hole.grip_mm is not None:
                yield from _grip(layout, hole, hole.grip_mm)
                yield from _blind(layout, hole)


def _where(layout: PanelLayout, hole: PanelHole) -> str:
    return f"panel:{layout.panel} hole {hole.number} ({hole.name})"


def _grip(layout: PanelLayout, hole: PanelHole, grip_mm: tuple[float, float]) -> Iterator[Finding]:
    metal, parts = gripped(layout, hole)
    least, most = grip_mm
    if least - SAME_MM <= metal <= most + SAME_MM:
        return
    thin = metal < least
    through = f"the panel and {listed(parts)}" if parts else "the panel"
    short = more(least - metal if thin else metal - most)
    yield finding(
        INSERT_GRIP,
        Severity.FAIL,
        _where(layout, hole),
        value=metal,
        found=f"{mm(metal)} of sheet ({through})",
        limit=least if thin else most,
        wanted=f"its grip, {mm_up(least)} to {mm(most)}",
        advice=f"an insert whose grip {'begins' if thin else 'ends'} {short} {'lower' if thin else 'higher'}",
    )


def _blind(layout: PanelLayout, hole: PanelHole) -> Iterator[Finding]:
    at = shapely.Point(hole.u_mm, hole.v_mm)
    grips = gripped(layout, hole)[1]
    for foot in layout.footprints:
        held = foot.part in hole.owners and foot.part not in grips
        if held and foot.face != hole.nut_face and area_of(foot.contour).contains(at):
            yield finding(
                INSERT_FACE,
                Severity.FAIL,
                f"{_where(layout, hole)} and part {foot.part}",
                found=f"part on the {foot.face} face",
                wanted=f"the {hole.nut_face} face, where the bolt goes in",
                advice=f"set the insert of hole {hole.number} from the {foot.face} face",
            )
