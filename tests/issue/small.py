"""A job of two panels and a plate, invented and quick to make."""

from __future__ import annotations

from pathlib import Path

TEXT = """
[job]
name = "small"
title = "Two panels, invented"

[[panel]]
name = "left"
title = "Left panel"
material = "1008 steel"
thickness = "1.2 mm"
origin = ["0 mm", "0 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["400 mm", "0 mm"], ["400 mm", "300 mm"], ["0 mm", "300 mm"]]
  [[panel.hole]]
  name = "wire"
  kind = "plain"
  diameter = "10 mm"
  purpose = "wire"
  at = { u = "100 mm", v = "100 mm" }

[[panel]]
name = "right"
title = "Right panel"
material = "1008 steel"
thickness = "1.2 mm"
origin = ["0 mm", "500 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["400 mm", "0 mm"], ["400 mm", "300 mm"], ["0 mm", "300 mm"]]

[[part]]
name = "plate"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"
  [part.mount]
  panel = "right"
  face = "cab"
  at = { u = "200 mm", v = "150 mm" }
"""


def small_spec(folder: Path) -> Path:
    """The spec, written into a folder."""
    path = folder / "small.toml"
    path.write_text(TEXT, encoding="utf-8", newline="\n")
    return path
