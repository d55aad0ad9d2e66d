"""Other sheets of the shop's rack a part could be made of: tried where it does not hold."""

from __future__ import annotations

from typing import Any

from generators.model.changes import Change, Proposal
from generators.model.spec.job import PartSpec
from generators.reading import JobFile
from generators.standards import material

TRIED_GAUGES = 2
"""How many thicker sheets of the rack are tried. Ours."""
TRIED_SHEETS = 2
"""How many sheets of another metal. Ours."""
SAME_KIND = 0.1
"""Metals whose Young's moduli differ by less are of one kind: steel stays steel. Ours."""


def stronger(file: JobFile, spec: PartSpec[Any], needed: float = 1.0) -> tuple[Proposal, ...]:
    """Changes to be tried on a part not shown to hold: thicker sheets of the rack, the least first; then of
    another metal of its kind those that bear ``needed`` times as much in bending, yield times thickness²."""
    rack = sorted({(s.thickness_mm, s.material) for s in file.shop.stock})
    own = material(spec.material)
    thicker = [t for t, metal in rack if metal == spec.material and t > spec.thickness_mm + 1e-6]
    bears = own.yield_mpa * spec.thickness_mm**2
    others = sorted(
        (row.yield_mpa * t**2, t, metal)
        for t, metal in rack
        if metal != spec.material
        for row in (material(metal),)
        if abs(row.e_mpa / own.e_mpa - 1) < SAME_KIND and row.yield_mpa * t**2 >= needed * bears * (1 + 1e-6)
    )
    path = f"part[{spec.name}]"
    sheets = [
        Proposal(
            words=f"make {spec.name} of thicker sheet",
            steps=(Change(path=f"{path}.thickness", to=t, rounding="exact"),),
        )
        for t in thicker[:TRIED_GAUGES]
    ]
    for _, t, metal in others[:TRIED_SHEETS]:
        steps = [Change(path=f"{path}.material", word=metal)]
        if abs(t - spec.thickness_mm) > 1e-6:
            steps.append(Change(path=f"{path}.thickness", to=t, rounding="exact"))
        sheets.append(Proposal(words=f"make {spec.name} of {t:g} mm {metal}", steps=tuple(steps)))
    return tuple(sheets)
