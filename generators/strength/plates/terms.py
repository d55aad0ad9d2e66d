"""The functions a plate's movement is built from: polynomials, and what runs out from a round hole.

Ritz's method takes the movement as a sum of given functions and finds the sum of least potential energy
(Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells*, from memory). Around a hole they are the
solutions of the annular plate (the same: ln r, r² ln r, r ln r cos θ, cos mθ / r^m, …) and of plane stress
(Kolosov and Muskhelishvili: 2G (u + iv) = κ φ − z φ'* − ψ*; England, *Complex Variable Methods in
Elasticity*, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

HARMONICS = 3
"""How often what runs out from a hole may change around it."""


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
        return Jet(*(np.conj(x) for x in self._all()))

    def times(self, factor: complex) -> Jet:
        """That many times it."""
        return Jet(*(factor * x for x in self._all()))

    def plus(self, other: Jet) -> Jet:
        """The sum."""
        return Jet(*(a + b for a, b in zip(self._all(), other._all(), strict=True)))

    def _all(self) -> tuple[Complex, ...]:
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
    return Jet(*(np.real(x).astype(complex) for x in jet._all()))


def _z(points: Array, hole: Round) -> Complex:
    z = (points[:, 0] - hole.u) + 1j * (points[:, 1] - hole.v)
    # a point on the hole's middle has no value; it is never inside the plate
    return np.asarray(np.where(np.abs(z) < 1e-6, 1e-6, z))


def bending_around(points: Array, hole: Round) -> Iterator[Jet]:
    """Real functions w around a hole, each one an exact deflection of an unloaded plate."""
    z, a = _z(points, hole), hole.radius
    square = _power(z, 1, a) * _power(z, 1, a).conjugate()
    log = _log(z, a)
    yield log
    yield square * log
    for factor in (1.0, -1j):
        yield (_power(z, 1, a) * log).times(factor)
        for m in range(1, HARMONICS + 1):
            yield _power(z, -m, a).times(factor)
            if m > 1:
                yield (square * _power(z, -m, a)).times(factor)


def steepness_around(points: Array, hole: Round) -> Iterator[Complex]:
    """Slope of Δw of each function of ``bending_around``: 4 f'' of w = Re(z* f + g)."""
    z, a = _z(points, hole), hole.radius
    yield np.zeros_like(z)
    yield 4 / (a**2 * z)
    for factor in (1.0, -1j):
        yield -2 * np.conj(factor) / (a * z**2)
        for m in range(1, HARMONICS + 1):
            yield np.zeros_like(z)
            if m > 1:
                yield 4 * factor * m * (m - 1) * (z / a) ** (-m - 1) / a**3


def steepness_terms(
    points: Array, box: tuple[float, float, float, float], degree: int, holes: tuple[Round, ...]
) -> Array:
    """Slope of Δw by u and v of every function of w, (2, points, functions)."""
    u0, v0, u1, v1 = box
    su, sv = 2 / (u1 - u0), 2 / (v1 - v0)
    p, dp, ddp, dddp = _table((points[:, 0] - u0) * su - 1, degree)
    q, dq, ddq, dddq = _table((points[:, 1] - v0) * sv - 1, degree)
    i, j = _pairs(degree)
    whole = [
        su**3 * dddp[:, i] * q[:, j] + su * sv**2 * dp[:, i] * ddq[:, j],
        su**2 * sv * ddp[:, i] * dq[:, j] + sv**3 * p[:, i] * dddq[:, j],
    ]
    around = [f for hole in holes for f in steepness_around(points, hole)]
    if around:
        extra = np.stack(around, axis=1)
        # f'' = a − ib has the slopes a by u and b by v
        whole = [np.hstack([whole[0], extra.real]), np.hstack([whole[1], -extra.imag])]
    return np.array(whole)


def stretching_around(points: Array, hole: Round, kappa: float) -> Iterator[Jet]:
    """Functions u + iv around a hole, each one an exact movement of an unloaded sheet in plane stress."""
    z, a = _z(points, hole), hole.radius
    one = _power(z, 1, a)
    for c in (1.0, 1j):
        away = one * _power(z, -1, a).conjugate()
        yield _log(z, a).times(-2 * kappa * c).plus(away.times(np.conj(c)))
        for m in range(1, HARMONICS + 1):
            yield _power(z, -m, a).times(c).conjugate()
            if m < HARMONICS:
                slope = _power(z, -m - 1, a).times(-m * c)
                yield _power(z, -m, a).times(kappa * c).plus((one * slope.conjugate()).times(-1))


def _table(x: Array, degree: int) -> list[Array]:
    """Legendre polynomials and their first three derivatives, each (points, degree + 1)."""
    rows = np.eye(degree + 1)
    return [
        np.asarray(legendre.legval(x, legendre.legder(rows, k) if k else rows).T, float) for k in range(4)
    ]


def _pairs(degree: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    pairs = np.array([(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)])
    return pairs[:, 0], pairs[:, 1]


def polynomials(points: Array, box: tuple[float, float, float, float], degree: int) -> Array:
    """Products of Legendre polynomials in a box up to a total degree: (6, points, functions), each with its
    derivatives by u, v, uu, uv, vv."""
    u0, v0, u1, v1 = box
    su, sv = 2 / (u1 - u0), 2 / (v1 - v0)
    p, dp, ddp, _ = _table((points[:, 0] - u0) * su - 1, degree)
    q, dq, ddq, _ = _table((points[:, 1] - v0) * sv - 1, degree)
    i, j = _pairs(degree)
    return np.array(
        [
            p[:, i] * q[:, j],
            su * dp[:, i] * q[:, j],
            sv * p[:, i] * dq[:, j],
            su**2 * ddp[:, i] * q[:, j],
            su * sv * dp[:, i] * dq[:, j],
            sv**2 * p[:, i] * ddq[:, j],
        ]
    )


def bending_terms(
    points: Array, box: tuple[float, float, float, float], degree: int, holes: tuple[Round, ...]
) -> Array:
    """All functions of w with their derivatives, (6, points, functions)."""
    around = [jet for hole in holes for jet in bending_around(points, hole)]
    extra = (
        [np.stack([np.real(getattr(jet, k)) for jet in around], axis=1) for k in Jet.__slots__]
        if around
        else []
    )
    whole = polynomials(points, box, degree)
    return np.concatenate([whole, np.array(extra)], axis=2) if around else whole


def stretching_terms(
    points: Array, box: tuple[float, float, float, float], degree: int, holes: tuple[Round, ...], kappa: float
) -> Complex:
    """All functions of u + iv with their derivatives by u and v, (3, points, functions)."""
    plain = polynomials(points, box, degree)[:3].astype(complex)
    parts = [plain, 1j * plain]
    around = [jet for hole in holes for jet in stretching_around(points, hole, kappa)]
    if around:
        parts.append(
            np.array([np.stack([getattr(jet, k) for jet in around], axis=1) for k in ("f", "u", "v")])
        )
    return np.concatenate(parts, axis=2)
