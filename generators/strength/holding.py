"""What a solved part does to the bolts that hold it: the sum of its nodal reactions at each bore.

At a bore held all over, the residual K u - f of the equations (any text on finite elements: the reaction of a
held unknown), summed against a unit move and a unit turn of the bore. At a bed of springs, what the springs
bear. Forces N, moments N mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from ngsolve import CoefficientFunction, GridFunction, IfPos, InnerProduct, Integrate, x, y, z

from generators.strength.elastic import Array, Bed, Fixed, System, arm, vector


def on_bolt(
    system: System, fixed: Sequence[Fixed], beds: Sequence[Bed], field: Any, load: Any, middle: Array
) -> tuple[Array, Array]:
    """Force and moment about ``middle`` of the part on what holds these faces."""
    force, moment = np.zeros(3), np.zeros(3)
    ways = _ways(middle)
    if fixed:
        left = load.CreateVector()
        left.data = load - system.form.mat * field.vec
        faces = system.mesh.Boundaries("|".join(f.faces for f in fixed))
        moved = GridFunction(system.space)
        for k, way in enumerate(ways):
            moved.vec[:] = 0.0
            moved.Set(way, definedon=faces)
            (force if k < 3 else moment)[k % 3] += float(InnerProduct(left, moved.vec))
    for bed in beds:
        d = vector(bed.axis)
        along = InnerProduct(field, d) * d
        push = bed.along * along + bed.across * (field - along)
        if math.isfinite(bed.within):
            _, away = arm(bed.centre, bed.axis)
            push = IfPos(bed.within - away, 1.0, 0.0) * push
        faces = system.mesh.Boundaries(bed.faces)
        for k, way in enumerate(ways):
            # as many points as the springs were put in with: the same sum, so that all forces balance
            part = Integrate(InnerProduct(push, way), system.mesh, definedon=faces, order=8)
            (force if k < 3 else moment)[k % 3] += float(part)
    return force, moment


def _ways(middle: Array) -> tuple[Any, ...]:
    """A unit move along each axis, and a unit turn about each through ``middle``."""
    u, v, w = x - float(middle[0]), y - float(middle[1]), z - float(middle[2])
    moves = tuple(vector(row) for row in np.eye(3))
    zero = CoefficientFunction(0.0)
    return (
        *moves,
        CoefficientFunction((zero, -w, v)),
        CoefficientFunction((w, zero, -u)),
        CoefficientFunction((-v, u, zero)),
    )
