"""How far something is moved out of something else is looked for when it is to be tried, not at every solving."""

from __future__ import annotations

import pickle
from dataclasses import replace
from pathlib import Path

import pytest
from space_jobs import job

from generators.checks.space import moves
from generators.issue.digest import Digests
from generators.model.changes import Change, Later, Proposal
from generators.model.findings import Finding, Severity
from generators.solve.mends.tries import with_mends
from generators.space.body import Body
from generators.space.pieces import Array

TWO = tuple(Proposal(words=w, steps=(Change(path="hose[a].made_up", by=2.0),)) for w in ("longer", "dearer"))


def test_looked_for_once_and_only_when_asked() -> None:
    asked: list[int] = []

    def look() -> tuple[Proposal, ...]:
        asked.append(1)
        return TWO

    later = Later(look)
    assert asked == []
    assert (*later,) == TWO
    assert (later[1], later[:1], len(later)) == (TWO[1], TWO[:1], 2)
    assert asked == [1]


def test_another_process_and_a_name_by_content_have_what_was_found() -> None:
    later = Later(lambda: iter(TWO))
    assert pickle.loads(pickle.dumps(later)) == TWO
    assert Digests().of(later) == Digests().of(TWO)


def test_findings_are_told_apart_by_what_they_say() -> None:
    said = Finding(
        code="c",
        severity=Severity.FAIL,
        where="w",
        found="f",
        wanted="g",
        source="s",
        advice="a",
        proposals=TWO,
    )
    assert said == replace(said, proposals=())
    assert len({said, replace(said, proposals=Later(lambda: TWO))}) == 1
    assert said != replace(said, found="another")


BEFORE_IT = ('at = { u = "120 mm", v = "320 mm" }', 'at = { u = "300 mm", v = "200 mm" }')
"""The bracket of the reservoir right behind the pedal's hanger: the pushrod goes through it."""


def test_solving_moves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    way_out = moves.way_out

    def counted(one: Body, two: Body, along: Array, farthest_mm: float) -> float:
        asked.append(f"{one.name} out of {two.name}")
        return way_out(one, two, along, farthest_mm)

    monkeypatch.setattr(moves, "way_out", counted)
    prepared = job(tmp_path, BEFORE_IT)
    (through,) = (f for f in prepared.findings if f.code == "through-uncut-metal")
    assert asked == []
    mended = with_mends(prepared, lambda f: f is through)
    (told,) = (f for f in mended.findings if f.code == "through-uncut-metal")
    # left, right, up and down of the bracket, once each; what the tries met was moved by nobody
    assert asked == ["pedal:clutch.rod out of part:shelf"] * 4
    assert len(through.proposals) == moves.BEST
    assert len(asked) == 4
    assert told.mend is not None
    assert told.mend.tries == moves.BEST
    assert told.proposals == ()
