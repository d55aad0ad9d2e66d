"""Slips of somebody who has never written such a file: the message says what was most likely meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import SpecError
from generators.parts import KINDS
from generators.reading.reader import read_job

SPEC = Path(__file__).parents[2] / "specs" / "tarn_special.toml"

SLIPS = [
    ('["660 mm", "0 mm"],\n', '["660 mm", "0 mm"]\n', "a comma is missing at the end of line {before}"),
    (
        '["660 mm", "0 mm"],\n',
        '["660 mm", "0 mm"] # right\n',
        "a comma is missing at the end of line {before}",
    ),
    ('"58 mm"', '"2 1/4""', "for inches write in, not the mark"),
    ('"58 mm"', "\u201c58 mm\u201d", 'straight quotes: "'),
    ("[part.parameters]", "[[part.parameters]]", "single brackets: [part.parameters]"),
]


def refused(text: str) -> tuple[str, int]:
    with pytest.raises(SpecError) as caught:
        read_job(SPEC, {kind.name: kind.parameters for kind in KINDS}, text.encode())
    fault = caught.value.faults[0]
    return fault.hint, fault.line


@pytest.mark.parametrize(("right", "wrong", "hint"), SLIPS)
def test_the_message_says_what_was_meant(right: str, wrong: str, hint: str) -> None:
    text = SPEC.read_text()
    assert right in text
    said, line = refused(text.replace(right, wrong, 1))
    assert said == hint.format(before=line - 1)


def test_a_change_typed_with_its_address() -> None:
    text = SPEC.read_text() + '\nhose[front_hose].clamps = ["held"]\n'
    said, line = refused(text)
    assert (
        said
        == "this is an address: go to the table named front_hose among the [[hose]] and write clamps there"
    )
    assert line == len(text.splitlines())


def test_a_list_that_is_never_closed_blames_no_comma() -> None:
    said, _ = refused('job = { name = "a", title = "b" }\nx = [\n  1,\n  2,\n')
    assert said == ""


@pytest.mark.parametrize("both", [False, True])
def test_a_clutch_has_one_release_load(both: bool) -> None:
    """What is there, and which of the two to give; of a guess, which side is safe."""
    text = SPEC.read_text()
    begin = text.index("  load = " if "\n  load = " in text else "  curve = [")
    end = text.index("\n", begin) + 1 if text.startswith("  load", begin) else text.index("  ]\n", begin) + 4
    own = text[begin:end]
    more = (
        '  curve = [["0 mm", "300 N"], ["9 mm", "900 N"]]\n'
        if own.startswith("  load")
        else '  load = "900 N"\n'
    )
    with pytest.raises(SpecError) as caught:
        read_job(
            SPEC,
            {kind.name: kind.parameters for kind in KINDS},
            (text[:begin] + (own + more if both else "") + text[end:]).encode(),
        )
    (fault,) = caught.value.faults
    assert fault.found == ("both load and curve" if both else "neither load nor curve")
    assert "one of the two: load, " in fault.expected
    assert "the largest" in fault.expected
    assert "go together" not in fault.expected
