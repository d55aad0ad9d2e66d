"""An existing hole that the spec takes again, and nothing takes."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from shapely.geometry import LineString

from generators.checks.measure import area_of
from generators.checks.rule import Rule, finding
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelHole, PanelLayout

REUSE_UNUSED = Rule(
    code="reuse-unused",
    title="Hole to be used again that nothing uses",
    meaning=(
        'An existing hole has action = "reuse", and no hole of a part or of the panel lies on it, nothing '
        "sits in it and nothing goes through it. The sheets would say that it is used again, and it would "
        "stay open."
    ),
    formula="a hole of the job, a component, a clamp or an obstacle in each hole with action reuse",
    source="follows from what reuse means",
    trust="C",
    mend='keep it as it is (action = "keep"), close it ("blank"), or put what uses it on its middle.',
)

RULES = (REUSE_UNUSED,)


def check_unused(layout: PanelLayout, sat_in: Collection[str], lines: Mapping[str, int]) -> Iterator[Finding]:
    """Findings on the reused holes of a panel that nothing uses. Raises nothing.

    ``sat_in`` names the holes of this panel in which a component or clamp sits, or that serve a part as they
    were drilled; ``lines`` gives the spec's line of each hole's action.
    """
    for hole in layout.holes:
        # what takes an old hole gives it its own kind
        if hole.status != "reuse" or hole.kind != "existing" or hole.name in sat_in:
            continue
        opening = LineString(hole.ends).buffer(hole.final_dia_mm / 2)
        if any(opening.intersects(area_of(each.contour)) for each in layout.passing):
            continue
        path = f"panel[{layout.panel}].existing[{hole.name}].action"
        line = f", line {lines[hole.name]}" if hole.name in lines else ""
        yield finding(
            REUSE_UNUSED,
            Severity.WARN,
            f"panel:{layout.panel} hole {_named(hole)}",
            found=f'action = "reuse"{line}, and nothing goes in it',
            wanted='something that uses it, or "keep" or "blank"',
            advice='set action = "keep" to leave it as it is, "blank" to have it closed, or give the hole '
            f'that uses it its place there: at = {{ from = "{hole.name}", u = "0 mm", v = "0 mm" }}',
            proposals=(
                Proposal(words=f"leave hole {hole.name} as it is", steps=(Change(path=path, word="keep"),)),
                Proposal(words=f"close hole {hole.name}", steps=(Change(path=path, word="blank"),)),
            ),
        )


def _named(hole: PanelHole) -> str:
    return f"{hole.number} ({hole.name})" if hole.number else hole.name
