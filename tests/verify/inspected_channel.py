"""A channel to inspect, with figures easy to work out, and what is read of its sheet."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
sys.path.insert(0, str(Path(__file__).parents[1]))
from bent_parts import channel
from drawing.part_cases import JOB, REVISION

from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.model.plan import Fitting, Hole, PartPlan
from generators.units import UnitSystem
from generators.verify.pdf.inspection import read_inspection_sheet

BOLT = Fitting(kind="bolt", label="M8 bolt")


def hole(name: str, u: float, v: float, diameter: float = 9.0) -> Hole:
    return Hole(name=name, u_mm=u, v_mm=v, diameter_mm=diameter, purpose="M8 bolt", fitting=BOLT)


def bored() -> PartPlan:
    """A channel, 80 and 40 flat between tangent lines, 3 thick, R 3, a 3-4-5 triangle of holes on its web."""
    plain = channel(80.0, 40.0)
    root = plain.flanges[0]
    (u0, v0), (u1, v1) = (
        (min(v.u for v in root.contour.vertices), min(v.v for v in root.contour.vertices)),
        (max(v.u for v in root.contour.vertices), max(v.v for v in root.contour.vertices)),
    )
    u, v = (u0 + u1) / 2 - 10.0, (v0 + v1) / 2 - 10.0
    web = replace(root, holes=(hole("a", u, v), hole("b", u + 30.0, v), hole("c", u, v + 40.0)))
    return replace(plain, flanges=(web, *plain.flanges[1:]), name="bored", title="Channel, invented")


def by_key(plan: PartPlan) -> dict[str, Item]:
    return {item.key: item for item in inspected(plan)}


def problems(path: Path, plan: PartPlan, units: UnitSystem = "metric") -> tuple[str, ...]:
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION, units=units)
    return read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x", units=units).problems
