"""The functions a plate's movement is built from: polynomials, and what runs out from a round hole.

Ritz's method takes the movement as a sum of given functions and finds the sum of least potential energy
(Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells*, from memory). Around a hole they are the
solutions of the annular plate (the same: ln r, r² ln r, r ln r cos θ, cos mθ / r^m, …) and of plane stress
(Kolosov and Muskhelishvili: 2G (u + iv) = κ φ − z φ'* − ψ*; England, *Complex Variable Methods in
Elasticity*, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

ORDERS: tuple[tuple[int, int], ...] = ((0, 0), (1, 0), (0, 1))
"""Derivatives by u and by v: the function, u, v."""
HARMONICS = 3
"""How often what runs out from a hole may change around it."""
_HARMONIC = tuple(range(1, HARMONICS + 1))


@dataclass(frozen=True, slots=True)
class Jet:
    """A function at many points with its derivatives by u and v."""

    f: Complex
    u: Complex
    v: Complex

    def __mul__(self, other: Jet) -> Jet:
        """The product's derivatives (Leibniz)."""
        return Jet(
            self.f * other.f,
            self.u * other.f + self.f * other.u,
            self.v * other.f + self.f * other.v,
        )

    def conjugate(self) -> Jet:
        """The complex conjugate."""
        return Jet(np.conj(self.f), np.conj(self.u), np.conj(self.v))

    def all(self) -> Complex:
        """All three, (3, points)."""
        return np.array([self.f, self.u, self.v])


def _analytic(f: Complex, slope: Complex) -> Jet:
    """A function of z = u + iv by its derivative by z."""
    return Jet(f, slope, 1j * slope)


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A round hole the functions run out from: middle and radius, mm."""

    u: float
    v: float
    radius: float


def _power(z: Complex, m: int, scale: float) -> Jet:
    s = z / scale
    low = _whole(s, m - 1)
    return _analytic(low * s, m * low / scale)


def _whole(s: Complex, m: int) -> Complex:
    """s to a whole power by squaring: numpy's own goes by logarithms."""
    if m < 0:
        s, m = 1 / s, -m
    out = np.ones_like(s)
    while m:
        if m & 1:
            out = out * s
        s, m = s * s, m >> 1
    return out


def _log(z: Complex, scale: float) -> Jet:
    """ln of the distance, real."""
    jet = _analytic(np.log(z / scale), 1 / z)
    return Jet(*(np.real(x).astype(complex) for x in jet.all()))


def from_middle(points: Array, hole: Round) -> Complex:
    """z = u + iv of points from a hole's middle, mm."""
    z = (points[:, 0] - hole.u) + 1j * (points[:, 1] - hole.v)
    # a point on the hole's middle has no value; it is never inside the plate
    return np.asarray(np.where(np.abs(z) < 1e-6, 1e-6, z))


@dataclass(frozen=True, slots=True)
class Around:
    """What the functions around one hole are made of, at many points: z from its middle over its radius, the
    logarithm, and z to the powers −1, −2, …"""

    z: Complex
    radius: float
    one: Jet
    log: Jet
    away: tuple[Jet, ...]

    @classmethod
    def of(cls, points: Array, hole: Round) -> Around:
        """Those of a hole."""
        z, a = from_middle(points, hole), hole.radius
        return cls(z, a, _power(z, 1, a), _log(z, a), tuple(_power(z, -m, a) for m in _HARMONIC))


def bending_around(hole: Around) -> list[Jet]:
    """Functions around a hole of which real and imaginary parts are w, each one an exact deflection of an
    unloaded plate; the first two have no imaginary part."""
    square = hole.one * hole.one.conjugate()
    both = [hole.one * hole.log]
    for m, away in zip(_HARMONIC, hole.away, strict=True):
        both += [away, square * away] if m > 1 else [away]
    return [hole.log, square * hole.log, *both]


