"""Holes as drilled over random parts, panels and readings: none is lost, and what fails is said."""

from __future__ import annotations

import tempfile
from collections import Counter
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs.drilled_jobs import complaints, drilled_job

from generators.errors import SpecError
from generators.jobs.asdrilled.weigh import as_drilled
from generators.parts import kind_named
from generators.solve.job import prepare

NIGHTLY = 300


@settings(max_examples=10)
@given(seed=st.integers(0, 100_000))
def test_no_hole_is_lost_and_what_fails_is_said(seed: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        drilled = drilled_job(seed, Path(name))
        if drilled is not None:
            assert list(complaints(drilled, Path(name), Counter())) == []


def test_a_part_that_follows_its_panel_is_refused(tmp_path: Path) -> None:
    """Planned anew on the panel as drilled its holes would lie elsewhere: seen with a doubler's rim, 3 mm off."""
    spec = Path(__file__).parents[2] / "specs" / "tarn_special.toml"
    design = prepare(spec)
    part = next(
        p for p in design.parts if kind_named(p.spec.kind).plan_on is not None and p.mount is not None
    )
    assert part.mount is not None
    readings = tmp_path / "r.toml"
    text = f'[measure]\nname = "d"\ntitle = "D"\npanel = "{part.mount.panel}"\npart = "{part.spec.name}"\n'
    for k, own in enumerate(part.plan.flanges[0].holes[:2]):
        text += f'\n[[hole]]\nname = "{own.name}"\ndiameter = "9 mm"\nat = ["{200 + 60 * k} mm", "150 mm"]\n'
        text += 'uncertainty = "0.1 mm"\n'
    readings.write_text(text, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        as_drilled(spec, readings)
    (fault,) = caught.value.faults
    assert (fault.path, fault.expected) == ("measure.part", "a part with holes of its own")


def test_a_guide_with_nothing_left_to_guide_stays_as_a_comment(tmp_path: Path) -> None:
    """Every hole under it is drilled: its plan would be refused, and with it the spec that is written."""
    drilled = drilled_job(7_000_244, tmp_path)
    assert drilled is not None
    assert list(complaints(drilled, tmp_path, Counter())) == []
    outcome = as_drilled(drilled.spec, drilled.readings).outcome
    assert outcome is not None
    assert outcome.idle == ("part_1",)
    assert "# part_1 is left out: the holes it leads a drill to are drilled\n# [[part]]" in outcome.text
    assert outcome.prepared is not None
    assert not any(part.plan.tool for part in outcome.prepared.parts)


@pytest.mark.nightly
def test_no_hole_of_many_is_lost(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told: Counter[str] = Counter()
    wrong: list[str] = []
    done = 0
    for seed in count(2_000_000):
        folder = tmp_path / str(seed)
        folder.mkdir()
        drilled = drilled_job(seed, folder)
        if drilled is not None:
            done += 1
            wrong += [f"seed {seed}: {said}" for said in complaints(drilled, folder, told)]
        if done == NIGHTLY:
            break
    with capsys.disabled():
        print(f"\n{NIGHTLY} jobs as drilled, {seed - 1_999_999 - NIGHTLY} drawn in vain: {dict(told)}")
    assert wrong == []
