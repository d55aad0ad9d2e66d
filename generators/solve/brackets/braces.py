"""What each brace of a loaded bracket has to carry, and what its tube bears."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.joint.braces import check_brace
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.solve.brackets.cases import BRACE, Bracket
from generators.solve.fasteners.joint import sheet_metal
from generators.standards import material
from generators.strength.joint.strut import BraceLoad, Tube, pushed_n
from generators.strength.joint.uses import JudgedLoad

STEEL = "S235 steel"
"""What a tube of no named material is taken as (EN 10025-2)."""


def brace_loads(bracket: Bracket, loads: Sequence[JudgedLoad], low: float) -> tuple[BraceLoad, ...]:
    """The largest force on each brace the part is held by; of a brake's structure-only case by itself."""
    out = []
    for hold in bracket.holds:
        if not hold.bore.startswith(BRACE):
            continue
        for structure in (False, True):
            found = [
                (math.hypot(force.pull_n, force.shear_n), load.what)
                for load in loads
                if (load.kind == "structure") == structure
                for force in load.forces
                if force.hole == hold.bore
            ]
            if found:
                size, case = max(found)
                tube, length = _strut(bracket, hold.bore)
                out.append(
                    BraceLoad(
                        part=bracket.part.spec.name,
                        hole=hold.bore,
                        force_n=size,
                        case=case,
                        low=low,
                        structure=structure,
                        tube=tube,
                        length_mm=length,
                    )
                )
    return tuple(out)


def _strut(bracket: Bracket, hole: str) -> tuple[Tube | None, float]:
    for held in bracket.part.spec.held:
        if hole in held.holes and held.tube_mm and held.wall_mm and held.length_mm:
            return Tube(outside_mm=held.tube_mm, wall_mm=held.wall_mm), held.length_mm
    return None, 0.0


def brace_findings(bracket: Bracket, loads: Sequence[BraceLoad], limits: Limits) -> Iterator[Finding]:
    """What the rule says of the braces whose tube and length the spec gives."""
    for load in loads:
        if load.tube is not None:
            row = sheet_metal(next(h.material for h in bracket.part.spec.held if load.hole in h.holes))
            row = row or material(STEEL)
            tube = f"a tube {load.tube.outside_mm:g} × {load.tube.wall_mm:g} mm"
            what = f"{tube}, {load.length_mm:g} mm long, of {row.name},"
            holds = pushed_n(load.tube, load.length_mm, row.e_mpa, row.yield_mpa)
            yield from check_brace(load, what, holds, limits)
