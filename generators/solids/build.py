"""The plan's solids as cadquery objects, for whoever goes on working with them."""

from __future__ import annotations

import cadquery as cq

from generators.model.plan import PanelLayout, PartPlan
from generators.solids import kernel
from generators.solids.shapes import flat_shape, folded_shape, panel_shape


def folded_solid(plan: PartPlan) -> cq.Solid:
    """The folded part in the root flange's frame, mm: one valid solid of the plan's volume.

    A fresh copy: meshing or tagging it changes no file. Raises ``GeometryFault``.
    """
    return cq.Solid(kernel.solids_of(kernel.copied(folded_shape(plan)))[0])


def flat_solid(plan: PartPlan) -> cq.Solid:
    """The blank with its thickness, in the root flange's frame, mm. Raises ``GeometryFault``."""
    return cq.Solid(flat_shape(plan))


def panel_solid(layout: PanelLayout) -> cq.Solid:
    """The panel in its own frame, mm: w = 0 is the cab face. Raises ``GeometryFault``."""
    return cq.Solid(panel_shape(layout))
