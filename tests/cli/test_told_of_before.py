"""What is said beside a refusal, and beside a size that is another than was typed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from calling import call
from made_once import solved

README = Path(__file__).parents[2] / "README.md"


@pytest.mark.parametrize("before", [False, True])
def test_a_refused_job_says_that_the_folder_there_is_of_before(
    before: bool, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (text,) = re.findall(r"<!-- first spec -->\n```toml\n(.*?)```", README.read_text(), re.S)
    spec = tmp_path / "first.toml"
    spec.write_text(text)
    if before:
        (tmp_path / "out" / "first").mkdir(parents=True)
        (tmp_path / "out" / "first" / "manifest.json").write_text("{}")
    assert call("make", str(spec), "--out", str(tmp_path / "out")) == 1
    said = capsys.readouterr()
    assert ("belongs to earlier numbers" in said.out + said.err) is before
    assert "No files: hole-ligament failed" in said.err


def test_a_hole_of_another_size_than_was_typed_says_why(demo_spec: Path) -> None:
    """A bore of 1 1/4 in is 31.75 mm: no cutter for sheet makes it, one of 32 mm does."""
    (note,) = (
        f for f in solved("wrenfield_van").findings if f.code == "hole-tool" and "master_bore" in f.where
    )
    match = re.search(r": (.*), the size one can buy within ([0-9.]+) to ([0-9.]+) mm$", note.advice)
    assert match is not None, note.advice
    assert note.value is not None
    assert float(match[2]) <= note.value <= float(match[3])
    assert float(match[2]) == 31.75
