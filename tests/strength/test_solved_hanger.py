"""A hanger solved as the commands solve it: in a process of its own, then judged, kept, read back, printed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

pytest.importorskip("ngsolve")

from strength.hanger_specs import ANGLE, HANGER, SHOP, load, write

from generators.checks.pedal.stiffness import check_results
from generators.cli import app
from generators.cli.commands.make import _solved as make_solves
from generators.errors import ReadBackError, SolverFault, SolverMissing
from generators.jobs import stiffness as solving
from generators.jobs.make.stiffness_file import artefact, read_results, results_text
from generators.model.limits import Limits
from generators.sheets.document import body_width, write_document
from generators.sheets.stiffness_pages import stiffness_story, stiffness_words
from generators.solids.brep import brep_text
from generators.solve.brackets.cases import brackets
from generators.solve.brackets.estimates import estimates, with_results
from generators.solve.job import prepare
from generators.solve.release import released
from generators.strength import run as running
from generators.strength.plates import MOVED_RANGE, STRESS_RANGE
from generators.strength.result import CAUTIONS, as_data, from_data
from generators.strength.statics import pad_movement


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return prepare(write(tmp_path_factory.mktemp("solved")))


@pytest.fixture(scope="module")
def bracket(job):
    (found,) = brackets(job.file, job.parts, job.pedals)
    return found


def coarse(bracket, passes=0, surface=False):
    problem = bracket.problem(brep_text(bracket.part.plan), surface=surface)
    return replace(problem, passes=passes, unknowns=45_000)


@pytest.fixture(scope="module")
def answer(bracket):
    return running.run(coarse(bracket, passes=1, surface=True))


@pytest.fixture(scope="module")
def results(job, bracket, answer):
    return solving.kept([solving.result_of(bracket, answer, job.pedals, job.file.job.limits)])


def test_work_is_twice_the_energy_and_goes_with_the_square_of_the_force(answer, bracket):
    normal, limit, _ = answer.cases
    for case in answer.cases:
        assert case.work_nmm == pytest.approx(2 * case.energy_nmm, rel=1e-6)
    ratio = bracket.cases[1].force_n / bracket.cases[0].force_n
    assert limit.work_nmm == pytest.approx(ratio**2 * normal.work_nmm, rel=1e-9)
    assert limit.peak_mpa == pytest.approx(ratio * normal.peak_mpa, rel=1e-9)


def test_movement_by_work_is_the_bores_movement_carried_to_the_pad(answer, bracket):
    # two ways to one number: Clapeyron's work, and a rigid pedal on what the bores do
    for case, found in zip(bracket.cases, answer.cases, strict=True):
        pad = pad_movement(case.pose, case.shaft, case.master, found.moved)
        carried = pad.across_mm if case.kind == "side" else pad.press_mm
        assert carried == pytest.approx(found.work_nmm / case.force_n, rel=0.03)


def test_a_finer_mesh_adds_what_the_estimate_said(answer):
    before, after = answer.steps
    assert after.unknowns > before.unknowns
    for coarse_work, fine_work, was, now in zip(
        before.work_nmm, after.work_nmm, before.error, after.error, strict=True
    ):
        assert fine_work > coarse_work
        assert now < was
        assert (fine_work - coarse_work) / fine_work < 2 * was**2
    assert answer.memory_mib > 0  # how much is a matter of the machine: tests/bench/bench_stiffness.py


def test_the_quick_answer_is_within_its_stated_range_of_finite_elements(answer, bracket):
    for case, found, quick in zip(bracket.cases, answer.cases, estimates(bracket), strict=True):
        assert found.work_nmm / case.force_n < MOVED_RANGE * quick.moved_mm, case.name
        assert quick.moved_mm < 2 * found.work_nmm / case.force_n, case.name
        assert found.peak_mpa < STRESS_RANGE * quick.stress_mpa, case.name


def test_washers_hold_stiffer_than_bores(bracket, answer):
    stiff = tuple(replace(h, ring_mm=16.0) for h in bracket.holds)
    clamped = running.run(replace(coarse(bracket), holds=stiff))
    assert clamped.cases[0].work_nmm < 0.95 * answer.steps[0].work_nmm[0]


@pytest.mark.nightly
def test_a_springy_panel_gives_more_but_no_more_than_all_the_pull_on_one_bolt(bracket, answer):
    soft = tuple(replace(h, flex_mm_per_n=1e-3) for h in bracket.holds)
    given, base = (
        running.run(replace(coarse(bracket), holds=soft)).cases[0].work_nmm,
        answer.steps[0].work_nmm[0],
    )
    pull = sum(f.force[2] for f in bracket.cases[0].forces if f.bore.startswith("pivot"))
    assert 0 < given - base < 1e-3 * pull**2


@pytest.mark.nightly
def test_the_same_problem_gives_the_same_answer(bracket, answer):
    # to rounding: what is kept and printed of it has six digits at most
    again = running.run(coarse(bracket, passes=1))
    for one, two in zip(again.steps, answer.steps, strict=True):
        assert (one.elements, one.unknowns) == (two.elements, two.unknowns)
        assert one.work_nmm == pytest.approx(two.work_nmm, rel=1e-9)


def test_a_bore_the_solid_does_not_have_is_a_fault_in_words(bracket):
    wrong = tuple(replace(b, radius_mm=b.radius_mm + 1) if b.name == "mount_1" else b for b in bracket.bores)
    with pytest.raises(SolverFault, match="the solid has no bore mount_1"):
        running.run(replace(coarse(bracket), bores=wrong))


def test_results_judge_and_read_back_as_written(tmp_path, job, results):
    path = tmp_path / "stiffness.json"
    path.write_text(results_text(results), encoding="utf-8")
    kept = read_results(path)
    assert kept == tuple(replace(r, surface=None) for r in results)
    assert from_data(as_data(kept)) == kept
    assert artefact(replace(job, results=results)).read(path).problems == ()


TAMPERED = {
    "plan": "says plan",
    "moved_mm": "movement",
    "work_nmm": "work",
    "factor": "factor",
    "what": "says cases",
}


@pytest.mark.parametrize("key", TAMPERED)
def test_a_changed_number_is_named(tmp_path, job, results, key):
    content = json.loads(results_text(results))
    case = content["parts"][0]["cases"][0]
    if key == "plan":
        content["parts"][0][key] = "0123456789abcdef"
    else:
        case[key] = "nothing" if key == "what" else case[key] * 1.01
    path = tmp_path / "stiffness.json"
    path.write_text(json.dumps(content, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    assert any(TAMPERED[key] in p for p in artefact(replace(job, results=results)).read(path).problems)


@pytest.mark.parametrize("text", ["", "[]", '{"parts": [{}]}', '{"parts": 3}', '{"parts": [{"steps": 1}]}'])
def test_a_file_that_holds_no_results_is_refused(tmp_path, text):
    path = tmp_path / "stiffness.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ReadBackError):
        read_results(path)


def test_rules_on_results_fire_just_over_and_are_silent_just_under(results):
    (result,) = results
    moved = result.cases[0].most_moved_mm
    factor = min(c.least_factor for c in result.cases)
    fine = Limits(pad_flex_mm=moved * 1.001, yield_factor=factor * 0.999, everyday_factor=0.0)
    assert not list(check_results(results, fine))
    bad = Limits(pad_flex_mm=moved * 0.999, yield_factor=factor * 1.001)
    assert {f.code for f in check_results(results, bad)} == {"bracket-deflection", "bracket-yield"}


def test_a_part_is_settled_once_it_is_solved(tmp_path, results):
    # so much is asked that the quick answer cannot say
    factor = min(c.least_factor for c in results[0].cases if c.kind == "limit")
    asked = f"{HANGER}\n[limits]\nyield_factor = {0.99 * factor}\neveryday_factor = 0.1\n"
    spec = write(tmp_path, asked)
    assert set(prepare(spec).unsettled) == {"hanger"}
    assert not prepare(spec, results=results).unsettled


def test_what_was_solved_of_another_plan_says_nothing(tmp_path, results):
    thin = write(tmp_path, HANGER.replace('thickness = "4 mm"', 'thickness = "2 mm"'), SHOP)
    solved = prepare(thin, results=results)
    assert solved.results == ()
    assert set(solved.unsettled) == {"hanger"}
    assert prepare(write(tmp_path), results=[replace(results[0], plan="")]).results == ()


def test_what_was_solved_under_other_loads_or_give_says_nothing(tmp_path, results):
    """The plan is the same: the pedal's pad lies elsewhere, or the bolts give."""
    for old, new, kept in (
        ("-330 mm", "-331 mm", 1),
        ("-330 mm", "-380 mm", 0),
        ('kind = "pedal_hanger"', 'kind = "pedal_hanger"\nhold = { flex = "2 mm/kN" }', 0),
    ):
        assert len(prepare(write(tmp_path, HANGER.replace(old, new)), results=results).results) == kept, new


