"""Bodies of a job as the solid modeller makes them from the plans: exact arcs, no chords."""

from __future__ import annotations

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeSphere
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.TopAbs import TopAbs_State
from OCP.TopoDS import TopoDS_Compound

from generators.geometry.frames import panel_frame
from generators.layout.mounting import part_matrix
from generators.model.spec.fittings import Body3
from generators.sheetmetal.folding import folded_frames
from generators.solids import kernel
from generators.solids.shapes import bend_solid, flange_solid, panel_shape
from generators.solids.tubes import tube_shape
from generators.solve.bodies.components import component_body
from generators.solve.job import Prepared
from generators.space.body import Body
from generators.space.pieces import Box, Hull, Rod


def solids(job: Prepared) -> dict[str, object]:
    """Kernel shapes in the vehicle by the names of their bodies; only what plans and spec give exactly."""
    panels = {p.name: p for p in job.file.job.panel}
    out: dict[str, object] = {}
    for layout in job.layouts:
        panel = panels[layout.panel]
        out[f"panel:{panel.name}"] = _moved(panel_shape(layout), panel_frame(panel.origin, panel.tilt_rad))
    for part in job.parts:
        if part.mount is None:
            continue
        plan = part.plan
        pose = part_matrix(panels[part.mount.panel], part.mount, part.lift_mm)
        frames = folded_frames(plan)
        bends = {b.child: b for b in plan.bends}
        for index, flange in enumerate(plan.flanges):
            shapes = [flange_solid(flange, plan.thickness_mm, frames[flange.name])]
            name = f"part:{plan.name}"
            if index:
                bend = bends[flange.name]
                shapes.append(bend_solid(bend, plan.thickness_mm, frames[bend.parent]))
                name += f".{flange.name}"
            out[name] = _moved(_together(shapes), pose)
    for component in job.file.job.component:
        body = component_body(component, job.lines.sheets)
        if body is not None:
            out[f"component:{component.name}"] = _rod(body.start, body.end, body.radius_mm)
    for thing in job.file.job.obstacle:
        out[f"obstacle:{thing.name}"] = _thing(thing)
    for hose in job.lines.hoses:
        if hose.path is not None:
            out[f"hose:{hose.path.name}"] = tube_shape(hose.path)
    return out


def distance(one: object, two: object) -> float:
    """The least distance of two kernel shapes, mm."""
    found = BRepExtrema_DistShapeShape(one, two)
    assert found.IsDone()
    return float(found.Value())


def holds(one: object, at: tuple[float, float, float]) -> bool:
    """True for a place inside a kernel shape."""
    for solid in kernel.solids_of(one):
        told = BRepClass3d_SolidClassifier(solid, gp_Pnt(*at), 1e-6)
        if told.State() == TopAbs_State.TopAbs_IN:
            return True
    return False


def shared_volume(one: object, two: object) -> float:
    """What two kernel shapes share, mm3, solid by solid."""
    total = 0.0
    for a in kernel.solids_of(one):
        for b in kernel.solids_of(two):
            common = BRepAlgoAPI_Common(a, b)
            common.Build()
            assert common.IsDone()
            total += kernel.volume(common.Shape())
    return total


def of_body(body: Body) -> object:
    """A body of flat-ended rods and boxes, or of prisms, piece by piece."""
    shapes = []
    for piece in body.pieces:
        match piece:
            case Rod():
                shapes.append(_rod(piece.start, piece.end, piece.radius_mm))
                if piece.round_ends:
                    shapes += [_ball(end, piece.radius_mm) for end in (piece.start, piece.end)]
            case Box():
                corner = gp_Pnt(*(-float(h) for h in piece.half_mm))
                plain = BRepPrimAPI_MakeBox(corner, *(2 * float(h) for h in piece.half_mm)).Shape()
                shapes.append(_moved(plain, piece.pose))
            case Hull():
                shapes.append(_prism(piece))
    return _together(shapes)


def _ball(at, radius: float):
    return BRepPrimAPI_MakeSphere(gp_Pnt(*map(float, at)), radius).Shape()


def _prism(piece: Hull):
    """A prism of bodies is made of two like ends; corner k of one is above corner k of the other."""
    count = len(piece.points) // 2
    first, way = piece.points[:count], piece.points[count] - piece.points[0]
    corners = [kernel.vertex(p) for p in first]
    edges = [kernel.line_edge(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    length = float(np.linalg.norm(way))
    face = kernel.face(first[0], way / length, first[1] - first[0], kernel.wire(edges))
    return kernel.prism(face, way / length, length)


def _moved(shape, pose):
    way = gp_Trsf()
    way.SetValues(*(float(x) for x in pose[:3].ravel()))
    return BRepBuilderAPI_Transform(shape, way, True).Shape()


def _together(shapes):
    whole = TopoDS_Compound()
    builder = BRep_Builder()
    builder.MakeCompound(whole)
    for shape in shapes:
        builder.Add(whole, shape)
    return whole


def _rod(start, end, radius: float):
    way = np.subtract(end, start)
    axes = gp_Ax2(gp_Pnt(*map(float, start)), gp_Dir(*map(float, way)))
    return BRepPrimAPI_MakeCylinder(axes, radius, float(np.linalg.norm(way))).Shape()


def _thing(thing: Body3):
    if thing.start is not None and thing.end is not None and thing.diameter_mm is not None:
        return _rod(thing.start, thing.end, thing.diameter_mm / 2)
    assert thing.corner is not None
    assert thing.size is not None
    return BRepPrimAPI_MakeBox(gp_Pnt(*thing.corner), *thing.size).Shape()
