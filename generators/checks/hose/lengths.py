"""Rules on a hose's own path: bend radius, straight runs, length and slack, and where it is held."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.hose.cases import HoseCase
from generators.checks.hose.changes import clamps_at, fitting_hose, fitting_lengths, straight_of
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more, short_of
from generators.model.findings import Finding, Severity
from generators.model.hose_path import Arc, HosePath
from generators.model.hose_results import HoseLength, Span
from generators.model.limits import Limits
from generators.model.spec.lines import Hose
from generators.routing.lengths import spans
from generators.standards import line_support

NEAR_UNION = 0.8
"""Spacing beside a union or a tee: about 20 % less, MIL-H-8891A, R1."""


NO_WAY = "draw the hose on the vehicle with a piece of wire before changing numbers"

HOSE_BEND_RADIUS = Rule(
    code="hose-bend-radius",
    title="No path at the hose's bend radius",
    meaning=(
        "Between its ends, through its clamps, with the straight run each fitting needs, no curve of the "
        "smallest bend radius joins up. Bent tighter, a hose kinks or its braid opens. The radius is taken "
        "to the centre line."
    ),
    formula="every arc of the path >= bend radius of the hose",
    source="AC 43.13-1B table 9-3 for the table's hoses; else the hose's maker, as given in the spec",
    trust="R1",
    mend="Turn a fitting, use an elbow, move a clamp away from it, or take a hose that bends tighter.",
)

HOSE_STRAIGHT_RUN = Rule(
    code="hose-straight-run",
    title="Straight run at a fitting too short",
    meaning=(
        "Beside its end fitting a hose must leave straight, or it works loose and kinks there. No document "
        "was read; the trade says 1.5 times the outside diameter, others 1.5 times the bend radius, which "
        "few layouts can give."
    ),
    formula="straight run of the spec >= hose_straight x outside diameter",
    source="common practice, no source",
    trust="CP",
    mend="Leave out the hose's own straight, or set it to the limit.",
    limit_key="hose_straight_ratio",
)

HOSE_TOO_SHORT = Rule(
    code="hose-too-short",
    title="Made-up hose shorter than its path",
    meaning="Seat to seat, along the shortest path its clamps and fittings allow, the hose does not reach.",
    formula="made-up length >= path length",
    source="closed form: length of straights and arcs",
    trust="C",
    mend="Take a longer hose, or move one of its ends nearer.",
)

HOSE_SLACK = Rule(
    code="hose-slack",
    title="Slack of a hose out of bounds",
    meaning=(
        "A hose needs 5 to 8 % more than its path: less and it is pulled when pressure shortens it or its "
        "ends move, more and it rubs and sags into an air trap. Rigid lines have none."
    ),
    formula="hose_slack <= (length - path) / path <= hose_slack_most; both more where ends move",
    source="NAVEDTRA 14105 p 5-11, 5 to 8 %",
    trust="R1",
    mend="Take the length the finding names, or move one end.",
    limit_key="hose_slack_ratio",
)

HOSE_LENGTH_CHANGE = Rule(
    code="hose-length-change",
    title="Hose pulled tight under pressure",
    meaning=(
        "Under pressure a hose gets up to 4 % shorter and up to 2 % longer, and an end on the engine moves. "
        "What is left of its length must still cover the path."
    ),
    formula="0.96 x hose - path - movement of both ends >= 0",
    source="AC 43.13-1B fig 9-9, p 9-23: +2 to -4 %",
    trust="R1",
    mend="Take a longer hose, or let its end move less.",
)

HOSE_SUPPORT = Rule(
    code="hose-support-spacing",
    title="Hose or line not held often enough",
    meaning=(
        "Between supports a hose swings and chafes, and a rigid line breaks at its flares. Next to a union "
        "or a tee a rigid line's spacing is taken 20 % smaller."
    ),
    formula="span <= 24 in (hose); the table's spacing by tube size and metal (rigid line)",
    source="AC 43.13-1B 9-30d(3) for hoses; MIL-H-8891A table II and FAA-H-8083-30 table 7-5 for lines",
    trust="R1",
    mend="Add a clamp between the two supports the finding names.",
    limit_key="hose_support_mm",
)

HOSE_MEASURE = Rule(
    code="hose-measure",
    title="Hose length not released",
    meaning=(
        "An end of this hose is only estimated, or the spec asks to measure it: its length is taken on the "
        "vehicle at the step named, when both ends are bolted down."
    ),
    formula="both ends fixed by holes of this job or measured places",
    source="common practice, no source",
    trust="CP",
    mend="Nothing to mend; measure at that step.",
)

RULES = (
    HOSE_BEND_RADIUS,
    HOSE_STRAIGHT_RUN,
    HOSE_TOO_SHORT,
    HOSE_SLACK,
    HOSE_LENGTH_CHANGE,
    HOSE_SUPPORT,
    HOSE_MEASURE,
)


def straight_run(case: HoseCase, limits: Limits, where: str) -> Iterator[Finding]:
    """The straight run beyond the hose ends."""
    if case.spec.kind == "rigid":
        return
    wanted = limits.hose_straight_ratio * case.outside_mm
    severity = short_of(case.straight_mm, wanted, -math.inf)
    if severity is not None:
        yield finding(
            HOSE_STRAIGHT_RUN,
            severity,
            where,
            value=case.straight_mm,
            limit=wanted,
            advice=f"set straight to {more(wanted)} or leave it out",
            proposals=straight_of(case, wanted),
        )


def no_path(case: HoseCase, where: str) -> Finding:
    """The fail on a hose for which no path was found."""
    return finding(
        HOSE_BEND_RADIUS,
        Severity.FAIL,
        where,
        found=case.tried or f"no path from {case.spec.from_} to {case.spec.to}",
        limit=case.radius_mm,
        wanted=f"{mm_up(case.radius_mm)} bend radius, {mm_up(case.straight_mm)} straight at each end",
        advice=NO_WAY,
    )


def unreleased(path: HosePath, why: str, where: str) -> Finding:
    """The note on a hose whose length is taken on the vehicle."""
    return finding(
        HOSE_MEASURE,
        Severity.NOTE,
        where,
        value=path.length_mm,
        found=f"{mm(path.length_mm)} by the layout",
        wanted="both ends bolted down",
        advice=f"{why}; the install sheet says at which step",
    )


def bend_radius(case: HoseCase, path: HosePath, where: str) -> Iterator[Finding]:
    """Arcs of the path tighter than the hose bends."""
    arcs = [segment.radius_mm for segment in path.segments if isinstance(segment, Arc)]
    least = min(arcs, default=math.inf)
    if least < case.radius_mm - SAME_MM:
        yield finding(
            HOSE_BEND_RADIUS,
            Severity.FAIL,
            where,
            value=least,
            limit=case.radius_mm,
            advice=NO_WAY,
        )


def made_up(
    case: HoseCase, path: HosePath, length: HoseLength, limits: Limits, where: str
) -> Iterator[Finding]:
    """The made-up length against the path: too short, slack, and what pressure and movement take."""
    made, least = length.made_up_mm, path.length_mm
    if case.spec.kind == "rigid":
        return
    low, high = fitting_lengths(case, length.path_mm, limits)
    slack = least * (1 + limits.hose_slack_ratio)
    if made < least - SAME_MM:
        yield finding(
            HOSE_TOO_SHORT,
            Severity.FAIL,
            where,
            value=made,
            found=f"{mm(made)} made up for a path of {mm_up(least)}: {more(least - made)} short",
            limit=slack,
            wanted=f"{mm_up(slack)} with slack",
            advice=f"take a hose of {_range(low, high)}, or move an end {more(low - made)} nearer",
            proposals=fitting_hose(case, path, limits),
        )
        return
    if made < slack - SAME_MM or (case.spec.made_up_mm is not None and made > high + SAME_MM):
        yield finding(
            HOSE_SLACK,
            Severity.WARN,
            where,
            value=(made - least) / least,
            limit=limits.hose_slack_ratio if made < slack else limits.hose_slack_most_ratio,
            unit="",
            found=f"{(made - least) / least:.1%} of slack: {mm(made)} on a path of {mm_up(least)}",
            wanted=f"{limits.hose_slack_ratio:.1%} to {limits.hose_slack_most_ratio:.1%}",
            advice=f"take a hose of {_range(low, high)}",
            proposals=fitting_hose(case, path, limits),
        )
    spare = length.spare_mm - case.moves_mm
    if case.spec.service != "feed" and spare < -SAME_MM:
        yield finding(
            HOSE_LENGTH_CHANGE,
            Severity.FAIL,
            where,
            value=length.spare_mm + least,
            found=f"{more(-spare)} short when pressure has shortened it and its ends have moved "
            f"{case.moves_mm:g} mm",
            limit=least + case.moves_mm,
            wanted=f"{mm_up(least + case.moves_mm)} of path and movement",
            advice=f"take a hose of {_range(low, high)}",
            proposals=fitting_hose(case, path, limits),
        )


def _range(low: float, high: float) -> str:
    return f"{mm_up(low)} to {mm(high)}" if high - low > 0.02 else mm_up(low)


def support_limit(spec: Hose, outside_mm: float, limits: Limits) -> tuple[float, str]:
    """The longest span between two supports, mm, and its source where the rule's own does not say it."""
    if spec.kind == "rigid":
        row = line_support(outside_mm, spec.metal)
        return row.support_mm, f"{row.source} ({row.trust})"
    return limits.hose_support_mm, ""