def stretching_around(hole: Around, kappa: float) -> list[Complex]:
    """Functions u + iv around a hole, each one an exact movement of an unloaded sheet in plane stress: three
    rows each."""
    # φ and z φ'* of each, of which c φ takes c times the first and c* times the second; ψ alone is the last
    pairs = [(hole.log.all() * (-2 * kappa), (hole.one * hole.away[0].conjugate()).all())]
    for m in _HARMONIC[:-1]:
        slope = (hole.one * hole.away[m].conjugate()).all()
        pairs.append((kappa * hole.away[m - 1].all(), m * slope))
    alone = [away.conjugate().all() for away in hole.away]
    return [
        f
        for c in (1.0, 1j)
        for f in [c * x + np.conj(c) * y for x, y in pairs] + [np.conj(c) * x for x in alone]
    ]


@cache
def _derivatives(degree: int) -> tuple[Array, ...]:
    """The first three derivatives of each Legendre polynomial as sums of those below it."""
    rows = np.eye(degree + 1)
    return tuple(np.asarray(legendre.legder(rows, k).T, float) for k in (1, 2, 3))


def _table(x: Array, degree: int) -> list[Array]:
    """Legendre polynomials and their first three derivatives, each (degree + 1, points)."""
    values = np.asarray(legendre.legvander(x, degree).T, float)
    return [values] + [d @ values[: d.shape[1]] for d in _derivatives(degree)]


def polynomials(
    points: Array, box: tuple[float, float, float, float], degree: int
) -> tuple[list[Array], list[Array]]:
    """Legendre polynomials along u and v of a box, with three derivatives, each (degree + 1, points)."""
    tables: list[list[Array]] = []
    for k in range(2):
        size = 2 / (box[2 + k] - box[k])
        tables.append(
            [size**n * row for n, row in enumerate(_table((points[:, k] - box[k]) * size - 1, degree))]
        )
    return tables[0], tables[1]


def _pairs(degree: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    pairs = np.array([(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)])
    return pairs[:, 0], pairs[:, 1]


def many_of(bending: int, stretching: int, holes: int) -> tuple[int, int]:
    """How many functions bend a plate and how many stretch it, by the polynomials' degrees and its holes."""
    first, second = ((n + 1) * (n + 2) // 2 for n in (bending, stretching))
    # per hole: two without an imaginary part, and for each harmonic both parts of its solutions
    return first + holes * (2 + 4 * HARMONICS), 2 * second + holes * 4 * HARMONICS


@dataclass(frozen=True, slots=True, kw_only=True)
class Functions:
    """All a plate's functions are made of at many points: Legendre polynomials of both shares of a box, each
    with its derivatives, and what runs out from its holes."""

    across: list[Array]
    along: list[Array]
    rounds: tuple[Around, ...]

    @classmethod
    def at(
        cls,
        points: Array,
        box: tuple[float, float, float, float],
        degree: int,
        holes: tuple[Round, ...],
    ) -> Functions:
        """Polynomials up to that degree."""
        across, along = polynomials(points, box, degree)
        return cls(across=across, along=along, rounds=tuple(Around.of(points, hole) for hole in holes))

    def products(self, degree: int) -> Array:
        """Products up to a total degree with their ``ORDERS``: (orders, functions, points)."""
        i, j = _pairs(degree)
        return np.array([self.across[m][i] * self.along[n][j] for m, n in ORDERS])

    def bending(self, degree: int) -> Array:
        """All functions of w with their derivatives by u and v, (3, functions, points)."""
        whole = self.products(degree)
        out = [whole]
        for hole in self.rounds:
            jets = bending_around(hole)
            values = np.array([jet.all() for jet in jets]).swapaxes(0, 1)
            # −i times each one is the second solution of the same harmonic
            out += [values.real, values.imag[:, 2:]]
        return np.concatenate(out, axis=1)

    def stretching(self, degree: int, kappa: float) -> Complex:
        """All functions of u + iv with their derivatives by u and v, (3, functions, points)."""
        plain = self.products(degree)
        around = [f for hole in self.rounds for f in stretching_around(hole, kappa)]
        n = plain.shape[1]
        out = np.zeros((3, 2 * n + len(around), plain.shape[2]), complex)
        out.real[:, :n] = plain
        out.imag[:, n : 2 * n] = plain
        for k, f in enumerate(around, 2 * n):
            out[:, k] = f
        return out
