"""Rules on what a hose passes: bodies, edges, other hoses, and bends that twist it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.hose.cases import HoseCase
from generators.checks.hose.changes import clamps_at, further_off, guides
from generators.checks.rule import Rule, finding, listed, mm, more
from generators.model.changes import Proposal
from generators.model.findings import Finding, Severity
from generators.model.hose_path import HosePath, Support
from generators.model.hose_results import Clearance, PlaneChange
from generators.routing.paths.curves import at_station

HOSE_CLEARANCE = Rule(
    code="hose-clearance",
    title="Hose too near something fixed",
    meaning=(
        "The hose's outside comes nearer to a body than the limit and will rub on it. Bolts and fittings are "
        "bodies too, all along the hose; but along its end fitting, held by the thing it is screwed or "
        "pushed on, a hose cannot rub on what holds that same thing, and is not measured against that."
    ),
    formula="gap >= hose_clear",
    source="no published limit found; ours",
    trust="CP",
    mend="Add or move a clamp so that the hose stays away.",
    limit_key="hose_clear_mm",
)

HOSE_APART = Rule(
    code="hose-hose-clearance",
    title="Hoses too near each other",
    meaning=(
        "Two hoses come nearer to each other than the limit and chafe when one moves. Where both are held in "
        "the same place they may lie together; two drawn through each other cannot both be there. "
        "Beside a component that both end on they are not measured."
    ),
    formula="gap >= hose_apart; warned where they touch",
    source="common practice, no source",
    trust="CP",
    mend="Clamp one of them further off, or both together.",
    limit_key="hose_apart_mm",
)

HOSE_NEAR_MOVING = Rule(
    code="hose-near-moving",
    title="Hose too near something that moves",
    meaning=(
        "Pedals through their whole sweep, the steering, and whatever the spec calls moving must pass the "
        "hose with air: a hose that is caught is torn off."
    ),
    formula="gap >= hose_moving (12 mm), hose_steering (15 mm)",
    source="common practice, no source: 10 to 15 mm to what moves with engine or steering",
    trust="CP",
    mend="Lead the hose the other way round, or clamp it further off.",
    limit_key="hose_moving_mm",
)

HOSE_NEAR_HOT = Rule(
    code="hose-near-hot",
    title="Hose too near something hot",
    meaning="Beside an exhaust the fluid boils and the hose ages; a shield does not help one that touches.",
    formula="gap >= hose_hot",
    source="no published limit found; ours",
    trust="CP",
    mend="Lead the hose the other way round; if it must pass, shield it and say so with a limit of your own.",
    limit_key="hose_hot_mm",
)

HOSE_EDGE = Rule(
    code="hose-edge",
    title="Hose at the edge or across the fold of a panel",
    meaning=(
        "Bare edges, rims of holes and the faces of panels saw through a hose. A hose crosses a panel only "
        "at a bulkhead fitting or a grommet; past a fold it keeps off both faces."
    ),
    formula="gap to an edge >= hose_edge; gap to a face >= hose_face; no crossing without a grommet",
    source="no published limit found; ours",
    trust="CP",
    mend="Pass the panel through a grommet or a bulkhead fitting, or clamp the hose further off.",
    limit_key="hose_edge_mm",
)

HOSE_DETOUR = Rule(
    code="hose-detour",
    title="Hose led round something with nothing to hold it",
    meaning=(
        "The shortest way comes too near to something, and the way round it that was found has no clamp. "
        "A hose does not stay where nothing holds it."
    ),
    formula="every turn of the path that is not the shortest is held by a clamp",
    source="common practice, no source",
    trust="CP",
    mend="Put a clamp where the finding says.",
)

HOSE_PLANE_CHANGE = Rule(
    code="hose-plane-change",
    title="Bends in two planes without a clamp between",
    meaning="Under pressure a hose bent in two planes twists at its ends unless a clamp divides the bends.",
    formula="a clamp between two bends of different planes; a note on a feed hose",
    source="TM 1-1500-204-23-2 p 4-66",
    trust="R1",
    mend="Clamp the hose where its plane changes, or bring its ends into one plane.",
)

RULES = (
    HOSE_CLEARANCE,
    HOSE_APART,
    HOSE_NEAR_MOVING,
    HOSE_NEAR_HOT,
    HOSE_EDGE,
    HOSE_DETOUR,
    HOSE_PLANE_CHANGE,
)


def told_once(found: Sequence[Clearance], outside_mm: float) -> Iterator[Clearance]:
    """The gaps without those to the face of a panel where the hose goes through its metal, which says it."""
    through = [gap for gap in found if gap.what == "crossing" and not gap.met]
    for gap in found:
        near = (c for c in through if c.body == gap.body and math.dist(c.at, gap.at) <= outside_mm)
        if gap.what != "face" or next(near, None) is None:
            yield gap


def kept_clear(
    case: HoseCase, path: HosePath, gap: Clearance, where: str, aside: Sequence[Proposal] = ()
) -> Iterator[Finding]:
    """One gap to a body, a panel or another hose that is not kept; ``aside`` moves the body."""
    if gap.met:
        return
    x, y, z = gap.at
    rule, severity = HOSE_CLEARANCE, Severity.FAIL if gap.gap_mm <= 0 else Severity.WARN
    if gap.what in ("face", "edge", "crossing"):
        rule = HOSE_EDGE
    elif gap.what == "hose":
        # hoses may lie together where a clamp holds both: only what runs through another is warned of
        rule, severity = HOSE_APART, Severity.WARN if gap.gap_mm <= 0 else Severity.NOTE
    elif gap.kind in ("moving", "steering"):
        rule, severity = HOSE_NEAR_MOVING, Severity.FAIL
    elif gap.kind == "hot":
        rule, severity = HOSE_NEAR_HOT, Severity.FAIL
    through = "passes through" if gap.what == "crossing" else f"comes within {mm(gap.gap_mm)} of"
    if gap.what == "hose" and gap.gap_mm <= 0:
        through = "touches or runs through"
    body = {
        "edge": f"an edge of {gap.body}",
        "face": f"the face of {gap.body}",
        "hose": f"the hose {gap.body}",
    }.get(gap.what, gap.body)
    yield finding(
        rule,
        severity,
        where,
        value=gap.gap_mm,
        found=f"{through} {body}, {gap.station_mm:.0f} mm along, at x {x:.0f} y {y:.0f} z {z:.0f}",
        limit=gap.limit_mm,
        advice="pass it through a grommet or a bulkhead fitting"
        if gap.what == "crossing"
        else f"keep the hose {more(gap.limit_mm - gap.gap_mm)} further off with a clamp",
        about=f"{gap.what} {gap.body}",
        proposals=(*further_off(case, path, gap.station_mm, gap.limit_mm - gap.gap_mm), *aside),
    )


def detour(case: HoseCase, path: HosePath, where: str) -> Iterator[Finding]:
    """A path led round bodies by nothing: where, between which of the user's own points."""
    places = []
    for support in path.supports:
        if support.kind == "guide":
            (x, y, z), (before, after) = at_station(path, support.station_mm)[0], _held_about(path, support)
            place = f"at {x:.0f}, {y:.0f}, {z:.0f} between {before} and {after}"
            if place not in places:
                places.append(place)
    yield finding(
        HOSE_DETOUR,
        Severity.WARN,
        where,
        found=f"led round {listed(case.avoids)}, free in the air",
        wanted="a clamp where it is led round",
        advice=f"clamp it {listed(places) or 'where it turns off'}, and name that in the hose's clamps",
        proposals=clamps_at(case, path, guides(path)),
    )


def _held_about(path: HosePath, guide: Support) -> tuple[str, str]:
    """The names of what holds the hose before and after a place."""
    held = [support for support in path.supports if support.kind != "guide"]
    before = [support.name for support in held if support.station_mm <= guide.station_mm]
    after = [support.name for support in held if support.station_mm > guide.station_mm]
    return before[-1], after[0]


def plane_change(case: HoseCase, path: HosePath, change: PlaneChange, where: str) -> Iterator[Finding]:
    """A change of plane that no clamp holds."""
    if change.held_by:
        return
    service = case.spec.service
    yield finding(
        HOSE_PLANE_CHANGE,
        # without pressure nothing twists it
        Severity.NOTE if service == "feed" else Severity.WARN,
        where,
        value=math.degrees(change.angle_rad),
        unit="deg",
        found=f"the plane turns by {math.degrees(change.angle_rad):.0f} deg {change.station_mm:.0f} mm along",
        wanted="a clamp there",
        advice="do not twist it when tightening"
        if service == "feed"
        else "clamp it there, or turn or move an end so that all its bends lie in one plane",
        proposals=clamps_at(case, path, [change.station_mm]),
    )
