"""Issue letters: their order, what they stand for, and that other numbers under a letter are refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from calling import call
from issue.finished import silent
from issue.small import TEXT

from generators.errors import ExportError, ReadBackError, SpecError
from generators.issue.manifest import NAME
from generators.jobs.issued import give
from generators.jobs.issued.store import LIST, NUMBERS, issues_folder, issues_of, read_issues
from generators.jobs.verify import verify
from generators.model.sold.letters import next_letter
from generators.solve.job import prepare

VARIANT = """
[[variant]]
name = "thick"
  [variant.set]
  "part[plate].thickness" = "3 mm"
"""
SHOP = 'units = "metric"\n[rates]\ncurrency = "EUR"\ncutter_hour = 90\n'


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    path = tmp_path / "small.toml"
    path.write_text(TEXT + VARIANT, encoding="utf-8")
    return path


def give_letter(spec: Path, date: str = "2026-11-29") -> int:
    return call("issue", str(spec), "--date", date, "--why", "because it is time")


def changed(spec: Path, was: str, now: str) -> None:
    text = spec.read_text(encoding="utf-8")
    assert was in text
    spec.write_text(text.replace(was, now, 1), encoding="utf-8")


def test_letters_go_as_the_standard_says() -> None:
    # ASME Y14.35: I, O, Q, S, X and Z are not used; after Y comes AA, after AY comes BA
    letter, seen = "", []
    for _ in range(20 + 20 + 1):
        letter = next_letter(letter)
        seen.append(letter)
    assert seen[:20] == list("ABCDEFGHJKLMNPRTUVWY")
    assert (seen[20], seen[21], seen[39], seen[40]) == ("AA", "AB", "AY", "BA")
    assert not set("IOQSXZ") & set("".join(seen))
    assert next_letter("YY") == "AAA"


def test_other_numbers_under_a_letter_are_refused(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert give_letter(spec) == 0
    assert "issue A of 2026-11-29: thick, revision" in capsys.readouterr().out
    assert call("make", str(spec), "--dry-run") == 0
    # words that are no content, and rates, which make no other part
    changed(spec, "[job]", "# a remark\n[job]")
    changed(spec.with_name("shop.toml"), "cutter_hour = 90", "cutter_hour = 95")
    assert call("make", str(spec), "--dry-run", "--variant", "thick") == 0
    changed(spec, 'at = { u = "100 mm"', 'at = { u = "102 mm"')
    for command in ("make", "kit"):
        capsys.readouterr()
        assert call(command, str(spec), "--out", str(spec.parent / "out")) == 1
        said = capsys.readouterr()
        assert "differs from issue A of 2026-11-29" in said.err
        assert "spec.panel[left].hole[wire].at.u: was '100 mm', is '102 mm'" in said.out
        assert "left 1 (wire): moved" in said.out
        assert ("--unissued" in said.err) == (command == "make")
    assert not (spec.parent / "out").exists()
    assert call("make", str(spec), "--dry-run", "--unissued") == 0
    assert call("make", str(spec), "--dry-run", "--json") == 1


def test_the_next_letter_takes_what_changed_and_both_can_be_compared(
    spec: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert give_letter(spec) == 0
    assert give_letter(spec) == 2
    assert "nothing differs from issue A" in capsys.readouterr().err
    changed(spec, 'diameter = "10 mm"', 'diameter = "12 mm"')
    assert give_letter(spec, "2026-11-28") == 2
    assert give_letter(spec, "29.11.2026") == 2
    assert give_letter(spec, "2026-12-01") == 0
    assert [(i.letter, i.date) for i in issues_of(spec)] == [("A", "2026-11-29"), ("B", "2026-12-01")]
    capsys.readouterr()
    assert call("compare", str(spec), "--issue-before", "A", "--issue", "B", "--json") == 0
    (hole,) = json.loads(capsys.readouterr().out)["holes"]
    assert (hole["was_dia_mm"], hole["now_dia_mm"]) == (10, 12)
    assert call("compare", str(spec), "--issue-before", "C") == 2
    assert 'no issue "C"; known: A, B' in capsys.readouterr().err


def test_letters_go_with_the_folder_to_another_machine(
    spec: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    assert give_letter(spec) == 0
    other = Path(shutil.copytree(spec.parent, tmp_path_factory.mktemp("other") / "copy")) / spec.name
    assert call("make", str(other), "--dry-run") == 0
    changed(other, 'diameter = "10 mm"', 'diameter = "11 mm"')
    assert call("make", str(other), "--dry-run") == 1


def test_a_program_that_computes_other_numbers_is_refused(
    spec: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert give_letter(spec) == 0
    kept = issues_folder(spec) / "A" / NUMBERS
    numbers: dict[str, Any] = json.loads(kept.read_text(encoding="utf-8"))
    numbers[""]["hole"]["left/wire"]["right"] += 0.01  # as an older version may have had it
    kept.write_text(json.dumps(numbers), encoding="utf-8")
    capsys.readouterr()
    assert call("make", str(spec), "--dry-run") == 1
    out = capsys.readouterr().out
    assert (
        "hole left/wire: right was 100.01 mm, is 100.0 mm (the spec is the same: it is computed otherwise now)"
        in out
    )


def test_a_run_killed_between_leaves_the_letters_as_they_were(
    spec: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert give_letter(spec) == 0

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    changed(spec, 'diameter = "10 mm"', 'diameter = "12 mm"')
    with monkeypatch.context() as patch:
        patch.setattr(give, "_put", killed)
        assert give_letter(spec) > 128
    assert (issues_folder(spec) / "B").is_dir()
    assert [i.letter for i in issues_of(spec)] == ["A"]
    assert give_letter(spec) == 0
    assert [i.letter for i in issues_of(spec)] == ["A", "B"]
    assert '"12 mm"' in (issues_folder(spec) / "B" / spec.name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("was", "now", "path"),
    [
        ('letter = "A"', 'letter = "B"', "issue[0].letter"),
        ('date = "2026-11-29"', 'date = "2026-11-31"', "issue[0].date"),
        ('why = "b', 'reason = "b', "issue[0].reason"),
    ],
)
def test_a_list_that_was_changed_by_hand_is_a_fault_at_its_line(
    spec: Path, was: str, now: str, path: str
) -> None:
    assert give_letter(spec) == 0
    listed = issues_folder(spec) / LIST
    changed(listed, was, now)
    with pytest.raises(SpecError) as caught:
        read_issues(listed)
    assert path in [f.path for f in caught.value.faults]
    assert call("make", str(spec), "--dry-run") == 3


def test_a_folder_made_under_a_letter_says_so_and_is_proven(tmp_path: Path) -> None:
    import pypdfium2

    from generators.jobs.issued.mark import under
    from generators.jobs.issued.standing import standing
    from generators.jobs.nest import write_nest
    from generators.solve.job import prepare

    (tmp_path / "shop.toml").write_text(
        '[[sheet]]\nmaterial = "1008 steel"\nthickness = "2 mm"\nlength = "1000 mm"\nwidth = "500 mm"\n',
        encoding="utf-8",
    )
    spec = tmp_path / "small.toml"
    spec.write_text(TEXT, encoding="utf-8")
    assert give_letter(spec) == 0
    prepared = prepare(spec)
    found = standing(prepared)
    assert found is not None
    assert found.differs == ()
    made = write_nest(under(prepared, found.mark), tmp_path / "out", sets=1, paper="A4", progress=silent)
    document = pypdfium2.PdfDocument(made.folder / "nest.pdf")
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert f"revision A 2026-11-29 {prepared.file.revision}" in text
    assert [r for r in verify(made.folder, progress=silent, quick=True) if not r.good] == []
    manifest = json.loads((made.folder / NAME).read_text(encoding="utf-8"))
    assert (manifest["letter"], manifest["issued"]) == ("A", "2026-11-29")
    for key, value in (("letter", "B"), ("issued", "2026-11-30")):
        (made.folder / NAME).write_text(json.dumps({**manifest, key: value}), encoding="utf-8")
        with pytest.raises(ReadBackError, match="which stands for another content or date"):
            verify(made.folder, progress=silent, quick=True)


def test_of_two_runs_that_issue_at_once_one_is_told(spec: Path) -> None:
    form = prepare(spec)
    give.add_issue(spec, [form], why="first", date="2026-11-29", last="")
    # the second had looked before there was a letter: the same content is not given B as well
    with pytest.raises(ExportError, match="the letter A meanwhile"):
        give.add_issue(spec, [form], why="second", date="2026-11-29", last="")
    assert [issue.letter for issue in issues_of(spec)] == ["A"]


def test_what_was_issued_is_kept_where_the_list_is_lost(spec: Path) -> None:
    assert give_letter(spec) == 0
    (issues_folder(spec) / LIST).unlink()
    kept = (issues_folder(spec) / "A" / spec.name).read_bytes()
    changed(spec, 'diameter = "10 mm"', 'diameter = "12 mm"')
    with pytest.raises(ExportError, match="does not name it: bring the list back"):
        give.add_issue(spec, [prepare(spec)], why="again", date="2026-11-29", last="")
    assert (issues_folder(spec) / "A" / spec.name).read_bytes() == kept
