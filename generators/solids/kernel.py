"""Small words for the CAD kernel (OCP): edges, wires, faces, prisms, measures.

Nothing here knows a plan. Points are arrays of shape (3,), lengths mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeAlias

from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_Copy,
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.Message import Message
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix

SMALL_MM = 1e-7
"""A length the kernel cannot tell from none."""

Shape: TypeAlias = Any
"""A kernel shape. The kernel has no types a checker could use."""


@contextmanager
def quiet() -> Iterator[None]:
    """Keep the kernel's own chatter off the terminal while inside."""
    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)


def point(p: Matrix) -> Shape:
    """A kernel point."""
    return gp_Pnt(float(p[0]), float(p[1]), float(p[2]))


def direction(d: Matrix) -> Shape:
    """A kernel direction."""
    return gp_Dir(float(d[0]), float(d[1]), float(d[2]))


def vertex(p: Matrix) -> Shape:
    """A kernel vertex, to be shared by the edges that meet there."""
    return BRepBuilderAPI_MakeVertex(point(p)).Vertex()


def line_edge(a: Shape, b: Shape) -> Shape:
    """A straight edge between two vertices."""
    return _built(BRepBuilderAPI_MakeEdge(a, b), "a straight edge").Edge()


def _circle(centre: Matrix, normal: Matrix, start: Matrix, radius: float) -> Shape:
    return gp_Circ(gp_Ax2(point(centre), direction(normal), direction(start)), radius)


def arc_edge(a: Shape, b: Shape, centre: Matrix, normal: Matrix, start: Matrix, radius: float) -> Shape:
    """A circular edge from ``a`` to ``b``, turning left about ``normal``; ``start`` points at ``a``."""
    return _built(BRepBuilderAPI_MakeEdge(_circle(centre, normal, start, radius), a, b), "an arc").Edge()


def circle_edge(centre: Matrix, normal: Matrix, start: Matrix, radius: float) -> Shape:
    """A whole circle as one edge."""
    return _built(BRepBuilderAPI_MakeEdge(_circle(centre, normal, start, radius)), "a circle").Edge()


def wire(edges: Sequence[Shape]) -> Shape:
    """A closed wire of edges in order, each starting at the vertex where the last one ends."""
    maker = BRepBuilderAPI_MakeWire()
    for edge in edges:
        maker.Add(edge)
    return _built(maker, "an outline").Wire()


def face(origin: Matrix, normal: Matrix, along: Matrix, outer: Shape, inner: Sequence[Shape] = ()) -> Shape:
    """A plane face. All wires turn left about ``normal``; the inner ones are reversed here."""
    plane = gp_Pln(gp_Ax3(point(origin), direction(normal), direction(along)))
    maker = BRepBuilderAPI_MakeFace(plane, outer, True)
    for hole in inner:
        maker.Add(TopoDS.Wire_s(hole.Reversed()))
    return _built(maker, "a face").Face()


def edge(shape: Shape) -> Shape:
    """The shape as an edge, in its own sense."""
    return TopoDS.Edge_s(shape)


def prism(profile: Shape, along: Matrix, length: float) -> Shape:
    """A face pushed along a unit vector."""
    step = gp_Vec(*(float(c) * length for c in along))
    return _built(BRepPrimAPI_MakePrism(profile, step), "a prism").Shape()


def turned(profile: Shape, base: Matrix, axis: Matrix) -> Shape:
    """A face turned once about the axis through ``base``."""
    maker = BRepPrimAPI_MakeRevol(profile, gp_Ax1(point(base), direction(axis)))
    return _built(maker, "a turned body").Shape()


def _built(maker: Shape, what: str) -> Shape:
    if not maker.IsDone():
        raise GeometryFault(f"the kernel cannot make {what} of these points")
    return maker


def copied(shape: Shape) -> Shape:
    """The shape without any mesh it carries, and sharing nothing with it."""
    return BRepBuilderAPI_Copy(shape, True, False).Shape()


def _explored(shape: Shape, kind: Shape) -> Iterator[Shape]:
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def solids_of(shape: Shape) -> list[Shape]:
    """Every solid in a shape."""
    return [TopoDS.Solid_s(s) for s in _explored(shape, TopAbs_SOLID)]


def faces_of(shape: Shape) -> list[Shape]:
    """Every face in a shape."""
    return [TopoDS.Face_s(s) for s in _explored(shape, TopAbs_FACE)]


def edges_of(shape: Shape) -> list[Shape]:
    """Every edge in a shape, once for each face it bounds."""
    return [TopoDS.Edge_s(s) for s in _explored(shape, TopAbs_EDGE)]


def is_valid(shape: Shape) -> bool:
    """True when the kernel's own checker finds nothing wrong."""
    return bool(BRepCheck_Analyzer(shape).IsValid())


def volume(shape: Shape) -> float:
    """Signed volume, mm³."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    return float(props.Mass())


def area(shape: Shape) -> float:
    """Surface area, mm²."""
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, props)
    return float(props.Mass())
