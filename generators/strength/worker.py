"""The solver as a program of its own: a problem as JSON on stdin, the answer as JSON on stdout.

A process of its own keeps the two copies of the modelling kernel apart, and its memory bounded.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from generators.strength.bores import Bore, Held, Vector
from generators.strength.elastic import (
    ORDER,
    Bed,
    Elastic,
    Fixed,
    Push,
    System,
    bearing,
    displaced,
    energy,
    face_points,
    faces_where,
    loaded,
    mean_of,
    mesh_of,
    on_cylinder,
    on_plane,
    read_brep,
    ringed,
    support,
    work,
)
from generators.strength.holding import on_bolt
from generators.strength.memory import bound, peak_mib
from generators.strength.problem import (
    FIRST_SHARE,
    Answer,
    Case,
    CaseAnswer,
    MeshStep,
    Problem,
    Surface,
    answer_text,
    peak_error,
    read_problem,
    stated_error,
)
from generators.strength.recovery import error_shares, refine, smooth_stress, von_mises_of
from generators.strength.statics import pulls

Array = NDArray[np.float64]
Faces = Mapping[str, Array]
Supports = dict[str, tuple[list[Fixed], list[Bed]]]

LARGEST = 8.0
"""First mesh: largest edge in sheet thicknesses."""
BORE_EDGES = 8
"""Edges of the first mesh around a bore that is held or loaded."""
REFINE_SHARE = 0.5
"""Share of the error that the split elements hold."""
PER_ELEMENT = 5
SPLIT_ADDS = (6, 25)
"""Unknowns an element brings, and elements that one split one brings: on the first pass and on the next,
where more of its neighbours must follow (seen on hangers; only steers how many are split)."""
SHOWN_TRIANGLES = 7_000
ADDRESS_BYTES = 6 * 2**30
MOST_UNKNOWNS = 200_000
"""About 1.3 GiB; a finer mesh is refused."""
RIGID = 100.0
"""A bed this many times stiffer than the sheet's own E/t counts as rigid."""


class Fault(Exception):
    """The problem cannot be solved; the text is for people."""


def _mid(bore: Bore) -> Array:
    return np.array(bore.centre) + np.array(bore.axis) * bore.length_mm / 2


def _close(bore: Bore) -> list[tuple[Vector, float]]:
    """Points around a bore with the edge length wanted there."""
    d = np.array(bore.axis)
    side = np.cross(d, [1.0, 0.0, 0.0] if abs(d[0]) < 0.9 else [0.0, 1.0, 0.0])
    side /= np.linalg.norm(side)
    other, size = np.cross(d, side), 2 * np.pi * bore.radius_mm / BORE_EDGES
    out = []
    for k in range(BORE_EDGES):
        turn = 2 * np.pi * k / BORE_EDGES
        p = _mid(bore) + bore.radius_mm * (np.cos(turn) * side + np.sin(turn) * other)
        out.append(((float(p[0]), float(p[1]), float(p[2])), float(size)))
    return out


def _wall(faces: Faces, bore: Bore) -> str:
    found = faces_where(faces, on_cylinder(bore.centre, bore.axis, bore.radius_mm, (0.0, bore.length_mm)))
    if not found:
        raise Fault(f"the solid has no bore {bore.name}")
    return found


def _touched(faces: Faces, bore: Bore) -> str:
    """The faces whose mean movement is a bore's: its wall, or those under a slot's rings."""
    if not bore.slotted:
        return _wall(faces, bore)
    return "|".join(faces_where(faces, on_plane(end, bore.axis)) for end in bore.ends)


