"""All of a job where it sits in the vehicle, as one STEP assembly.

ISO 10303-214, mm. One product a body, named and coloured, in the vehicle frame, one for each group of
bodies, and one for the whole.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

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
from generators.solids.files.assembly import Colour, Rod, assembly_bodies, shown_rgba
from generators.solids.files.step import encoded, save
from generators.solids.kernel import Shape, solids_of
from generators.solids.lump_shapes import body_shape
from generators.solids.tubes import tube_shape
from generators.space.shown import Shown

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
    shown: Sequence[Shown] = (),
    *,
    revision: str,
    job: str,
) -> tuple[str, ...]:
    """Write the assembly and return the names of its bodies: panels, parts, hoses, then all else shown.

    Hoses are solid rods of their outside diameter. Bodies of a group stand in a product named as the group.
    Raises ``ExportError`` when there is nothing to show or the file cannot be written, ``GeometryFault`` for
    an impossible solid.
    """
    whole = _Whole()
    for name, shape, matrix, rgba in assembly_bodies(panels, parts):
        whole.add(name, _placed(shape, matrix), rgba)
    for rod in rods:
        whole.add(rod.path.name, tube_shape(rod.path), rod.rgba)
    for body in shown:
        whole.add(body.name, body_shape(body.pieces, body.name), shown_rgba(body), body.group)
    if not whole.names:
        raise ExportError("an assembly needs at least one body")
    whole.shapes.UpdateAssemblies()
    save(
        whole.document,
        path,
        name=ROOT,
        products=len(whole.names) + len(whole.groups),
        described=f"{len(whole.names)} bodies in the vehicle frame: x rearward, y right, z up",
        revision=revision,
        job=job,
    )
    path.write_bytes(_coloured(_spelled(path.read_bytes()), whole.colours))
    return tuple(whole.names)


class _Whole:
    """The document of an assembly: its products so far, and a colour for each solid in their order."""

    def __init__(self) -> None:
        self.document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        self.shapes = XCAFDoc_DocumentTool.ShapeTool_s(self.document.Main())
        self.names: list[str] = []
        self.colours: list[tuple[float, float, float]] = []
        self.groups: dict[str, Any] = {"": self.shapes.NewShape()}
        _name(self.groups[""], ROOT)

    def add(self, name: str, shape: Shape, rgba: Colour, group: str = "") -> None:
        """Put a body into the whole, or into a group of it. Raises ``ExportError`` for a name given twice."""
        if name in (*self.names, *self.groups):
            raise ExportError(f"two bodies of an assembly are called {name!r}")
        if group not in self.groups:
            self.groups[group] = self.shapes.NewShape()
            _name(self.groups[group], group)
            _name(self._into(self.groups[""], self.groups[group]), group)
        self.names.append(name)
        label = self.shapes.AddShape(shape, False)
        _name(label, name)
        self.colours += [_srgb(rgba)] * len(solids_of(shape))
        _name(self._into(self.groups[group], label), name)

    def _into(self, whole: Any, label: Any) -> Any:
        return self.shapes.AddComponent(whole, label, TopLoc_Location())


def _name(label: Any, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _spelled(data: bytes) -> bytes:
    """Letters past ASCII as ISO 10303-21 spells them: the kernel writes names as they are."""
    return re.sub(rb"[\x80-\xff]+", lambda raw: encoded(raw[0].decode())[1:-1].encode("ascii"), data)


_SHAPES = re.compile(
    rb"(= )(?:ADVANCED_BREP_)?"
    rb"(SHAPE_REPRESENTATION\s*\(\s*'[^']*'\s*,\s*\(([#0-9,\s]*)\)\s*,\s*(#[0-9]+)\s*\))"
)
_SOLID = re.compile(rb"(#[0-9]+) = MANIFOLD_SOLID_BREP\(")


def _coloured(data: bytes, colours: Sequence[tuple[float, float, float]]) -> bytes:
    """The file with a style for each solid in its order: the kernel writes its own in the order of memory.

    Raises ``ExportError`` when there are not as many solids as colours.
    """
    solids = set(_SOLID.findall(data))
    bodies: list[tuple[bytes, bytes]] = []

    def seen(found: re.Match[bytes]) -> bytes:
        inside = [item.strip() for item in found[3].split(b",") if item.strip() in solids]
        bodies.extend((item, found[4]) for item in inside)
        # the kernel does not say of several solids what it says of one
        return found[1] + (b"ADVANCED_BREP_" if inside else b"") + found[2]

    data = _SHAPES.sub(seen, data)
    if len(bodies) != len(colours):
        raise ExportError(f"the kernel wrote {len(bodies)} solids instead of {len(colours)}")
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
