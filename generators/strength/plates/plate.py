"""One flange as a thin plate: where it is sampled, its functions, its stiffness."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import circle, polyline, segments, stadium
from generators.model.plan import Bend, Flange, PartPlan
from generators.strength.plates.terms import Round, bending_terms, steepness_terms, stretching_terms
from generators.strength.statics import bearing_mm

Array = NDArray[np.float64]

BENDING_DEGREE = 8
STRETCH_DEGREE = 6
SAMPLES = 1_500
"""Points a plate is sampled at, about."""
JOINTS = 5
"""Places along a bend where both sheets move as one: fewer than the polynomials have degrees, lest two
plates that bend and stretch by different functions hold each other stiff."""
TURN = 2 * np.pi * np.arange(24) / 24
"""Angles around a hole where it is held or pushed."""
AROUND, OUTWARD = 32, 6
"""Points around a hole, and on the way out from it."""
REACH = 3.0
"""How far out from a hole it is sampled round, in its radii."""
CORNER = 1.8
"""Stress at a rounded inner corner over that beside it: a hole in a thin plate bent about one line,
(5 + 3 ν)/(3 + ν) = 1.79 (Reissner; Peterson's charts, from memory)."""
CORNER_REACH = 1.0
"""How far such a corner reaches beyond its arc, in thicknesses."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Young's modulus (MPa), Poisson's ratio and the sheet's thickness (mm)."""

    e_mpa: float
    poisson: float
    thickness: float

    @property
    def bending(self) -> float:
        """Flexural rigidity D = E t³ / 12 (1 − ν²), N mm."""
        return self.e_mpa * self.thickness**3 / (12 * (1 - self.poisson**2))

    @property
    def stretching(self) -> float:
        """E t / (1 − ν²), N/mm."""
        return self.e_mpa * self.thickness / (1 - self.poisson**2)

    @property
    def kappa(self) -> float:
        """Muskhelishvili's constant in plane stress."""
        return (3 - self.poisson) / (1 + self.poisson)


def overlap_mm(bend: Bend, thickness: float) -> float:
    """From a bend's tangent line to the line where the middles of both sheets would meet, mm."""
    return (bend.inside_radius_mm + thickness / 2) * math.tan(bend.angle_rad / 2)


def meeting_lines(plan: PartPlan, flange: str) -> list[tuple[Bend, Array]]:
    """Each bend of a flange with the two ends of that line, (2, 2), in the flange's frame."""
    out = []
    for bend in plan.bends:
        s = overlap_mm(bend, plan.thickness_mm)
        (u0, v0), (u1, v1) = bend.start, bend.end
        length = math.dist(bend.start, bend.end)
        if bend.parent == flange:
            nu, nv = (v1 - v0) / length, -(u1 - u0) / length
            out.append((bend, np.array([[u1 + s * nu, v1 + s * nv], [u0 + s * nu, v0 + s * nv]])))
        elif bend.child == flange:
            out.append((bend, np.array([[0.0, -s], [length, -s]])))
    return out


@dataclass(kw_only=True)
class Plate:
    """A flange as a plate. ``first`` is the place of its first unknown among the part's."""

    flange: Flange
    material: Material
    box: tuple[float, float, float, float]
    rounds: tuple[Round, ...]
    """What its functions are laid out by: the box of its polynomials, the holes they run out from."""
    points: Array
    weights: Array
    real: NDArray[np.bool_]
    """Points on the flange itself, not on the way to where two sheets would meet."""
    raised: Array
    """How many times the stress is raised there by an inner corner nearby."""
    bending: Array
    stretching: NDArray[np.complex128]
    steepness: Array
    places: dict[str, slice]
    edges: tuple[Array, NDArray[np.complex128]]
    """Around each hole and along each bend: w with its slopes, and u + iv; ``places`` says which rows."""
    first: int = 0

    @property
    def many(self) -> tuple[int, int]:
        """How many functions bend it, and how many stretch it."""
        return self.bending.shape[2], self.stretching.shape[2]

    def along(self, name: str) -> Array:
        """Movement along u, v, w and slope of w along u, v around the hole or along the bend of that name:
        (5, points, unknowns)."""
        part = self.places[name]
        nb, ns = self.many
        out = np.zeros((5, part.stop - part.start, nb + ns))
        out[2:, :, :nb] = self.edges[0][:, part]
        out[0, :, nb:], out[1, :, nb:] = self.edges[1][part].real, self.edges[1][part].imag
        return out

    def stiffness(self) -> Array:
        """Twice the strain energy as a matrix: Kirchhoff's plate and plane stress."""
        nb, ns = self.many
        nu, out = self.material.poisson, np.zeros((nb + ns, nb + ns))
        uu, uv, vv = self.bending[3], self.bending[4], self.bending[5]
        out[:nb, :nb] = self.material.bending * self._energy(uu, vv, 2 * uv, nu)
        eu, ev = self.stretching[1].real, self.stretching[2].imag
        shear = self.stretching[1].imag + self.stretching[2].real
        out[nb:, nb:] = self.material.stretching * self._energy(eu, ev, shear, nu)
        return out

    def _energy(self, a: Array, b: Array, c: Array, nu: float) -> Array:
        """The integral of a² + b² + 2 ν a b + (1 − ν)/2 c², as squares of a + b, a − b and c: one product."""
        more, less = math.sqrt((1 + nu) / 2), math.sqrt((1 - nu) / 2)
        squares = np.concatenate([more * (a + b), less * (a - b), less * c])
        squares *= np.tile(np.sqrt(self.weights), 3)[:, None]
        return np.asarray(squares.T @ squares)

    def shear_work(self, unknowns: Array) -> float:
        """What thin plates leave out, N mm: the work of the forces through the sheet, ∫ 6/5 Q² / G t with
        Q = D grad(Δw) (Timoshenko's beam, Reissner's plate; Castigliano)."""
        m, nb = self.material, self.many[0]
        steep = self.steepness @ unknowns[:nb]
        shear = m.e_mpa / (2 * (1 + m.poisson)) * m.thickness
        return float(1.2 * m.bending**2 / shear * (self.weights * (steep**2).sum(axis=0)).sum())

    def stress(self, unknowns: Array) -> Array:
        """Largest von Mises stress through the sheet at each point, MPa; extremes lie on its two faces."""
        nb, _ = self.many
        m, t = self.material, self.material.thickness
        a, b = unknowns[:nb], unknowns[nb:]
        factor = m.e_mpa / (1 - m.poisson**2)
        stretch = (
            self.stretching[1].real @ b,
            self.stretching[2].imag @ b,
            (self.stretching[1].imag + self.stretching[2].real) @ b,
        )
        curve = (self.bending[3] @ a, self.bending[5] @ a, 2 * self.bending[4] @ a)
        most = np.zeros(len(self.points))
        for face in (-t / 2, t / 2):
            eu, ev, g = (s - face * k for s, k in zip(stretch, curve, strict=True))
            su, sv = factor * (eu + m.poisson * ev), factor * (ev + m.poisson * eu)
            tau = factor * (1 - m.poisson) / 2 * g
            most = np.maximum(most, np.sqrt(su**2 - su * sv + sv**2 + 3 * tau**2))
        return most * self.raised


def plate_of(plan: PartPlan, flange: Flange, material: Material, held: dict[str, float]) -> Plate:
    """A flange as a plate; ``held`` gives the radius of what holds a hole of that name, mm."""
    outline = shapely.Polygon(polyline(flange.contour, 0.05))
    pieces = [outline]
    for bend, line in meeting_lines(plan, flange.name):
        near = np.array(
            [bend.start, bend.end] if bend.parent == flange.name else [line[1] * (1, 0), line[0] * (1, 0)]
        )
        pieces.append(shapely.Polygon([*line, *near]))
    whole = shapely.unary_union(pieces).buffer(1e-3, join_style="mitre")
    rounds = {
        h.name: Round(u=h.u_mm, v=h.v_mm, radius=max(h.diameter_mm / 2, held.get(h.name, 0.0)))
        for h in flange.holes
    }
    # a slot is held and pushed by the ring about its middle
    rounds |= {
        s.name: Round(u=s.u_mm, v=s.v_mm, radius=max(bearing_mm(s) / 2, held.get(s.name, 0.0)))
        for s in flange.slots
    }
    holes = list(rounds.values())
    gone = [shapely.Polygon(polyline(circle(h.u, h.v, 2 * h.radius), 0.01)) for h in holes]
    gone += [
        shapely.Polygon(polyline(stadium(s.u_mm, s.v_mm, s.width_mm, s.travel_mm, s.angle_rad), 0.05))
        for s in flange.slots
    ]
    body = whole.difference(shapely.unary_union(gone)) if gone else whole
    points, weights, left = [], [], body
    for hole in holes:
        ring = _ring(hole, whole.boundary, [h for h in holes if h is not hole])
        if ring is not None:
            places, sizes, disc = ring
            points.append(places)
            weights.append(sizes)
            left = left.difference(disc)
    places, sizes = _grid(left, body.area)
    points.append(places)
    weights.append(sizes)
    inside, edges = np.concatenate(points), _edges(plan, flange, rounds)
    many, box, around = len(inside), whole.bounds, tuple(holes)
    every = np.concatenate([inside, *edges.values()])
    bending = bending_terms(every, box, BENDING_DEGREE, around)
    stretching = stretching_terms(every, box, STRETCH_DEGREE, around, material.kappa)
    parts: dict[str, slice] = {}
    start = 0
    for name, rows in edges.items():
        parts[name] = slice(start, start + len(rows))
        start += len(rows)
    return Plate(
        flange=flange,
        material=material,
        box=box,
        rounds=around,
        points=inside,
        weights=np.concatenate(weights),
        real=np.asarray(shapely.contains_xy(outline.buffer(1e-6), inside[:, 0], inside[:, 1])),
        raised=_raised(flange, inside, material.thickness),
        bending=bending[:, :many],
        stretching=stretching[:, :many],
        steepness=steepness_terms(inside, box, BENDING_DEGREE, around),
        places=parts,
        edges=(bending[:3, many:], stretching[0, many:]),
    )


def _edges(plan: PartPlan, flange: Flange, rounds: Mapping[str, Round]) -> dict[str, Array]:
    """Places around each hole and along each bend, by their names."""
    ways = np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
    out = {name: np.array([r.u, r.v]) + r.radius * ways for name, r in rounds.items()}
    share = (np.polynomial.legendre.leggauss(JOINTS)[0] + 1) / 2
    for bend, line in meeting_lines(plan, flange.name):
        out[bend.name] = line[0] + share[:, None] * (line[1] - line[0])
    return out


def _raised(flange: Flange, points: Array, thickness: float) -> Array:
    """``CORNER`` near a rounded inner corner of the outline, 1 elsewhere."""
    raised = np.ones(len(points))
    for a, b in segments(flange.contour):
        if a.bulge < 0:
            reach = CORNER_REACH * thickness + math.dist((a.u, a.v), (b.u, b.v)) / 2
            away = np.hypot(points[:, 0] - (a.u + b.u) / 2, points[:, 1] - (a.v + b.v) / 2)
            raised[away < reach] = CORNER
    return raised


def _ring(
    hole: Round, outline: BaseGeometry, others: list[Round]
) -> tuple[Array, Array, shapely.Polygon] | None:
    """Points and their areas in rings about a hole, as far out as nothing else begins; None without room."""
    middle = shapely.Point(hole.u, hole.v)
    room = [middle.distance(outline)]
    room += [math.hypot(o.u - hole.u, o.v - hole.v) * hole.radius / (hole.radius + o.radius) for o in others]
    out = min([REACH * hole.radius, *room])
    if out < 1.1 * hole.radius:
        return None
    x, w = np.polynomial.legendre.leggauss(OUTWARD)
    r = hole.radius + (out - hole.radius) * (x + 1) / 2
    turn = 2 * np.pi * (np.arange(AROUND) + 0.5) / AROUND
    places = np.stack(
        [hole.u + np.outer(r, np.cos(turn)).ravel(), hole.v + np.outer(r, np.sin(turn)).ravel()], axis=1
    )
    sizes = np.repeat(w * (out - hole.radius) / 2 * r * 2 * np.pi / AROUND, AROUND)
    return places, sizes, shapely.Polygon(polyline(circle(hole.u, hole.v, 2 * out), 0.01))


def _grid(left: BaseGeometry, area: float) -> tuple[Array, Array]:
    """Points on a square grid within what is left, all of the same area."""
    step = math.sqrt(area / SAMPLES)
    u0, v0, u1, v1 = left.bounds
    u, v = np.meshgrid(np.arange(u0 + step / 2, u1, step), np.arange(v0 + step / 2, v1, step))
    places = np.stack([u.ravel(), v.ravel()], axis=1)
    places = places[shapely.contains_xy(left, places[:, 0], places[:, 1])]
    return places, np.full(len(places), left.area / max(len(places), 1))