def test_a_peak_that_may_still_rise_past_the_limit_is_not_settled(tmp_path, results):
    worst = min(results[0].cases, key=lambda c: c.least_factor)
    between = (worst.least_factor + worst.factor) / 2
    spec = write(tmp_path, f"{HANGER}\n[limits]\nyield_factor = {between}\neveryday_factor = 0.1\n")
    ready = released(prepare(spec, results=results))
    assert [(f.code, f.severity.value) for f in ready.findings if f.code.startswith("bracket")] == [
        ("bracket-unsettled", "fail"),
        ("bracket-yield", "warn"),
    ]


def test_chosen_gauge_and_flex_go_into_the_job_and_change_the_revision(tmp_path, results):
    text = HANGER.replace('thickness = "4 mm"', 'thickness = "4 mm"\ngauge = "stiff enough"')
    text = text.replace('seat = "8 mm"', 'seat = "8 mm"\nhanger_flex = "computed"')
    file = prepare(write(tmp_path, text, SHOP)).file
    solved = replace(
        results[0],
        thickness_mm=3.0,
        gauges=(solving.GaugeResult(thickness_mm=3.0, moved_mm=1.0, factor=2.0, stiff=True, strong=True),),
    )
    changed = with_results(file, [solved])
    assert changed.job.part[0].thickness_mm == 3.0
    assert changed.job.pedal[0].bracket_flex_mm_per_n == pytest.approx(solved.cases[0].flex_mm_per_n)
    assert changed.revision != file.revision
    assert with_results(file, []).revision == file.revision


