"""The install sheet as plain data: every task and every hole has its step, and the numbers can be asked for."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from made_once import solved
from spec_pieces import panel, wire_hole

from generators.jobs.make.line_sheets import job_guide, lines_sheet
from generators.jobs.make.space_sheet import space_sheet
from generators.model.install import Guide, PlacePicture, drilled_at, first_steps, waits_for
from generators.model.spec.titles import within
from generators.sheets.document import body_width, tall_mm
from generators.sheets.install.sheet import GAP, PLACED, SHARES, Drawn
from generators.solve.job import Prepared, prepare

DEMOS = ("wrenfield_van", "dray_tractor", "ferrow_bus", "tarn_special")

Job = tuple[Prepared, Guide]


@pytest.fixture(scope="module", params=DEMOS)
def job(request: pytest.FixtureRequest) -> Job:
    prepared = solved(request.param)
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
    parts = {part.spec.name for part in prepared.parts}
    things = {*parts, *(c.name for c in prepared.file.job.component)}
    things |= {within(pedal.title) for pedal in prepared.file.job.pedal}
    pictures = [p for step in guide.steps for p in step.pictures]
    pictures += [p for phase in guide.phases for p in phase.pictures]
    assert pictures
    for picture in pictures:
        if hasattr(picture, "hose"):
            assert picture.hose in hoses
        elif isinstance(picture, PlacePicture):
            assert picture.thing in things
            assert set(picture.carriers) <= {*holes, *parts}
            assert {at.partition(".")[0] for _words, at in picture.marks} <= things | parts
        else:
            assert set(picture.lit) <= holes[picture.panel]


def test_a_hole_that_waits_comes_after_the_step_that_settles_its_place(hose_van: Path) -> None:
    prepared = prepare(hose_van)
    guide = job_guide(prepared, "0000000")
    late = {(x.panel, n) for x in prepared.lines.decided for n in x.holes}
    through = {(x.panel, h.number) for x in prepared.layouts for h in x.holes if h.work.how == "part"}
    assert late
    assert through
    assert set(waits_for(guide)) == late | through
    by_number = {step.number: step for step in guide.steps}
    for hole, number in waits_for(guide).items():
        # the other holes of a part wait for those its own steps drill before them
        before = by_number[number]
        assert before.do.startswith(
            ("Hold ", "Clamp ") if hole in late else ("Bolt ", "Open ", "Drill ", "Mark ")
        )
        assert hole not in before.drills
        assert hole in by_number[number + 1].holes
        assert before.tasks == by_number[number + 1].tasks
        assert drilled_at(guide)[hole] > number
    # what waits is told with that number while its panel is drilled, and not punched there
    told = next(step for step in guide.steps if step.do.startswith("Do NOT drill"))
    assert set(told.holes) == {hole for hole in waits_for(guide) if hole[0] == "firewall"}
    for number in {waits_for(guide)[hole] for hole in told.holes}:
        assert f"after step {number}" in told.how
    punched = next(step for step in guide.steps if step.do.startswith("Centre-punch"))
    pilots = {(x.panel, h.number) for x in prepared.layouts for h in x.holes if h.work.pilot_from}
    assert set(punched.holes) & set(told.holes) <= pilots


def test_what_goes_where_stands_beside_its_pictures_or_under_them_whichever_is_lower(job: Job) -> None:
    """A narrow column beside two pictures can be higher than the same table under them.

    A column that stands out below its pictures goes under them even where that is up to 1.3 times as high: its
    bolts and torques are read in lines then, not in single words.
    """
    prepared, guide = job
    width = body_width("A4")
    lines = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units)
    drawn = Drawn(prepared.layouts, lines, width, SHARES[0], space_sheet(prepared))
    kept = [s for s in guide.steps if s.tables and any(isinstance(p, PlacePicture) for p in s.pictures)]
    assert kept
    for one in kept:
        shares = PLACED[min(len(one.pictures), 2) - 1]
        high = max(drawn.picture(p, width * s).size[1] for p, s in zip(one.pictures, shares, strict=False))
        narrow = width - sum(width * (s + GAP) for s in shares)
        column = tall_mm(drawn.tables(one, narrow), narrow)
        under = high + 1 + tall_mm(drawn.tables(one, width), width)
        found = tall_mm(drawn.placed(one), width) - 2
        if column <= high:
            assert found <= high + 1.1, one.do
        else:
            assert found <= max(column, min(under, 1.3 * column + 1)) + 1.1, one.do
            assert found >= under - 2.1 or under > 1.3 * column, one.do


def test_the_brace_of_a_hanger_without_a_panel_has_its_step_and_no_picture(tmp_path: Path) -> None:
    """It stands nowhere in the vehicle; its tab is held by a brace all the same."""
    spec = tmp_path / "toy.toml"
    hanger = '[[part]]\nname = "hanger"\ntitle = "Hanger"\nkind = "pedal_hanger"\n'
    spec.write_text(
        '[job]\nname = "toy"\ntitle = "Toy, invented"\n'
        + panel("wall", 300, 200)
        + wire_hole("wire", 100, 100)
        + hanger
        + 'material = "S235 steel"\nthickness = "4 mm"\n',
        encoding="utf-8",
    )
    guide = job_guide(prepare(spec), "0000000")
    (step,) = (s for s in guide.steps if s.do.startswith("Before the pedal is loaded, fit the"))
    assert step.do.endswith("of the hanger.")
    assert step.pictures == ()
    assert step.tables
