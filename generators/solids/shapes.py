"""The one plan as exact kernel solids: folded, flat, and a panel with its openings.

Every flange is a face of exact lines and circles with its openings as inner wires, pushed through
the thickness; every bend is a ring sector pushed along its tangent line. They meet in whole faces,
so their union has only the faces of the real part. The result is compared with the closed-form
volume: flanges that run into each other once folded would lose volume.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopTools import TopTools_ListOfShape

from generators.errors import GeometryFault
from generators.geometry.contours import arc_of, area, segments, stadium
from generators.geometry.frames import Matrix, apply
from generators.model.contour import Contour
from generators.model.plan import Bend, Flange, Hole, PanelHole, PanelLayout, PartPlan, Peg, Slot
from generators.sheetmetal.folding import bend_length, flat_pattern, folded_frames
from generators.sheetmetal.volume import flat_area, folded_volume
from generators.solids import kernel
from generators.solids.kernel import Shape

VOLUME_RATIO = 1e-8
SHARP_MM = 1e-7
"""A length the kernel cannot tell from none: its own smallest distance."""
SMALLEST_MM = 1e-3
"""Between the two an inside radius or a slot's travel is nothing real, and its faces too thin to mesh."""
U, V, W = np.eye(3)


def outline_wire(contour: Contour, frame: Matrix) -> Shape:
    """The outline as a wire in space; a circle of two half turns becomes one whole edge."""
    vertices = contour.vertices
    whole = _whole_circle(contour)
    if whole is not None:
        return circle_wire(*whole, frame)
    corners = [kernel.vertex(p) for p in apply(frame, np.array([(p.u, p.v, 0.0) for p in vertices]))]
    turn = frame[:3, :3]
    edges: list[Shape] = []
    for i, (a, b) in enumerate(segments(contour)):
        start, end = corners[i], corners[(i + 1) % len(corners)]
        if a.bulge == 0:
            edges.append(kernel.line_edge(start, end))
            continue
        arc = arc_of(a, b)
        centre = apply(frame, np.array([(arc.cu, arc.cv, 0.0)]))[0]
        toward = turn @ np.array((math.cos(arc.start), math.sin(arc.start), 0.0))
        normal = turn @ (W if arc.sweep > 0 else -W)
        edges.append(kernel.arc_edge(start, end, centre, normal, toward, arc.radius))
    return kernel.wire(edges)


def circle_wire(cu: float, cv: float, radius: float, frame: Matrix) -> Shape:
    """A circle as a wire of one edge."""
    centre = apply(frame, np.array([(cu, cv, 0.0)]))[0]
    turn = frame[:3, :3]
    return kernel.wire([kernel.circle_edge(centre, turn @ W, turn @ U, radius)])


def _whole_circle(contour: Contour) -> tuple[float, float, float] | None:
    if len(contour.vertices) != 2 or any(p.bulge != 1.0 for p in contour.vertices):
        return None
    arc = arc_of(*contour.vertices)
    return arc.cu, arc.cv, arc.radius


def slot_wire(slot: Slot, frame: Matrix) -> Shape:
    """A round-ended slot as a wire of two lines and two half turns."""
    if slot.travel_mm <= SHARP_MM:
        return circle_wire(slot.u_mm, slot.v_mm, slot.width_mm / 2, frame)
    return outline_wire(stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad), frame)


def plate(
    contour: Contour, holes: Sequence[Hole], slots: Sequence[Slot], thickness_mm: float, frame: Matrix
) -> Shape:
    """A flat piece with its openings, from w = 0 to w = thickness in its frame."""
    inner = [circle_wire(h.u_mm, h.v_mm, h.diameter_mm / 2, frame) for h in holes]
    inner += [slot_wire(s, frame) for s in slots]
    turn = frame[:3, :3]
    profile = kernel.face(frame[:3, 3], turn @ W, turn @ U, outline_wire(contour, frame), inner)
    return kernel.prism(profile, turn @ W, thickness_mm)


def flange_solid(flange: Flange, thickness_mm: float, frame: Matrix) -> Shape:
    """One flange of a part where its frame puts it."""
    return plate(flange.contour, flange.holes, flange.slots, thickness_mm, frame)


def bend_solid(bend: Bend, thickness_mm: float, parent: Matrix) -> Shape:
    """The ring sector of a bend; ``parent`` is the frame of the flange it leaves."""
    length = bend_length(bend)
    e = np.array((bend.end[0] - bend.start[0], bend.end[1] - bend.start[1], 0.0)) / length
    out = np.cross(e, W)
    up = bend.direction == "up"
    # the sector turns left about `along` when it is begun at the end that `along` leaves
    along, toward = (-e, -W) if up else (e, W)
    begin = bend.end if up else bend.start
    radius = bend.inside_radius_mm
    axis_w = thickness_mm + radius if up else -radius
    turn = parent[:3, :3]
    centre = apply(parent, np.array([(begin[0], begin[1], axis_w)]))[0]
    first = turn @ toward
    last = turn @ (math.cos(bend.angle_rad) * toward + math.sin(bend.angle_rad) * out)
    axis = turn @ along
    outer = radius + thickness_mm
    a, b = kernel.vertex(centre + first * outer), kernel.vertex(centre + last * outer)
    edges = [kernel.arc_edge(a, b, centre, axis, first, outer)]
    if radius > SHARP_MM:
        c, d = kernel.vertex(centre + last * radius), kernel.vertex(centre + first * radius)
        edges += [
            kernel.line_edge(b, c),
            kernel.arc_edge(c, d, centre, -axis, last, radius),
            kernel.line_edge(d, a),
        ]
    else:
        apex = kernel.vertex(centre)
        edges += [kernel.line_edge(b, apex), kernel.line_edge(apex, a)]
    return kernel.prism(kernel.face(centre, axis, first, kernel.wire(edges)), axis, length)


