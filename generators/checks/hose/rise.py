"""Rules on the heights of a run: trapped air, the reservoir's head, fluid that runs back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from generators.checks.hose.cases import ChainCase, HoseCase
from generators.checks.hose.changes import held_near, raised, rises
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more, short_of
from generators.figures import fixed
from generators.model.findings import Finding, Severity
from generators.model.hose_results import RiseProfile
from generators.model.limits import Limits
from generators.routing.rise import reservoir_head

AIR_TRAP = Rule(
    code="air-trap",
    title="Air trapped in a high point of the line",
    meaning=(
        "From the slave to the reservoir the line must climb all the way. Where it goes up and down again, "
        "air stays at the top, and the pedal stays soft however long it is bled."
    ),
    formula="no local high point between slave and reservoir",
    source="geometry; common practice",
    trust="C",
    mend=(
        "Lower the high point or raise what follows by what the finding says, or put a bleed screw at the "
        "top."
    ),
)

RESERVOIR_LOW = Rule(
    code="reservoir-low",
    title="Reservoir below a port it feeds",
    meaning="Below the highest port, fluid runs out of the cylinder into the reservoir and air runs in.",
    formula="lowest fluid level >= highest port of the run + reservoir_head; fail below the port itself",
    source="hydrostatics; the margin ours",
    trust="C",
    mend="Raise the reservoir by what the finding says.",
    limit_key="reservoir_head_mm",
)

RESIDUAL_VALVE = Rule(
    code="residual-valve",
    title="Residual pressure valve to consider",
    meaning=(
        "Where a brake master sits below its wheel cylinders or calipers, fluid runs back. The trade puts a "
        "residual valve there, 2 psi for discs, 10 psi for drums. Never in a clutch line."
    ),
    formula="port of the brake end above the master's",
    source="common practice, no source",
    trust="CP",
    mend="Ask the maker of the brakes.",
)

RULES = (
    AIR_TRAP,
    RESERVOIR_LOW,
    RESIDUAL_VALVE,
)


def traps(case: ChainCase, profile: RiseProfile, where: str) -> Iterator[Finding]:
    """High points that keep air."""
    for trap in profile.traps:
        high, low = trap.high, trap.low
        top, foot = held_near(case, high), held_near(case, low)
        near = f" near {top}" if top else ""
        yield finding(
            AIR_TRAP,
            Severity.NOTE if trap.at_start else Severity.FAIL,
            f"{where} {high.hose}",
            value=trap.mend_mm,
            limit=0.0,
            found=f"a hump{near} {high.hose_station_mm:.0f} mm along {high.hose}, "
            f"{fixed(trap.mend_mm, 1)} mm above the low point after it in {low.hose}",
            wanted="climbing all the way to the reservoir",
            advice="the bleed screw takes this air: keep it the highest point of the slave"
            if trap.at_start
            else f"lower it, or raise {low.hose} near {foot or low.hose}, by {more(trap.mend_mm)}",
            proposals=() if trap.at_start else rises(case, high, low, trap.mend_mm),
        )


def reservoir_level(case: ChainCase, limits: Limits, where: str) -> Iterator[Finding]:
    """The lowest fluid level over the ports it feeds."""
    if case.level_mm is None or not case.ports:
        return
    name, head = reservoir_head(case.level_mm, dict(case.ports))
    severity = short_of(head, limits.reservoir_head_mm, 0.0)
    if severity is not None:
        lift = limits.reservoir_head_mm - head
        yield finding(
            RESERVOIR_LOW,
            severity,
            f"{where} {case.reservoir}",
            value=head,
            found=f"lowest level {mm(head)} above {name}"
            if head >= 0
            else f"lowest level {mm_up(-head)} below {name}",
            limit=limits.reservoir_head_mm,
            wanted=f"{mm_up(limits.reservoir_head_mm)} above (fail below the port)",
            advice=f"raise the reservoir by {more(lift)}",
            proposals=raised(case.reservoir, lift) if case.reservoir else (),
        )


def residual_valve(pressure: Sequence[HoseCase], case: ChainCase, where: str) -> Iterator[Finding]:
    """Brakes above their master."""
    brake = [h for h in pressure if h.spec.service == "brake" and h.path is not None]
    heights: Mapping[str, float] = dict(case.ports)
    if not brake or not heights:
        return
    first, last = brake[0], brake[-1]
    wheel, master = heights.get(first.spec.from_), heights.get(last.spec.to)
    if wheel is not None and master is not None and wheel > master + SAME_MM:
        yield finding(
            RESIDUAL_VALVE,
            Severity.NOTE,
            where,
            value=wheel - master,
            limit=0.0,
            found=f"{first.spec.from_} lies {mm(wheel - master)} above {last.spec.to}",
            wanted="the master above the brakes",
            advice="ask the maker of the brakes about a residual pressure valve",
        )
