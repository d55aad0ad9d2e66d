"""Files are made of a loaded part only once it is shown to hold: by the quick answer, or by finite elements.

Limits are set just beside what the answers say, whose own checks stand in ``test_quick_answer`` and ``quick_against_solver``.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from issue.finished import silent
from strength.hanger_specs import ANGLE, HANGER, SHOP, load, write

from generators.cli import app
from generators.issue.manifest import read_manifest
from generators.jobs import stiffness as solving
from generators.jobs.verify import verify
from generators.model.words import LoadCase
from generators.solve.brackets.asked import asked_name
from generators.solve.brackets.cases import Bracket
from generators.solve.brackets.estimates import Estimate, estimates
from generators.solve.brackets.joints import hand_cases, hand_range, joint_loads, judged_bolts
from generators.solve.brackets.settled import open_parts
from generators.solve.job import Prepared, prepare
from generators.solve.release import released
from generators.strength import run as running
from generators.strength.bores import BoreForce
from generators.strength.joint.uses import use_of
from generators.strength.plates import MOVED_RANGE, STRESS_RANGE

JOB = '[job]\nname = "toy"\ntitle = "Toy shelf, invented"\n'
PUSH = load(name="full", part="shelf", case="force", hole="reservoir_1", force="30 N", toward="in")


def limited(folder: Path, text: str, **limits: float | str) -> Prepared:
    """The job with what is not looked at limited so widely that it says nothing."""
    wide: dict[str, float | str] = {
        "yield_factor": 0.01,
        "everyday_factor": 0.01,
        "joint_factor": 0.01,
        "pad_flex": "90 mm",
        "hole_flex": "90 mm",
    }
    lines = [f"{key} = {json.dumps(value)}" for key, value in {**wide, **limits}.items()]
    return prepare(write(folder, text + "\n[limits]\n" + "\n".join(lines) + "\n", SHOP))


def estimate(bracket: Bracket, kind: LoadCase) -> Estimate:
    """What the quick answer says of the first case of a kind."""
    return next(e for c, e in zip(bracket.cases, estimates(bracket), strict=True) if c.kind == kind)


def held_back(job: Prepared) -> list[str]:
    return [f.where for f in released(job).findings if f.code == "bracket-unsettled" and f.blocks]


@pytest.fixture(scope="module")
def toy(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    return prepare(write(tmp_path_factory.mktemp("toy"), HANGER))


@pytest.mark.parametrize(("by", "held"), [(1.001, ["part:hanger"]), (0.999, [])])
def test_a_factor_that_is_not_sure_holds_the_part_back(
    tmp_path: Path, toy: Prepared, by: float, held: list[str]
) -> None:
    (bracket,) = toy.loaded
    stress = estimate(bracket, "limit").stress_mpa
    # S235: 235 MPa, EN 10025-2
    job = limited(tmp_path, HANGER, yield_factor=by * 235.0 / stress / STRESS_RANGE)
    assert held_back(job) == held
    # `check` leaves it to `make`, which may still solve it
    assert not any(f.blocks and f.code.startswith("bracket") for f in job.findings)


@pytest.mark.parametrize(("by", "held"), [(0.999, ["part:hanger"]), (1.001, [])])
def test_a_movement_that_is_not_sure_holds_the_part_back(
    tmp_path: Path, toy: Prepared, by: float, held: list[str]
) -> None:
    (bracket,) = toy.loaded
    moved = estimate(bracket, "normal").moved_mm
    assert held_back(limited(tmp_path, HANGER, pad_flex=f"{by * MOVED_RANGE * moved:.6f} mm")) == held


@pytest.mark.parametrize(("by", "held"), [(1.001, ["part:hanger"]), (0.999, [])])
def test_bolts_that_are_not_sure_by_hand_hold_the_part_back(
    tmp_path: Path, toy: Prepared, by: float, held: list[str]
) -> None:
    (bracket,) = toy.loaded
    bolts = {b.hole: b for b in judged_bolts(toy.file, bracket, toy.parts, toy.layouts, toy.bolted)}
    uses = [use_of(bolts[f.hole], f, c.what) for c in hand_cases(bracket) for f in c.forces]
    least = min(x for u in uses for x in (u.strength, u.bearing, u.pull_through) if x is not None)
    assert held_back(limited(tmp_path, HANGER, joint_factor=by * least / hand_range(bracket))) == held


def test_what_is_structure_only_holds_nothing_back(toy: Prepared) -> None:
    (bracket,) = toy.loaded
    bolts = {"hanger": judged_bolts(toy.file, bracket, toy.parts, toy.layouts, toy.bolted)}
    kinds: tuple[tuple[LoadCase, bool], ...] = (("limit", True), ("structure", False))
    for kind, is_open in kinds:
        grave = tuple(
            replace(c, kind=kind, forces=tuple(_times(f, 9.0) for f in c.forces)) for c in bracket.cases
        )
        graver = [replace(bracket, cases=grave)]
        found = open_parts(toy.file, graver, bolts, joint_loads(graver, ()), ())
        assert bool(found) is is_open


def _times(force: BoreForce, by: float) -> BoreForce:
    x, y, z = force.force
    return replace(force, force=(by * x, by * y, by * z))


def test_another_plan_load_or_hold_is_another_question(toy: Prepared) -> None:
    (bracket,) = toy.loaded
    case, plan = bracket.cases[0], bracket.part.plan
    others = [
        replace(bracket, part=replace(bracket.part, plan=replace(plan, thickness_mm=3.0))),
        replace(bracket, cases=(replace(case, force_n=case.force_n + 1e-9), *bracket.cases[1:])),
        replace(bracket, holds=(replace(bracket.holds[0], ring_mm=16.0), *bracket.holds[1:])),
    ]
    names = {asked_name(toy.file, b, toy.pedals) for b in (bracket, *others)}
    assert len(names) == 4
    assert asked_name(toy.file, replace(bracket), toy.pedals) in names


def run(monkeypatch: pytest.MonkeyPatch, *words: object) -> int:
    monkeypatch.setattr(sys, "argv", ["pedalplate", *map(str, words)])
    return app.run()


def shelf(folder: Path) -> Path:
    """An angle of which the quick answer does not say whether it keeps a movement."""
    text = JOB + ANGLE + PUSH
    (bracket,) = prepare(write(folder, text)).loaded
    moved = estimates(bracket)[0].moved_mm
    return write(folder, f'{text}\n[limits]\nhole_flex = "{1.2 * moved:.4f} mm"\n')


def test_without_the_solver_no_file_is_made_but_by_a_waiver(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(running, "PACKAGES", ("netgen_that_is_not_there",))
    spec, out = shelf(tmp_path), tmp_path / "out"
    assert run(monkeypatch, "make", spec, "--out", out) == 1
    said = capsys.readouterr()
    assert "bracket-unsettled" in said.out
    assert "pip install 'pedalplate[stiffness]'" in " ".join(said.err.split())
    assert not out.exists()
    assert run(monkeypatch, "nest", spec, "--out", out) == 1
    assert not out.exists()
    assert run(monkeypatch, "check", spec) == 0
    capsys.readouterr()
    why = "proof-tested by hand with 100 N"
    waiver = ("--accept", "bracket-unsettled", "--because", why)
    assert run(monkeypatch, "make", spec, "--out", out, *waiver) == 0
    assert "NOT SETTLED: whether shelf holds" in capsys.readouterr().out
    assert read_manifest(out / "toy").content["waivers"] == {"bracket-unsettled": why}


def test_make_solves_what_is_open_once_and_takes_its_answer_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("ngsolve")
    asked: list[str] = []

    def coarse(problem: Any) -> Any:
        asked.append(problem.part)
        return running.run(replace(problem, passes=1, unknowns=8_000))

    monkeypatch.setattr(solving, "run", coarse)
    spec, out = shelf(tmp_path), tmp_path / "out"
    kept = []
    for _ in range(2):
        assert run(monkeypatch, "make", spec, "--out", out, "--json") == 0
        said = json.loads(capsys.readouterr().out)
        assert said["unsettled"] == []
        kept.append((said["revision"], (out / "toy" / "stiffness.json").read_bytes()))
    assert asked == ["shelf"]
    assert kept[0] == kept[1]
    assert [r for r in verify(out / "toy", progress=silent) if not r.good] == []
