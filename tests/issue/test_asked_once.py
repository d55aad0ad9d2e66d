"""What several files of a job ask of the same thing is worked out once, and anew for another."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from issue.small import small_spec

from generators.jobs.make import line_sheets
from generators.jobs.make.line_sheets import job_guide, with_steps
from generators.jobs.make.run import job_of
from generators.jobs.make.space_sheet import PAIRS, WITHIN_MM
from generators.solve.bodies.near import LOOKED_AT, closest_pairs
from generators.solve.job import prepare
from generators.space.distance import Space


def test_the_steps_of_a_job_are_built_twice_however_many_files_tell_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built: list[Any] = []
    straight = line_sheets.build_guide

    def counted(**given: Any) -> Any:
        built.append(given)
        return straight(**given)

    monkeypatch.setattr(line_sheets, "build_guide", counted)
    job = job_of(prepare(small_spec(tmp_path)), "A4")
    telling = [a.entry.path for a in job.artefacts if "guide" in a.body.keywords]
    assert {"install_sheet.pdf", "install.html", "print_me.pdf"} <= set(telling)
    # once for the numbers, once with them
    assert len(built) == 2


def test_other_words_of_a_guide_are_built_anew(tmp_path: Path) -> None:
    prepared = with_steps(prepare(small_spec(tmp_path)))
    assert job_guide(prepared, "1111111") is job_guide(prepared, "1111111")
    assert job_guide(prepared, "2222222").revision == "2222222"
    assert job_guide(prepared, "1111111").revision == "1111111"
    other = with_steps(prepare(small_spec(tmp_path)))
    assert job_guide(other, "1111111") is not job_guide(prepared, "1111111")


def test_numbers_of_steps_hang_on_no_numbers(tmp_path: Path) -> None:
    prepared = prepare(small_spec(tmp_path))
    numbered = with_steps(prepared)
    assert with_steps(numbered) is numbered
    # worked out again they are the same
    again = line_sheets.numbered(numbered.layouts, line_sheets._guide(numbered, ""))
    assert again == numbered.layouts


def test_no_gap_is_worked_out_that_nobody_asks_of(demo_spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    prepared = prepare(demo_spec)
    asked: list[tuple[str, str]] = []
    straight = Space.gap

    def counted(self: Space, first: int, second: int, *more: Any, **named: Any) -> Any:
        one, two = self.bodies[first], self.bodies[second]
        asked.append((one.name, two.name))
        assert {one.what, two.what} != {"obstacle"}
        assert {one.what, two.what} <= LOOKED_AT
        return straight(self, first, second, *more, **named)

    monkeypatch.setattr(Space, "gap", counted)
    pairs = closest_pairs(prepared.scene, WITHIN_MM, PAIRS, prepared.lines.hoses)
    assert pairs
    moved = {mover.body.name for mover in prepared.scene.movers}
    still = [pair for pair in asked if not moved & set(pair)]
    # with pedals at their stop, what stands is not measured again
    assert len(still) == len(set(still))
    assert len(asked) > len(still) > 0
