"""What bolts carry by finite elements: it balances what acts, and the hand calculation is never far below it."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("ngsolve")

from strength.hanger_specs import HANGER, write

from generators.jobs import stiffness as solving
from generators.jobs.make.stiffness_file import artefact, read_stiffness, results_text
from generators.solids.brep import brep_text
from generators.solve.brackets.cases import Bracket
from generators.solve.brackets.joints import hand_loads, held_bolts
from generators.solve.job import prepare
from generators.strength import run as running
from generators.strength.joint.bearing import prying_n
from generators.strength.joint.loads import HAND_RANGE, SOFT_HAND_RANGE, BoltForce, of_solver
from generators.strength.problem import Answer


def solved(bracket: Bracket) -> Answer:
    """The first mesh: reactions balance on any."""
    return running.run(replace(bracket.problem(brep_text(bracket.part.plan), surface=False), passes=0))


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return prepare(write(tmp_path_factory.mktemp("bolts")))


@pytest.fixture(scope="module")
def answer(job):
    return solved(job.loaded[0])


def middle(bore):
    return np.array(bore.centre) + np.array(bore.axis) * bore.length_mm / 2


def test_reactions_balance_what_acts(job, answer):
    """Equilibrium in space: forces to rounding; where pins press as a cosine on flat and curved edges, where they do so
    is within 1 % of all that acts, at 100 mm."""
    (bracket,) = job.loaded
    for case, found in zip(bracket.cases, answer.cases, strict=True):
        force = np.sum([f.force for f in case.forces], axis=0)
        turn = np.sum([np.cross(middle(bracket.bore(f.bore)), f.force) for f in case.forces], axis=0)
        whole = sum(float(np.linalg.norm(f.force)) for f in case.forces)
        held = np.sum([h.force for h in found.held.values()], axis=0)
        held_turn = np.sum(
            [np.cross(middle(bracket.bore(n)), h.force) + h.moment for n, h in found.held.items()], axis=0
        )
        assert held == pytest.approx(force, abs=1e-6 * whole)
        assert held_turn == pytest.approx(turn, abs=0.01 * whole * 100)


def test_a_springy_ring_balances_too(job):
    (bracket,) = job.loaded
    holds = tuple(replace(h, ring_mm=16.0, flex_mm_per_n=5e-4) for h in bracket.holds)
    found = solved(replace(bracket, holds=holds)).cases[1]
    force = np.sum([f.force for f in bracket.cases[1].forces], axis=0)
    whole = sum(float(np.linalg.norm(f.force)) for f in bracket.cases[1].forces)
    held = np.sum([h.force for h in found.held.values()], axis=0)
    assert held == pytest.approx(force, abs=1e-6 * whole)


def test_upper_bolts_are_pulled_and_lower_ones_pressed(job, answer):
    # the pad is pushed away from the driver below the pivot: the hanger leans off the panel at its top
    bolts = {b.hole: b for b in of_solver(held_bolts(job.loaded[0]), answer.cases[1].held)}
    assert bolts["mount_1"].pull_n == pytest.approx(bolts["mount_2"].pull_n, rel=0.02)
    assert bolts["mount_1"].pull_n > 0
    assert bolts["mount_3"].pull_n == pytest.approx(bolts["mount_4"].pull_n, rel=0.02)
    assert bolts["mount_3"].pull_n < 0


def pulled(bolts, forces: dict[str, BoltForce]) -> float:
    return max(
        max(0.0, forces[b.hole].pull_n + prying_n(forces[b.hole].bend_nmm, b.lever_mm))
        for b in bolts
        if b.hole in forces
    )


def never_far_below(bracket: Bracket, answer: Answer) -> None:
    """The bolt that is pulled most, and the shear of the one that is shorn most."""
    bolts = held_bolts(bracket)
    soft = any(h.flex_mm_per_n for h in bracket.holds)
    for case, found in zip(bracket.cases, answer.cases, strict=True):
        fe = {f.hole: f for f in of_solver(bolts, found.held)}
        hand = {f.hole: f for f in hand_loads(bracket, bolts, case)}
        low = SOFT_HAND_RANGE if soft else HAND_RANGE
        assert pulled(bolts, fe) <= low * pulled(bolts, hand), case.name
        assert max(f.shear_n for f in fe.values()) <= low * max(f.shear_n for f in hand.values()), case.name


def test_hand_is_never_far_below_the_solver(job, answer):
    never_far_below(job.loaded[0], answer)


SIZES = (
    ("inside_width", 64, 130),
    ("pivot_out", 55, 130),
    ("mount_top", 40, 70),
    ("mount_bottom", 26, 34),
)


def drawn(draw: random.Random, folder: Path) -> Bracket:
    """A hanger with sizes drawn at random."""
    text = HANGER
    width = 0.0
    for key, low, high in SIZES:
        value = draw.uniform(low, high)
        width = value if key == "inside_width" else width
        text = (
            text.replace('inside_width = "84 mm"', f'inside_width = "{value:.1f} mm"')
            if key == "inside_width"
            else text.replace("[part.parameters]\n", f'[part.parameters]\n{key} = "{value:.1f} mm"\n')
        )
    text = text.replace(
        "[part.parameters]\n", f'[part.parameters]\nmount_spacing = "{draw.uniform(30, width - 30):.1f} mm"\n'
    )
    text = text.replace('thickness = "4 mm"', f'thickness = "{draw.choice([2, 3, 4, 5, 6])} mm"')
    flex = draw.choice([0, 0, 0.2, 1])
    hold = f'[part.hold]\nby = "{draw.choice(["bore", "washer"])}"\nflex = "{flex} mm/kN"\n'
    text = text.replace("[part.parameters]", hold + "[part.parameters]")
    return prepare(write(folder, text)).loaded[0]


@pytest.mark.nightly
@pytest.mark.parametrize("seed", range(60))
def test_hand_is_never_far_below_the_solver_on_hangers_drawn_at_random(seed, tmp_path):
    bracket = drawn(random.Random(seed), tmp_path)
    never_far_below(bracket, solved(bracket))


def test_the_file_carries_the_bolts_and_its_reader_proves_them(job, answer, tmp_path):
    result = solving.kept([solving.result_of(job.loaded[0], answer, job.pedals, job.file.job.limits)])
    assert [b.hole for b in result[0].cases[0].bolts] == ["mount_1", "mount_2", "mount_3", "mount_4"]
    made = artefact(replace(job, results=result))
    path = tmp_path / "stiffness.json"
    made.body(path)
    assert made.read(path).problems == ()
    content = json.loads(path.read_text())
    # forces balance (Newton): the bolts hold what pulls the part off, to the six digits they are kept with
    whole = sum(float(np.linalg.norm(f.force)) for f in job.loaded[0].cases[1].forces)
    first = content["parts"][0]["cases"][1]["bolts"][0]
    true = first["pull_n"]
    for share, told in ((2e-5, False), (2e-4, True)):
        first["pull_n"] = true + share * whole
        path.write_text(json.dumps(content, indent=1, ensure_ascii=False) + "\n")
        assert any("off the panel" in p for p in made.read(path).problems) is told
    content["parts"][0]["cases"][1]["bolts"].pop()
    path.write_text(json.dumps(content))
    assert any("the plan has" in p for p in made.read(path).problems)
    assert results_text(result)
    assert read_stiffness(tmp_path / "none.json", rel="none.json", wanted=()).problems
