"""Plates, forces on a hanger and the error of finite elements."""

from __future__ import annotations

import math

import numpy as np

from generators.strength.bores import Bore
from generators.strength.plates.derived import Terms
from generators.strength.plates.plate import Material
from generators.strength.plates.terms import Round
from generators.strength.problem import MeshStep, stated_error
from generators.strength.statics import Pose, reactions
from report.check import Check

STEEL = Material(e_mpa=30e6, poisson=0.3, thickness=0.25)
"""In psi and inches, as the handbook has it."""
HOLE = Round(u=0.0, v=0.0, radius=10.0)
BOX = (-50.0, -50.0, 50.0, 50.0)


def _derived(r: float) -> Terms:
    """The program's functions beside a hole, at one radius."""
    terms = Terms.empty(1, 1, 1, 1)
    terms.fill(slice(0, 1), np.array([[r, 0.0]]), BOX, (HOLE,), (1, 1), STEEL.kappa)
    return terms


def _annulus(r: float) -> float:
    """Slope of the Laplacian of r2 ln(r/a), times a2."""
    return float(_derived(r).steepness[0, 4, 0]) * HOLE.radius**2


def _laplacian(r: float) -> float:
    uu, _, vv = _derived(r).curves[:, 4, 0]
    return float(uu + vv) * HOLE.radius**2


def _rod_force() -> float:
    """A pedal of 6 to 1 pushed by 100 lbf: the force of its rod, lbf."""
    pose = Pose(
        pivot=(0.0, 0.0, 0.0), pin=(0.0, -2.0, 0.0), pad=(0.0, -12.0, 0.0), seat=(0.0, -2.0, -8.0),
        across=(1.0, 0.0, 0.0), press=(0.0, 0.0, -1.0), axis=(0.0, 0.0, -1.0),
    )  # fmt: skip
    shaft = [
        Bore(name=n, centre=(x, 0.0, 0.0), axis=(1.0, 0.0, 0.0), radius_mm=0.3, length_mm=0.1)
        for n, x in (("right", 2.0), ("left", -2.0))
    ]
    master = [Bore(name="m", centre=(0.0, -2.0, -8.0), axis=(0.0, 0.0, 1.0), radius_mm=0.2, length_mm=0.1)]
    return abs(reactions(pose, (0.0, 0.0, -100.0), shaft, master).rod_n)


def _richardson() -> float:
    """Two meshes, eight times the unknowns on the second, whose work rose from 0.97 to 0.98."""
    steps = [
        MeshStep(elements=1, unknowns=1000, work_nmm=(0.97,), error=(0.0,)),
        MeshStep(elements=8, unknowns=8000, work_nmm=(0.98,), error=(0.0,)),
    ]
    return stated_error(steps, 0)


CHECKS = (
    Check(
        room="strength",
        what="plate stiffness D of 1/4 in steel, E 30e6 psi, nu 0.3",
        source="E t3 / 12 (1 - nu2), by hand: 30e6 / 64 / 10.92 (Roark table 11.2, Timoshenko)",
        reference=42925.8,
        unit="lbf in",
        ours=lambda: STEEL.bending,
        within=0.1,
        trust="C",
    ),
    Check(
        room="strength",
        what="Muskhelishvili's constant in plane stress, nu 1/3",
        source="(3 - nu) / (1 + nu)",
        reference=2.0,
        unit="",
        ours=lambda: Material(e_mpa=1.0, poisson=1 / 3, thickness=1.0).kappa,
        within=1e-12,
        trust="C",
    ),
    Check(
        room="strength",
        what="Laplacian of r2 ln(r/a) at r = 30, a = 10: 4 ln 3 + 4",
        source="Timoshenko and Woinowsky-Krieger, circular plates, by hand",
        reference=4 * math.log(3) + 4,
        unit="",
        ours=lambda: _laplacian(30.0),
        within=1e-9,
        trust="C",
    ),
    Check(
        room="strength",
        what="its slope there: 4 / r, so that 2 pi r Q is the load",
        source="the same",
        reference=4 / 30,
        unit="1/mm",
        ours=lambda: _annulus(30.0),
        within=1e-9,
        trust="C",
    ),
    Check(
        room="strength",
        what="rod of a 6 to 1 pedal under 100 lbf",
        source="moments about the pivot, by hand",
        reference=600.0,
        unit="lbf",
        ours=_rod_force,
        within=1e-9,
        trust="C",
    ),
    Check(
        room="strength",
        what="error stated of two meshes: 1.25 x 0.01/0.98 / (8^(1/3) - 1)",
        source="Roache's grid convergence index, by hand",
        reference=1.25 * 0.01 / 0.98,
        unit="",
        ours=_richardson,
        within=1e-12,
        trust="C",
    ),
)
