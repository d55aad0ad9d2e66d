"""A job of two panels and a plate, invented and quick to make."""

from __future__ import annotations

from pathlib import Path

from spec_pieces import panel, wire_hole

STEEL = "1008 steel"
PLATE = f"""\
[[part]]
name = "plate"
kind = "blanking_plate"
material = "{STEEL}"
thickness = "2 mm"
"""
TEXT = (
    """
[job]
name = "small"
title = "Two panels, invented"

"""
    + panel("left", 400, 300, title="Left panel", material=STEEL)
    + wire_hole("wire", 100, 100)
    + "\n"
    + panel("right", 400, 300, title="Right panel", material=STEEL, at=(0, 500, 0))
    + "\n"
    + PLATE
    + """\
  [part.mount]
  panel = "right"
  face = "cab"
  at = { u = "200 mm", v = "150 mm" }
"""
)


def small_spec(folder: Path) -> Path:
    """The spec, written into a folder."""
    path = folder / "small.toml"
    path.write_text(TEXT, encoding="utf-8", newline="\n")
    return path
