"""Linear elasticity on a mesh of tetrahedra with quadratic displacements.

Units: mm, N, MPa, so E in MPa. Formulation: find u with ∫ σ(u):ε(v) + springs = ∫ t·v over the loaded
faces, σ = 2μ ε + λ tr(ε) I (Hooke; any text on the finite element method). The matrix is factored
once (sparse Cholesky) and serves every load.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from netgen.meshing import MeshingParameters
from netgen.occ import OCCGeometry
from ngsolve import (
    BilinearForm,
    CoefficientFunction,
    Grad,
    GridFunction,
    Id,
    IfPos,
    InnerProduct,
    Integrate,
    LinearForm,
    Mesh,
    Sym,
    Trace,
    VectorH1,
    ds,
    dx,
    sqrt,
    x,
    y,
    z,
)
from numpy.typing import NDArray

Array = NDArray[np.float64]
Vector = tuple[float, float, float]
On = Callable[[Array], NDArray[np.bool_]]

ORDER = 2
NEAR_MM = 2e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Elastic:
    """Young's modulus in MPa and Poisson's ratio of a material of the same stiffness in all directions."""

    e_mpa: float
    poisson: float

    def stress(self, strain: Any) -> Any:
        """Stress of a strain, both 3×3, MPa."""
        mu = self.e_mpa / (2 * (1 + self.poisson))
        lam = self.e_mpa * self.poisson / ((1 + self.poisson) * (1 - 2 * self.poisson))
        return 2 * mu * strain + lam * Trace(strain) * Id(3)

    def compliance(self, stress: Any) -> Any:
        """Strain of a stress, both 3×3."""
        return ((1 + self.poisson) * stress - self.poisson * Trace(stress) * Id(3)) / self.e_mpa


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """Faces (or, with ``edge``, an edge) held in the directions ``axes``: x, y, z."""

    faces: str
    axes: tuple[bool, bool, bool] = (True, True, True)
    edge: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """Faces on springs: N/mm³ along the unit vector ``axis`` and across it.

    ``within`` is the distance from the line through ``centre`` along ``axis`` up to which the bed reaches,
    mm; beyond it the face is free.
    """

    faces: str
    axis: Vector
    along: float
    across: float
    centre: Vector = (0.0, 0.0, 0.0)
    within: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """A traction on faces, MPa as a vector function of place. ``force`` (N) is what it must come to in all:
    a traction with an edge across elements is summed a little off."""

    faces: str
    traction: Any
    force: Vector | None = None


@dataclass(kw_only=True)
class System:
    """A mesh with its supports, factored. ``space`` is the displacement space."""

    mesh: Any
    material: Elastic
    space: Any
    form: Any
    inverse: Any
    unknowns: int = 0
    extra: dict[str, Any] = field(default_factory=dict)


def mesh_of(geometry: OCCGeometry, largest_mm: float, close: Sequence[tuple[Vector, float]] = ()) -> Any:
    """A mesh of curved tetrahedra; ``close`` gives points with the largest edge near them, mm.

    Meshed by one thread: the same geometry gives the same mesh.
    """
    wanted = MeshingParameters(
        maxh=largest_mm, grading=0.5, curvaturesafety=1.0, segmentsperedge=1.0, parallel_meshing=False
    )
    for (px, py, pz), size in close:
        wanted.RestrictH(x=px, y=py, z=pz, h=size)
    mesh = Mesh(geometry.GenerateMesh(wanted))
    mesh.Curve(ORDER)
    return mesh


def read_brep(path: Path) -> OCCGeometry:
    """The solid of a BREP file, each of its faces named ``f0``, ``f1``, …"""
    geometry = OCCGeometry(str(path))
    return named(geometry.shape)


def named(shape: Any) -> OCCGeometry:
    """A shape as a geometry whose faces are named ``f0``, ``f1``, …"""
    for index, face in enumerate(shape.faces):
        face.name = f"f{index}"
    return OCCGeometry(shape)


def face_points(mesh: Any) -> dict[str, Array]:
    """The mesh vertices on each named face, (n, 3) mm."""
    points = np.array([p.p for p in mesh.ngmesh.Points()])
    table = mesh.ngmesh.Elements2D().NumPy()
    names = mesh.GetBoundaries()
    found: dict[str, list[Array]] = {}
    for index in np.unique(table["index"]):
        rows = table["nodes"][table["index"] == index][:, :3]
        found.setdefault(names[int(index) - 1], []).append(np.unique(rows) - 1)
    return {name: points[np.unique(np.concatenate(rows))] for name, rows in found.items()}


def faces_where(faces: Mapping[str, Array], on: On) -> str:
    """A pattern of the faces whose mesh vertices (``face_points``) all satisfy ``on``; empty for none."""
    return "|".join(name for name, points in faces.items() if bool(on(points).all()))


def on_plane(point: Vector, normal: Vector) -> On:
    """True for points on that plane."""
    n = np.array(normal) / np.linalg.norm(normal)
    return lambda p: np.abs((p - np.array(point)) @ n) < NEAR_MM


def on_cylinder(centre: Vector, axis: Vector, radius_mm: float, span_mm: tuple[float, float]) -> On:
    """True for points on that cylinder between two distances from ``centre`` along the unit ``axis``."""

    def on(p: Array) -> NDArray[np.bool_]:
        gap = p - np.array(centre)
        along = gap @ np.array(axis)
        away = np.linalg.norm(gap - along[:, None] * np.array(axis), axis=1)
        inside = (along > span_mm[0] - NEAR_MM) & (along < span_mm[1] + NEAR_MM)
        return np.asarray((np.abs(away - radius_mm) < NEAR_MM) & inside)

    return on


def vector(values: Sequence[float] | Array) -> Any:
    """A constant vector as a function of place."""
    return CoefficientFunction(tuple(float(v) for v in values))


def arm(centre: Vector, axis: Vector) -> tuple[Any, Any]:
    """Vector square to the axis from it to the place, and its length, mm."""
    gap = CoefficientFunction((x - centre[0], y - centre[1], z - centre[2]))
    d = vector(axis)
    away = gap - InnerProduct(gap, d) * d
    return away, sqrt(InnerProduct(away, away))


def support(
    mesh: Any, material: Elastic, fixed: Sequence[Fixed], beds: Sequence[Bed] = (), order: int = ORDER
) -> System:
    """The system of a mesh with its supports, factored; displacements are polynomials of that order.

    Needs what holds it in every direction.
    """
    held: dict[str, str] = {}
    for suffix in ("", "_bbnd"):
        for axis, letter in enumerate("xyz"):
            names = [f.faces for f in fixed if f.axes[axis] and f.edge == bool(suffix)]
            if names:
                held[f"dirichlet{letter}{suffix}"] = "|".join(names)
    space = VectorH1(mesh, order=order, **held)
    u, v = space.TnT()
    form = BilinearForm(space, symmetric=True)
    form += InnerProduct(material.stress(Sym(Grad(u))), Sym(Grad(v))) * dx
    for bed in beds:
        d = vector(bed.axis)
        along, whole = InnerProduct(u, d) * InnerProduct(v, d), InnerProduct(u, v)
        stiff = bed.along * along + bed.across * (whole - along)
        if math.isfinite(bed.within):
            _, away = arm(bed.centre, bed.axis)
            stiff = IfPos(bed.within - away, 1.0, 0.0) * stiff
        # the traces of u and v on the face; more points than usual, for the edge of the bed crosses elements,
        # and as many as what the bed bears is summed with
        form += stiff * ds(bed.faces, bonus_intorder=4)
    form.Assemble()
    inverse = form.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky")
    return System(mesh=mesh, material=material, space=space, form=form, inverse=inverse, unknowns=space.ndof)


def loaded(system: System, pushes: Sequence[Push]) -> Any:
    """The load vector of tractions on faces. Where the force of one is given, what it lacks of that, once it
    is summed over the mesh, is spread evenly over its faces: so that all forces balance to rounding."""
    whole = _assembled(system, pushes)
    moved = GridFunction(system.space)
    for push in pushes:
        if push.force is None:
            continue
        own = _assembled(system, [push])
        for axis, way in enumerate(np.eye(3)):
            moved.Set(vector(way))
            evenly = _assembled(system, [Push(faces=push.faces, traction=vector(way))])
            lacks = push.force[axis] - float(InnerProduct(own, moved.vec))
            whole.data += lacks / float(InnerProduct(evenly, moved.vec)) * evenly
    return whole


def _assembled(system: System, pushes: Sequence[Push]) -> Any:
    v = system.space.TestFunction()
    form = LinearForm(system.space)
    for push in pushes:
        form += InnerProduct(push.traction, v) * ds(push.faces, bonus_intorder=4)
    form.Assemble()
    return form.vec


def displaced(system: System, load: Any) -> Any:
    """The displacement field under a load vector, mm."""
    field_ = GridFunction(system.space)
    field_.vec.data = system.inverse * load
    return field_


def energy(system: System, field_: Any) -> float:
    """Strain energy of the metal and of its springs, N mm: half of u·K·u."""
    product = field_.vec.CreateVector()
    product.data = system.form.mat * field_.vec
    return 0.5 * float(InnerProduct(product, field_.vec))


def work(load: Any, field_: Any) -> float:
    """What a load does on a displacement, N mm (without the half of a load that grows from nothing)."""
    return float(InnerProduct(load, field_.vec))


def mean_of(mesh: Any, faces: str, function: Any) -> Any:
    """Mean of a function over faces."""
    region = mesh.Boundaries(faces)
    return np.array(Integrate(function, mesh, definedon=region)) / Integrate(
        CoefficientFunction(1.0), mesh, definedon=region
    )


def total_of(mesh: Any, faces: str, function: Any) -> Array:
    """Integral of a function over faces."""
    return np.array(Integrate(function, mesh, definedon=mesh.Boundaries(faces), order=8))


def bearing(mesh: Any, faces: str, centre: Vector, axis: Vector, force: Vector) -> Push:
    """A shaft's force on its bore: pressure as the cosine of the angle from the force over the half it
    touches, and what is along the axis spread evenly. Scaled so that the sum is the force on this mesh.

    The cosine distribution is the usual one for a fitted pin (engineering texts; no standard).
    """
    d, f = np.array(axis), np.array(force)
    along = float(f @ d) * d
    across = f - along
    traction = vector((0.0, 0.0, 0.0))
    size = float(np.linalg.norm(across))
    if size > 0:
        away, length = arm(centre, axis)
        outward = away / length
        lean = InnerProduct(outward, vector(across / size))
        shape = IfPos(lean, lean, 0.0) * outward
        scale = size / float(total_of(mesh, faces, InnerProduct(shape, vector(across / size))))
        traction = traction + scale * shape
    if float(np.linalg.norm(along)) > 0:
        area = float(total_of(mesh, faces, CoefficientFunction(1.0)))
        traction = traction + vector(along / area)
    return Push(faces=faces, traction=traction, force=force)


def ringed(mesh: Any, faces: str, centre: Vector, axis: Vector, within: float, force: Vector) -> Push:
    """A force spread evenly over what of the faces lies within a distance of a line."""
    _, away = arm(centre, axis)
    inside = IfPos(within - away, 1.0, 0.0)
    area = float(total_of(mesh, faces, inside))
    return Push(faces=faces, traction=inside * vector(np.array(force) / area), force=force)


def even(mesh: Any, faces: str, force: Vector) -> Push:
    """A force spread evenly over faces."""
    area = float(total_of(mesh, faces, CoefficientFunction(1.0)))
    return Push(faces=faces, traction=vector(np.array(force) / area))
