"""``size --row``: what it says to type gives the row, when it is typed."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from calling import call

from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"
_TYPED = re.compile(r"(?P<path>\S+) = (?P<text>.*?)  # line (?P<line>\d+), was (?P<was>.*)")


def copied(folder: Path, demo: str) -> Path:
    for path in SPECS.glob("*.toml"):
        shutil.copy(path, folder / path.name)
    return folder / f"{demo}.toml"


def row_of(spec: Path, number: int, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    call("size", str(spec), "--row", str(number), "--json")
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)["pedals"][0]
    return answer


def typed(spec: Path, lines: list[str]) -> None:
    """The changes typed by somebody who reads the line number and puts one text for the other."""
    text = spec.read_text().splitlines()
    for said in lines:
        match = _TYPED.fullmatch(said)
        assert match is not None, said
        at = int(match["line"]) - 1
        assert match["was"] in text[at]
        text[at] = text[at].replace(match["was"], match["text"], 1)
    spec.write_text("\n".join(text) + "\n")


@pytest.mark.parametrize("number", [1, 2])
def test_a_row_typed_is_the_row(number: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = copied(tmp_path, "wrenfield_van")
    pedal = row_of(spec, number, capsys)
    table, told = pedal["ranking"], pedal["row"]
    row = table["top"][number - 1]
    assert told["type"]
    typed(spec, told["type"])
    (answer,) = prepare(spec).pedals
    assert answer.clutch is not None
    setup, window = answer.clutch.setup, answer.clutch.window
    assert (setup.master.bore_mm, setup.slave.bore_mm) == pytest.approx(
        (table["master_mm"][row], table["slave_mm"][row])
    )
    # pins are typed to 0.1 mm
    assert answer.clutch.lever_ratio == pytest.approx(table["ratio"][row], rel=3e-3)
    assert window.earliest_mm == pytest.approx(table["travel_mm"][row], abs=0.6)
    # the stop that goes with it is right, and is not asked to be elsewhere
    assert window.earliest_mm <= window.stop_mm
    assert window.gone_mm <= window.latest_mm


@pytest.mark.parametrize("number", [1, 4])
def test_a_row_says_whether_the_floor_may_stay_the_stop(
    number: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The van's floor is its stop: a row that needs another has the bolt among what is typed, no other has."""
    spec = copied(tmp_path, "wrenfield_van")
    assert call("size", str(spec), "--row", str(number)) == 0
    out = capsys.readouterr().out
    (shown,) = (line for line in out.splitlines() if line.startswith(f"  {number}    "))
    typed_lines = [line for line in out.splitlines() if line.startswith("    pedal[") or "parameters" in line]
    assert ("needs a stop bolt" in shown) == any("].stop = " in line for line in typed_lines)
    assert "solved again with these: Releases" in out


def test_a_row_that_cannot_be_had_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The floor-hinged start's pivot has no room where its first row wants it."""
    call("new", "own", "--like", "floor_hinged", "--dir", str(tmp_path))
    capsys.readouterr()
    call("size", str(tmp_path / "own.toml"), "--row", "1")
    assert "cannot be had so: part[0].parameters.pivot_up" in capsys.readouterr().out
