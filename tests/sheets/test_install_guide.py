"""The install sheet as plain data: every task and every hole has its step, and the numbers can be asked for."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from generators.jobs.make.line_sheets import job_guide
from generators.model.install import Guide, drilled_at, first_steps, waits_for
from generators.solve.job import Prepared, prepare

SPECS = Path(__file__).parents[2] / "specs"
DEMOS = ("wrenfield_van", "dray_tractor", "ferrow_bus", "tarn_special")

Job = tuple[Prepared, Guide]


@pytest.fixture(scope="module", params=DEMOS)
def job(request: pytest.FixtureRequest) -> Job:
    prepared = prepare(SPECS / f"{request.param}.toml")
    return prepared, job_guide(prepared, "0000000")


def test_steps_are_counted_through_from_one(job: Job) -> None:
    numbers = [step.number for step in job[1].steps]
    assert numbers == list(range(1, len(numbers) + 1))


def test_every_task_of_the_order_has_its_step_and_in_that_order(job: Job) -> None:
    prepared, guide = job
    keys = [task.key for task in prepared.lines.order.tasks]
    first = first_steps(guide)
    assert set(first) == set(keys)
    assert [first[key] for key in keys] == sorted(first.values())


def test_every_hole_somebody_drills_has_one_step_and_no_other_has(job: Job) -> None:
    prepared, guide = job
    wanted = {
        (layout.panel, hole.number)
        for layout in prepared.layouts
        for hole in layout.holes
        if hole.status == "drill" or (hole.status == "reuse" and hole.tool)
    }
    counted = Counter(hole for step in guide.steps for hole in step.drills)
    assert set(counted) == wanted == set(drilled_at(guide))
    assert set(counted.values()) <= {1}


def test_pictures_name_panels_holes_and_hoses_of_the_job(job: Job) -> None:
    prepared, guide = job
    holes = {layout.panel: {h.number for h in layout.holes} for layout in prepared.layouts}
    hoses = {hose.spec.name for hose in prepared.lines.hoses}
    pictures = [p for step in guide.steps for p in step.pictures]
    pictures += [p for phase in guide.phases for p in phase.pictures]
    assert pictures
    for picture in pictures:
        if hasattr(picture, "hose"):
            assert picture.hose in hoses
        else:
            assert set(picture.lit) <= holes[picture.panel]


def test_a_hole_the_made_up_hose_decides_waits_for_the_step_before(hose_van: Path) -> None:
    prepared = prepare(hose_van)
    guide = job_guide(prepared, "0000000")
    late = {(x.panel, n) for x in prepared.lines.decided for n in x.holes}
    assert late
    assert set(waits_for(guide)) == late
    by_number = {step.number: step for step in guide.steps}
    for hole, number in waits_for(guide).items():
        assert by_number[number].do.startswith("Fit the")
        assert by_number[number + 1].do.startswith("Hold ")
        assert drilled_at(guide)[hole] > number
