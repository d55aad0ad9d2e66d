"""How far a panel gives under its bolts: a rectangular plate between its supports, with beads.

Thin plate, small movement (Kirchhoff), by Ritz: the movement is a sum of sines, which for edges that only
rest is Navier's solution (Timoshenko and Woinowsky-Krieger, article 34); of sines that leave the edges flat
where they are clamped. A bead adds its own bending stiffness along its line. In the middle of a plain
rectangle this is Roark's table 11.4, case 1b (edges rest) and 8b (edges fixed). Holds while the movement is
under half the sheet (Roark's own bound); beyond it the sheet stretches and gives less than said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault

Array = NDArray[np.float64]
Point = tuple[float, float]
Edges = Literal["rest", "clamped"]

TERMS = 24
"""Sines each way: the middle of a square then gives within 0.3 % of the endless sum."""
ON_BEAD = 33
SMALL = 0.5
"""Largest movement over the sheet's thickness at which a plate formula holds: Roark chapter 11."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stiffener:
    """A bead: its ends in the plate's frame, and its bending stiffness E I beyond the flat sheet's, N mm2."""

    start: Point
    end: Point
    ei: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A free field ``wide`` by ``tall`` from its corner (0, 0), mm; its four edges rest or are clamped."""

    wide: float
    tall: float
    thickness: float
    e_mpa: float
    poisson: float
    edges: Edges = "rest"
    beads: tuple[Stiffener, ...] = ()


def bead_ei(width_mm: float, depth_mm: float, thickness_mm: float, e_mpa: float) -> float:
    """Bending stiffness a pressed bead adds to the flat sheet along it, N mm2.

    The bead as an open box of the same sheet: a crown ``width_mm`` wide, ``depth_mm`` up, and two sides.
    Second moment by the parallel-axis theorem about their common middle, less that of the flat strip; the
    sheet beside it is left out, so it errs low.
    """
    strips = [(width_mm * thickness_mm, depth_mm, width_mm * thickness_mm**3 / 12)]
    side = depth_mm * thickness_mm
    strips += [(side, depth_mm / 2, thickness_mm * depth_mm**3 / 12)] * 2
    # as much of the sheet on both sides as the bead is wide goes with it
    strips.append((width_mm * thickness_mm, 0.0, width_mm * thickness_mm**3 / 12))
    area = sum(a for a, _, _ in strips)
    middle = sum(a * y for a, y, _ in strips) / area
    inertia = sum(own + a * (y - middle) ** 2 for a, y, own in strips)
    flat = 2 * width_mm * thickness_mm**3 / 12
    return e_mpa * max(inertia - flat, 0.0)


def compliance(plate: Plate, points: Sequence[Point]) -> Array:
    """How far each point gives per N at each, mm/N, (n, n).

    Raises ``GeometryFault`` for a point that does not lie on the field.
    """
    for u, v in points:
        if not (0 < u < plate.wide and 0 < v < plate.tall):
            raise GeometryFault(
                f"a bolt at ({u:.0f}, {v:.0f}) mm of a field {plate.wide:g} x {plate.tall:g} mm"
            )
    return _compliance(plate, tuple(points)).copy()


@lru_cache(maxsize=32)
def _compliance(plate: Plate, points: tuple[Point, ...]) -> Array:
    """Kept, since the brackets of a job are looked at before its bolts are known and after."""
    at = np.array(points)
    shape = _shapes(plate, at[:, 0], at[:, 1])
    if not plate.beads:
        return shape @ _flat(plate, shape)
    # the flat plate is solved apart in its symmetries, and the beads put to it as what they are, a few
    # lines that store energy (Woodbury): a twentieth of the work of the whole matrix
    rows = np.concatenate([_bead(plate, bead) for bead in plate.beads])
    soft = _flat(plate, np.concatenate([shape, rows]))
    moved, many = soft[:, : len(points)], len(points)
    held = np.eye(len(rows)) + rows @ soft[:, many:]
    return np.asarray(shape @ moved - (shape @ soft[:, many:]) @ np.linalg.solve(held, rows @ moved))


def _flat(plate: Plate, loads: Array) -> Array:
    """The shapes' shares, (terms², loads), of the plate without beads under each row of ``loads``."""
    rigid = plate.e_mpa * plate.thickness**3 / (12 * (1 - plate.poisson**2))
    across = _energy(plate.wide, plate.edges)
    along = _energy(plate.tall, plate.edges)
    out = np.zeros((TERMS, TERMS, len(loads)))
    right = loads.T.reshape(TERMS, TERMS, -1)
    # what is alike on both sides of a middle line has no work in common with what is opposite there
    for i in range(2):
        for j in range(2):
            a, b = (k[i::2, i::2] for k in across), (k[j::2, j::2] for k in along)
            (a0, a1, a2), (b0, b1, b2) = a, b
            # D times the integral of (w_xx + w_yy)², to which Gauss's curvature adds nothing over held edges
            stiff = rigid * (np.kron(a2, b0) + np.kron(a0, b2) + 2 * np.kron(a1, b1))
            own = right[i::2, j::2]
            out[i::2, j::2] = np.linalg.solve(stiff, own.reshape(len(stiff), -1)).reshape(own.shape)
    return out.reshape(TERMS**2, -1)


