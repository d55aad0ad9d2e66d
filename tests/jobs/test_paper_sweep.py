"""No good job is refused: whatever passes the rules, or is waived, is printed and reads back."""

from __future__ import annotations

from collections import Counter
from itertools import count
from pathlib import Path

import pytest
from jobs.paper_jobs import PAPERS, drawn_job, refusals, released

from generators.parts import KINDS

NIGHTLY = 400
MOST_TRIED = 40
NAMES = [f.name for f in KINDS]


@pytest.mark.parametrize("kind", NAMES)
def test_a_job_of_each_kind_is_not_refused(kind: str, tmp_path: Path) -> None:
    """The first job drawn that any reader takes; papers in turn."""
    paper = PAPERS[NAMES.index(kind) % len(PAPERS)]
    for seed in range(MOST_TRIED):
        drawn = drawn_job(seed, kind, paper)
        prepared = released(drawn, tmp_path)
        if prepared is not None:
            assert list(refusals(prepared, drawn.paper, tmp_path)) == []
            return
    pytest.fail(f"no job of {MOST_TRIED} with a {kind} passes")


@pytest.mark.parametrize(
    ("kind", "seed", "paper", "sheet"),
    [
        # marks with labels far off in large type, seen as no marks
        ("twin_pedal_hanger", 7100, "letter", "template"),
        # "6 to 12" broken over two lines of the list on page one; a flange said to fall on its own side
        ("stop_bracket", 7100, "letter", "print_me"),
        ("stop_bracket", 7102, "both", "setup"),
        # a panel's edge under the sheet's frame, taken for one to lay it along
        ("clamp_standoff", 7101, "tabloid", "template"),
        # a part whose hole lies on another part's is turned about it: its way round was asked of a hole not its own
        ("", 8100038, "", "install"),
    ],
)
def test_what_was_refused_once_is_not(kind: str, seed: int, paper: str, sheet: str, tmp_path: Path) -> None:
    """The sheets it was refused for."""
    drawn = drawn_job(seed, kind, paper)
    prepared = released(drawn, tmp_path)
    assert prepared is not None
    assert list(refusals(prepared, drawn.paper, tmp_path, sheet)) == []


@pytest.mark.nightly
def test_no_job_of_many_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    waived: Counter[int] = Counter()
    papers: Counter[str] = Counter()
    refused: list[str] = []
    for seed in count(1_000_000):
        drawn = drawn_job(seed)
        folder = tmp_path / str(seed)
        folder.mkdir()
        prepared = released(drawn, folder)
        if prepared is not None:
            waived[len(prepared.waived)] += 1
            papers[drawn.paper] += 1
            refused += [f"seed {seed}: {said}" for said in refusals(prepared, drawn.paper, folder)]
        if waived.total() == NIGHTLY:
            break
    with capsys.disabled():
        print(
            f"\n{NIGHTLY} jobs, {seed - 999_999 - NIGHTLY} drawn in vain; waived {dict(waived)}; {dict(papers)}"
        )
    assert refused == []
