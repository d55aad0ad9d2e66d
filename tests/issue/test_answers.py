"""Slow answers are taken again only for the same question, and proven like every file."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from issue.finished import decided_spec, fit_hash, remade_of, silent

from generators.issue import answers as module
from generators.issue.answers import Answers
from generators.issue.digest import made_from, made_with
from generators.issue.reuse import last_answers
from generators.jobs.make.run import job_of, make
from generators.solve import reach
from generators.solve.job import prepare

ASKED: list[float] = []


def doubled(value: float) -> list[float]:
    """A slow question."""
    ASKED.append(value)
    return [2 * value]


def read(value: Any) -> float:
    """The one number of a list."""
    (number,) = value
    return float(number)


def asked(known: dict[str, Any], value: float) -> tuple[float, dict[str, Any], int]:
    """The answer, what is kept of it, and how often it was worked out."""
    ASKED.clear()
    answers = Answers(known)
    got = answers.ask(partial(doubled, value), read)
    return got, answers.given, len(ASKED)


def test_the_same_question_is_answered_once() -> None:
    got, given, times = asked({}, 1.5)
    assert (got, times) == (3.0, 1)
    # through JSON and back, as the folder keeps it
    assert asked(json.loads(json.dumps(given)), 1.5) == (3.0, given, 0)


def test_another_question_is_asked_and_the_old_answer_not_kept() -> None:
    _, given, _ = asked({}, 1.5)
    got, kept, times = asked(given, 1.5000000000000002)
    assert (got, times) == (3.0000000000000004, 1)
    assert set(kept).isdisjoint(given)


def test_another_version_asks_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    _, given, _ = asked({}, 1.5)
    monkeypatch.setattr(module, "made_with", lambda: {**made_with(), "numpy": "0"})
    assert asked(given, 1.5)[2] == 1


@pytest.mark.parametrize("kept", [None, "x", [], [1, 2], {"a": 1}, ["x"], 7])
def test_what_is_no_answer_is_asked_anew(kept: object) -> None:
    key = made_from(partial(doubled, 1.5), made_with())
    assert asked({key: kept}, 1.5) == (3.0, {key: [3.0]}, 1)


def test_a_folder_without_a_sound_list_has_no_answers(tmp_path: Path) -> None:
    assert last_answers(tmp_path / "none") == {}
    (tmp_path / "manifest.json").write_text("{")
    assert last_answers(tmp_path) == {}


def test_regions_of_reach_are_kept_for_the_next_run_and_proven(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spec = decided_spec(tmp_path / "spec")
    # answers belong to the whole job, whatever of it is made
    made = make(prepare(spec), tmp_path / "out", paper="A4", only=("toe_board",), progress=silent)
    whole = remade_of(made.folder, tmp_path)
    known = last_answers(whole.folder)
    assert len(known) == 1  # the one component that a hose decides
    fresh = job_of(prepare(spec), "A4")
    monkeypatch.setattr(reach, "reach_region", None)  # nothing may be worked out again
    again = job_of(prepare(spec), "A4", known)
    versions = made_with()
    assert [made_from(a.body, versions) for a in again.artefacts] == [
        made_from(a.body, versions) for a in fresh.artefacts
    ]
    # an answer changed by hand, its hash with it, is bad
    copy = whole.copy(tmp_path / "copy")
    text = (copy / "reuse.json").read_text(encoding="utf-8")
    (key,) = known
    known[key][0][0][0] += 1.0
    (copy / "reuse.json").write_text(json.dumps({**json.loads(text), "answers": known}), encoding="utf-8")
    fit_hash(copy, "reuse.json")
    assert "reuse.json" in whole.bad(copy)
