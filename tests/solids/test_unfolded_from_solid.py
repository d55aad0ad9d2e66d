"""Every kind's holes and flats measured on the solid, unfolded by its bends alone, against the plan."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from drawing.part_cases import cases, make
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_Cylinder, GeomAbs_Plane
from shapely.geometry import Point, Polygon

from generators.geometry.contours import bounds, polyline
from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.parts import KINDS
from generators.sheetmetal.folding import bend_allowance, bend_length, flat_pattern, folded_frames
from generators.sheetmetal.unfolding import flange_to_blank
from generators.sheetmetal.volume import flange_area
from generators.solids import kernel
from generators.solids.files.step import write_step
from generators.solids.shapes import folded_shape
from generators.verify.step.solid import _cylinder_of, _transferred

SHEET = [f.name for f in KINDS if not make(f.name).printed]
MORE = {"tree": cases()["tree"], "shelf_120": cases()["shelf_120"], "standoff_45": cases()["standoff_45"]}
WHOLE = 1e-6


def bare(plan: PartPlan) -> PartPlan:
    """The plan without openings: what is left are outlines and bends."""
    return dataclasses.replace(
        plan, flanges=tuple(dataclasses.replace(f, holes=(), slots=()) for f in plan.flanges)
    )


def bores(shape) -> list[tuple[np.ndarray, np.ndarray, float, float]]:
    """Axis point, axis direction, diameter and area of every whole round hole of a solid."""
    swept: dict[tuple, list] = {}
    for face in kernel.faces_of(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_Cylinder:
            continue
        round_face = _cylinder_of(face)
        if round_face is None or not round_face.hollow:
            continue  # the rim of a round plate
        cylinder = surface.Cylinder()
        axis = cylinder.Axis()
        at = np.array([axis.Location().X(), axis.Location().Y(), axis.Location().Z()])
        along = np.array([axis.Direction().X(), axis.Direction().Y(), axis.Direction().Z()])
        # two halves of one hole have one axis: the point of it nearest to the origin tells them apart
        foot = at - along * (at @ along)
        sign = 1.0 if along[np.argmax(np.abs(along))] > 0 else -1.0
        key = (*np.round(foot, 5), *np.round(sign * along, 5), round(cylinder.Radius(), 6))
        swept.setdefault(key, []).append((at, along, 2 * cylinder.Radius(), kernel.area(face)))
    out = []
    for found in swept.values():
        at, along, diameter, _ = found[0]
        out.append((at, along, diameter, sum(f[3] for f in found)))
    return out


def unfolded(plan: PartPlan, shape) -> list[tuple[float, float, float]]:
    """Holes of the solid on the blank: u, v, diameter. Which flange one is in, its axis tells."""
    frames, t = folded_frames(plan), plan.thickness_mm
    found = []
    for at, along, diameter, area in bores(shape):
        for flange in plan.flanges:
            into = np.asarray(np.linalg.inv(frames[flange.name]), dtype=np.float64)
            if abs(abs((into[:3, :3] @ along)[2]) - 1) > 1e-9:
                continue
            start, step = apply(into, at[None])[0], into[:3, :3] @ along
            u, v = (start - step * (start[2] / step[2]))[:2]
            # whole round through this sheet and inside its outline; rounded corners and bends are not
            inside = Polygon(polyline(flange.contour, 1e-4)).contains(Point(u, v))
            if (
                not inside
                or abs(area / (math.pi * diameter * t) - round(area / (math.pi * diameter * t))) > 1e-6
            ):
                continue
            space = apply(frames[flange.name], np.array([[u, v, 0.0]]))
            if not _rim_in(shape, space[0], diameter / 2):
                continue
            blank = flange_to_blank(bare(plan), flange.name, space)[0]
            found.append((float(blank[0]), float(blank[1]), diameter))
    return found


def _rim_in(shape, centre: np.ndarray, radius: float) -> bool:
    """True when a circle of the solid has this centre and radius."""
    for edge in kernel.edges_of(shape):
        curve = BRepAdaptor_Curve(edge)
        if curve.GetType().name != "GeomAbs_Circle":
            continue
        circle = curve.Circle()
        at = circle.Location()
        if abs(circle.Radius() - radius) < 1e-6 and math.dist((at.X(), at.Y(), at.Z()), centre) < 1e-6:
            return True
    return False


def plans() -> dict[str, PartPlan]:
    return {**{name: make(name) for name in SHEET}, **MORE}


@pytest.mark.parametrize("name", [*SHEET, *MORE])
def test_holes_and_flats_of_the_solid_are_the_plan_s(name: str) -> None:
    plan = plans()[name]
    shape = folded_shape(plan)
    flat = flat_pattern(plan)
    found = unfolded(plan, shape)
    assert len(found) == len(flat.holes)
    for hole in flat.holes:
        near = min(found, key=lambda f: math.dist(f[:2], (hole.u_mm, hole.v_mm)))
        assert math.dist(near[:2], (hole.u_mm, hole.v_mm)) < WHOLE, hole.name
        assert near[2] == pytest.approx(hole.diameter_mm, abs=WHOLE)
    _check_flats(plan, shape)
    _check_bends(plan, shape)


def _check_flats(plan: PartPlan, shape) -> None:
    """Both faces of each flange: as long, as wide and as large as the plan's flange."""
    frames, t = folded_frames(plan), plan.thickness_mm
    faces = [f for f in kernel.faces_of(shape) if BRepAdaptor_Surface(f).GetType() == GeomAbs_Plane]
    for flange in plan.flanges:
        into = np.asarray(np.linalg.inv(frames[flange.name]), dtype=np.float64)
        u0, v0, u1, v1 = bounds(flange.contour)
        for w in (0.0, t):
            matches = []
            for face in faces:
                box = _box_in(face, into)
                if abs(box[0][2] - w) < WHOLE and abs(box[1][2] - w) < WHOLE:
                    off = np.abs(np.array([*box[0][:2], *box[1][:2]]) - (u0, v0, u1, v1)).max()
                    matches.append((off, abs(kernel.area(face) - flange_area(flange))))
            best = min(matches)
            assert best[0] < WHOLE, (flange.name, w, best)
            assert best[1] < 1e-5, (flange.name, w, best)