def _supports(problem: Problem, faces: Faces) -> Supports:
    """What each bolt that holds the part does to its faces."""
    out: Supports = {}
    rigid = RIGID * problem.e_mpa / problem.thickness_mm
    for hold in problem.holds:
        fixed, beds = out.setdefault(hold.bore, ([], []))
        bore = problem.bore(hold.bore)
        wall = "" if bore.slotted else _wall(faces, bore)
        area = 2 * np.pi * bore.radius_mm * bore.length_mm
        if hold.ring_mm > 2 * bore.radius_mm or bore.slotted:
            # of a slot the ring alone is known; what the slot takes of it is left out
            inner = 0.0 if bore.slotted else bore.radius_mm
            area = 2 * np.pi * (hold.ring_mm**2 / 4 - inner**2)
            along = 1 / (hold.flex_mm_per_n * area) if hold.flex_mm_per_n else rigid
            for end in bore.ends:
                beds.append(
                    Bed(
                        faces=faces_where(faces, on_plane(end, bore.axis)),
                        axis=bore.axis,
                        along=min(along, rigid),
                        across=rigid,
                        centre=bore.centre,
                        within=hold.ring_mm / 2,
                    )
                )
        elif hold.flex_mm_per_n:
            along = min(1 / (hold.flex_mm_per_n * area), rigid)
            beds.append(Bed(faces=wall, axis=bore.axis, along=along, across=rigid))
        else:
            fixed.append(Fixed(faces=wall))
    return out


def _together(supports: Supports) -> tuple[list[Fixed], list[Bed]]:
    pairs = supports.values()
    return [f for fixed, _ in pairs for f in fixed], [b for _, beds in pairs for b in beds]


def _pushes(problem: Problem, mesh: Any, faces: Faces, case: Case) -> list[Push]:
    out = []
    for force in case.forces:
        bore = problem.bore(force.bore)
        if bore.slotted:
            ends = "|".join(faces_where(faces, on_plane(end, bore.axis)) for end in bore.ends)
            out.append(ringed(mesh, ends, bore.centre, bore.axis, bore.radius_mm, force.force))
            continue
        out.append(bearing(mesh, _wall(faces, bore), bore.centre, bore.axis, force.force))
    return out


def _judged(problem: Problem, points: Array) -> NDArray[np.bool_]:
    """Points whose stress counts: not at a held bore, where the support is an idealisation, nor under the
    head of a bolt that pushes or pulls, nor at a sharp inner corner, where a linear stress has no end."""
    keep = np.ones(len(points), dtype=bool)
    for hold in problem.holds:
        bore = problem.bore(hold.bore)
        away = _from_line(
            points, np.array(bore.centre), np.array(bore.centre) + np.array(bore.axis) * bore.length_mm
        )
        keep &= away > max(bore.radius_mm, hold.ring_mm / 2) + problem.thickness_mm
    for bore in _bolts_that_push(problem):
        away = _from_line(
            points, np.array(bore.centre), np.array(bore.centre) + np.array(bore.axis) * bore.length_mm
        )
        keep &= away > bore.radius_mm + problem.thickness_mm
    for start, end in problem.sharp:
        keep &= _from_line(points, np.array(start), np.array(end)) > problem.thickness_mm
    return keep


def _bolts_that_push(problem: Problem) -> list[Bore]:
    """Bores with a force mostly along them: a bolt's, whose head the model does not have."""
    found = {}
    for case in problem.cases:
        for force in case.forces:
            bore = problem.bore(force.bore)
            if pulls(bore, force):
                found[bore.name] = bore
    return list(found.values())


def _from_line(points: Array, start: Array, end: Array) -> Array:
    run = end - start
    along = np.clip((points - start) @ run / float(run @ run), 0.0, 1.0)
    return np.asarray(np.linalg.norm(points - start - along[:, None] * run, axis=1))


def _splits(problem: Problem, now: int, done: int) -> int:
    """How many elements to split so that the unknowns stay near those wanted."""
    wanted = problem.unknowns * (FIRST_SHARE if done < problem.passes else 1.0)
    return int(
        max(wanted - now, 0.1 * problem.unknowns) / PER_ELEMENT / SPLIT_ADDS[min(done, len(SPLIT_ADDS)) - 1]
    )


def _independent(cases: Sequence[Case]) -> tuple[list[int], list[tuple[int, float]]]:
    """Which cases to solve, and each case as one of those times a factor: the part is linear."""
    solved: list[int] = []
    each: list[tuple[int, float]] = []
    for index, case in enumerate(cases):
        for place, other in enumerate(solved):
            factor = _factor(case, cases[other])
            if factor is not None:
                each.append((place, factor))
                break
        else:
            each.append((len(solved), 1.0))
            solved.append(index)
    return solved, each


