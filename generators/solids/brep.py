"""The folded part as a BREP text: how its exact geometry gets to the solver's own copy of the kernel."""

from __future__ import annotations

from io import BytesIO

from OCP.BRepTools import BRepTools

from generators.model.plan import PartPlan
from generators.solids.shapes import folded_shape


def brep_text(plan: PartPlan) -> str:
    """The folded part in the root flange's frame, mm. Raises ``GeometryFault`` when it makes no solid."""
    stream = BytesIO()
    BRepTools.Write_s(folded_shape(plan), stream)
    return stream.getvalue().decode("ascii")
