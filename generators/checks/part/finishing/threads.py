"""The rule on threads cut in a sheet: is it thick enough to hold what its screw does?"""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.rule import Rule, finding, mm, mm_up, short_of
from generators.model.findings import Finding
from generators.model.plan import PartPlan
from generators.standards import material

DIAMETERS = {"steel": 1.0, "stainless": 1.0, "aluminium": 2.0}
"""Thread engaged for each diameter of the screw, by what the thread is cut in."""

THREAD_DEPTH = Rule(
    code="thread-depth",
    title="Sheet is thin for a thread cut in it",
    meaning=(
        "A thread in thin sheet strips before its screw is as tight as it may be: few turns carry all of the "
        "pull. It holds a cover or a clamp, not a pedal."
    ),
    formula="t, with its collar >= d in steel, 2 d in aluminium",
    source="rules of thumb of handbooks in transcriptions: one diameter in steel, two in aluminium",
    trust="R2",
    mend="Thicker sheet, a smaller thread, a weld nut or a nut on a clearance hole.",
)

RULES = (THREAD_DEPTH,)


def check_threads(plan: PartPlan) -> Iterator[Finding]:
    """A warning for each thread cut in too thin a sheet, once for each size. Raises ``LookupFault``."""
    diameters = DIAMETERS.get(material(plan.material).kind)
    said: set[str] = set()
    for flange in plan.flanges:
        for hole in flange.holes:
            if hole.fitting.kind != "tapped" or diameters is None or hole.fitting.label in said:
                continue
            said.add(hole.fitting.label)
            limit = diameters * hole.fitting.shank_mm
            long = plan.thickness_mm + (hole.finish.stands_mm if hole.finish is not None else 0.0)
            severity = short_of(long, limit, 0.0)
            if severity is not None:
                yield finding(
                    THREAD_DEPTH,
                    severity,
                    f"part:{plan.name} flange {flange.name}, hole {hole.name}",
                    value=long,
                    limit=limit,
                    found=f"{hole.fitting.label} in {mm(long)} of {plan.material}",
                    wanted=f"{mm_up(limit)} of thread",
                    advice="thicker sheet, a smaller thread, or a nut",
                )