def _factor(case: Case, other: Case) -> float | None:
    if [f.bore for f in case.forces] != [f.bore for f in other.forces]:
        return None
    a = np.array([f.force for f in case.forces])
    b = np.array([f.force for f in other.forces])
    factor = float((a * b).sum() / (b * b).sum())
    close = np.allclose(a, factor * b, rtol=0, atol=1e-9 * float(np.abs(a).max()))
    # a bore bears on its other half when the force turns round, so a negative factor is another case
    return factor if close and factor > 0 else None


def _skin(mesh: Any) -> NDArray[np.int64]:
    """Corners of the triangles on the skin, (n, 3), counted from 0."""
    return np.asarray(mesh.ngmesh.Elements2D().NumPy()["nodes"][:, :3].astype(np.int64) - 1)


def _corner_values(system: System, displacement: Any, smooth: Any) -> tuple[Array, Array]:
    """Movement (n, 3) and von Mises stress (n,) at the mesh's vertices."""
    count = system.mesh.nv
    moved = np.column_stack([np.array(displacement.components[i].vec)[:count] for i in range(3)])
    six = np.array(smooth.vec.FV()).reshape(-1, 6)[:count]
    return moved, von_mises_of(six)


def solve(problem: Problem) -> Answer:
    """The answer to a problem: solved, refined where the error is, solved again, ``passes`` times.

    Raises ``Fault`` for a bore the solid does not have or a mesh beyond its limit.
    """
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "part.brep"
        path.write_text(problem.brep, encoding="ascii", newline="\n")
        geometry = read_brep(path)
    used = {h.bore for h in problem.holds} | {f.bore for c in problem.cases for f in c.forces}
    close = [point for name in sorted(used) for point in _close(problem.bore(name))]
    mesh = mesh_of(geometry, LARGEST * problem.thickness_mm, close)
    material = Elastic(e_mpa=problem.e_mpa, poisson=problem.poisson)
    solved, each = _independent(problem.cases)
    steps: list[MeshStep] = []
    shown: tuple[int, NDArray[np.int64]] | None = None
    while True:
        if shown is None or len(_skin(mesh)) <= SHOWN_TRIANGLES:
            shown = (mesh.nv, _skin(mesh))
        faces = face_points(mesh)
        supports = _supports(problem, faces)
        system = support(mesh, material, *_together(supports))
        loads = [loaded(system, _pushes(problem, mesh, faces, problem.cases[i])) for i in solved]
        fields = [displaced(system, load) for load in loads]
        smooth = [smooth_stress(system, field) for field in fields]
        shares = [error_shares(system, f, s) for f, s in zip(fields, smooth, strict=True)]
        points = np.array([p.p for p in mesh.ngmesh.Points()])
        judged = _judged(problem, points) & np.isin(np.arange(len(points)), _skin(mesh))
        found = [_corner_values(system, f, s) for f, s in zip(fields, smooth, strict=True)]
        steps.append(
            MeshStep(
                elements=mesh.ne,
                unknowns=system.unknowns,
                work_nmm=tuple(factor**2 * work(loads[k], fields[k]) for k, factor in each),
                error=tuple(float(np.sqrt(shares[k].sum())) for k, _ in each),
                cubic_nmm=_cubic(problem, mesh, faces, material, solved, each) if not steps else (),
                peak_mpa=tuple(factor * float(found[k][1][judged].max()) for k, factor in each),
            )
        )
        if len(steps) > problem.passes:
            break
        system.inverse = None
        refine(mesh, shares, REFINE_SHARE, _splits(problem, system.unknowns, len(steps)))
        if 3 * (mesh.nv + mesh.nedge) > MOST_UNKNOWNS:
            raise Fault(f"the mesh grew beyond {MOST_UNKNOWNS} unknowns")
    cases, moved_all, stress_all = [], [], []
    pushed = {f.bore for c in problem.cases for f in c.forces}
    walls = {name: _touched(faces, problem.bore(name)) for name in sorted(pushed)}
    for index, (case, (k, factor)) in enumerate(zip(problem.cases, each, strict=True)):
        moved, stress = (factor * values for values in found[k])
        at = int(np.argmax(np.where(judged, stress, -1.0)))
        bores = {name: _rounded(factor * mean_of(mesh, wall, fields[k])) for name, wall in walls.items()}
        held = {
            name: Held(force=_rounded(factor * force), moment=_rounded(factor * moment))
            for name, pair in supports.items()
            for force, moment in [on_bolt(system, *pair, fields[k], loads[k], _mid(problem.bore(name)))]
        }
        cases.append(
            CaseAnswer(
                name=case.name,
                work_nmm=factor**2 * work(loads[k], fields[k]),
                energy_nmm=factor**2 * energy(system, fields[k]),
                moved=bores,
                peak_mpa=float(stress[at]),
                peak_at=_rounded(points[at]),
                error=stated_error(steps, index),
                held=held,
                peak_error=peak_error(steps, index),
            )
        )
        moved_all.append(moved)
        stress_all.append(stress)
    return Answer(
        part=problem.part,
        steps=tuple(steps),
        cases=tuple(cases),
        surface=_surface(points, shown, moved_all, stress_all) if problem.surface else None,
        seconds=time.perf_counter() - began,
        memory_mib=peak_mib(),
    )


