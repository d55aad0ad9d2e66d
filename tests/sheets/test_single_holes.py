"""A bolt or grommet that holds nothing else of the job is bought for its hole, so some step puts it in."""

from __future__ import annotations

import re

from finished_words import Sheet

from generators.jobs.make.asked import asked_of
from generators.verify.steps.singles import single_problems
from generators.verify.steps.text import steps_of

SINGLE = {"tarn_special": {"18", "22"}, "dray_tractor": {"10"}}


def test_every_single_hole_has_its_step(sheet: Sheet) -> None:
    asked = asked_of(sheet.job)
    assert {one.number for one in asked.singles} == SINGLE.get(sheet.job.file.job.job.name, set())
    assert list(single_problems(steps_of([sheet.text]), asked.singles)) == []
    gone = re.sub(r"Fit what goes into hole", "Look at hole", sheet.text)
    assert len(list(single_problems(steps_of([gone]), asked.singles))) == len(asked.singles)


def test_its_bolt_stands_there_with_how_tight(sheet: Sheet) -> None:
    for made in (m for m in sheet.job.fasteners if m.task.startswith("drill:")):
        (step,) = (s for s in sheet.steps if s.startswith("Fit what goes into hole") and made.hole in s)
        assert made.bag in step
        assert f"{made.thread}×{made.length_mm:g}" in step or made.length_text in step