@lru_cache(maxsize=32)
def _energy(length: float, edges: Edges) -> tuple[Array, Array, Array]:
    """Integrals over a side of f g, f' g' and f'' g'' of the shapes along it."""
    at, weight = np.polynomial.legendre.leggauss(3 * TERMS)
    x, w = (at + 1) / 2, weight / 2 * length

    def of(order: int) -> Array:
        shapes = _f(x, length, edges, order)
        return np.asarray((shapes * w) @ shapes.T)

    return of(0), of(1), of(2)


def _f(x: Array, length: float, edges: Edges, order: int) -> Array:
    """The shapes, their slopes or their curvatures at shares ``x`` of a side, (terms, points)."""
    k = np.arange(1, TERMS + 1)[:, None] * math.pi
    if edges == "rest":
        return np.asarray((np.sin(k * x), k * np.cos(k * x), -(k**2) * np.sin(k * x))[order] / length**order)
    # sin(pi x) sin(k pi x): nothing and flat at both ends
    less, more = k - math.pi, k + math.pi
    values = (
        (np.cos(less * x) - np.cos(more * x)) / 2,
        (-less * np.sin(less * x) + more * np.sin(more * x)) / 2,
        (-(less**2) * np.cos(less * x) + more**2 * np.cos(more * x)) / 2,
    )
    return np.asarray(values[order] / length**order)


def _shapes(plate: Plate, u: Array, v: Array, orders: tuple[int, int] = (0, 0)) -> Array:
    """All products of shapes at places, (places, terms²)."""
    across = _f(u / plate.wide, plate.wide, plate.edges, orders[0]).T
    along = _f(v / plate.tall, plate.tall, plate.edges, orders[1]).T
    return np.asarray((across[:, :, None] * along[:, None, :]).reshape(len(u), -1))


def _bead(plate: Plate, bead: Stiffener) -> Array:
    """Rows whose squares add up to E I times the integral along the bead of the curvature along it squared;
    what lies off the field is left out."""
    (au, av), (bu, bv) = bead.start, bead.end
    length = math.hypot(bu - au, bv - av)
    c, s = (bu - au) / length, (bv - av) / length
    at, weight = np.polynomial.legendre.leggauss(ON_BEAD)
    u, v, w = au + (at + 1) / 2 * (bu - au), av + (at + 1) / 2 * (bv - av), weight / 2 * length
    on = (u >= 0) & (u <= plate.wide) & (v >= 0) & (v <= plate.tall)
    u, v, w = u[on], v[on], w[on]
    curved = (
        c * c * _shapes(plate, u, v, (2, 0))
        + 2 * c * s * _shapes(plate, u, v, (1, 1))
        + s * s * _shapes(plate, u, v, (0, 2))
    )
    return np.asarray(np.sqrt(bead.ei * w)[:, None] * curved)


def shared_flex(give: Array, forces: Sequence[float]) -> float:
    """The give of one bolt, mm/N, with which bolts that know nothing of each other store what the plate does
    under these forces: Fᵀ C F / Fᵀ F. Without a force, the give of the softest bolt alone."""
    f = np.array(forces)
    if float(f @ f) <= 0:
        return float(np.max(np.diag(give)))
    return float(f @ give @ f) / float(f @ f)
