"""What a plate's functions (``terms``) do to it at many points: curvatures, strains, slopes of Δw.

Stress is looked at in thousands of points, so the derivatives are written out instead of carried along: a
deflection is w = Re(z* f + g) of two analytic functions (Goursat), so with s = z over the hole's radius

    w_uu, w_vv = Re(2 f' ± (s* f'' + g'')),   w_uv = −Im(s* f'' + g'')

and a movement u + iv = φ + s q* has the strains Re(φ' + q*) ± Re(s q'*) and 2 Im(s q'*) (Kolosov and
Muskhelishvili; England, *Complex Variable Methods in Elasticity*, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.strength.plates.terms import HARMONICS, Round, from_middle, many_of, polynomials

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]
Box = tuple[float, float, float, float]
Degrees = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a plate's functions do at its points."""

    curves: Array
    """w_uu, w_uv and w_vv of what bends it, (3, functions, points)."""
    strains: Array
    """Along u, along v and the shear of what stretches it, (3, functions, points)."""
    steepness: Array
    """Slope of Δw by u and v, (2, functions, points); no functions where it is not asked for."""

    @classmethod
    def empty(
        cls, bending: int, stretching: int, holes: int, points: int, *, steepness: bool = True
    ) -> Terms:
        """Room for the functions of those degrees at so many points."""
        nb, ns = many_of(bending, stretching, holes)
        return cls(
            curves=np.empty((3, nb, points)),
            strains=np.empty((3, ns, points)),
            steepness=np.empty((2, nb if steepness else 0, points)),
        )

    def fill(
        self,
        at: slice,
        points: Array,
        box: Box,
        holes: Sequence[Round],
        degrees: tuple[int, int],
        kappa: float,
    ) -> None:
        """Work out the points of those columns. ``degrees`` are those of the polynomials that bend and that
        stretch, of which the first is no lower; ``kappa`` is Muskhelishvili's constant."""
        curves, strains, steepness = (x[:, :, at] for x in (self.curves, self.strains, self.steepness))
        bending, stretching = degrees
        across, along = polynomials(points, box, bending)
        bent = _polynomials_curve(across, along, curves, steepness)
        stretched = _polynomials_strain(across, along, stretching, strains)
        for hole in holes:
            s = from_middle(points, hole) / hole.radius
            away = _powers(s)
            bent = _bent_around(s, away, hole.radius, bent, curves, steepness)
            stretched = _strained_around(s, away, hole.radius, kappa, stretched, strains)

    def part(self, at: slice) -> Terms:
        """The same at some of the points, no copy."""
        return Terms(
            curves=self.curves[:, :, at], strains=self.strains[:, :, at], steepness=self.steepness[:, :, at]
        )


def _powers(s: Complex) -> list[Complex]:
    """1, 1/s, 1/s², … as far as they are asked for."""
    out = [np.ones_like(s)]
    inverse = 1 / s
    for _ in range(HARMONICS + 2):
        out.append(out[-1] * inverse)
    return out


def _bent_around(
    s: Complex, away: list[Complex], radius: float, first: int, curves: Array, steepness: Array
) -> int:
    """Fill in the functions of ``terms.bending_around`` from row ``first`` on, and say where they end."""
    harmonics = 2 * HARMONICS - 1
    # 2 f', s* f'' + g'' and f'' of each, in shares of the radius
    twice, whole, steep = np.zeros((3, harmonics + 4, len(s)), complex)
    asked = len(steepness[0]) > 0
    turned = np.conj(s)
    # ln r: g = ln s. Then r² ln r: f = s ln s, of which only the real part of ln s counts
    np.negative(away[2], out=whole[0])
    twice[1], steep[1] = 2 * (np.log(np.abs(s)) + 1), away[1]
    np.multiply(turned, away[1], out=whole[1])
    # r ln r cos θ: 2 f = ln s and 2 g = s ln s; r ln r sin θ: the same with i f and −i g,
    # which is −i times the last row
    lean, own = turned * away[2] / 2, away[1] / 2
    twice[2], whole[2], steep[2] = away[1], own - lean, -away[2] / 2
    twice[-1], whole[-1], steep[-1] = -away[1], own + lean, away[2] / 2
    row = 3
    for m in range(1, HARMONICS + 1):
        np.multiply(m * (m + 1), away[m + 2], out=whole[row])
        row += 1
        if m > 1:
            np.multiply(2 * (1 - m), away[m], out=twice[row])
            np.multiply(m * (m - 1), away[m + 1], out=steep[row])
            np.multiply(turned, steep[row], out=whole[row])
            row += 1
    # the imaginary part of a function is the real part of −i times it
    real, sine, imaginary = slice(0, row), slice(row, row + 1), slice(3, row)
    for rows, turn in ((real, False), (sine, True), (imaginary, True)):
        out = slice(first, first + rows.stop - rows.start)
        same, lie, cross = (
            (twice.imag, whole.imag, whole.real) if turn else (twice.real, whole.real, -whole.imag)
        )
        np.add(same[rows], lie[rows], out=curves[0, out])
        curves[1, out] = cross[rows]
        np.subtract(same[rows], lie[rows], out=curves[2, out])
        curves[:, out] /= radius**2
        first = out.stop
        if not asked:
            continue
        # f'' = a − ib has the slopes a by u and b by v
        by_u, by_v = (steep.imag, steep.real) if turn else (steep.real, -steep.imag)
        np.multiply(by_u[rows], 4 / radius**3, out=steepness[0, out])
        np.multiply(by_v[rows], 4 / radius**3, out=steepness[1, out])
    return first