def _cubic(
    problem: Problem,
    mesh: Any,
    faces: Faces,
    material: Elastic,
    solved: Sequence[int],
    each: Sequence[tuple[int, float]],
) -> tuple[float, ...]:
    """The work of each case with cubic displacements on this mesh; empty if nobody asks or it is too big."""
    if not problem.sure or 3 * (mesh.nv + 2 * mesh.nedge + mesh.nface) > MOST_UNKNOWNS:
        return ()
    system = support(mesh, material, *_together(_supports(problem, faces)), order=ORDER + 1)
    loads = [loaded(system, _pushes(problem, mesh, faces, problem.cases[i])) for i in solved]
    works = [work(load, displaced(system, load)) for load in loads]
    return tuple(factor**2 * works[k] for k, factor in each)


def _rounded(values: Any) -> Vector:
    a, b, c = (float(v) for v in values)
    return a, b, c


def _surface(
    points: Array, shown: tuple[int, NDArray[np.int64]], moved: Sequence[Array], stress: Sequence[Array]
) -> Surface:
    """The skin at the finest mesh still light to draw, with values of the last: bisection keeps vertices."""
    count, triangles = shown
    return Surface(
        points=tuple(_rounded(p) for p in np.round(points[:count], 4)),
        triangles=tuple((int(a), int(b), int(c)) for a, b, c in triangles),
        moved=tuple(tuple(_rounded(p) for p in _short(case[:count])) for case in moved),
        stress_mpa=tuple(tuple(float(s) for s in _short(case[:count])) for case in stress),
    )


def _short(values: Array) -> Array:
    """Values to a ten-thousandth of the largest: what a picture needs, and the same from run to run."""
    step = float(np.abs(values).max()) / 1e4
    return np.asarray(np.round(values / step) * step if step > 0 else values)


def main() -> int:
    """Read, solve, answer; a fault goes to stderr with exit code 3."""
    bound(ADDRESS_BYTES)
    problem = read_problem(sys.stdin.read())
    # Netgen writes about its progress to the stdout of the process; the answer must stay alone there
    answer_stream = os.fdopen(os.dup(1), "w", encoding="ascii")
    os.dup2(2, 1)
    try:
        answer = solve(problem)
    except Fault as fault:
        print(f"fault: {fault}", file=sys.stderr)
        return 3
    except MemoryError:
        print("fault: not enough memory", file=sys.stderr)
        return 3
    with answer_stream:
        answer_stream.write(answer_text(answer))
    return 0


if __name__ == "__main__":
    sys.exit(main())
