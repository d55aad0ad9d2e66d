"""A folded channel that carries a hanging pedal.

The web lies on the panel around the master cylinder, two cheeks carry the pivot, and a tab at the
top takes a brace so that the panel does not have to hold the pedal's leverage alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.parts.building.channel import HangingChannel, folded_channel, master_pattern, mount_pattern
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalHanger(HangingChannel):
    """Parameters. The origin is the master cylinder's centre."""


def pedal_hanger(spec: PartSpec[PedalHanger], bend: BendRule) -> PartPlan:
    """Plan of a pedal hanger. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    web_holes = master_pattern(p, "master", 0.0, "master cylinder") + mount_pattern(p)
    return folded_channel(spec, bend, "Pedal hanger", web_holes)


KIND = Kind(
    name="pedal_hanger",
    summary="folded channel for a hanging pedal: master flange, pivot bores, mounting bolts, brace tab",
    origin="the centre of the master cylinder",
    parameters=PedalHanger,
    plan=pedal_hanger,
)
