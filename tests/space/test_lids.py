"""The room over a reservoir's lid: found to its limit, told on its step, felt out anew by the reader, mended."""

from __future__ import annotations

from pathlib import Path

import pytest
from checks.standing_jobs import bar, block, lidded

from generators.checks.space.lids import lids
from generators.jobs.make.asked import asked_of
from generators.jobs.make.line_sheets import job_guide
from generators.model.findings import Severity
from generators.solve.job import Prepared, prepare
from generators.solve.mends.tries import with_mends
from generators.verify.steps.lids import LidRoom, lid_problems
from generators.verify.steps.text import steps_of

SPECS = Path(__file__).parents[2] / "specs"
# the van's reservoir stands at (198.8, 260), its top at 1059 mm, 60 mm across
OVER = """
[[obstacle]]
name = "lamp_box"
what = "lamp box"
corner = ["180 mm", "200 mm", "{low} mm"]
size = ["120 mm", "120 mm", "40 mm"]
"""


@pytest.mark.parametrize("axis", ["up", "along"])
def test_a_lid_has_its_room_whether_the_body_stands_or_lies(axis: str) -> None:
    assert lidded(50.0, axis) == []
    (found,) = lidded(49.8, axis)
    assert (found.severity, found.limit) == (Severity.WARN, 50.0)
    assert found.value == pytest.approx(49.8, abs=0.02)


def test_what_stands_beside_is_not_over_it() -> None:
    tank = bar("tank", (0, 0, 0), (0, 0, 90), 60.0, "reservoir")
    for at, free in ((30.2, 50.0), (29.0, 10.0)):
        (lid,) = lids([tank, block("wall", (at, -50, 100), (10, 100, 100))], 50.0)
        assert lid.free_mm == pytest.approx(free, abs=0.02)


def with_box(low_mm: float) -> Prepared:
    text = (
        (SPECS / "wrenfield_van.toml")
        .read_text()
        .replace("[[obstacle]]", OVER.format(low=low_mm) + "\n[[obstacle]]", 1)
    )
    return prepare(SPECS / "wrenfield_van.toml", text=text)


def told(job: Prepared) -> str:
    (how,) = [
        step.how for step in job_guide(job, "r").steps if step.do.startswith("Fit the clutch reservoir on")
    ]
    return how


def page(job: Prepared) -> list[str]:
    return [f"\u274f {step.number}. {step.do} {step.how}" for step in job_guide(job, "r").steps]


def test_the_step_says_what_is_free_and_the_reader_feels_it_out() -> None:
    free, short = with_box(1110.0), with_box(1089.0)
    assert "reservoir-lid" not in {f.code for f in free.findings}
    assert "Over its lid 50 mm are free, so that it is opened and filled" in told(free)
    assert "Over its lid only 30 mm are free, then comes the lamp box" in told(short)
    for job in (free, short):
        assert list(lid_problems(steps_of(page(job)), asked_of(job).lids)) == []
    # each page against the other vehicle
    assert list(lid_problems(steps_of(page(free)), asked_of(short).lids))
    assert list(lid_problems(steps_of(page(short)), asked_of(free).lids))
    silent = [step.replace("Over its lid", "Over it") for step in page(free)]
    assert list(lid_problems(steps_of(silent), asked_of(free).lids))


def test_what_is_printed_as_a_mend_was_tried() -> None:
    job = with_mends(with_box(1089.0), lambda finding: finding.code == "reservoir-lid")
    (found,) = [f for f in job.findings if f.code == "reservoir-lid"]
    assert found.where == "component:reservoir"
    assert found.value == pytest.approx(30.0, abs=0.02)
    assert found.mend is not None


def test_a_reader_feels_every_kind_of_piece() -> None:
    own = bar("tank", (0, 0, 0), (0, 0, 90), 60.0, "reservoir").pieces
    shapes = {
        "box": block("b", (-5, -5, 110), (10, 10, 10)).pieces,
        "rod": bar("r", (-100, 0, 115), (100, 0, 115), 10.0).pieces,
    }
    for pieces in shapes.values():
        felt = LidRoom(title="tank", room_mm=50.0, own=own, others=pieces).felt_mm()
        assert felt == pytest.approx(20.0, abs=0.6)
