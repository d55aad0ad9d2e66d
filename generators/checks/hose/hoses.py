"""The rules of hoses and lines on their computed paths."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from generators.checks.hose import rules_hoses as rules
from generators.checks.rule import SAME_MM, finding, mm, mm_up, more, ordered, short_of
from generators.model.findings import Finding, Severity
from generators.model.hose_path import Arc, HosePath
from generators.model.hose_results import Clearance, HoseLength, PlaneChange, RiseProfile
from generators.model.spec.job import Limits
from generators.model.spec.lines import Clamp, Hose
from generators.routing.lengths import SHORTENING, spans
from generators.routing.rise import reservoir_head
from generators.standards import line_support

DASH_MM = 25.4 / 16
CLAMP_LOOSE_MM = 3 * DASH_MM
NEAR_UNION = 0.8
"""Spacing beside a union or a tee: about 20 % less, MIL-H-8891A, R1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseCase:
    """One hose as the rules look at it; lengths mm.

    ``straight_mm`` is the straight run asked for beyond the hose end, ``moves_mm`` how far both ends move
    together, ``dashes`` what the two ports are (None: not said), ``measure_why`` why its length is not
    released, or empty.
    """

    spec: Hose
    path: HosePath | None
    outside_mm: float
    radius_mm: float
    straight_mm: float
    length: HoseLength | None
    clamps: tuple[Clamp, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    planes: tuple[PlaneChange, ...] = ()
    moves_mm: float = 0.0
    dashes: tuple[int | None, int | None] = (None, None)
    detour: bool = False
    tried: str = ""
    measure_why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainCase:
    """The hoses from a slave to its reservoir; ``ports`` are (name, height) of what the reservoir feeds.

    ``level_mm`` is the lowest fluid level, None without one.
    """

    hoses: tuple[HoseCase, ...]
    profile: RiseProfile | None
    ports: tuple[tuple[str, float], ...] = ()
    reservoir: str = ""
    level_mm: float | None = None


def check_hose(case: HoseCase, limits: Limits) -> list[Finding]:
    """Findings on one hose, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        where = f"hose:{case.spec.name}"
        yield from _straight(case, limits, where)
        yield from _sizes(case, where)
        for clamp in case.clamps:
            yield from _clamp(case, clamp, where)
        if case.path is None:
            yield finding(
                rules.HOSE_BEND_RADIUS,
                Severity.FAIL,
                where,
                value=case.tried or f"no path from {case.spec.from_} to {case.spec.to}",
                limit=f"{mm_up(case.radius_mm)} bend radius, {mm_up(case.straight_mm)} straight at each end",
                advice=rules.NO_WAY,
            )
            return
        yield from _radius(case, case.path, where)
        if case.length is not None:
            yield from _length(case, case.path, case.length, limits, where)
        yield from _supports(case, case.path, limits, where)
        for clearance in case.clearances:
            yield from _clearance(clearance, where)
        for change in case.planes:
            yield from _plane(change, case.spec.service, where)
        if case.detour:
            yield from _detour(case.path, where)
        if case.measure_why:
            yield finding(
                rules.HOSE_MEASURE,
                Severity.NOTE,
                where,
                value=f"{mm(case.path.length_mm)} by the layout",
                limit="both ends bolted down",
                advice=f"{case.measure_why}; the install sheet says at which step",
            )

    return ordered(found())


def _straight(case: HoseCase, limits: Limits, where: str) -> Iterator[Finding]:
    if case.spec.kind == "rigid":
        return
    wanted = limits.hose_straight_ratio * case.outside_mm
    severity = short_of(case.straight_mm, wanted, -math.inf)
    if severity is not None:
        yield finding(
            rules.HOSE_STRAIGHT_RUN,
            severity,
            where,
            value=mm(case.straight_mm),
            limit=mm_up(wanted),
            advice=f"set straight to {more(wanted)} or leave it out",
        )


def _sizes(case: HoseCase, where: str) -> Iterator[Finding]:
    for end, dash in zip((case.spec.from_, case.spec.to), case.dashes, strict=True):
        if dash is not None and dash != case.spec.dash:
            yield finding(
                rules.HOSE_DASH,
                Severity.FAIL,
                where,
                value=f"-{case.spec.dash} on the -{dash} port {end}",
                limit=f"-{dash}",
                advice=f"make the hose -{dash}, or add an adapter as a component with two ports",
            )


def _clamp(case: HoseCase, clamp: Clamp, where: str) -> Iterator[Finding]:
    inside = clamp.dash * DASH_MM
    over = inside - case.outside_mm
    if -SAME_MM <= over < CLAMP_LOOSE_MM - SAME_MM:
        return
    right = math.ceil(case.outside_mm / DASH_MM - 1e-9)
    yield finding(
        rules.CLAMP_SIZE,
        Severity.FAIL if over < 0 else Severity.WARN,
        f"{where} {clamp.name}",
        value=f"-{clamp.dash} clamp, {mm(inside)} inside, on {mm_up(case.outside_mm)} of hose",
        limit=f"{mm_up(case.outside_mm)}, less than {mm_up(case.outside_mm + CLAMP_LOOSE_MM)}",
        advice=f"take a -{right} clamp",
    )


def _radius(case: HoseCase, path: HosePath, where: str) -> Iterator[Finding]:
    arcs = [segment.radius_mm for segment in path.segments if isinstance(segment, Arc)]
    least = min(arcs, default=math.inf)
    if least < case.radius_mm - SAME_MM:
        yield finding(
            rules.HOSE_BEND_RADIUS,
            Severity.FAIL,
            where,
            value=mm(least),
            limit=mm_up(case.radius_mm),
            advice=rules.NO_WAY,
        )


def _length(
    case: HoseCase, path: HosePath, length: HoseLength, limits: Limits, where: str
) -> Iterator[Finding]:
    made, least = length.made_up_mm, path.length_mm
    if case.spec.kind == "rigid":
        return
    low, high = least * (1 + limits.hose_slack_ratio), least * (1 + limits.hose_slack_most_ratio)
    if made < least - SAME_MM:
        yield finding(
            rules.HOSE_TOO_SHORT,
            Severity.FAIL,
            where,
            value=f"{mm(made)} made up for a path of {mm_up(least)}: {more(least - made)} short",
            limit=f"{mm_up(low)} with slack",
            advice=f"take a hose of {mm_up(low)} to {mm(high)}, or move an end {more(low - made)} nearer",
        )
        return
    if made < low - SAME_MM or (case.spec.made_up_mm is not None and made > high + SAME_MM):
        yield finding(
            rules.HOSE_SLACK,
            Severity.WARN,
            where,
            value=f"{(made - least) / least:.1%} of slack: {mm(made)} on a path of {mm_up(least)}",
            limit=f"{limits.hose_slack_ratio:.1%} to {limits.hose_slack_most_ratio:.1%}",
            advice=f"take a hose of {mm_up(low)} to {mm(high)}",
        )
    spare = length.spare_mm - case.moves_mm
    if case.spec.service != "feed" and spare < -SAME_MM:
        yield finding(
            rules.HOSE_LENGTH_CHANGE,
            Severity.FAIL,
            where,
            value=f"{more(-spare)} short when pressure has shortened it and its ends have moved "
            f"{case.moves_mm:g} mm",
            limit=f"{mm_up(least + case.moves_mm)} of path and movement",
            advice=f"take a hose longer by {more(-spare / (1 - SHORTENING))}",
        )


def support_limit(spec: Hose, outside_mm: float, limits: Limits) -> tuple[float, str]:
    """The longest span between two supports, mm, and its source where the rule's own does not say it."""
    if spec.kind == "rigid":
        row = line_support(outside_mm, spec.metal)
        return row.support_mm, f"{row.source} ({row.trust})"
    return limits.hose_support_mm, ""


def _supports(case: HoseCase, path: HosePath, limits: Limits, where: str) -> Iterator[Finding]:
    limit, source = support_limit(case.spec, case.outside_mm, limits)
    ports = {path.supports[0].name, path.supports[-1].name}
    for span in spans(path):
        near = case.spec.kind == "rigid" and not ports.isdisjoint((span.start, span.end))
        allowed = limit * NEAR_UNION if near else limit
        if span.length_mm > allowed + SAME_MM:
            count = math.ceil(span.length_mm / allowed - 1e-9) - 1
            yield finding(
                rules.HOSE_SUPPORT,
                Severity.WARN,
                where,
                value=f"{mm(span.length_mm)} from {span.start} to {span.end}",
                limit=mm_up(allowed),
                source=source,
                advice=f"add {count} clamp{'s' if count > 1 else ''} between {span.start} and {span.end}",
            )


def _clearance(gap: Clearance, where: str) -> Iterator[Finding]:
    if gap.met:
        return
    x, y, z = gap.at
    rule, severity = rules.HOSE_CLEARANCE, Severity.FAIL if gap.gap_mm <= 0 else Severity.WARN
    if gap.what in ("face", "edge", "crossing"):
        rule = rules.HOSE_EDGE
    elif gap.what == "hose":
        # hoses may lie together where a clamp holds both: only what runs through another is warned of
        rule, severity = rules.HOSE_APART, Severity.WARN if gap.gap_mm <= 0 else Severity.NOTE
    elif gap.kind in ("moving", "steering"):
        rule, severity = rules.HOSE_NEAR_MOVING, Severity.FAIL
    elif gap.kind == "hot":
        rule, severity = rules.HOSE_NEAR_HOT, Severity.FAIL
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
        value=f"{through} {body}, {gap.station_mm:.0f} mm along, at x {x:.0f} y {y:.0f} z {z:.0f}",
        limit=mm_up(gap.limit_mm),
        advice="pass it through a grommet or a bulkhead fitting"
        if gap.what == "crossing"
        else f"keep the hose {more(gap.limit_mm - gap.gap_mm)} further off with a clamp",
    )