def peg_solid(peg: Peg, frame: Matrix) -> Shape:
    """A peg below its flange: a cylinder with a cone at its tip, turned about its axis."""
    outside, tip = peg.diameter_mm / 2, peg.tip_mm / 2
    corners = [(0.0, 0.0), (outside, 0.0), (outside, -peg.straight_mm)]
    if peg.chamfer_mm > 0:
        corners.append((tip, -peg.height_mm))
    corners.append((0.0, -peg.height_mm))
    spots = np.array([(peg.u_mm + r, peg.v_mm, w) for r, w in corners])
    points = [kernel.vertex(p) for p in apply(frame, spots)]
    edges = [kernel.line_edge(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    turn = frame[:3, :3]
    base = apply(frame, np.array([(peg.u_mm, peg.v_mm, 0.0)]))[0]
    profile = kernel.face(base, turn @ V, turn @ U, kernel.wire(edges))
    return kernel.turned(profile, base, turn @ W)


def _turned_profile(hole: Hole, corners: Sequence[tuple[float, float]], frame: Matrix) -> Shape:
    """A profile of (radius, w) corners turned about the hole's axis."""
    spots = np.array([(hole.u_mm + r, hole.v_mm, w) for r, w in corners])
    points = [kernel.vertex(p) for p in apply(frame, spots)]
    edges = [kernel.line_edge(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    turn = frame[:3, :3]
    base = apply(frame, np.array([(hole.u_mm, hole.v_mm, 0.0)]))[0]
    return kernel.turned(kernel.face(base, turn @ V, turn @ U, kernel.wire(edges)), base, turn @ W)


def ring_solids(flange: Flange, thickness_mm: float, frame: Matrix) -> list[Shape]:
    """The rings round holes of a flange, on the faces they stand on."""
    out = []
    for hole in flange.holes:
        if hole.finish is None or hole.finish.ring is None:
            continue
        ring, inside = hole.finish.ring, hole.diameter_mm / 2
        outside = ring.outside_mm / 2
        near, far = (
            (thickness_mm, thickness_mm + ring.height_mm)
            if hole.finish.side == "upper"
            else (-ring.height_mm, 0.0)
        )
        out.append(
            _turned_profile(hole, [(inside, near), (outside, near), (outside, far), (inside, far)], frame)
        )
    return out


def sink_solids(flange: Flange, thickness_mm: float, frame: Matrix) -> list[Shape]:
    """What is cut out of a flange for heads: each a cone from its face down to its hole's width."""
    out = []
    for hole in flange.holes:
        if hole.finish is None or hole.finish.sink is None:
            continue
        sink = hole.finish.sink
        deep = sink.depth_mm(hole.diameter_mm)
        face, end = (thickness_mm, thickness_mm - deep) if hole.finish.side == "upper" else (0.0, deep)
        wide, narrow = sink.head_mm / 2, hole.diameter_mm / 2
        out.append(_turned_profile(hole, [(0.0, face), (wide, face), (narrow, end), (0.0, end)], frame))
    return out


def _without(shape: Shape, cuts: Sequence[Shape]) -> Shape:
    """A solid less what is cut out of it."""
    if not cuts:
        return shape
    body, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    body.Append(shape)
    for piece in cuts:
        tools.Append(piece)
    cut = BRepAlgoAPI_Cut()
    cut.SetArguments(body)
    cut.SetTools(tools)
    with kernel.quiet():
        cut.Build()
    if not cut.IsDone():
        raise GeometryFault("the kernel cannot cut the countersinks of this part")
    return cut.Shape()


def _united(pieces: Sequence[Shape]) -> Shape:
    if len(pieces) == 1:
        return pieces[0]
    first, rest = TopTools_ListOfShape(), TopTools_ListOfShape()
    first.Append(pieces[0])
    for piece in pieces[1:]:
        rest.Append(piece)
    # No gluing: it is told that pieces only touch, so it would not see flanges that overlap.
    fuse = BRepAlgoAPI_Fuse()
    fuse.SetArguments(first)
    fuse.SetTools(rest)
    fuse.SetRunParallel(False)
    with kernel.quiet():
        fuse.Build()
        if not fuse.IsDone():
            raise GeometryFault("the kernel cannot unite the flanges and bends of this part")
        unify = ShapeUpgrade_UnifySameDomain(fuse.Shape(), True, True, False)
        unify.Build()
    return unify.Shape()


def _one_solid(shape: Shape, expected_mm3: float, what: str) -> Shape:
    found = kernel.solids_of(shape)
    if len(found) != 1:
        raise GeometryFault(f"{what} comes out as {len(found)} solids instead of one")
    solid = found[0]
    if not kernel.is_valid(solid):
        raise GeometryFault(f"{what} is not a valid solid; an opening may cross an edge")
    volume = kernel.volume(solid)
    if not math.isclose(volume, expected_mm3, rel_tol=VOLUME_RATIO):
        raise GeometryFault(
            f"{what} fills {volume:.3f} mm3 instead of {expected_mm3:.3f}; its pieces run into each other"
        )
    return solid


def _require_real(plan: PartPlan) -> None:
    small = [(f"inside radius of bend {b.name!r}", b.inside_radius_mm, "inside_radius") for b in plan.bends]
    small += [(f"travel of slot {s.name!r}", s.travel_mm, "") for f in plan.flanges for s in f.slots]
    for what, length, parameter in small:
        if SHARP_MM < length < SMALLEST_MM:
            raise GeometryFault(
                f"the {what} is {length:g} mm; make it 0 or at least {SMALLEST_MM:g} mm", parameter
            )


@lru_cache(maxsize=16)
def folded_shape(plan: PartPlan) -> Shape:
    """The folded part in the root flange's frame, mm: one valid kernel solid without a mesh.

    The same object is returned for the same plan; mesh a copy (``kernel.copied``).
    Raises ``GeometryFault`` when the pieces do not make one valid solid of the plan's volume.
    """
    # also refuses a bend that is not as long as the edges it joins, which would still make a solid
    flat_pattern(plan)
    _require_real(plan)
    frames = folded_frames(plan)
    t = plan.thickness_mm
    pieces = [flange_solid(f, t, frames[f.name]) for f in plan.flanges]
    pieces += [bend_solid(b, t, frames[b.parent]) for b in plan.bends]
    pieces += [peg_solid(p, frames[f.name]) for f in plan.flanges for p in f.pegs]
    pieces += [ring for f in plan.flanges for ring in ring_solids(f, t, frames[f.name])]
    cuts = [sink for f in plan.flanges for sink in sink_solids(f, t, frames[f.name])]
    return _one_solid(_without(_united(pieces), cuts), folded_volume(plan), f"part {plan.name!r}")


def flat_shape(plan: PartPlan) -> Shape:
    """The blank pushed through its thickness, in the root flange's frame. Raises ``GeometryFault``."""
    flat = flat_pattern(plan)
    blank = plate(flat.contour, flat.holes, flat.slots, plan.thickness_mm, np.eye(4))
    return _one_solid(blank, flat_area(plan) * plan.thickness_mm, f"the blank of part {plan.name!r}")


def panel_shape(layout: PanelLayout) -> Shape:
    """The panel as it ends up, in its own frame: w = 0 is the cab face, the sheet lies below it.

    Openings of status ``blank`` are closed and a stud is welded on: neither is cut. Raises
    ``GeometryFault`` when what remains is not one valid solid.
    """
    t = layout.thickness_mm
    frame = np.eye(4)
    frame[2, 3] = -t
    holes = [h for h in layout.holes if h.status not in ("blank", "weld")]
    net = area(layout.contour) - sum(
        math.pi * h.final_dia_mm**2 / 4 + h.final_dia_mm * h.travel_mm for h in holes
    )
    what = f"panel {layout.panel!r}"
    sheet = kernel.face(frame[:3, 3], W, U, outline_wire(layout.contour, frame), _bores(holes, frame))
    try:
        return _one_solid(kernel.prism(sheet, W, t), net * t, what)
    except GeometryFault:
        # openings that meet, or run over the edge, are for the checks to judge: cut them as they are
        return _cut_panel(layout, holes, frame, what)


def _bores(holes: Sequence[PanelHole], frame: Matrix) -> list[Shape]:
    return [
        outline_wire(stadium(h.u_mm, h.v_mm, h.final_dia_mm, h.travel_mm, h.angle_rad), frame)
        if h.travel_mm
        else circle_wire(h.u_mm, h.v_mm, h.final_dia_mm / 2, frame)
        for h in holes
    ]


def _cut_panel(layout: PanelLayout, holes: Sequence[PanelHole], frame: Matrix, what: str) -> Shape:
    t = layout.thickness_mm
    origin = frame[:3, 3]
    sheet, drills = TopTools_ListOfShape(), TopTools_ListOfShape()
    sheet.Append(kernel.prism(kernel.face(origin, W, U, outline_wire(layout.contour, frame)), W, t))
    for bore in _bores(holes, frame):
        drills.Append(kernel.prism(kernel.face(origin, W, U, bore), W, t))
    cut = BRepAlgoAPI_Cut()
    cut.SetArguments(sheet)
    cut.SetTools(drills)
    with kernel.quiet():
        cut.Build()
    if not cut.IsDone():
        raise GeometryFault(f"the kernel cannot cut the openings of {what}")
    return _one_solid(cut.Shape(), kernel.volume(cut.Shape()), what)
