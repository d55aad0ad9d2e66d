"""What is asked of the solver and what it answers, as plain data; both travel as JSON.

Everything is in the part's own frame (that of its root flange), mm, N, MPa.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

from generators.strength.bores import Bore, BoreForce, Held, Hold, Vector

Triangle = tuple[int, int, int]

UNKNOWNS = 80_000
"""Unknowns wanted of the last mesh: about 0.7 GiB."""
FIRST_SHARE = 0.45
"""How much of them the first refinement may take."""

SATURATION = 1.8
"""1 / (1 - 0.44): from square to cubic displacements the energy's error falls to (2/3)^(4 l) of itself on one
mesh, l being how the worst corner raises it: 0.5 at a slit, 0.545 at a square inner corner (Babuska and Suri
1987, Williams 1952; both from memory)."""
RICHARDSON = 1.25
"""Roache's factor of safety (grid convergence index; ASME V&V 20, from memory)."""
SLOWEST = 1 / 3
"""The energy's error falls at least with that power of the unknowns: as h, at a square corner (Williams)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Forces that act together."""

    name: str
    forces: tuple[BoreForce, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One part with what holds and what loads it.

    ``brep`` is the solid as the text of a BREP file. ``sharp`` are lines of inner corners without a
    radius, where the stress of a linear model has no end; each as its two ends. ``passes`` is how often
    the mesh is refined; ``sure`` asks for the first mesh once more with cubic displacements, for the error.
    """

    part: str
    brep: str
    thickness_mm: float
    e_mpa: float
    poisson: float
    bores: tuple[Bore, ...]
    holds: tuple[Hold, ...]
    cases: tuple[Case, ...]
    sharp: tuple[tuple[Vector, Vector], ...] = ()
    passes: int = 2
    unknowns: int = UNKNOWNS
    surface: bool = True
    sure: bool = True

    def bore(self, name: str) -> Bore:
        """The bore of that name. Raises ``KeyError``."""
        for bore in self.bores:
            if bore.name == name:
                return bore
        raise KeyError(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshStep:
    """One mesh on the way: size, the work of each case (N mm), and each case's estimated error in the
    energy norm as a share; ``cubic_nmm`` is the work with cubic displacements on it, if asked for.
    ``peak_mpa`` is each case's largest stress that counts."""

    elements: int
    unknowns: int
    work_nmm: tuple[float, ...]
    error: tuple[float, ...]
    cubic_nmm: tuple[float, ...] = ()
    peak_mpa: tuple[float, ...] = ()


def peak_error(steps: Sequence[MeshStep], case: int) -> float | None:
    """How far a case's largest stress may still rise on finer meshes, as a share; None of one mesh alone.

    Elements are halved where stress is rough, and the smoothed stress errs by their size there or less, so
    what is missing is no more than what the last refinement changed (Richardson, order 1), or half of what
    the one before changed: the larger of both, with Roache's factor of safety.
    """
    changes = []
    for before, after in list(pairwise(steps))[-2:]:
        if not before.peak_mpa or not after.peak_mpa:
            return None
        changes.append(abs(after.peak_mpa[case] - before.peak_mpa[case]) / steps[-1].peak_mpa[case])
    if not changes:
        return None
    return RICHARDSON * max(changes[-1], changes[0] / 2 if len(changes) > 1 else 0.0)


def stated_error(steps: Sequence[MeshStep], case: int) -> float:
    """The error stated of a case's work on the last mesh, as a share: meant to cover the true one.

    The larger of two. Zienkiewicz and Zhu's, the square of the energy norm's, sees where stress is rough, but
    not what a mesh of one element through a bar cannot show at all (torsion: 7 % true, 0.3 % estimated). So
    the first mesh is solved with cubic displacements as well; these miss less than half of what quadratic
    ones miss (the saturation assumption; Bank and Weiser 1985, from memory), so ``SATURATION`` times the
    difference covers the first mesh, and what the finer ones have not made up of it is still missing. Without
    the cubic answer, Richardson's extrapolation of the last two meshes with Roache's factor of safety, the
    energy's error falling as slowly as at a sharp corner.
    """
    first, last = steps[0], steps[-1]
    work, sure = last.work_nmm[case], float(last.error[case] ** 2)
    if first.cubic_nmm:
        gain = SATURATION * (first.cubic_nmm[case] - first.work_nmm[case])
        return max(sure, (first.work_nmm[case] + gain - work) / work)
    if len(steps) > 1:
        rate = float((last.unknowns / steps[-2].unknowns) ** SLOWEST - 1)
        return max(sure, RICHARDSON * abs(work - steps[-2].work_nmm[case]) / work / rate)
    return sure


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseAnswer:
    """One case on the last mesh.

    ``work_nmm`` is force times movement, twice the ``energy_nmm`` stored. ``moved`` is the mean movement
    of each loaded bore. ``peak_mpa`` is the largest von Mises stress away from held bores and sharp inner
    corners, at ``peak_at``, and ``peak_error`` how far it may still rise on finer meshes, as a share (None:
    not known). ``error`` is the stated error of the movement as a share. ``held`` is what the part does to
    each bolt that holds it.
    """

    name: str
    work_nmm: float
    energy_nmm: float
    moved: Mapping[str, Vector]
    peak_mpa: float
    peak_at: Vector
    error: float
    held: Mapping[str, Held]
    peak_error: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """The skin of the part for pictures: points, triangles of them seen from outside, and per case the
    movement and the von Mises stress of each point."""

    points: tuple[Vector, ...]
    triangles: tuple[Triangle, ...]
    moved: tuple[tuple[Vector, ...], ...]
    stress_mpa: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the solver found; ``seconds`` and ``memory_mib`` (0 where the system does not tell) are of its
    process.
    """

    part: str
    steps: tuple[MeshStep, ...]
    cases: tuple[CaseAnswer, ...]
    surface: Surface | None
    seconds: float
    memory_mib: float

    @property
    def change(self) -> float:
        """Largest relative change of any case's work over the last refinement; 0 without one."""
        if len(self.steps) < 2:
            return 0.0
        before, after = self.steps[-2].work_nmm, self.steps[-1].work_nmm
        return max(abs(a - b) / abs(a) for a, b in zip(after, before, strict=True))


def problem_text(problem: Problem) -> str:
    """The problem as JSON."""
    return json.dumps(asdict(problem))


def read_problem(text: str) -> Problem:
    """A problem from its JSON."""
    data = json.loads(text)
    return Problem(
        **{
            **data,
            "bores": tuple(
                Bore(**{**b, "centre": _v(b["centre"]), "axis": _v(b["axis"])}) for b in data["bores"]
            ),
            "holds": tuple(Hold(**h) for h in data["holds"]),
            "cases": tuple(
                Case(
                    name=c["name"],
                    forces=tuple(BoreForce(bore=f["bore"], force=_v(f["force"])) for f in c["forces"]),
                )
                for c in data["cases"]
            ),
            "sharp": tuple((_v(a), _v(b)) for a, b in data["sharp"]),
        }
    )


def answer_text(answer: Answer) -> str:
    """The answer as JSON."""
    return json.dumps(asdict(answer))


def read_answer(text: str) -> Answer:
    """An answer from its JSON."""
    data = json.loads(text)
    surface = data["surface"]
    return Answer(
        part=data["part"],
        steps=tuple(
            MeshStep(
                elements=s["elements"],
                unknowns=s["unknowns"],
                work_nmm=tuple(s["work_nmm"]),
                error=tuple(s["error"]),
                cubic_nmm=tuple(s["cubic_nmm"]),
                peak_mpa=tuple(s["peak_mpa"]),
            )
            for s in data["steps"]
        ),
        cases=tuple(
            CaseAnswer(
                **{
                    **c,
                    "moved": {name: _v(value) for name, value in c["moved"].items()},
                    "peak_at": _v(c["peak_at"]),
                    "held": {
                        name: Held(force=_v(value["force"]), moment=_v(value["moment"]))
                        for name, value in c["held"].items()
                    },
                }
            )
            for c in data["cases"]
        ),
        surface=None if surface is None else read_surface(surface),
        seconds=data["seconds"],
        memory_mib=data["memory_mib"],
    )


def read_surface(data: Mapping[str, Any]) -> Surface:
    """A surface from plain data."""
    return Surface(
        points=tuple(_v(p) for p in data["points"]),
        triangles=tuple((int(a), int(b), int(c)) for a, b, c in data["triangles"]),
        moved=tuple(tuple(_v(p) for p in case) for case in data["moved"]),
        stress_mpa=tuple(tuple(float(s) for s in case) for case in data["stress_mpa"]),
    )


def _v(values: Any) -> Vector:
    a, b, c = values
    return float(a), float(b), float(c)
