"""A folded hanger that carries pedal and master on what the vehicle has: a beam, a dash rail, a support.

Only the fluid line crosses the panel: the web between the cheeks carries the master, in line with its rod,
and the ears take the vehicle's own bolts, under a beam at the top, against a rail at the rear, or both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from generators.figures import height_words
from generators.model.plan import PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.spec.titles import within
from generators.parts.building.carrier import carrier
from generators.parts.building.carrier_sizes import Carrier, RearEars, Sizes
from generators.parts.building.openings import plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule

TITLE = "Carried pedal hanger"


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedHanger(Carrier):
    """Parameters. The origin is in the plane of the ears that lie on the panel, in the middle between the
    cheeks: over the web's front face with ears at the top, else at the height of the masters' axis."""

    mounting: Literal["top", "rear", "both"] = key.choice(
        "Ears: at the top under a beam, at the rear against a rail, or both; of both, the top ones lie on "
        "the panel",
        ("top", "rear", "both"),
        default="top",
    )
    top_up_mm: float = key.length(
        "Plane of the top ears above the masters' axis", lo=30.0, hi=400.0, default=108.0
    )
    rear_out_mm: float = key.length(
        "Plane of the rear ears from the web's front face", lo=40.0, hi=400.0, default=110.0
    )
    rear_up_mm: float = key.length(
        "Middle of the rear ears above the masters' axis", lo=-300.0, hi=300.0, default=45.0
    )
    rear_height_mm: float = key.length("Length of the rear ears", lo=20.0, hi=400.0, default=80.0)
    rear_count: int = key.integer(
        "Bolts in each rear ear; 0 where [[part.pattern]] gives them", lo=0, hi=6, default=2
    )
    mount_first_mm: float = key.length(
        "First bolts from the web's front face", lo=10.0, hi=380.0, default=38.0
    )
    mount_pitch_mm: float = key.length("Between the bolts of an ear", lo=10.0, hi=300.0, default=32.0)
    rear_pitch_mm: float = key.length("Between the bolts of a rear ear", lo=10.0, hi=300.0, default=40.0)


def _rear(p: CarriedHanger) -> RearEars:
    half, middle = p.rear_height_mm / 2, (p.rear_count - 1) / 2
    return RearEars(
        out=p.rear_out_mm,
        low=p.rear_up_mm - half,
        high=p.rear_up_mm + half,
        bolts=tuple(
            (p.bolts_mm / 2, p.rear_up_mm + (i - middle) * p.rear_pitch_mm) for i in range(p.rear_count)
        ),
        alone=p.mounting == "rear",
    )


def carried_hanger(spec: PartSpec[CarriedHanger], bend: BendRule) -> PartPlan:
    """Plan of a carried hanger. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    sizes = Sizes(
        p=p,
        t=spec.thickness_mm,
        rule=bend,
        near=1.0,
        plane=p.top_up_mm,
        words=within(spec.title or TITLE),
        rear=None if p.mounting == "top" else _rear(p),
    )
    # across is to the driver's left here
    folded = carrier(sizes, sides=("right", "left"), ear="top")
    masters = "master" if p.masters == 1 else "masters"
    notes = (
        f"Pivot axis {p.pivot_out_mm:g} mm from the web's outer face, "
        f"{height_words(p.pivot_up_mm, f'the axis of the {masters}')} as fitted.",
    )
    plan = plan_of(spec, TITLE, folded.flanges, folded.bends, notes)
    return replace(plan, pedal=folded.pedal)


KIND = Kind(
    name="carried_hanger",
    summary="folded channel that carries pedal and master on the vehicle's own bolts: beam, rail or support",
    origin=(
        "the middle between the cheeks in the plane of the ears, over the web's front face; with ears at the "
        "rear alone at the height of the masters' axis"
    ),
    parameters=CarriedHanger,
    plan=carried_hanger,
)
