"""A van's clutch pedal as it was first laid out, with its floor typed 47 mm too late. Invented, no real van.

Only what the pedal can meet is here: two panels, the hanger, the column.
"""

from __future__ import annotations

from pathlib import Path

TEXT = """
[job]
name = "old_van"
title = "Old van, invented"

[[panel]]
name = "firewall"
title = "Firewall"
material = "mild steel, as built"
thickness = "1.2 mm"
origin = ["250 mm", "-50 mm", "620 mm"]
outline = [["0 mm", "0 mm"], ["820 mm", "0 mm"], ["820 mm", "420 mm"], ["0 mm", "420 mm"]]

  [[panel.existing]]
  name = "column_bore"
  at = ["640 mm", "110 mm"]
  diameter = "2 3/4 in"
  what = "steering column bore"

[[panel]]
name = "toe_board"
title = "Toe board"
material = "mild steel, as built"
thickness = "1.6 mm"
origin = ["250 mm", "-50 mm", "620 mm"]
tilt = "45 deg"
outline = [["0 mm", "-280 mm"], ["820 mm", "-280 mm"], ["820 mm", "0 mm"], ["0 mm", "0 mm"]]

[[fold]]
panels = ["firewall", "toe_board"]
inside_radius = "1/4 in"

[[part]]
name = "clutch_hanger"
title = "Clutch pedal hanger"
kind = "pedal_hanger"
material = "S235 steel"
thickness = "4 mm"

  [part.parameters]
  inside_width = "96 mm"
  web_above = "98 mm"
  web_below = "48 mm"
  master_bore = "1 1/4 in"
  pivot_up = "62 mm"
  pivot_out = "95 mm"
  mount_spacing = "44 mm"
  mount_top = "62 mm"
  mount_bottom = "30 mm"
  tab_length = "45 mm"
  tab_width = "52 mm"

  [part.mount]
  panel = "firewall"
  face = "cab"
  at = { from = "column_bore", u = "-120 mm", v = "125 mm" }

[[obstacle]]
name = "column"
what = "steering column"
is = "steering"
start = ["250 mm", "590 mm", "730 mm"]
end = ["900 mm", "590 mm", "1150 mm"]
diameter = "2 in"

[[pedal]]
name = "clutch"
title = "Clutch pedal"
kind = "clutch"
hanger = "clutch_hanger"
seat = "8 mm"
pin = ["14 mm", "-60 mm"]
pad = ["60 mm", "-13 in"]
travel = "170 mm"
bracket_flex = "0.3 mm/kN"

  [pedal.master]
  bore = "3/4 in"
  stroke = "1.4 in"

  [pedal.slave]
  bore = "7/8 in"
  stroke = "1 1/4 in"

  [pedal.clutch]
  fork_ratio = 1.6
  free_play = "1.5 mm"
  release_travel = "7.5 mm"
  over_travel = "10.5 mm"
  load = "1500 N"
"""


def old_van(folder: Path, *changes: tuple[str, str]) -> Path:
    """The van as a spec file, with texts replaced."""
    text = TEXT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = folder / "old_van.toml"
    path.write_text(text, encoding="utf-8")
    return path
