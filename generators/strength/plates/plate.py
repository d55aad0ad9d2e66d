"""One flange as a thin plate: where it is sampled, its functions, its stiffness."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import circle, polyline, segments, stadium
from generators.geometry.joined import joined
from generators.model.plan import Bend, Flange, PartPlan
from generators.strength.plates.derived import Terms
from generators.strength.plates.terms import Functions, Round, many_of
from generators.strength.statics import bearing_mm

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

BENDING_DEGREE = 8
STRETCH_DEGREE = 6
BLOCK = 1024
"""How many points are worked on at a time, always in the same memory: to keep what the functions do at all of
them takes a tenth of a GB, which costs more than to work it out once more for the stress."""
SAMPLES = 1_500
"""Points a plate is sampled at, about."""
JOINTS = 5
"""Places along a bend where both sheets move as one: fewer than the polynomials have degrees, lest two
plates that bend and stretch by different functions hold each other stiff."""
BESIDE = 0.25
"""How far inside the edges stress is looked at as well, in the grid's steps. Ours."""
SLIVER = 1e-4
"""Pieces of a cell smaller than this share are left out. Ours."""
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
    box: Box
    rounds: tuple[Round, ...]
    """What its functions are laid out by: the box of its polynomials, the holes they run out from."""
    points: Array
    weights: Array
    real: NDArray[np.bool_]
    """Points on the flange itself, not on the way to where two sheets would meet."""
    raised: Array
    """How many times the stress is raised there by an inner corner nearby."""
    energy: Array
    """Twice the strain energy as a matrix: Kirchhoff's plate and plane stress."""
    places: dict[str, slice]
    edges: tuple[Array, NDArray[np.complex128]]
    """Around each hole and along each bend: w with its slopes, and u + iv; ``places`` says which rows."""
    first: int = 0

    @property
    def many(self) -> tuple[int, int]:
        """How many functions bend it, and how many stretch it."""
        return many_of(BENDING_DEGREE, STRETCH_DEGREE, len(self.rounds))

    @property
    def own(self) -> slice:
        """Its unknowns among the part's."""
        return slice(self.first, self.first + sum(self.many))

    def along(self, name: str) -> Array:
        """Movement along u, v, w and slope of w along u, v around the hole or along the bend of that name:
        (5, points, unknowns)."""
        part = self.places[name]
        nb, ns = self.many
        out = np.zeros((5, part.stop - part.start, nb + ns))
        out[2:, :, :nb] = self.edges[0][:, :, part].swapaxes(1, 2)
        moved = self.edges[1][:, part].T
        out[0, :, nb:], out[1, :, nb:] = moved.real, moved.imag
        return out

    def answers(self, unknowns: Array) -> tuple[Array, Array]:
        """The largest von Mises stress through the sheet, MPa, (cases, points) of (cases, unknowns), and what
        thin plates leave out of the work of the forces, N mm, (cases,)."""
        nb, cases = self.many[0], len(unknowns)
        curves, strains = np.empty((2, 3, cases, len(self.points)))
        steep = np.empty((2, cases, len(self.points)))
        for at, terms in blocks(self.box, self.rounds, self.points, self.material.kappa):
            curves[:, :, at] = unknowns[:, :nb] @ terms.curves
            strains[:, :, at] = unknowns[:, nb:] @ terms.strains
            steep[:, :, at] = unknowns[:, :nb] @ terms.steepness
        return self._stress(curves, strains), self._shear_work(steep)

    def _shear_work(self, steep: Array) -> Array:
        """Of the forces through the sheet, ∫ 6/5 Q² / G t with Q = D grad(Δw) (Timoshenko's beam, Reissner's
        plate; Castigliano)."""
        m = self.material
        shear = m.e_mpa / (2 * (1 + m.poisson)) * m.thickness
        return np.asarray(1.2 * m.bending**2 / shear * ((steep**2).sum(axis=0) @ self.weights))

    def _stress(self, curves: Array, stretch: Array) -> Array:
        """Extremes lie on the sheet's two faces."""
        m, t = self.material, self.material.thickness
        factor = m.e_mpa / (1 - m.poisson**2)
        uu, uv, vv = curves
        most = np.zeros(uu.shape)
        for face in (-t / 2, t / 2):
            eu, ev, g = (s - face * k for s, k in zip(stretch, (uu, vv, 2 * uv), strict=True))
            su, sv = factor * (eu + m.poisson * ev), factor * (ev + m.poisson * eu)
            tau = factor * (1 - m.poisson) / 2 * g
            most = np.maximum(most, np.sqrt(su**2 - su * sv + sv**2 + 3 * tau**2))
        return most * self.raised


def blocks(
    box: Box, holes: tuple[Round, ...], points: Array, kappa: float, *, steepness: bool = True
) -> Iterator[tuple[slice, Terms]]:
    """What the functions do at the points, ``BLOCK`` at a time; each block is written over the last."""
    many = min(BLOCK, len(points))
    room = Terms.empty(BENDING_DEGREE, STRETCH_DEGREE, len(holes), many, steepness=steepness)
    for start in range(0, len(points), BLOCK):
        some = points[start : start + BLOCK]
        here = slice(0, len(some))
        room.fill(here, some, box, holes, (BENDING_DEGREE, STRETCH_DEGREE), kappa)
        yield slice(start, start + len(some)), room.part(here)


