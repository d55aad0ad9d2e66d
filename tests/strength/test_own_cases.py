"""Cases nobody asks for: the stop, a full reservoir, a tug at a clamp; forces by hand, each named in the report."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from made_once import solved
from space.old_van import old_van

from generators.solids.brep import brep_text
from generators.solve.brackets.cases import Bracket, brackets
from generators.solve.brackets.estimates import estimates
from generators.solve.job import Prepared, prepare
from generators.strength.plates import MOVED_RANGE, STRESS_RANGE

SPECS = Path(__file__).parents[2] / "specs"
ROOT2 = math.sqrt(2)
BRACKET = """
[[part]]
name = "clutch_stop"
title = "Clutch stop"
kind = "stop_bracket"
material = "S235 steel"
thickness = "4 mm"
  [part.mount]
  panel = "toe_board"
  face = "cab"
  at = { u_from = "left", u = "520 mm", v_from = "top", v = "-40 mm" }

[[pedal]]"""


def named(job: Prepared, name: str) -> Bracket:
    return next(b for b in brackets(job.file, job.parts, job.pedals) if b.part.spec.name == name)


@pytest.fixture(scope="module")
def stopped(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    """The old van with its pedal on a stop bracket, held in slots."""
    changes = (
        ("\n[[pedal]]", BRACKET),
        ('travel = "170 mm"\n', ""),
        (
            "\n  [pedal.master]",
            '\n  stop_bolt = { part = "clutch_stop", stands = "20 mm" }\n\n  [pedal.master]',
        ),
    )
    return prepare(old_van(tmp_path_factory.mktemp("stopped"), *changes))


def test_a_stop_takes_the_largest_force_times_the_pedals_leverage(stopped: Prepared) -> None:
    """14 CFR 27.397 130 lbf at the pad; the bolt's line as in the test of its place, its distance from the pivot by
    hand."""
    bracket = named(stopped, "clutch_stop")
    (case,) = bracket.cases
    link = stopped.pedals[0].linkage
    v, w = -40.0 - (66.0 - 34.0) - 20.0, 58.0
    end = np.array((250 + (w - v) / ROOT2, 470.0, 620 + (w + v) / ROOT2))
    along = np.array((-1.0, 0.0, 1.0)) / ROOT2
    away = end - np.array(link.frame.pivot)
    across = away - float(away @ along) * along
    lever = math.hypot(across[0], across[2])
    pad = math.hypot(link.pad[0], link.pad[1])
    assert case.force_n == pytest.approx(578.27 * pad / lever, rel=1e-4)
    assert "clutch pad" in case.what
    assert "14 CFR 27.397(a)(1)" in case.source
    (force,) = case.forces
    assert np.linalg.norm(force.force) == pytest.approx(case.force_n)
    assert [h.bore for h in bracket.holds] == ["mount_1", "mount_2"]
    assert all(h.ring_mm > 0 for h in bracket.holds)


def test_slots_hold_a_stop_bracket_in_both_answers(stopped: Prepared) -> None:
    pytest.importorskip("ngsolve")
    from generators.strength.run import run

    bracket = named(stopped, "clutch_stop")
    problem = bracket.problem(brep_text(bracket.part.plan), surface=False)
    answer = run(replace(problem, passes=0, sure=False))
    (case,), (found,), (quick,) = bracket.cases, answer.cases, estimates(bracket)
    assert found.work_nmm / case.force_n < MOVED_RANGE * quick.moved_mm
    assert found.peak_mpa < STRESS_RANGE * quick.stress_mpa


@pytest.fixture(scope="module")
def van() -> Prepared:
    return solved("wrenfield_van")


def test_a_full_reservoir_is_thrown_as_the_rule_for_containers_has_it(van: Prepared) -> None:
    """60 mm across and 90 long: π/4 · 6² · 9 = 254.47 cc, times 1.07 g/cc 0.2723 kg; 20 g forward, 8 g else."""
    bracket = named(van, "clutch_reservoir")
    mass = 0.25447 * 1.07
    sizes = {c.name: c.force_n for c in bracket.cases}
    assert sizes == {
        "reservoir_forward": pytest.approx(mass * 20 * 9.80665, rel=1e-3),
        "reservoir_aside": pytest.approx(mass * 8 * 9.80665, rel=1e-3),
        "reservoir_down": pytest.approx(mass * 8 * 9.80665, rel=1e-3),
    }
    for case in bracket.cases:
        total = np.sum([f.force for f in case.forces], axis=0)
        places = np.array([bracket.bore(f.bore).centre for f in case.forces])
        line = np.diff(places, axis=0)[0] / np.linalg.norm(places[1] - places[0])
        # square to the shelf the heeling foot pulls as well; in its plane nothing is added
        normal = np.array(bracket.bore(case.forces[0].bore).axis)
        in_sheet = total - float(total @ normal) * normal
        assert np.linalg.norm(in_sheet) <= case.force_n * (1 + 1e-9)
        assert abs(float(line @ normal)) < 1e-9
        assert case.what.startswith(bracket.cases[0].what.split(",")[0])


def test_a_force_off_two_bolts_gives_a_couple_and_a_pull() -> None:
    """By hand: 100 N along y at 50 mm over two bolts 40 mm apart along x. About x the foot, 30 mm to its rim, heels:
    100 · 50 / 30 = 166.7 N, half on each bolt. 100 N along x: ±100 · 50 / 40 = 125 N, and no heel."""
    from generators.solve.brackets.automatic import _shared
    from generators.strength.bores import Bore

    bores = [
        Bore(name=n, centre=(x, 0.0, 0.0), axis=(0.0, 0.0, 1.0), radius_mm=3.0, length_mm=2.0)
        for n, x in (("a", -20.0), ("b", 20.0))
    ]
    places, out = np.array([[-20.0, 0, 0], [20.0, 0, 0]]), np.array([0.0, 0, 1])
    centre = np.array([0.0, 0, 50.0])
    side = [f.force for f in _shared(bores, places, out, centre, np.array([0.0, 100.0, 0]), 30.0)]
    assert side == [pytest.approx((0.0, 50.0, 83.333), abs=1e-3)] * 2
    lengthwise = [f.force for f in _shared(bores, places, out, centre, np.array([100.0, 0, 0]), 30.0)]
    assert lengthwise == [
        pytest.approx((50.0, 0.0, 125.0), abs=1e-6),
        pytest.approx((50.0, 0.0, -125.0), abs=1e-6),
    ]


def test_a_clamps_bracket_is_tugged_three_ways() -> None:
    job = solved("dray_tractor")
    tugged = [b for b in brackets(job.file, job.parts, job.pedals) if any("tug" in c.name for c in b.cases)]
    assert [b.part.spec.kind for b in tugged] == ["clamp_standoff"]
    for case in tugged[0].cases:
        assert np.linalg.norm(np.sum([f.force for f in case.forces], axis=0)) == pytest.approx(100.0)
        assert "IEC 60335-1" in case.source


def test_a_weak_shelf_is_one_fail_in_check(tmp_path: Path) -> None:
    """A 0.8 mm shelf under 20 g of fluid yields: bending goes with 1/t², ten times that of 2.5 mm."""
    text = (SPECS / "wrenfield_van.toml").read_text(encoding="utf-8")
    thin = text.replace('thickness = "2.5 mm"', 'thickness = "0.8 mm"')
    assert thin != text
    path = tmp_path / "wrenfield_van.toml"
    path.write_text(thin, encoding="utf-8")
    (tmp_path / "shop.toml").write_text((SPECS / "shop.toml").read_text(encoding="utf-8"), encoding="utf-8")
    found = [
        f
        for f in prepare(path).findings
        if f.code == "bracket-yield" and f.where.startswith("part:clutch_reservoir")
    ]
    assert any(f.severity.value == "fail" and "20 g" in f.found for f in found)
