"""The functions a plate's movement is built from: polynomials, and what runs out from a round hole.

Ritz's method takes the movement as a sum of given functions and finds the sum of least potential energy
(Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells*, from memory). Around a hole they are the
solutions of the annular plate (the same: ln r, r² ln r, r ln r cos θ, cos mθ / r^m, …) and of plane stress
(Kolosov and Muskhelishvili: 2G (u + iv) = κ φ − z φ'* − ψ*; England, *Complex Variable Methods in
Elasticity*, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

ORDERS: tuple[tuple[int, int], ...] = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))
"""Derivatives by u and by v: the function, u, v, uu, uv, vv."""
HARMONICS = 3
"""How often what runs out from a hole may change around it."""
_HARMONIC = tuple(range(1, HARMONICS + 1))


@dataclass(frozen=True, slots=True)
class Jet:
    """A function at many points with its first and second derivatives by u and v."""

    f: Complex
    u: Complex
    v: Complex
    uu: Complex
    uv: Complex
    vv: Complex

    def __mul__(self, other: Jet) -> Jet:
        """The product's derivatives (Leibniz)."""
        return Jet(
            self.f * other.f,
            self.u * other.f + self.f * other.u,
            self.v * other.f + self.f * other.v,
            self.uu * other.f + 2 * self.u * other.u + self.f * other.uu,
            self.uv * other.f + self.u * other.v + self.v * other.u + self.f * other.uv,
            self.vv * other.f + 2 * self.v * other.v + self.f * other.vv,
        )

    def conjugate(self) -> Jet:
        """The complex conjugate."""
        return Jet(*(np.conj(x) for x in self.all()))

    def first(self) -> Complex:
        """Itself and its first derivatives, (3, points)."""
        return np.array([self.f, self.u, self.v])

    def all(self) -> tuple[Complex, ...]:
        """All six."""
        return self.f, self.u, self.v, self.uu, self.uv, self.vv


def _analytic(f: Complex, first: Complex, second: Complex) -> Jet:
    """A function of z = u + iv by its derivatives by z."""
    return Jet(f, first, 1j * first, second, 1j * second, -second)


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A round hole the functions run out from: middle and radius, mm."""

    u: float
    v: float
    radius: float


def _power(z: Complex, m: int, scale: float) -> Jet:
    s = z / scale
    low = _whole(s, m - 2)
    return _analytic(low * s * s, m * low * s / scale, m * (m - 1) * low / scale**2)


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
    jet = _analytic(np.log(z / scale), 1 / z, -1 / z**2)
    return Jet(*(np.real(x).astype(complex) for x in jet.all()))


def _z(points: Array, hole: Round) -> Complex:
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
        z, a = _z(points, hole), hole.radius
        return cls(z, a, _power(z, 1, a), _log(z, a), tuple(_power(z, -m, a) for m in _HARMONIC))


def bending_around(hole: Around) -> list[Jet]:
    """Functions around a hole of which real and imaginary parts are w, each one an exact deflection of an
    unloaded plate; the first two have no imaginary part."""
    square = hole.one * hole.one.conjugate()
    both = [hole.one * hole.log]
    for m, away in zip(_HARMONIC, hole.away, strict=True):
        both += [away, square * away] if m > 1 else [away]
    return [hole.log, square * hole.log, *both]


def steepness_around(hole: Around) -> Iterator[Complex]:
    """Slope of Δw of each function of ``bending_around``: 4 f'' of w = Re(z* f + g)."""
    z, a = hole.z, hole.radius
    yield np.zeros_like(z)
    yield 4 / (a**2 * z)
    for factor in (1.0, -1j):
        yield -2 * np.conj(factor) / (a * z**2)
        for m, away in zip(_HARMONIC, hole.away, strict=True):
            yield np.zeros_like(z)
            if m > 1:
                yield 4 * factor * m * (m - 1) / a**2 * away.f / z


def stretching_around(hole: Around, kappa: float) -> list[Complex]:
    """Functions u + iv around a hole, each one an exact movement of an unloaded sheet in plane stress: three
    rows each."""
    # φ and z φ'* of each, of which c φ takes c times the first and c* times the second; ψ alone is the last
    pairs = [(hole.log.first() * (-2 * kappa), (hole.one * hole.away[0].conjugate()).first())]
    for m in _HARMONIC[:-1]:
        slope = (hole.one * hole.away[m].conjugate()).first()
        pairs.append((kappa * hole.away[m - 1].first(), m * slope))
    alone = [away.conjugate().first() for away in hole.away]
    return [
        f
        for c in (1.0, 1j)
        for f in [c * x + np.conj(c) * y for x, y in pairs] + [np.conj(c) * x for x in alone]
    ]


def _table(x: Array, degree: int) -> list[Array]:
    """Legendre polynomials and their first three derivatives, each (degree + 1, points)."""
    rows, values = np.eye(degree + 1), np.asarray(legendre.legvander(x, degree).T, float)
    derived = [np.asarray(legendre.legder(rows, k).T, float) for k in (1, 2, 3)]
    return [values] + [d @ values[: d.shape[1]] for d in derived]


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
        tables = []
        for k in range(2):
            size = 2 / (box[2 + k] - box[k])
            tables.append(
                [size**n * row for n, row in enumerate(_table((points[:, k] - box[k]) * size - 1, degree))]
            )
        rounds = tuple(Around.of(points, hole) for hole in holes)
        return cls(across=tables[0], along=tables[1], rounds=rounds)

    def products(self, degree: int, orders: Sequence[tuple[int, int]]) -> Array:
        """Products up to a total degree, derived so often by u and by v: (orders, functions, points)."""
        i, j = _pairs(degree)
        return np.array([self.across[m][i] * self.along[n][j] for m, n in orders])

    def bending(self, degree: int, rows: slice = slice(None)) -> Array:
        """All functions of w, of their ``ORDERS`` those rows: (rows, functions, points)."""
        whole = self.products(degree, ORDERS[rows])
        out = [whole]
        for hole in self.rounds:
            jets = bending_around(hole)
            values = np.array([jet.all()[rows] for jet in jets]).swapaxes(0, 1)
            # −i times each one is the second solution of the same harmonic
            out += [values.real, values.imag[:, 2:]]
        return np.concatenate(out, axis=1)

    def stretching(self, degree: int, kappa: float) -> Complex:
        """All functions of u + iv with their derivatives by u and v, (3, functions, points)."""
        plain = self.products(degree, ORDERS[:3])
        around = [f for hole in self.rounds for f in stretching_around(hole, kappa)]
        n = plain.shape[1]
        # filled in place: these arrays are large, and each copy of them costs as much as working them out
        out = np.zeros((3, 2 * n + len(around), plain.shape[2]), complex)
        out.real[:, :n] = plain
        out.imag[:, n : 2 * n] = plain
        for k, f in enumerate(around, 2 * n):
            out[:, k] = f
        return out

    def steepness(self, degree: int) -> Array:
        """Slope of Δw by u and v of every function of w, (2, functions, points)."""
        uuu, uvv, uuv, vvv = self.products(degree, [(3, 0), (1, 2), (2, 1), (0, 3)])
        around = np.array([f for hole in self.rounds for f in steepness_around(hole)])
        around = around.reshape(-1, uuu.shape[1])
        # f'' = a − ib has the slopes a by u and b by v
        return np.array([np.concatenate([uuu + uvv, around.real]), np.concatenate([uuv + vvv, -around.imag])])