def energy_of(material: Material, box: Box, holes: tuple[Round, ...], points: Array, weights: Array) -> Array:
    """Twice the strain energy of the functions as a matrix."""
    nb, ns = many_of(BENDING_DEGREE, STRETCH_DEGREE, len(holes))
    energy = np.zeros((nb + ns, nb + ns))
    room = np.empty(max(nb, ns) * 3 * BLOCK)
    # the last points are only looked at for stress: without an area they add nothing
    counted = int(np.flatnonzero(weights)[-1]) + 1 if weights.any() else 0
    for at, terms in blocks(box, holes, points[:counted], material.kappa, steepness=False):
        uu, uv, vv = terms.curves
        energy[:nb, :nb] += material.bending * _energy((uu, vv, uv), 2.0, material.poisson, weights[at], room)
        u, v, shear = terms.strains
        energy[nb:, nb:] += material.stretching * _energy(
            (u, v, shear), 1.0, material.poisson, weights[at], room
        )
    return energy


def _energy(parts: tuple[Array, Array, Array], twice: float, nu: float, weights: Array, room: Array) -> Array:
    """The integral of a² + b² + 2 ν a b + (1 − ν)/2 (``twice`` c)², as squares of a + b, a − b and c: one
    product, laid out in ``room``."""
    a, b, c = parts
    more, less = math.sqrt((1 + nu) / 2), math.sqrt((1 - nu) / 2)
    n = len(weights)
    root = np.sqrt(weights)
    squares = room[: len(a) * 3 * n].reshape(len(a), 3 * n)
    for k, (fill, factor) in enumerate(((np.add, more), (np.subtract, less))):
        part = squares[:, k * n : (k + 1) * n]
        fill(a, b, out=part)
        part *= factor * root
    part = squares[:, 2 * n :]
    np.multiply(c, twice, out=part)
    part *= less * root
    return np.asarray(squares @ squares.T)


def plate_of(plan: PartPlan, flange: Flange, material: Material, held: dict[str, float]) -> Plate:
    """A flange as a plate; ``held`` gives the radius of what holds a hole of that name, mm."""
    outline = shapely.Polygon(polyline(flange.contour, 0.05))
    pieces = [outline]
    for bend, line in meeting_lines(plan, flange.name):
        near = np.array(
            [bend.start, bend.end] if bend.parent == flange.name else [line[1] * (1, 0), line[0] * (1, 0)]
        )
        pieces.append(shapely.Polygon([*line, *near]))
    whole = joined(pieces).buffer(1e-3, join_style="mitre")
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
    beside = _beside(body, holes, material.thickness)
    points.append(beside)
    weights.append(np.zeros(len(beside)))
    inside, edges = np.concatenate(points), _edges(plan, flange, rounds)
    box, around, weights_mm2 = whole.bounds, tuple(holes), np.concatenate(weights)
    rims = np.concatenate([*edges.values()]) if edges else np.zeros((0, 2))
    at_rims = Functions.at(rims, box, BENDING_DEGREE, around)
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
        weights=weights_mm2,
        real=np.asarray(shapely.contains_xy(outline.buffer(1e-6), inside[:, 0], inside[:, 1])),
        raised=_raised(flange, inside, material.thickness),
        energy=energy_of(material, box, around, inside, weights_mm2),
        places=parts,
        edges=(
            at_rims.bending(BENDING_DEGREE),
            at_rims.stretching(STRETCH_DEGREE, material.kappa)[0],
        ),
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


def _evenly(low: float, high: float, step: float) -> Array:
    """Places a step apart, laid from the middle to both ends alike: of the mirror image, the mirrored."""
    count = max(math.ceil((high - low) / step), 1)
    return np.asarray((low + high) / 2 + step * (np.arange(count) - (count - 1) / 2))


def _beside(body: BaseGeometry, holes: list[Round], thickness: float) -> Array:
    """Places where stress is largest, so that it does not hang on how near a grid comes to them by chance:
    along all edges, a quarter of the grid's step inside, and round each hole just as far out as it counts
    beside a bolt."""
    step = math.sqrt(body.area / SAMPLES)
    out: list[Array] = [np.zeros((0, 2))]
    for line in shapely.get_parts(shapely.boundary(body.buffer(-BESIDE * step))):
        count = max(round(line.length / step), 4)
        spots = shapely.line_interpolate_point(line, np.arange(count) * (line.length / count))
        out.append(np.column_stack([shapely.get_x(spots), shapely.get_y(spots)]))
    turn = 2 * np.pi * (np.arange(AROUND) + 0.5) / AROUND
    ways = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    for hole in holes:
        spots = np.array([hole.u, hole.v]) + (hole.radius + 1.001 * thickness) * ways
        out.append(spots[shapely.contains_xy(body, spots[:, 0], spots[:, 1])])
    return np.concatenate(out)


def _grid(left: BaseGeometry, area: float) -> tuple[Array, Array]:
    """The middles and areas of what a square grid cuts of what is left: whole cells, pieces at its edges."""
    step = math.sqrt(area / SAMPLES)
    u0, v0, u1, v1 = left.bounds
    u, v = (x.ravel() for x in np.meshgrid(_evenly(u0, u1, step), _evenly(v0, v1, step)))
    cells = shapely.box(u - step / 2, v - step / 2, u + step / 2, v + step / 2)
    shapely.prepare(left)
    cells = cells[shapely.intersects(left, cells)]
    cut = ~shapely.contains(left, cells)
    cells[cut] = shapely.intersection(cells[cut], left)
    areas = shapely.area(cells)
    cells, areas = cells[areas > SLIVER * step**2], areas[areas > SLIVER * step**2]
    middles = shapely.centroid(cells)
    return np.column_stack([shapely.get_x(middles), shapely.get_y(middles)]), np.asarray(areas)
