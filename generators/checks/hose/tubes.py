"""A rigid line's nuts: what slides on the tube behind a flare needs straight tube there."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.hose.cases import HoseCase
from generators.checks.hose.changes import straight_of
from generators.checks.rule import Rule, finding, mm, more
from generators.model.findings import Finding, Severity
from generators.model.hose_path import HosePath
from generators.routing.flaring import making

TUBE_NUT_ROOM = Rule(
    code="tube-nut-room",
    title="No room for the nut between flare and bend",
    meaning=(
        "Nut and sleeve slide on the tube and do not pass a bend. Where the first bend begins nearer to the "
        "seat than they are long, the nut cannot lie behind the flare and the union is never made."
    ),
    formula="straight from the seat to the first bend >= length of tube nut with sleeve",
    source="closed form; lengths of nuts as in the table of 37 degree unions, from memory: so a warning",
    trust="M-low",
    mend="Ask for more straight at the line's ends, turn the fitting, or use an elbow.",
)

RULES = (TUBE_NUT_ROOM,)


def nut_room(case: HoseCase, path: HosePath, where: str) -> Iterator[Finding]:
    """A rigid line that bends where its nut has to lie; one finding, of the shorter end."""
    if case.spec.kind != "rigid":
        return
    made = making(path, case.spec.dash)
    if made.fits:
        return
    short = min(made.straight_mm)
    end = case.spec.from_ if made.straight_mm[0] == short else case.spec.to
    yield finding(
        TUBE_NUT_ROOM,
        Severity.WARN,
        where,
        value=short,
        found=f"{mm(short)} of straight tube at {end}",
        limit=made.nut_mm,
        advice=f"ask for {more(made.nut_mm)} of straight at its ends, or turn the fitting",
        proposals=straight_of(case, made.nut_mm),
    )