def supports(case: HoseCase, path: HosePath, limits: Limits, where: str) -> Iterator[Finding]:
    """Spans between supports."""
    limit, source = support_limit(case.spec, case.outside_mm, limits)
    ports = {path.supports[0].name, path.supports[-1].name}
    for span in spans(path):
        near = case.spec.kind == "rigid" and not ports.isdisjoint((span.start, span.end))
        allowed = limit * NEAR_UNION if near else limit
        if span.length_mm > allowed + SAME_MM:
            count = math.ceil(span.length_mm / allowed - 1e-9) - 1
            yield finding(
                HOSE_SUPPORT,
                Severity.WARN,
                where,
                value=span.length_mm,
                found=f"{mm(span.length_mm)} from {span.start} to {span.end}",
                limit=allowed,
                source=source,
                advice=f"add {count} clamp{'s' if count > 1 else ''} between {span.start} and {span.end}",
                about=f"{span.start} {span.end}",
                proposals=clamps_at(case, path, _between(path, span, count)),
            )


def _between(path: HosePath, span: Span, count: int) -> list[float]:
    """Where clamps divide a span evenly, mm along the path."""
    start = next(s.station_mm for s in path.supports if s.name == span.start)
    return [start + span.length_mm * (k + 1) / (count + 1) for k in range(count)]
