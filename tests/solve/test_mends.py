"""What `check` prints as a change is typed word for word: the finding is gone, and nothing new came."""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stdout
from dataclasses import dataclass
from functools import cache
from io import StringIO
from pathlib import Path

import pypdfium2
import pytest
from calling import call
from checked import BLOCKED, told, written
from flawed import FLAWS, HANGER, VAN, Flaw, spoilt
from typed import Printed, path_of, printed, typed

from generators.cli.output import print_findings
from generators.jobs.make.job_files import job_files
from generators.solve.job import Prepared, prepare
from generators.solve.mends.tries import with_mends


def found(text: str, folder: Path) -> Counter[tuple[str, str]]:
    """What a spec so written is told."""
    return told(prepare(written(folder, text)).findings)


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A job with a flaw, and what is printed of it with changes for all that came with the flaw."""

    job: Prepared
    out: str


Answers = Callable[[str], Answer]


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Answers:
    """The answer to each flaw, worked out once.

    What the van is told without a flaw has its own test below, with the command: it is not tried with each flaw again.
    """
    folder = tmp_path_factory.mktemp("flaws")
    known = {(f.code, f.where, f.found) for f in prepare(written(folder, VAN)).findings}

    @cache
    def answered(name: str) -> Answer:
        job = prepare(written(folder, FLAWS[name].text))
        mended = with_mends(job, lambda f: (f.code, f.where, f.found) not in known)
        with redirect_stdout(StringIO()) as out:
            print_findings(mended.findings)
        return Answer(job=job, out=out.getvalue())

    return answered


def cleared(text: str, was: Counter[tuple[str, str]], out: str, folder: Path) -> list[Printed]:
    """The changes printed for a spec: each, typed into it, clears its finding and brings no other."""
    changes = printed(out)
    assert changes, out
    for change in changes:
        now = found(typed(text, change), folder)
        assert not now - was, f"{change.words} brings {now - was}"
        gone = was - now
        assert any(code == change.code for code, _ in gone), f"{change.words} leaves {now}"
    return changes


@pytest.mark.parametrize("name", FLAWS)
def test_a_change_typed_as_printed_clears_its_finding(name: str, answers: Answers, tmp_path: Path) -> None:
    flaw: Flaw = FLAWS[name]
    answer = answers(name)
    assert flaw.code in answer.out
    changes = cleared(flaw.text, told(answer.job.findings), answer.out, tmp_path)
    assert any(path_of(value).startswith(flaw.path) for change in changes for value in change.values)


def test_a_change_for_the_van_without_a_flaw_is_told_by_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call("check", str(written(tmp_path, VAN)))
    cleared(VAN, found(VAN, tmp_path), capsys.readouterr().out, tmp_path)


def test_comments_and_spacing_stay() -> None:
    """The text typed by the program differs from the spec in the lines it names and in no other."""
    flaw = FLAWS["hose too short"]
    change = Printed(
        severity="fail",
        code="hose-too-short",
        words="",
        values=('hose[slave_hose].made_up = "17 3/4 in"  # line 382, was "16 in"',),
        tables=(),
    )
    old, new = flaw.text.split("\n"), typed(flaw.text, change).split("\n")
    assert [n for n, (a, b) in enumerate(zip(old, new, strict=True), 1) if a != b] == [382]


def test_nothing_is_tried_without_mends(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = written(tmp_path, FLAWS["stop too early"].text)
    before = spec.read_bytes()
    for arguments in (["--no-mends"], ["--json"]):
        assert call("check", str(spec), *arguments) == BLOCKED
        out = capsys.readouterr().out
        assert "Change (tried" not in out
        assert '"mend"' not in out
    assert call("check", str(spec), "--no-mends") == BLOCKED
    assert "Usual cure: set the stop at" in capsys.readouterr().out
    assert call("check", str(spec)) == BLOCKED
    capsys.readouterr()
    assert spec.read_bytes() == before


def test_make_tries_what_blocks_only(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The stop is past the fingers, a fail, and past the travel wanted, a warning."""
    spec = written(tmp_path, FLAWS["stop too late"].text)
    assert call("make", str(spec), "--out", str(tmp_path / "out")) == BLOCKED
    out = capsys.readouterr().out
    changes = printed(out)
    assert [(change.severity, change.code) for change in changes] == [("fail", "pedal-over-travel")]
    assert "Usual cure: set the stop nearer" in out
    assert not (tmp_path / "out").exists()