def _box_in(face, into: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Exact box of a plane face in a frame: its edges' ends, and where circles reach furthest."""
    points = []
    for edge in kernel.edges_of(face):
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        params = [first, last]
        if curve.GetType().name == "GeomAbs_Circle":
            circle = curve.Circle()
            for axis in range(2):
                x, y = circle.XAxis().Direction(), circle.YAxis().Direction()
                row = into[axis, :3]
                top = math.atan2(row @ (y.X(), y.Y(), y.Z()), row @ (x.X(), x.Y(), x.Z()))
                params += [p for k in range(-2, 5) if first <= (p := top + k * math.pi) <= last]
        for p in params:
            at = curve.Value(p)
            points.append((at.X(), at.Y(), at.Z()))
    local = apply(into, np.array(points))
    return local.min(axis=0), local.max(axis=0)


def _check_bends(plan: PartPlan, shape) -> None:
    """Each bend's two round faces: radii, length, and the neutral fibre between them is the strip's width."""
    rounds = []
    for face in kernel.faces_of(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() == GeomAbs_Cylinder:
            rounds.append((surface.Cylinder().Radius(), kernel.area(face)))
    for bend in plan.bends:
        r, t, length = bend.inside_radius_mm, plan.thickness_mm, bend_length(bend)
        angles = [
            area / (radius * length)
            for radius, area in rounds
            if min(abs(radius - r), abs(radius - r - t)) < WHOLE
            and abs(area / (radius * length) - bend.angle_rad) < WHOLE
        ]
        assert len(angles) >= 2
        assert angles[0] * (r + bend.k_factor * t) == pytest.approx(bend_allowance(bend, t), abs=1e-4)


def test_the_same_from_a_step_file(tmp_path) -> None:
    plan = make("pedal_hanger")
    path = tmp_path / "hanger.step"
    write_step(plan, path, revision="r1", job="test")
    found = unfolded(plan, _transferred(path))
    flat = flat_pattern(plan)
    assert len(found) == len(flat.holes)
    for hole in flat.holes:
        near = min(math.dist(f[:2], (hole.u_mm, hole.v_mm)) + abs(f[2] - hole.diameter_mm) for f in found)
        assert near < WHOLE, hole.name