@pytest.mark.parametrize(("limit", "last"), [(8.0, 2.0), (1.0, 3.0), (0.2, 5.0), (0.01, 5.0)])
def test_sheets_are_tried_from_thin_to_thick_up_to_the_first_that_does(
    tmp_path, monkeypatch, answer, limit, last
):
    # bending alone, as 1/t3 from the solved 4 mm, stands in for the solver; nothing yields
    def bent(bracket, **_):
        factor = (4.0 / bracket.part.plan.thickness_mm) ** 3
        cases = (replace(c, work_nmm=factor * c.work_nmm, peak_mpa=10.0) for c in answer.cases)
        return replace(answer, cases=tuple(cases))

    monkeypatch.setattr(solving, "_solved", bent)
    text = HANGER.replace('thickness = "4 mm"', 'thickness = "4 mm"\ngauge = "stiff enough"')
    job = prepare(write(tmp_path, f'{text}\n[limits]\npad_flex = "{limit} mm"\n', SHOP))
    (bracket,) = brackets(job.file, job.parts, job.pedals)
    tried = solving.choose_gauge(job, bracket, lambda what: None)
    assert tried[-1].thickness_mm == last
    assert [g.enough for g in tried] == [g.moved_mm <= limit for g in tried]
    assert not any(g.enough for g in tried[:-1])


@pytest.mark.parametrize(("strength", "last"), [(1.6, 2.0), (0.61, 3.0), (0.3, 5.0)])
def test_a_sheet_that_yields_is_not_chosen_however_stiff(tmp_path, monkeypatch, answer, strength, last):
    # stress of bending goes with 1/t2: a factor of `strength` in 2 mm is 2.25 times that in 3 mm and 6.25 in 5 mm
    def bent(bracket, **_):
        t, yields = bracket.part.plan.thickness_mm, solving.material(bracket.part.plan.material).yield_mpa
        peak = yields / (strength * (t / 2.0) ** 2)
        return replace(
            answer,
            cases=tuple(replace(c, work_nmm=0.01, peak_mpa=peak, peak_error=0.0) for c in answer.cases),
        )

    monkeypatch.setattr(solving, "_solved", bent)
    text = HANGER.replace('thickness = "4 mm"', 'thickness = "4 mm"\ngauge = "stiff enough"')
    job = prepare(write(tmp_path, f"{text}\n[limits]\neveryday_factor = 1.0\n", SHOP))
    (bracket,) = brackets(job.file, job.parts, job.pedals)
    tried = solving.choose_gauge(job, bracket, lambda what: None)
    assert (tried[-1].thickness_mm, tried[-1].enough) == (last, True)
    assert all(g.stiff and not g.strong and g.factor < 1 for g in tried[:-1])


@pytest.mark.parametrize(
    ("error", "peak_error", "enough", "words"),
    [
        (0.099, 0.5, True, "stiff and strong enough"),
        (0.101, 0.5, False, "gives too much"),
        (0.0, None, False, "its stress is not sure"),
    ],
)
def test_no_gauge_is_taken_for_what_its_mesh_cannot_know(
    tmp_path, monkeypatch, answer, error, peak_error, enough, words
):
    """1 mm with 10 % more is just the 1.1 mm allowed; 10 MPa are far from yield, if they are 10 MPa."""
    job = prepare(write(tmp_path, f'{HANGER}\n[limits]\npad_flex = "1.1 mm"\n', SHOP))
    (bracket,) = brackets(job.file, job.parts, job.pedals)
    cases = [
        replace(found, work_nmm=case.force_n, peak_mpa=10.0, error=error, peak_error=peak_error)
        for case, found in zip(bracket.cases, answer.cases, strict=True)
    ]
    got = solving._gauge_result(bracket, replace(answer, cases=tuple(cases)), job.file.job.limits)
    assert (got.enough, got.words) == (enough, words)


