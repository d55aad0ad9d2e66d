"""The solid folded from a mirrored plan is the mirror image the kernel itself makes of the solid."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
from drawing.part_cases import make, tree

from generators.parts.building.mirror import mirrored
from generators.solids.build import folded_solid

PLANS = {
    "gusset_left": make("slave_bracket", t=4.0, gussets="left", mounts=2),
    "tree": tree(),
}


def bores(solid: cq.Shape) -> list[tuple[float, ...]]:
    """Centre of mass and area of every cylindrical face, sorted."""
    faces = [f for f in solid.Faces() if f.geomType() == "CYLINDER"]
    return sorted((*(round(c, 6) + 0.0 for c in f.Center().toTuple()), round(f.Area(), 6)) for f in faces)


@pytest.mark.parametrize("name", PLANS)
def test_it_is_the_kernels_own_mirror_image(name: str) -> None:
    plan = PLANS[name]
    image = folded_solid(plan).mirror("YZ")
    other = folded_solid(mirrored(plan))
    assert other.isValid()
    assert len(other.Solids()) == 1
    assert other.Volume() == pytest.approx(image.Volume(), rel=1e-9)
    # hole walls, bends and rounded corners lie where the kernel's mirror puts them
    assert len(bores(other)) > 5
    assert np.allclose(bores(other), bores(image), atol=2e-5)
    # and nothing is left when one is cut from the other
    assert other.cut(image).Volume() < 1e-3
    assert image.cut(other).Volume() < 1e-3
    # the part is not its own mirror image: the test could fail
    assert folded_solid(plan).cut(other).Volume() > 100
