"""The rule of a pedal's own arm: what its section bears of the foot's force."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.checks.pedal.stiffness import least_factor, yielding
from generators.checks.rule import Rule, finding
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.words import LoadCase

ARM_YIELD = Rule(
    code="pedal-arm-yield",
    title="Pedal arm yields at the limit load",
    meaning=(
        "The yield stress of the arm's material over the largest stress along the arm, for the forces its "
        "hanger is judged by: everyday effort, limit load, a brake's 2000 N (warns: structure only) and a "
        "foot that pushes aside. A bar of one section from pivot to pad, by the beam's closed forms: "
        "bending in the plane it swings in up to the pin of the pushrod, bending out of it and torsion up "
        "to the shaft, where the pad stands aside. Welds, the pin's hole and bends too tight are left "
        "out. Only an arm whose section the spec gives is judged; without arm_material it is taken as "
        "S235, the weakest of the structural steels."
    ),
    formula="yield / sqrt((M/W + M'/W' + N/A)² + 3 (T/Wt)²) >= yield_factor (1); everyday_factor (1.5, ours)",
    source="beam theory; torsion of a rectangle by Roark; 14 CFR 23.305(a)",
    trust="M-high",
    mend="A wider or thicker arm, a shorter one, a pad nearer the arm's plane, or stronger material.",
    limit_key="yield_factor",
)

RULES = (ARM_YIELD,)
TRIED_MM = (2.0, 4.0, 6.0, 10.0, 15.0)
"""How much wider an arm is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedArm:
    """One case of an arm in words, its stress (MPa), and how far from the pivot along the arm (mm)."""

    kind: LoadCase
    what: str
    stress_mpa: float
    from_pivot_mm: float


def check_arm(
    pedal: str, material: str, yield_mpa: float, size_key: str, cases: Sequence[JudgedArm], limits: Limits
) -> Iterator[Finding]:
    """A finding on the case nearest or furthest past its factor; ``size_key`` is the size to make larger."""
    judged = []
    for case in cases:
        factor, least = yield_mpa / max(case.stress_mpa, 1e-9), least_factor(case.kind, limits)
        severity = yielding(case.kind, factor, factor, least)
        if severity is not None:
            judged.append((severity.rank, factor / least, severity, factor, least, case))
    if not judged:
        return
    _, _, severity, factor, least, case = min(judged, key=lambda j: (-j[0], j[1]))
    yield finding(
        ARM_YIELD,
        severity,
        f"pedal:{pedal} arm",
        value=factor,
        limit=least,
        unit="",
        found=f"factor {factor:.2f} ({case.stress_mpa:.0f} MPa, {case.from_pivot_mm:.0f} mm from the pivot), "
        f"{case.what}; {material} yields at {yield_mpa:g} MPa",
        wanted=f"{least:g}",
        advice="a larger section, a pad nearer the arm's plane, or stronger material",
        proposals=tuple(
            Proposal(
                words="make the arm larger by {by}",
                steps=(Change(path=f"pedal[{pedal}].{size_key}", by=more, rounding="up"),),
            )
            for more in TRIED_MM
        ),
    )