def _detour(path: HosePath, where: str) -> Iterator[Finding]:
    guides = [support for support in path.supports if support.kind == "guide"]
    at = " and ".join(f"{support.station_mm:.0f} mm" for support in guides)
    yield finding(
        rules.HOSE_DETOUR,
        Severity.WARN,
        where,
        value=f"led round what is in its direct way, free in the air {at} along",
        limit="a clamp where it is led round",
        advice="put a clamp there and name it in the hose's clamps",
    )


def _plane(change: PlaneChange, service: str, where: str) -> Iterator[Finding]:
    if change.held_by:
        return
    yield finding(
        rules.HOSE_PLANE_CHANGE,
        # without pressure nothing twists it
        Severity.NOTE if service == "feed" else Severity.WARN,
        where,
        value=f"the plane turns by {math.degrees(change.angle_rad):.0f} deg {change.station_mm:.0f} mm along",
        limit="a clamp there",
        advice="do not twist it when tightening"
        if service == "feed"
        else "clamp it there, or turn or move an end so that all its bends lie in one plane",
    )


def check_chain(case: ChainCase, limits: Limits) -> list[Finding]:
    """Findings on one run from slave to reservoir, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        names = ", ".join(hose.spec.name for hose in case.hoses)
        where = f"line:{case.hoses[0].spec.name}" if case.hoses else "line"
        pressure = [h for h in case.hoses if h.spec.service != "feed"]
        sizes = sorted({h.spec.dash for h in pressure})
        if len(sizes) > 1:
            yield finding(
                rules.HOSE_DASH,
                Severity.WARN,
                where,
                value=f"{' and '.join(f'-{dash}' for dash in sizes)} on one run ({names})",
                limit="one dash size",
                advice="use one dash size from slave to master",
            )
        if case.profile is not None:
            yield from _traps(case.profile, where)
        yield from _head(case, limits, where)
        yield from _residual(pressure, case, where)

    return ordered(found())


def _traps(profile: RiseProfile, where: str) -> Iterator[Finding]:
    for trap in profile.traps:
        high, low = trap.high, trap.low
        near = f" near {high.near}" if high.near else ""
        yield finding(
            rules.AIR_TRAP,
            Severity.NOTE if trap.at_start else Severity.FAIL,
            f"{where} {high.hose}",
            value=f"a hump{near} {high.hose_station_mm:.0f} mm along {high.hose}, {trap.mend_mm:.1f} mm "
            "above "
            f"the low point after it in {low.hose}",
            limit="climbing all the way to the reservoir",
            advice="the bleed screw takes this air: keep it the highest point of the slave"
            if trap.at_start
            else f"lower it, or raise {low.hose} near {low.near or low.hose}, by {more(trap.mend_mm)}",
        )


def _head(case: ChainCase, limits: Limits, where: str) -> Iterator[Finding]:
    if case.level_mm is None or not case.ports:
        return
    name, head = reservoir_head(case.level_mm, dict(case.ports))
    severity = short_of(head, limits.reservoir_head_mm, 0.0)
    if severity is not None:
        lift = limits.reservoir_head_mm - head
        yield finding(
            rules.RESERVOIR_LOW,
            severity,
            f"{where} {case.reservoir}",
            value=f"lowest level {mm(head)} above {name}"
            if head >= 0
            else f"lowest level {mm_up(-head)} below {name}",
            limit=f"{mm_up(limits.reservoir_head_mm)} above (fail below the port)",
            advice=f"raise the reservoir by {more(lift)}",
        )


def _residual(pressure: Sequence[HoseCase], case: ChainCase, where: str) -> Iterator[Finding]:
    brake = [h for h in pressure if h.spec.service == "brake" and h.path is not None]
    heights: Mapping[str, float] = dict(case.ports)
    if not brake or not heights:
        return
    first, last = brake[0], brake[-1]
    wheel, master = heights.get(first.spec.from_), heights.get(last.spec.to)
    if wheel is not None and master is not None and wheel > master + SAME_MM:
        yield finding(
            rules.RESIDUAL_VALVE,
            Severity.NOTE,
            where,
            value=f"{first.spec.from_} lies {mm(wheel - master)} above {last.spec.to}",
            limit="the master above the brakes",
            advice="ask the maker of the brakes about a residual pressure valve",
        )
