"""``kinds NAME``: parameters with limits, a sketch in the terminal, a picture on request."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from calling import call

from generators.cli.commands.sketch import sketch
from generators.solve.parts import sample_plan


def test_the_sketch_has_outline_openings_bends_and_names() -> None:
    lines = sketch(sample_plan("clamp_standoff")[0])
    text = "\n".join(lines)
    assert all(name in text for name in ("foot", "web", "head"))
    assert sum(line.strip("#") != "" and set(line[1:-1]) == {"-"} for line in lines) == 2  # two bends across
    assert max(map(len, lines)) <= 64
    assert len(lines) <= 22
    # a blank of 30 by 83.6 mm, each character twice as high as it is wide
    assert len(lines[3]) / (2 * len(lines)) == pytest.approx(30 / 83.6, rel=0.15)


@pytest.mark.parametrize(
    ("ending", "beginning"), [("pdf", b"%PDF-1.7"), ("svg", b"<svg"), ("png", b"\x89PNG")]
)
def test_a_picture_on_request(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    ending: str,
    beginning: bytes,
) -> None:
    path = tmp_path / f"p.{ending}"
    assert call("kinds", "fitting_plate", "--picture", str(path), "--json") == 0
    assert path.read_bytes().startswith(beginning)
    told = json.loads(capsys.readouterr().out)
    assert told["picture"] == str(path)
    assert told["flanges"] == ["plate"]


def test_a_picture_that_cannot_be(tmp_path: Path) -> None:
    assert call("kinds", "--picture", str(tmp_path / "p.pdf")) == 2
    assert call("kinds", "fitting_plate", "--picture", str(tmp_path / "p.gif")) == 2
    assert call("kinds", "fitting_plate", "--picture", str(tmp_path / "no" / "p.svg")) == 4
