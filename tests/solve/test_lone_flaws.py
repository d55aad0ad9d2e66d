"""One flaw is one finding, in its place, with nothing misleading beside it; what is printed to mend it does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from checked import told, written
from lone_flaws import FLAWS, GOOD
from typed import printed, typed

from generators.cli.output import print_findings
from generators.model.findings import Finding, Severity
from generators.solve.job import prepare
from generators.solve.mends.tries import with_mends


def hard(findings: tuple[Finding, ...]) -> list[Finding]:
    """What is more than a note."""
    return [f for f in findings if f.severity is not Severity.NOTE]


def place(found: Finding) -> tuple[float, float]:
    """The u and v a finding says."""
    said = re.search(r"u (-?[0-9.]+) v (-?[0-9.]+)", found.found)
    assert said is not None, found
    return float(said[1]), float(said[2])


def test_the_sound_job_is_silent(tmp_path: Path) -> None:
    assert hard(prepare(written(tmp_path, GOOD)).findings) == []


@pytest.mark.parametrize("name", FLAWS)
def test_one_flaw_is_one_finding_and_its_change_works(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    flaw = FLAWS[name]
    job = with_mends(prepare(written(tmp_path, flaw.text)), lambda finding: True)
    found = hard(job.findings)
    own = [f for f in found if f.code == flaw.found[0][0]]
    assert sorted((f.code, f.where) for f in found) == sorted(
        (code, next((f.where for f in found if f.code == code and f.where.startswith(where)), where))
        for code, where in flaw.found
    )
    for words in flaw.says:
        assert words in f"{own[0].where}: {own[0].found}"
    if flaw.at is not None:
        assert place(own[0]) == pytest.approx(flaw.at, abs=flaw.within)
    capsys.readouterr()
    print_findings(job.findings)
    out = capsys.readouterr().out
    changes = printed(out)
    assert flaw.cure in out
    was, left = told(job.findings), []
    for change in changes:
        now = told(prepare(written(tmp_path, typed(flaw.text, change))).findings)
        assert not now - was, f"{change.words} brings {now - was}"
        assert any(code == change.code for code, _ in was - now), f"{change.words} leaves {now}"
        left.append(now)
    assert any(not now for now in left) is flaw.mended, out
