"""One small job with everything that stands, invented; and the same with single things put in the way."""

from __future__ import annotations

import shutil
from pathlib import Path

from spec_pieces import existing, panel

from generators.solve.job import Prepared, prepare

SHOP = Path(__file__).parents[2] / "specs" / "shop.toml"

# the panel's cab face is x = 0, u is y and v is z; the hanger's origin is at u 300, v 200
GOOD = (
    """
[job]
name = "toy"
title = "Toy job, invented"

# these jobs are about what stands where: by the quick answer, which is sure to 1.8, the hanger has 1.37
[limits]
yield_factor = 0.7

"""
    + panel("wall", 600, 400, thickness="2 mm", witness="bore")
    + "\n"
    + existing("bore", 520, 80, 50, "bore of the column")
    + """
  # HOLES

[[part]]
name = "hanger"
title = "Pedal hanger"
kind = "pedal_hanger"
material = "A36 steel" # of one thickness, its radius is enough; 4 mm S235 would ask for 6 mm (EN 10025-2)
thickness = "4 mm"
inside_radius = "4 mm"

  [part.parameters]
  inside_width = "96 mm"
  web_above = "98 mm"
  web_below = "48 mm"
  master_bore = "30 mm"
  master_spacing = "58 mm"
  master_thread = "M8"
  pivot_up = "62 mm"
  pivot_out = "95 mm"
  mount_spacing = "44 mm"
  mount_top = "62 mm"
  mount_bottom = "30 mm"

  [part.mount]
  panel = "wall"
  face = "cab"
  at = { u = "300 mm", v = "200 mm" }
  # MOUNT

[[part]]
name = "shelf"
title = "Reservoir bracket"
kind = "reservoir_bracket"
material = "S235 steel"
thickness = "3 mm"

  [part.mount]
  panel = "wall"
  face = "engine"
  at = { u = "120 mm", v = "320 mm" }

[[component]]
name = "master"
title = "Master cylinder"
kind = "master"
on = { part = "hanger", holes = ["master_bore"], side = "engine" }
diameter = "36 mm" # BODY
length = "140 mm"

  [[component.port]]
  name = "inlet"
  at = ["45 mm", "0 mm", "24 mm"]
  facing = "up"

[[component]]
name = "reservoir"
title = "Reservoir"
kind = "reservoir"
on = { part = "shelf", holes = ["reservoir_1", "reservoir_2"], side = "up" }
diameter = "60 mm"
length = "70 mm"

  [[component.port]]
  name = "outlet"
  at = ["12 mm", "36 mm", "0 mm"]
  facing = "right"

[[hose]]
name = "feed"
title = "Feed hose"
service = "feed"
from = "master.inlet"
to = "reservoir.outlet"
dash = 4
outside = "12 mm"
radius = "30 mm"
end = "20 mm"

# OTHERS

[[pedal]]
name = "clutch"
title = "Clutch pedal"
kind = "clutch"
hanger = "hanger"
seat = "8 mm"
pin = ["14 mm", "-60 mm"]
pad = ["100 mm", "-330 mm"]
travel = "170 mm"

  [pedal.master]
  bore = "3/4 in"
  stroke = "1.4 in"

  [[pedal.line]]
  kind = "hose"
  length = "350 mm"
  bore = "3 mm"
  expansion = "low"

  [pedal.slave]
  kind = "plain"
  bore = "7/8 in"
  stroke = "1 1/4 in"

  [pedal.clutch]
  fork_ratio = 1.6
  free_play = "1.5 mm"
  release_travel = "7.5 mm"
  over_travel = "10.5 mm"
  wear = "2.5 mm"
  curve = [["0 mm", "300 N"], ["2 mm", "1400 N"], ["5 mm", "1650 N"], ["8 mm", "1450 N"], ["11 mm", "1350 N"]]
"""
)


def job(folder: Path, *changes: tuple[str, str]) -> Prepared:
    """The small job with texts in place of others, each of which must be there."""
    text = GOOD
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    shutil.copyfile(SHOP, folder / "shop.toml")
    spec = folder / "toy.toml"
    spec.write_text(text, encoding="utf-8")
    return prepare(spec)


def bolt(u: float, v: float, face: str = "cab", thread: str = "M5") -> tuple[str, str]:
    """A bolt in a hole of the panel's own."""
    return (
        "# HOLES",
        f'[[panel.hole]]\n  name = "own"\n  kind = "bolt"\n  thread = "{thread}"\n  purpose = "a bolt"\n'
        f'  nut_face = "{face}"\n  at = {{ u = "{u} mm", v = "{v} mm" }}\n  # HOLES',
    )


def others(text: str) -> tuple[str, str]:
    """More tables."""
    return "# OTHERS", text + "\n# OTHERS"
