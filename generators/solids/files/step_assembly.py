"""Panels, parts, hoses and cylinders where they sit in the vehicle, as one STEP assembly.

ISO 10303-214, mm. One product a body, named and coloured, in the vehicle frame, and one for the whole.
"""

from __future__ import annotations

import re
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
from generators.solids.files.assembly import Colour, Rod, assembly_bodies
from generators.solids.files.step import save
from generators.solids.kernel import Shape
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
    colours: list[tuple[float, float, float]] = []

    def add(name: str, shape: Shape, rgba: Colour) -> None:
        if name in names:
            raise ExportError(f"two bodies of an assembly are called {name!r}")
        names.append(name)
        label = shapes.AddShape(shape, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
        colours.append(_srgb(rgba))
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
        name=ROOT,
        products=len(names) + 1,
        described=f"{len(names)} bodies in the vehicle frame: x rearward, y right, z up",
        revision=revision,
        job=job,
    )
    path.write_bytes(_coloured(path.read_bytes(), colours))
    return tuple(names)


_BREP = re.compile(
    rb"ADVANCED_BREP_SHAPE_REPRESENTATION\s*\(\s*'[^']*'\s*,\s*\(([#0-9,\s]*)\)\s*,\s*(#[0-9]+)\s*\)"
)
_SOLID = re.compile(rb"(#[0-9]+) = MANIFOLD_SOLID_BREP\(")


def _coloured(data: bytes, colours: Sequence[tuple[float, float, float]]) -> bytes:
    """The file with a style for each body in its order: the kernel writes its own in the order of memory.

    Raises ``ExportError`` when there are not as many bodies as colours.
    """
    solids = set(_SOLID.findall(data))
    bodies = [
        (item.strip(), context)
        for items, context in _BREP.findall(data)
        for item in items.split(b",")
        if item.strip() in solids
    ]
    if len(bodies) != len(colours):
        raise ExportError(f"the kernel wrote {len(bodies)} bodies instead of {len(colours)}")
    last = max(int(number) for number in re.findall(rb"(?m)^#([0-9]+) = ", data))
    lines: list[str] = []
    for (solid, context), (r, g, b) in zip(bodies, colours, strict=True):
        n, body, where = last, solid.decode(), context.decode()
        last += 8
        lines += [
            f"#{n + 1} = COLOUR_RGB('',{r:.6f},{g:.6f},{b:.6f});",
            f"#{n + 2} = FILL_AREA_STYLE_COLOUR('',#{n + 1});",
            f"#{n + 3} = FILL_AREA_STYLE('',(#{n + 2}));",
            f"#{n + 4} = SURFACE_STYLE_FILL_AREA(#{n + 3});",
            f"#{n + 5} = SURFACE_SIDE_STYLE('',(#{n + 4}));",
            f"#{n + 6} = SURFACE_STYLE_USAGE(.BOTH.,#{n + 5});",
            f"#{n + 7} = PRESENTATION_STYLE_ASSIGNMENT((#{n + 6}));",
            f"#{n + 8} = STYLED_ITEM('color',(#{n + 7}),{body});",
            f"#{n + 9} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{n + 8}),{where});",
        ]
        last += 1
    head, end, tail = data.rpartition(b"ENDSEC;")
    return head + "\n".join(lines).encode("ascii") + b"\n" + end + tail