def test_where_nothing_does_it_says_what_stands_against_the_best(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A shop that lets a hose have its least slack and no more leaves no length in whole sixteenths of an inch.

    Path p of some 17 in: 1.05 p is met by one length only, and the one next above it by 1/16 in has too much.
    The tab is made 46 mm long, that no other finding of the van has a change to print.
    """
    tight = ("[limits]", "[limits]\nhose_slack_ratio = 0.05\nhose_slack_most_ratio = 0.05")
    short, tab = ('made_up = "18 in"', 'made_up = "16 in"'), ('tab_length = "45 mm"', 'tab_length = "46 mm"')
    spec = written(tmp_path, spoilt(VAN, tight, short, tab))
    call("check", str(spec))
    out = capsys.readouterr().out
    assert printed(out) == []
    assert re.search(r"No single change clears this \([0-9]+ changes tried\): to take a longer hose", out)
    assert "brings hose-slack hose:slave_hose" in out
    assert "Usual cure: take a hose of" in out


def test_a_change_that_makes_another_finding_worse_is_not_printed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A larger master shortens the travel of this pedal, and makes its too heavy effort heavier still."""
    text = spoilt(FLAWS["reservoir too small"].text, ('reservoir = "5 cc"\n', ""), ("1500 N", "2600 N"))
    call("check", str(written(tmp_path, text)))
    out = capsys.readouterr().out
    assert "pedal-effort" in out
    assert all("master.bore" not in value for change in printed(out) for value in change.values)


def test_one_cause_has_one_change(answers: Answers) -> None:
    """The tab is too short to bend, its hole lies too near edge and bend and would tear: one longer tab mends all.

    Of 22 mm, R 6 and 4 mm of metal leave 12 mm flat, the 9 mm hole in its middle: 6 mm to the edge, 1.5 mm of
    metal to the bend. Twice the hole, 18 mm to the edge, wants 36 mm flat: a tab of 46 mm, 24 mm more.
    """
    out = answers("tab too short for the die").out
    words = "make tab_length of clutch_hanger 24 mm larger"
    assert [change.code for change in printed(out) if change.words == words] == ["bolt-bearing"]
    assert out.count(f"{words}, as above") == 4


def test_two_changes_where_the_first_asks_for_a_second(answers: Answers) -> None:
    """The reservoir goes up, and the hose to it, made up to another place, gets longer; last line first."""
    (change,) = (c for c in printed(answers("reservoir too low").out) if c.code == "reservoir-low")
    assert [value.split(" = ")[0] for value in change.values] == [
        "hose[feed_hose].made_up",
        "part[clutch_reservoir].mount.at.v",
    ]


def test_the_hanger_stays_in_the_unit_it_was_written_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """8 1/2 in up from the bore is 215.9 mm: the loom's lower edge is in the way as at 215 mm."""
    text = spoilt(VAN, (HANGER, HANGER.replace('"125 mm"', '"8 1/2 in"')))
    call("check", str(written(tmp_path, text)))
    values = [v for change in printed(capsys.readouterr().out) for v in change.values if ".at.v" in v]
    assert values
    assert all(
        re.search(r'= "[0-9]+ [0-9]+/[0-9]+ in"  # line 209, was "8 1/2 in"', value) for value in values
    )


def test_trying_mends_needs_no_kernel(tmp_path: Path) -> None:
    code = (
        "import sys; sys.argv=['pedalplate','check',sys.argv[1]]; from generators.cli.app import run; run();"
        "sys.exit(7 if {'cadquery','OCP','vtkmodules','ezdxf','reportlab'} & set(sys.modules) else 0)"
    )
    spec = written(tmp_path, FLAWS["hanger under the loom"].text)
    done = subprocess.run(
        [sys.executable, "-c", code, str(spec)], capture_output=True, text=True, timeout=600, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Change (tried: clears this)" in done.stdout


def test_the_report_tells_a_tried_change_from_general_advice(tmp_path: Path) -> None:
    """A job with fails has a report only when they are waived; then it says what would have cleared them."""
    spec = written(tmp_path, FLAWS["tab too short for the die"].text)
    reasons = dict.fromkeys(("bolt-bearing", "flange-length", "hole-edge-distance"), "trial part")
    report = next(a for a in job_files(prepare(spec, reasons), "A4") if a.entry.kind == "report")
    report.body(tmp_path / "report.pdf")
    pages = pypdfium2.PdfDocument(tmp_path / "report.pdf")
    text = " ".join(pages[0].get_textpage().get_text_range().split())
    pages.close()
    assert text.count("Change (tried: clears this): make tab_length of clutch_hanger 24 mm larger.") == 3
    assert 'part[clutch_hanger].parameters.tab_length = "46 mm"' in text
    # the warnings were not waived, so nothing was tried for them
    assert text.count("Usual cure: move hole brace_1 at least") == 2
