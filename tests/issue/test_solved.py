"""A folder made with finite elements is proven from what is kept of them; the figures here are invented."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from issue.finished import fit_hash, silent
from strength.hanger_specs import ANGLE, load, write

from generators.jobs.make import stiffness_shapes
from generators.jobs.make.run import make
from generators.jobs.stiffness import kept
from generators.jobs.verify import verify
from generators.solve.brackets.asked import plan_name
from generators.solve.brackets.cases import brackets
from generators.solve.job import prepare
from generators.standards import material
from generators.strength.joint.loads import BoltForce
from generators.strength.problem import MeshStep, Surface
from generators.strength.result import BracketResult, CaseResult

# a tetrahedron, moved up by a tenth of a third: digits that have to be cut
CORNERS = ((0.0, 0.0, 0.0), (80.0, 0.0, 0.0), (0.0, 60.0, 0.0), (0.0, 0.0, 40 / 3))
FACES = ((0, 2, 1), (0, 1, 3), (1, 2, 3), (0, 3, 2))
MOVED = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.1 / 3), (0.0, 0.0, 0.1 / 3), (0.0, 0.0, 0.1 / 3))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("solved")
    job = '[job]\nname = "toy"\ntitle = "Toy shelf, invented"\n' + ANGLE
    push = load(name="full", part="shelf", case="force", hole="reservoir_1", force="30 N", toward="in")
    spec = write(place, job + push)
    prepared = prepare(spec)
    (bracket,) = brackets(prepared.file, prepared.parts, prepared.pedals)
    plan, row = bracket.part.plan, material(bracket.part.plan.material)
    cases = tuple(
        CaseResult(
            name=c.name,
            kind=c.kind,
            what=c.what,
            pedal="",
            force_n=c.force_n,
            source=c.source,
            moved_mm=0.1,
            from_pivot_mm=0.0,
            from_master_mm=0.0,
            master_mm=0.0,
            lost_mm=None,
            flex_mm_per_n=0.0,
            peak_mpa=row.yield_mpa / 4,
            peak_at=(0.0, 0.0, 0.0),
            factor=4.0,
            work_nmm=0.1 * c.force_n,
            energy_nmm=0.05 * c.force_n,
            error=0.01,
            peak_error=0.05,
            forces=c.forces,
            bolts=tuple(
                BoltForce(
                    hole=hold.bore,
                    pull_n=sum(f.force[2] for f in c.forces) / len(bracket.holds),
                    shear_n=0.0,
                    bend_nmm=0.0,
                )
                for hold in bracket.holds
            ),
        )
        for c in bracket.cases
    )
    work = tuple(c.work_nmm for c in cases)
    result = BracketResult(
        part=bracket.part.spec.name,
        title=plan.title,
        material=plan.material,
        thickness_mm=plan.thickness_mm,
        e_mpa=row.e_mpa,
        poisson=0.3,
        yield_mpa=row.yield_mpa,
        source="invented",
        trust="M",
        held="its bores",
        steps=(MeshStep(elements=10, unknowns=30, work_nmm=work, error=tuple(0.01 for _ in cases)),),
        change=0.0,
        cases=cases,
        plan=plan_name(plan),
        surface=Surface(
            points=CORNERS,
            triangles=FACES,
            moved=tuple(MOVED for _ in cases),
            stress_mpa=tuple((0.0, 10 / 3, 20 / 3, row.yield_mpa / 4) for _ in cases),
        ),
    )
    prepared = prepare(spec, {}, kept((result,)))
    return make(prepared, place / "out", paper="A4", progress=silent).folder


def bad(folder: Path) -> set[str]:
    return {r.path for r in verify(folder, progress=silent) if not r.good}


def test_a_report_that_draws_shapes_is_made_again_from_what_is_kept(folder: Path) -> None:
    assert bad(folder) == set()
    points = json.loads((folder / stiffness_shapes.NAME).read_text())["shelf"]["points"]
    assert points[3] == [0.0, 0.0, 13.333]


@pytest.mark.parametrize(("old", "new"), [("13.333", "14.333"), ("13.333", "NaN"), ("[0,2,1]", "[0,2,9]")])
def test_a_changed_shape_is_found_though_its_hash_fits(
    folder: Path, tmp_path: Path, old: str, new: str
) -> None:
    import shutil

    from generators.errors import ReadBackError

    copy = Path(shutil.copytree(folder, tmp_path / "copy"))
    path = copy / stiffness_shapes.NAME
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))
    fit_hash(copy, stiffness_shapes.NAME)
    try:
        found = bad(copy)
    except ReadBackError as error:
        found = {error.path}
    # another shape of sound numbers draws another page than the report has
    assert found & {"report.pdf", stiffness_shapes.NAME}
