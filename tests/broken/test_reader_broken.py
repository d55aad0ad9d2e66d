"""Every broken spec gives its fault, at its place, and nothing but a ``SpecError``."""

from __future__ import annotations

from pathlib import Path

import pytest
from specs_references import REFERENCES

from generators.errors import Fault, SpecError
from generators.reading import faults_json, load_sources, read_job, render
from specs import FILES, KINDS, VALUES, Broken

ALL = (*VALUES, *REFERENCES, *FILES)


def faults_of(tmp_path: Path, text: str | bytes) -> tuple[Fault, ...]:
    spec = tmp_path / "spec.toml"
    spec.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(SpecError) as raised:
        read_job(spec, KINDS)
    return raised.value.faults


def line_of(broken: Broken) -> int:
    text = broken.text if isinstance(broken.text, str) else broken.text.decode("utf-8", "replace")
    return text.count("\n", 0, text.find(broken.mark)) + 1 if text.find(broken.mark) >= 0 else 1


@pytest.mark.parametrize("broken", ALL, ids=lambda broken: broken.id)
def test_the_fault_is_named_and_placed(tmp_path: Path, broken: Broken) -> None:
    faults = faults_of(tmp_path, broken.text)
    matching = [f for f in faults if f.path == broken.path and broken.says in f"{f.found} | {f.expected}"]
    assert len(matching) == 1, "\n".join(f.render() for f in faults[:10])
    fault = matching[0]
    assert fault.file == str(tmp_path / "spec.toml")
    if broken.mark:
        assert fault.line == line_of(broken)
        assert fault.column >= 1
    if broken.alone:
        # One slip gives one fault: what follows from it is not held against the file too.
        assert faults == (fault,)


@pytest.mark.parametrize("broken", ALL, ids=lambda broken: broken.id)
def test_every_fault_can_be_printed(tmp_path: Path, broken: Broken) -> None:
    faults = faults_of(tmp_path, broken.text)
    printed = render(faults, load_sources(faults))
    assert len(printed) < 60_000
    assert all(c.isprintable() or c == "\n" for c in printed)
    for row in faults_json(faults):
        assert row["expected"]
        assert row["found"]


def test_ids_are_unique_and_there_are_enough() -> None:
    assert len({broken.id for broken in ALL}) == len(ALL) >= 30
