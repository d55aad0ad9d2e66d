"""Every change printed for jobs drawn at random holds when it is typed: nothing here is a real vehicle."""

from __future__ import annotations

import shutil
from itertools import count
from pathlib import Path

import pytest
from flawed import SPECS
from paper_jobs import drawn_job
from test_mends import told
from typed import printed, typed

from generators.cli.output import print_findings
from generators.errors import SpecError
from generators.solve.job import prepare
from generators.solve.mends.tries import with_mends

NIGHTLY = 120
"""Jobs with something to mend; about every third drawn has."""

FIRST = 2_000_000


def held(seed: int, folder: Path, capsys: pytest.CaptureFixture[str]) -> int | None:
    """How many changes are printed for the job of a seed, all of which must hold; None for a job that is none."""
    text = drawn_job(seed).text
    shutil.copy(SPECS / "shop.toml", folder / "shop.toml")
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    try:
        job = prepare(path)
    except SpecError:
        return None
    capsys.readouterr()
    print_findings(with_mends(job, lambda finding: True).findings)
    changes = printed(capsys.readouterr().out)
    for change in changes:
        path.write_text(typed(text, change), encoding="utf-8")
        was, now = told(job.findings), told(prepare(path).findings)
        assert not now - was, f"seed {seed}: {change.words} brings {now - was}"
        assert any(code == change.code for code, _ in was - now), f"seed {seed}: {change.words} leaves {now}"
    return len(changes)


@pytest.mark.parametrize("seed", [1009, 1016, 1029])
def test_printed_changes_hold(seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert held(seed, tmp_path, capsys)


@pytest.mark.nightly
def test_every_printed_change_of_many_jobs_holds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    jobs = 0
    for seed in count(FIRST):
        jobs += bool(held(seed, tmp_path, capsys))
        if jobs == NIGHTLY:
            break
