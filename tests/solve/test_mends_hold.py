"""Every change printed for jobs drawn at random holds when it is typed: nothing here is a real vehicle."""

from __future__ import annotations

import random
import re
import shutil
from collections.abc import Callable
from itertools import count
from pathlib import Path

import pytest
from checked import told
from flawed import SPECS
from paper_jobs import drawn_job
from typed import printed, typed

from generators.cli.output import print_findings
from generators.errors import SpecError
from generators.solve.job import prepare
from generators.solve.mends.tries import with_mends

NIGHTLY = 60
"""Jobs of each kind with something to mend; about every third drawn has."""

FIRST = 2_000_000
LENGTH = re.compile(r'"(-?[0-9.]+) mm"')
DEMOS = [(SPECS / f"{name}.toml").read_text(encoding="utf-8") for name in ("wrenfield_van", "dray_tractor")]


def panels_and_parts(seed: int) -> str:
    """A job of two panels, with holes, obstacles and brackets strewn over them."""
    return drawn_job(seed).text


def demo_gone_wrong(seed: int) -> str:
    """A demo, with its pedals and hoses, in which one to three lengths are not what they were."""
    rng = random.Random(seed)
    text = rng.choice(DEMOS)
    places = rng.sample(list(LENGTH.finditer(text)), rng.choice((1, 1, 2, 3)))
    for place in sorted(places, key=lambda match: match.start(), reverse=True):
        value = float(place[1]) * rng.uniform(0.5, 1.6) + rng.uniform(-5, 5)
        text = f'{text[: place.start()]}"{value:.1f} mm"{text[place.end() :]}'
    return text


def held(text: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> int:
    """How many changes are printed for a job, all of which must hold; none for a job that cannot be."""
    for beside in ("shop.toml", "shelf.toml"):
        shutil.copy(SPECS / beside, folder / beside)
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    try:
        job = prepare(path)
    except SpecError:
        return 0
    capsys.readouterr()
    print_findings(with_mends(job, lambda finding: True).findings)
    changes = printed(capsys.readouterr().out)
    for change in changes:
        path.write_text(typed(text, change), encoding="utf-8")
        was, now = told(job.findings), told(prepare(path).findings)
        assert not now - was, f"{change.words} brings {now - was}"
        assert any(code == change.code for code, _ in was - now), f"{change.words} leaves {now}"
    return len(changes)


@pytest.mark.parametrize("seed", [1009, 1016, 1029])
def test_printed_changes_hold(seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    held(panels_and_parts(seed), tmp_path, capsys)


@pytest.mark.nightly
@pytest.mark.parametrize("drawn", [panels_and_parts, demo_gone_wrong])
def test_every_printed_change_of_many_jobs_holds(
    drawn: Callable[[int], str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs = 0
    for seed in count(FIRST):
        try:
            jobs += bool(held(drawn(seed), tmp_path, capsys))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error
        if jobs == NIGHTLY:
            break
