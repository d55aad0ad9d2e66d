"""A folded box on the floor that carries a pedal hinged near it, and its master.

The web at the front carries the master, in line with the rod; two cheeks carry the pivot near the floor, and
bases bent outward from them are bolted to it. The pad stands above the pivot, and so does the rod's pin.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from generators.errors import GeometryFault
from generators.figures import height_words
from generators.model.plan import PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.spec.titles import within
from generators.parts.building.carrier import carrier
from generators.parts.building.carrier_sizes import Carrier, Sizes
from generators.parts.building.openings import plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule

TITLE = "Floor pedal box"


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalBox(Carrier):
    """Parameters. The origin is on the floor, in the middle between the cheeks, under the web's front."""

    web_above_mm: float = key.length("Web above the masters' axis", lo=15.0, hi=300.0, default=45.0)
    web_below_mm: float = key.length(
        "Web below it, at most down to the bases' bends", lo=15.0, hi=300.0, default=80.0
    )
    pivot_up_mm: float = key.length(
        "Pivot above the masters' axis; a pivot near the floor is below it",
        lo=-300.0,
        hi=300.0,
        default=-55.0,
    )
    axis_height_mm: float = key.length("The masters' axis above the floor", lo=30.0, hi=400.0, default=92.0)


def pedal_box(spec: PartSpec[PedalBox], bend: BendRule) -> PartPlan:
    """Plan of a floor pedal box. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    if p.axis_height_mm + p.pivot_up_mm <= 0:
        raise GeometryFault("the pivot is not above the floor", "pivot_up")
    sizes = Sizes(
        p=p,
        t=spec.thickness_mm,
        rule=bend,
        near=-1.0,
        plane=p.axis_height_mm,
        words=within(spec.title or TITLE),
    )
    folded = carrier(sizes, sides=("left", "right"), ear="base")
    notes = (
        f"Pivot axis {p.pivot_out_mm:g} mm from the web's outer face, "
        f"{height_words(p.axis_height_mm + p.pivot_up_mm, 'the floor')}.",
    )
    plan = plan_of(spec, TITLE, folded.flanges, folded.bends, notes)
    return replace(plan, pedal=folded.pedal)


KIND = Kind(
    name="pedal_box",
    summary="folded box on the floor for a pedal hinged near it: web with the master, cheeks, bolted bases",
    origin="the middle between the cheeks on the floor, under the web's front face",
    parameters=PedalBox,
    plan=pedal_box,
)
