"""From displacements to smooth stresses, an error estimate, and where the mesh should be finer.

Zienkiewicz and Zhu's estimate: the raw stress of each element against a smoothed field (each element's
best linear fit, averaged where elements meet). Their difference in the energy norm is near the true
error of the stress.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from ngsolve import (
    H1,
    CoefficientFunction,
    Grad,
    GridFunction,
    InnerProduct,
    Integrate,
    Sym,
    sqrt,
)
from numpy.typing import NDArray

from generators.strength.elastic import ORDER, System, energy

Array = NDArray[np.float64]
SMOOTH_ORDER = 1
_PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


def smooth_stress(system: System, displacement: Any) -> Any:
    """The smoothed stress as six fields xx, yy, zz, yz, xz, xy in MPa."""
    raw = system.material.stress(Sym(Grad(displacement)))
    field = GridFunction(H1(system.mesh, order=SMOOTH_ORDER, dim=6))
    field.Set(CoefficientFunction(tuple(raw[i, j] for i, j in _PAIRS)))
    return field


def as_matrix(six: Any) -> Any:
    """Six fields as a symmetric 3×3."""
    xx, yy, zz, yz, xz, xy = (six[i] for i in range(6))
    return CoefficientFunction((xx, xy, xz, xy, yy, yz, xz, yz, zz), dims=(3, 3))


def von_mises(six: Any) -> Any:
    """Equivalent stress of von Mises, MPa."""
    xx, yy, zz, yz, xz, xy = (six[i] for i in range(6))
    return sqrt(
        0.5 * ((xx - yy) ** 2 + (yy - zz) ** 2 + (zz - xx) ** 2) + 3 * (yz**2 + xz**2 + xy**2) + 1e-12
    )


def von_mises_of(rows: Array) -> Array:
    """The same of numbers, (n, 6) to (n,)."""
    xx, yy, zz, yz, xz, xy = rows.T
    return np.asarray(
        np.sqrt(0.5 * ((xx - yy) ** 2 + (yy - zz) ** 2 + (zz - xx) ** 2) + 3 * (yz**2 + xz**2 + xy**2))
    )


def error_shares(system: System, displacement: Any, smooth: Any) -> Array:
    """Each element's share of the squared error over twice the strain energy; its sum is the square of
    the estimated error in the energy norm."""
    raw = system.material.stress(Sym(Grad(displacement)))
    gap = raw - as_matrix(smooth)
    squared = Integrate(
        InnerProduct(gap, system.material.compliance(gap)), system.mesh, element_wise=True, order=4
    )
    return np.asarray(squared.NumPy()) / (2 * energy(system, displacement))


def refine(mesh: Any, shares: Sequence[Array], share: float, most: int) -> None:
    """Split the elements that together hold ``share`` of the error of all load cases (Dörfler's rule), the
    worst first and at most ``most`` of them."""
    worth = np.maximum.reduce([s / s.sum() for s in shares])
    order = np.argsort(-worth, kind="stable")
    many = int(np.searchsorted(np.cumsum(worth[order]), share * worth.sum())) + 1
    many = min(many, max(1, most))
    flags = np.zeros(len(worth), dtype=bool)
    flags[order[:many]] = True
    mesh.ngmesh.Elements3D().NumPy()["refine"] = flags
    for row in mesh.ngmesh.Elements2D():
        row.refine = False
    mesh.Refine()
    mesh.Curve(ORDER)