def _strained_around(
    s: Complex, away: list[Complex], radius: float, kappa: float, first: int, strains: Array
) -> int:
    """Fill in the functions of ``terms.stretching_around`` from row ``first`` on, and say where they end."""
    count = 2 * HARMONICS
    # φ' + q* and s q'* of each, in shares of the radius
    far = np.empty((count, len(s)), complex)
    real, imaginary = np.zeros((2, count, len(s)))
    inverse = np.conj(away[1])
    np.multiply(-s, np.conj(away[2]), out=far[0])
    real[0], imaginary[0] = inverse.real, inverse.imag
    for m in range(1, HARMONICS):
        near = m * away[m + 1]
        np.multiply((1 - kappa), near.real, out=real[m])
        np.multiply((kappa - 1), near.imag, out=imaginary[m])
        np.multiply(-m * (m + 1) * s, np.conj(away[m + 2]), out=far[m])
    for m in range(1, HARMONICS + 1):
        np.multiply(-m, np.conj(away[m + 1]), out=far[HARMONICS + m - 1])
    # φ = −2 κ ln r has no other part than its slope; times i it moves across
    across, along = 2 * kappa * away[1].real, 2 * kappa * away[1].imag
    for same, lie, cross, turn in ((real, far.real, far.imag, False), (imaginary, far.imag, -far.real, True)):
        u, v, shear = strains[:, first : first + count]
        np.add(same, lie, out=u)
        np.subtract(same, lie, out=v)
        np.multiply(2, cross, out=shear)
        if turn:
            v[0] += along
            shear[0] -= across
        else:
            u[0] -= across
            shear[0] += along
        strains[:, first : first + count] *= 1 / radius
        first += count
    return first


def _polynomials_curve(across: list[Array], along: list[Array], curves: Array, steepness: Array) -> int:
    """Fill in what the polynomials bend, and say how many they are."""
    first, count = 0, len(across[0])
    for i in range(count):
        rows = slice(first, first + count - i)
        x, y = [t[i] for t in across], [t[: count - i] for t in along]
        for out, m, n in zip(curves, (2, 1, 0), (0, 1, 2), strict=True):
            np.multiply(x[m], y[n], out=out[rows])
        first = rows.stop
        if not len(steepness[0]):
            continue
        np.multiply(x[3], y[0], out=steepness[0, rows])
        steepness[0, rows] += x[1] * y[2]
        np.multiply(x[2], y[1], out=steepness[1, rows])
        steepness[1, rows] += x[0] * y[3]
    return first


def _polynomials_strain(across: list[Array], along: list[Array], degree: int, strains: Array) -> int:
    """Fill in what the polynomials stretch, first along u and then along v, and say how many they are."""
    half = (degree + 1) * (degree + 2) // 2
    strains[1, :half] = 0
    strains[0, half : 2 * half] = 0
    first = 0
    for i in range(degree + 1):
        rows = slice(first, first + degree + 1 - i)
        other = slice(half + rows.start, half + rows.stop)
        y = [t[: degree + 1 - i] for t in along[:2]]
        by_u, by_v = across[1][i] * y[0], across[0][i] * y[1]
        strains[0, rows] = strains[2, other] = by_u
        strains[1, other] = strains[2, rows] = by_v
        first = rows.stop
    return 2 * half
