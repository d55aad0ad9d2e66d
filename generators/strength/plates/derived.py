"""What a plate's functions (``terms``) do to it at many points: curvatures, strains, slopes of Δw.

Stress is looked at in thousands of points, so the derivatives are written out instead of carried along: a
deflection is w = Re(z* f + g) of two analytic functions (Goursat), so with s = z over the hole's radius

    w_uu, w_vv = Re(2 f' ± (s* f'' + g'')),   w_uv = −Im(s* f'' + g'')

and a movement u + iv = φ + s q* has the strains Re(φ' + q*) ± Re(s q'*) and 2 Im(s q'*) (Kolosov and
Muskhelishvili; England, *Complex Variable Methods in Elasticity*, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.strength.plates.terms import HARMONICS, Round, from_middle, many_of, polynomials

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]
Rows = tuple[Array, Array, Array]
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
    """Slope of Δw by u and v, (2, functions, points)."""

    @classmethod
    def empty(cls, bending: int, stretching: int, holes: int, points: int) -> Terms:
        """Room for the functions of those degrees at so many points."""
        nb, ns = many_of(bending, stretching, holes)
        return cls(
            curves=np.empty((3, nb, points)),
            strains=np.empty((3, ns, points)),
            steepness=np.empty((2, nb, points)),
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
            a = hole.radius
            s = from_middle(points, hole) / a
            away = _powers(s)
            for uu, uv, vv, slope in _bent(s, away):
                curves[0, bent], curves[1, bent], curves[2, bent] = uu / a**2, uv / a**2, vv / a**2
                # f'' = a − ib has the slopes a by u and b by v
                steepness[0, bent], steepness[1, bent] = slope.real * (4 / a**3), slope.imag * (-4 / a**3)
                bent += 1
            for rows in _strained(s, away, kappa):
                for out, row in zip(strains, rows, strict=True):
                    np.multiply(row, 1 / a, out=out[stretched])
                stretched += 1


def _powers(s: Complex) -> list[Complex]:
    """1, 1/s, 1/s², … as far as they are asked for."""
    out = [np.ones_like(s)]
    inverse = 1 / s
    for _ in range(HARMONICS + 2):
        out.append(out[-1] * inverse)
    return out


def _bent(s: Complex, away: list[Complex]) -> Iterator[tuple[Array, Array, Array, Complex]]:
    """Of each function of ``terms.bending_around``: w_uu, w_uv, w_vv and f'', in shares of the radius."""
    none = np.zeros_like(s)
    turned = np.conj(s)
    # ln r: g = ln s. Then r² ln r: f = s ln s, of which only the real part of ln s counts
    yield *_curved(none, -away[2]), none
    yield *_curved(2 * (np.log(np.abs(s)) + 1) + none, turned * away[1]), away[1]
    # r ln r cos θ: 2 f = ln s and 2 g = s ln s; r ln r sin θ: the same with i f and −i g
    lean, own = turned * away[2] / 2, away[1] / 2
    harmonics: list[tuple[Complex, Complex, Complex]] = []
    for m in range(1, HARMONICS + 1):
        harmonics.append((none, m * (m + 1) * away[m + 2], none))
        if m > 1:
            steep = m * (m - 1) * away[m + 1]
            harmonics.append((2 * (1 - m) * away[m], turned * steep, steep))
    yield *_curved(away[1], own - lean), -away[2] / 2
    yield from ((*_curved(twice, whole), steep) for twice, whole, steep in harmonics)
    yield *_curved(1j * away[1], -1j * (own + lean)), -0.5j * away[2]
    for twice, whole, steep in harmonics:
        # the imaginary part of a function is the real part of −i times it
        yield *_curved(-1j * twice, -1j * whole), -1j * steep


def _curved(twice: Complex, whole: Complex) -> Rows:
    """w_uu, w_uv and w_vv of 2 f' and s* f'' + g''."""
    return twice.real + whole.real, -whole.imag, twice.real - whole.real


def _strained(s: Complex, away: list[Complex], kappa: float) -> Iterator[Rows]:
    """Of each function of ``terms.stretching_around``: both strains and shear, in shares of the radius."""
    inverse, leaning = np.conj(away[1]), -s * np.conj(away[2])
    harmonics = [(m * away[m + 1], -m * (m + 1) * s * np.conj(away[m + 2])) for m in range(1, HARMONICS)]
    alone = [-m * np.conj(away[m + 1]) for m in range(1, HARMONICS + 1)]
    # φ = −2 κ ln r has no other part than its slope; times i it moves across
    u, v, shear = _parts(inverse.real, leaning)
    yield u - 2 * kappa * away[1].real, v, shear + 2 * kappa * away[1].imag
    yield from (_parts((1 - kappa) * near.real, far) for near, far in harmonics)
    yield from (_parts(0.0, far) for far in alone)
    u, v, shear = _parts(inverse.imag, -1j * leaning)
    yield u, v + 2 * kappa * away[1].imag, shear - 2 * kappa * away[1].real
    yield from (_parts((kappa - 1) * near.imag, -1j * far) for near, far in harmonics)
    yield from (_parts(0.0, -1j * far) for far in alone)


def _parts(same: Array | float, far: Complex) -> Rows:
    """Both strains and the shear of Re(φ' + q*) and s q'*."""
    return same + far.real, same - far.real, 2 * far.imag


def _polynomials_curve(across: list[Array], along: list[Array], curves: Array, steepness: Array) -> int:
    """Fill in what the polynomials bend, and say how many they are."""
    first, count = 0, len(across[0])
    for i in range(count):
        rows = slice(first, first + count - i)
        x, y = [t[i] for t in across], [t[: count - i] for t in along]
        for out, m, n in zip(curves, (2, 1, 0), (0, 1, 2), strict=True):
            np.multiply(x[m], y[n], out=out[rows])
        np.multiply(x[3], y[0], out=steepness[0, rows])
        steepness[0, rows] += x[1] * y[2]
        np.multiply(x[2], y[1], out=steepness[1, rows])
        steepness[1, rows] += x[0] * y[3]
        first = rows.stop
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
