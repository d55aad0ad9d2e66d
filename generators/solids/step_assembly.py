"""Panels, parts, hoses and cylinders where they sit in the vehicle, as one STEP assembly.

ISO 10303-214, mm. One product a body, named and coloured, in the vehicle frame, and one for the whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.gp import gp_Trsf
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from generators.errors import ExportError
from generators.geometry.frames import Matrix
from generators.model.plan import PanelLayout, PartPlan
from generators.solids.assembly import Colour, Rod, assembly_bodies
from generators.solids.kernel import Shape
from generators.solids.step import paint, save
from generators.solids.tubes import tube_shape

ROOT = "assembly"


def _placed(shape: Shape, matrix: Matrix) -> Shape:
    """A copy of the shape moved to the vehicle: the kernel forgets names of bodies it moves itself."""
    move = gp_Trsf()
    move.SetValues(*(float(matrix[row, column]) for row in range(3) for column in range(4)))
    return BRepBuilderAPI_Transform(shape, move, True).Shape()


def _srgb(rgba: Colour) -> tuple[float, float, float]:
    return rgba[0] / 255, rgba[1] / 255, rgba[2] / 255


def write_step_assembly(
    path: Path,
    panels: Sequence[tuple[PanelLayout, Matrix]],
    parts: Sequence[tuple[PartPlan, Matrix]],
    rods: Sequence[Rod],
    *,
    revision: str,
    job: str,
) -> tuple[str, ...]:
    """Write the assembly and return the names of its bodies: panels, parts, hoses and cylinders.

    Hoses and cylinders are solid rods of their outside diameter. Raises ``ExportError`` when there is
    nothing to show or the file cannot be written, ``GeometryFault`` for an impossible solid.
    """
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    whole = shapes.NewShape()
    TDataStd_Name.Set_s(whole, TCollection_ExtendedString(ROOT))
    names: list[str] = []

    def add(name: str, shape: Shape, rgba: Colour) -> None:
        if name in names:
            raise ExportError(f"two bodies of an assembly are called {name!r}")
        names.append(name)
        label = shapes.AddShape(shape, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
        paint(document, label, _srgb(rgba))
        TDataStd_Name.Set_s(
            shapes.AddComponent(whole, label, TopLoc_Location()), TCollection_ExtendedString(name)
        )

    for name, shape, matrix, rgba in assembly_bodies(panels, parts):
        add(name, _placed(shape, matrix), rgba)
    for rod in rods:
        add(rod.path.name, tube_shape(rod.path), rod.rgba)
    if not names:
        raise ExportError("an assembly needs at least one body")
    shapes.UpdateAssemblies()
    save(
        document,
        path,
        products=len(names) + 1,
        described=f"{len(names)} bodies in the vehicle frame: x rearward, y right, z up",
        revision=revision,
        job=job,
    )
    return tuple(names)
