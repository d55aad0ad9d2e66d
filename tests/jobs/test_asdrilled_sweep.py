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

NIGHTLY = 300


@settings(max_examples=10)
@given(seed=st.integers(0, 100_000))
def test_no_hole_is_lost_and_what_fails_is_said(seed: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        drilled = drilled_job(seed, Path(name))
        if drilled is not None:
            assert list(complaints(drilled, Path(name), Counter())) == []


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
