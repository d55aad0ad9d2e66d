"""Whatever of a job is changed, the next ``make`` over the old folder is to the byte one that began afresh.

The folder made afresh is the reference: it takes nothing from an earlier run. What is taken again is keyed by
what it is made from, so a key that forgets an input would leave an old file here, and a hole drilled wrong.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

from issue.ways import silent

from generators.jobs.make.run import make
from generators.solve.job import Prepared, for_printer, prepare

SPEC = """
[job]
name = "small"
title = "One panel, invented"
contact = "the workshop, invented"

[[panel]]
name = "left"
title = "Left panel"
material = "1008 steel"
thickness = "1.2 mm"
origin = ["0 mm", "0 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["240 mm", "0 mm"], ["240 mm", "200 mm"], ["0 mm", "200 mm"]]
  [[panel.hole]]
  name = "wire"
  kind = "plain"
  diameter = "10 mm"
  purpose = "wire"
  at = { u = "40 mm", v = "40 mm" }
  [[panel.hole]]
  name = "edge"
  kind = "plain"
  diameter = "8 mm"
  purpose = "wire"
  at = { u = "5 mm", v = "100 mm" }

[[part]]
name = "plate"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"
  [part.mount]
  panel = "left"
  face = "cab"
  at = { u = "150 mm", v = "100 mm" }

[[hose]]
name = "feed"
kind = "flexible"
service = "hydraulic"
size = "-4"
from = { at = ["60 mm", "300 mm", "60 mm"], axis = ["0", "0", "1"] }
to = { at = ["60 mm", "500 mm", "60 mm"], axis = ["0", "0", "1"] }
"""
SHOP = """
[[paper_printer]]
name = "hall laser"
x_scale = 1.004
y_scale = 0.998
skew = "0.1 deg"
"""
EDGE = {"hole-ligament": "trial panel, never fitted"}
