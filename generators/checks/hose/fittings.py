"""Rules on the sizes of what a hose is screwed to and held by."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.hose.cases import HoseCase
from generators.checks.hose.changes import clamp_dash, dash_of
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up
from generators.model.findings import Finding, Severity
from generators.model.spec.lines import Clamp

DASH_MM = 25.4 / 16
CLAMP_LOOSE_MM = 3 * DASH_MM


CLAMP_SIZE = Rule(
    code="clamp-size",
    title="Clamp smaller than its hose",
    meaning=(
        "A cushioned clamp smaller than the hose's outside chokes it; much larger lets it slide and chafe."
    ),
    formula="outside diameter <= clamp dash / 16 in; warned from 3/16 in more",
    source="FAA-H-8083-30 p 7-22 for the smaller; the larger ours; dash = inside in 1/16 in from memory",
    trust="R1",
    mend="Take the clamp size the finding names.",
)

HOSE_DASH = Rule(
    code="hose-dash-size",
    title="Sizes that do not go together",
    meaning=(
        "A hose end of one dash size does not seal on a port of another, and a run that changes size "
        "half way needs a reducer that is not in the spec."
    ),
    formula="dash of the hose = dash of both ports; one dash size on a pressure run",
    source="dash = tube outside diameter in 1/16 in, AN924",
    trust="R1",
    mend="Use one dash size from end to end, or give the adapter as a component with two ports.",
)

RULES = (
    CLAMP_SIZE,
    HOSE_DASH,
)


def port_sizes(case: HoseCase, where: str) -> Iterator[Finding]:
    """Ports of another size than the hose."""
    for end, dash in zip((case.spec.from_, case.spec.to), case.dashes, strict=True):
        if dash is not None and dash != case.spec.dash:
            yield finding(
                HOSE_DASH,
                Severity.FAIL,
                where,
                value=case.spec.dash,
                limit=dash,
                unit="",
                found=f"-{case.spec.dash} on the -{dash} port {end}",
                wanted=f"-{dash}",
                advice=f"make the hose -{dash}, or add an adapter as a component with two ports",
                about=end,
                proposals=dash_of(case),
            )


def clamp_size(case: HoseCase, clamp: Clamp, where: str) -> Iterator[Finding]:
    """A clamp that chokes the hose or lets it slide."""
    inside = clamp.dash * DASH_MM
    over = inside - case.outside_mm
    if -SAME_MM <= over < CLAMP_LOOSE_MM - SAME_MM:
        return
    right = math.ceil(case.outside_mm / DASH_MM - 1e-9)
    yield finding(
        CLAMP_SIZE,
        Severity.FAIL if over < 0 else Severity.WARN,
        f"{where} {clamp.name}",
        value=inside,
        found=f"-{clamp.dash} clamp, {mm(inside)} inside, on {mm_up(case.outside_mm)} of hose",
        limit=case.outside_mm if over < 0 else case.outside_mm + CLAMP_LOOSE_MM,
        wanted=f"{mm_up(case.outside_mm)}, less than {mm_up(case.outside_mm + CLAMP_LOOSE_MM)}",
        advice=f"take a -{right} clamp",
        proposals=clamp_dash(clamp.name, right),
    )


def run_sizes(pressure: Sequence[HoseCase], names: str, where: str) -> Iterator[Finding]:
    """Hoses of more than one size on one pressure run."""
    sizes = sorted({h.spec.dash for h in pressure})
    if len(sizes) > 1:
        yield finding(
            HOSE_DASH,
            Severity.WARN,
            where,
            value=len(sizes),
            limit=1,
            unit="",
            found=f"{' and '.join(f'-{dash}' for dash in sizes)} on one run ({names})",
            wanted="one dash size",
            advice="use one dash size from slave to master",
        )
