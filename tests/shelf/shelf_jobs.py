"""A small job that takes a master of a shelf: a hanger, a pedal, a cylinder and its reservoir. Invented."""

from __future__ import annotations

from pathlib import Path

from spec_pieces import existing, panel

SHELF = """\
# invented
[[master]]
name = "small"
measured = "2026-02-11"
measured_by = "vernier caliper"
title = "Small master"
bore = "3/4 in"
stroke = "36 mm"
diameter = "34 mm"
length = "130 mm"
flange = "9 mm"
nose_bore = "30 mm"
bolt_spacing = "56 mm"
bolt_thread = "M8"
  [[master.port]]
  name = "inlet"
  at = ["40 mm", "0 mm", "22 mm"]
  facing = "up"
  [[master.port]]
  name = "outlet"
  at = ["118 mm", "20 mm", "0 mm"]
  facing = "right"
  dash = 4

# bored larger
[[master]]
name = "large"
measured = "2026-02-12"
measured_by = "vernier caliper"
bore = "1 in"
stroke = "36 mm"
diameter = "40 mm"
length = "130 mm"
nose_bore = "34 mm"
bolt_spacing = "60 mm"
bolt_thread = "M8"
  [[master.port]]
  name = "inlet"
  at = ["40 mm", "0 mm", "25 mm"]
  facing = "up"
  [[master.port]]
  name = "outlet"
  at = ["118 mm", "22 mm", "0 mm"]
  facing = "right"
  dash = 4

[[reservoir]]
name = "can"
measured = "2026-02-12"
measured_by = "vernier caliper"
diameter = "60 mm"
length = "80 mm"
level = "25 mm"
  [[reservoir.port]]
  name = "outlet"
  at = ["12 mm", "36 mm", "0 mm"]
  facing = "right"

[[hose]]
name = "feed"
measured = "2026-02-12"
measured_by = "caliper"
dash = 4
outside = "12 mm"
radius = "30 mm"
end = "20 mm"

[[hose_end]]
name = "straight"
measured = "2026-02-12"
measured_by = "caliper"
diameter = "16 mm"
length = "30 mm"

[[steel]]
name = "flat"
measured = "2026-02-14"
measured_by = "vernier caliper"
width = "25 mm"
thickness = "8 mm"
material = "S235 steel"
"""

SPEC = (
    """\
# An invented job: a master taken of a shelf.
[job]
name = "shelf_job"
title = "From the shelf"

[shelf]
clutch_master = "small"

"""
    + panel("wall", 600, 400, thickness="2 mm", at=(0, 0, 500), witness="old")
    + existing("old", 80, 60, 25, "old hole")
    + """
[[part]]
name = "hanger"
kind = "pedal_hanger"
shelf = "clutch_master"
material = "S235 steel"
thickness = "4 mm"
  [part.mount]
  panel = "wall"
  face = "cab"
  at = { u = "300 mm", v = "250 mm" }

[[component]]
name = "master"
shelf = "clutch_master"
on = { part = "hanger", holes = ["master_bore"], side = "engine" }

[[component]]
name = "reservoir"
shelf = "can"
on = { at = ["-60 mm", "420 mm", "850 mm"], facing = "up" }

[[hose]]
name = "feed_hose"
shelf = "feed"
service = "feed"
from = "master.inlet"
to = "reservoir.outlet"
from_end = { shelf = "straight" }

[[pedal]]
name = "clutch"
kind = "clutch"
hanger = "hanger"
arm_shelf = "flat"
seat = "8 mm"
pin = ["16 mm", "-60 mm"]
pad = ["60 mm", "-290 mm"]
travel = "150 mm"
  [pedal.master]
  shelf = "clutch_master"
  [[pedal.line]]
  kind = "hose"
  length = "900 mm"
  bore = "3.2 mm"
  [pedal.slave]
  bore = "1 1/8 in"
  stroke = "32 mm"
  [pedal.clutch]
  fork_ratio = 1.6
  release_travel = "6 mm"
  over_travel = "10 mm"
  load = "1200 N"
"""
)


def shelf_job(folder: Path) -> Path:
    """The job's spec with its shelf beside it, written into a folder."""
    (folder / "shelf.toml").write_text(SHELF, encoding="utf-8")
    path = folder / "job.toml"
    path.write_text(SPEC, encoding="utf-8")
    return path