@pytest.mark.nightly
def test_the_thinnest_sheet_that_is_stiff_enough_is_found(tmp_path, monkeypatch):
    # coarse, for speed; 2 mm gives some 3.4 times as much as 3 mm, and the limit lies between
    monkeypatch.setattr(
        solving, "run", lambda problem: running.run(replace(problem, passes=1, surface=False))
    )
    text = HANGER.replace('thickness = "4 mm"', 'thickness = "4 mm"\ngauge = "stiff enough"')
    text += '\n[limits]\npad_flex = "0.6 mm"\nyield_factor = 0.01\neveryday_factor = 0.01\n'
    job = prepare(write(tmp_path, text, SHOP))
    (bracket,) = brackets(job.file, job.parts, job.pedals)
    tried = solving.choose_gauge(job, bracket, lambda what: None)
    assert [(g.thickness_mm, g.enough) for g in tried] == [(2.0, False), (3.0, True)]
    assert tried[0].moved_mm == pytest.approx(tried[1].moved_mm * 3.375, rel=0.25)


def test_pages_carry_the_cautions_and_the_words(tmp_path, results):
    path = tmp_path / "pages.pdf"
    story = stiffness_story(results, body_width("A4"), "A4")[1:]
    write_document(path, story, title="t", subject="t", revision="abcdef0", paper="A4")
    document = pypdfium2.PdfDocument(path)
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    document.close()
    assert len(texts) == 2
    for text in texts:
        assert all(caution in text for caution in CAUTIONS)
    assert stiffness_words(results[0]) in texts[0]
    assert "von Mises, MPa" in texts[1]
    assert "movement x" in texts[1]


BLOCKED = """
import sys

class Blocked:
    @staticmethod
    def find_spec(name, path=None, target=None):
        if name.partition(".")[0] in ("netgen", "ngsolve"):
            raise ImportError(f"{name} is blocked")

sys.meta_path.insert(0, Blocked)
"""


@pytest.fixture
def without_solver(tmp_path, monkeypatch):
    """Python processes started in this test cannot import the solver."""
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(BLOCKED, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(folder), str(Path(__file__).parents[2])]))


@pytest.mark.nightly
def test_make_without_the_solver_makes_the_files_and_says_what_is_missing(tmp_path, without_solver):
    job = '[job]\nname = "toy"\ntitle = "Toy shelf, invented"\n' + ANGLE
    push = load(name="full", part="shelf", case="force", hole="reservoir_1", force="30 N", toward="in")
    spec = write(tmp_path, job + push)
    done = subprocess.run(
        [sys.executable, "-m", "generators.cli", "make", spec, "--stiffness", "--out", tmp_path / "out"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    said = " ".join((done.stdout + done.stderr).split())
    assert "stiffness not computed: the finite-element solver is not installed" in said
    assert "(netgen and ngsolve missing): pip install 'pedalplate[stiffness]'" in said
    made = {path.name for path in (tmp_path / "out" / "toy").rglob("*") if path.is_file()}
    assert {"report.pdf", "shelf_drawing.pdf", "shelf.step"} <= made
    assert "stiffness.json" not in made


def test_a_solver_that_is_there_but_does_not_load_counts_as_missing(monkeypatch, without_solver, bracket):
    monkeypatch.setattr(running, "PACKAGES", ("os",))
    with pytest.raises(
        SolverMissing, match=r"does not load \(ImportError: netgen.* is blocked\): pip install"
    ):
        running.run(coarse(bracket))


def test_without_the_solver_it_is_said_what_is_missing(tmp_path, monkeypatch, capsys, job):
    monkeypatch.setattr(running, "PACKAGES", ("netgen_that_is_not_there", "os"))
    with pytest.raises(SolverMissing, match="netgen_that_is_not_there missing"):
        running.require_solver()
    results, remarks = make_solves(replace(job, findings=()))
    assert results == ()
    assert "stiffness not computed" in remarks[0]
    assert "pip install" in remarks[0]
    monkeypatch.setattr(sys, "argv", ["pedalplate", "stiffness", str(write(tmp_path))])
    assert app.run() == 2
    assert "pip install" in capsys.readouterr().err
    assert os.listdir(tmp_path) == ["toy.toml"]
