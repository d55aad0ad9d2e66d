"""A bolt stands off the panel as far as the one bought: its rule and its body say the same."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from spec_pieces import existing, panel

from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole
from generators.solve.job import Prepared, prepare

SPECS = Path(__file__).parents[2] / "specs"
SHEET_MM, PART_MM = 1.2, 2.0

JOB = (
    """
[job]
name = "plate_on"
title = "A plate bolted on, invented"

"""
    + panel("wall", 700, 500)
    + "\n"
    + existing("old", 60, 420, 20, "cable grommet")
    + """
  [[panel.obstacle]]
  name = "pipe"
  face = "FACE"
  what = "heater pipe"
  corner = ["0 mm", "100 mm"]
  size = ["700 mm", "300 mm"]
  gap = "GAP mm"
  depth = "30 mm"
  movable = true

[[part]]
name = "plate"
kind = "fitting_plate"
title = "Fitting plate"
material = "1008 steel"
thickness = "2 mm"
mount = { panel = "wall", face = "engine", at = { u = "300 mm", v = "250 mm" } }
"""
)


def solved(tmp_path: Path, face: str = "engine", gap_mm: float = 400.0) -> Prepared:
    shutil.copy(SPECS / "shop.toml", tmp_path)
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace("FACE", face).replace("GAP", f"{gap_mm:.3f}"), encoding="utf-8")
    return prepare(path)


def bolts(prepared: Prepared) -> list[tuple[PanelHole, FastenerSet]]:
    (layout,) = prepared.layouts
    sets = {made.hole: made for made in prepared.fasteners if made.panel == layout.panel}
    return [(h, sets[h.number]) for h in layout.holes if h.kind == "bolt" and h.number in sets]


def past_the_panel(made: FastenerSet) -> float:
    """What is left of the bolt behind the panel: its length without the washer under its head and the sheet.

    The head is on the cab side and bears on the panel, so the part is passed behind it.
    """
    assert made.length_mm is not None
    assert made.nuts == ("low",)
    return made.length_mm - made.washer_mm("high") - SHEET_MM


def test_it_reaches_as_far_as_the_bolt_that_is_bought(tmp_path: Path) -> None:
    prepared = solved(tmp_path)
    found = bolts(prepared)
    assert found
    for hole, made in found:
        assert hole.reach_engine_mm == pytest.approx(past_the_panel(made), abs=1e-9)
        # the body of the same bolt, square to a panel whose engine face is its thickness behind it
        (body,) = [b for b in prepared.scene.bodies if b.name == made.key]
        assert -float(body.box[0][0]) == pytest.approx(SHEET_MM + hole.reach_engine_mm, abs=1e-6)
        assert hole.reach_engine_mm > PART_MM


def test_the_rule_fires_where_the_bolt_meets_what_is_behind(tmp_path: Path) -> None:
    least = max(past_the_panel(made) for _, made in bolts(solved(tmp_path)))

    def said(gap_mm: float) -> bool:
        prepared = solved(tmp_path, "engine", gap_mm)
        names = [hole.name for hole, _ in bolts(prepared)]
        return any(f.code == "keep-out" and any(n in f.where for n in names) for f in prepared.findings)

    assert said(least - 0.05)
    assert not said(least + 0.05)
