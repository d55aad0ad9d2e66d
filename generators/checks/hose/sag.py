"""Rules on hoses that hang: what they then come near, how low they reach, and air in a feed hose."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.hose.cases import HoseCase
from generators.checks.hose.changes import clamps_at, fitting_hose, fitting_lengths, further_off
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more
from generators.model.changes import Proposal
from generators.model.findings import Finding, Severity
from generators.model.hose_path import HosePath, Point3
from generators.model.hose_results import SagSpan
from generators.model.limits import Limits
from generators.routing.paths.curves import sampled
from generators.routing.rise import LEVEL_MM
from generators.routing.sag import lowest_place

_MODEL = (
    "The hose is taken limp but for its bend radius, its slack shared out by the length between clamps; a "
    "stiff hose hangs less."
)

HOSE_SAG = Rule(
    code="hose-sag",
    title="Slack hose hangs near something",
    meaning="Drawn along its path the hose keeps clear, but its slack lets it down on something. " + _MODEL,
    formula="gap of the hanging hose >= the limit its path is held to",
    source="closed form: least potential energy (catenary) at the hose's length and bend radius",
    trust="C",
    mend="Take a shorter hose or put a clamp where the finding says.",
)

HOSE_LOWEST = Rule(
    code="hose-lowest",
    title="Hose lower than it may hang",
    meaning=(
        "Below this height of the vehicle frame (a floor, or what must stay clear of the road) nothing may "
        "hang. " + _MODEL
    ),
    formula="lowest place of the hose's outside >= hose_lowest; failed where its path itself is lower",
    source="height: the spec's own; shape: least potential energy (catenary)",
    trust="C",
    mend="Take a shorter hose, or clamp it higher.",
    limit_key="hose_lowest_mm",
)

FEED_SAG = Rule(
    code="feed-hose-sag",
    title="Feed hose hangs below both its ends",
    meaning=(
        "Air rises by itself from the cylinder to the reservoir only where the hose climbs. Where it hangs "
        "below both ends, air stays in front of the low place and the fluid runs down to it. " + _MODEL
    ),
    formula="lowest place of a feed hose between supports >= the lower support",
    source="geometry; shape: least potential energy (catenary)",
    trust="C",
    mend="Take a shorter hose, or put a clamp where the finding says.",
)

_STEP_MM = 10.0

RULES = (HOSE_SAG, HOSE_LOWEST, FEED_SAG)


def hanging(case: HoseCase, path: HosePath, limits: Limits, where: str) -> Iterator[Finding]:
    """What the slack of a hose does, and how low any line reaches."""
    if limits.hose_lowest_mm is not None:
        yield from _low(case, path, limits.hose_lowest_mm, limits, where)
    if case.sag is None:
        return
    said: set[str] = set()
    for gap in case.sag.meets:  # the nearest first; a panel's face and its metal are one thing
        if gap.body in said:
            continue
        said.add(gap.body)
        x, y, z = gap.at
        yield finding(
            HOSE_SAG,
            Severity.WARN,
            where,
            value=gap.gap_mm,
            limit=gap.limit_mm,
            found=f"hanging slack it comes {f'to {mm(gap.gap_mm)} from' if gap.gap_mm > 0 else 'to lie on'} "
            f"{gap.body} at {x:.0f}, {y:.0f}, {z:.0f}",
            advice=_shorter(case, limits) + f"clamp it above {x:.0f}, {y:.0f}, {z:.0f}",
            proposals=_held(case, path, gap.at, limits),
        )
    if case.spec.service == "feed":
        for span in case.sag.spans:
            if span.below_mm > LEVEL_MM:
                yield _feed(case, path, span, limits, where)


def _feed(case: HoseCase, path: HosePath, span: SagSpan, limits: Limits, where: str) -> Finding:
    x, y, z = span.lowest
    return finding(
        FEED_SAG,
        Severity.WARN,
        where,
        value=span.below_mm,
        limit=LEVEL_MM,
        found=f"hangs {mm(span.below_mm)} below the lower of {span.start} and {span.end}",
        wanted="climbing from the cylinder to the reservoir",
        advice=_shorter(case, limits) + f"hold it up with a clamp near {x:.0f}, {y:.0f}, {z:.0f}, "
        f"{more(span.below_mm)} higher",
        proposals=_held(case, path, span.lowest, limits),
    )


def _held(case: HoseCase, path: HosePath, at: Point3, limits: Limits) -> tuple[Proposal, ...]:
    """A hose no longer than its slack asks for, or a clamp where its path is nearest to where it sags to."""
    shorter: tuple[Proposal, ...] = ()
    if _shorter(case, limits):
        shorter = fitting_hose(case, path, limits)
    return (*shorter, *clamps_at(case, path, [_nearest(path, at)]))


def _nearest(path: HosePath, at: Point3) -> float:
    """The station of the path nearest to a place, mm, to 5 mm."""
    stations, points, _ways = sampled(path, _STEP_MM)
    return float(stations[int(np.linalg.norm(points - np.array(at), axis=1).argmin())])


def _low(case: HoseCase, path: HosePath, lowest_mm: float, limits: Limits, where: str) -> Iterator[Finding]:
    taut, half = lowest_place(path), path.outside_dia_mm / 2.0
    place = taut if case.sag is None else min(taut, case.sag.lowest, key=lambda at: at[2])
    height = place[2] - half
    if height < lowest_mm - SAME_MM:
        x, y, _ = place
        yield finding(
            HOSE_LOWEST,
            Severity.FAIL if taut[2] - half < lowest_mm - SAME_MM else Severity.WARN,
            where,
            value=height,
            limit=lowest_mm,
            found=f"its lowest place is {mm(height)} high, at {x:.0f}, {y:.0f}",
            wanted=f"{mm_up(lowest_mm)} or higher",
            advice=f"clamp it {more(lowest_mm - height)} higher near {x:.0f}, {y:.0f}",
            proposals=_held(case, path, place, limits)
            if taut[2] - half >= lowest_mm - SAME_MM
            else further_off(case, path, _nearest(path, place), lowest_mm - height),
        )


def _shorter(case: HoseCase, limits: Limits) -> str:
    """The hose to take instead where it is made up longer than its slack asks for."""
    if case.length is None:
        return ""
    low = fitting_lengths(case, case.length.path_mm, limits)[0]
    return f"take a hose of {mm_up(low)}, or " if case.length.made_up_mm > low + SAME_MM else ""
