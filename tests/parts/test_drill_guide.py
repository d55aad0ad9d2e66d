"""Drill guides: bores and pegs where the panel has the holes, on either face, by hand calculation."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from generators.errors import GeometryFault, LookupFault, SpecError
from generators.geometry.contours import area, bounds
from generators.model.plan import Hole, PartPlan, Peg
from generators.model.spec.job import Mount, PartSpec, Position
from generators.model.spec.shop import PartPrinter, Shop
from generators.model.words import Face
from generators.parts.drill_guide import KIND, SAMPLE, DrillGuide, drill_guide
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.volume import folded_volume
from generators.solids.extents import folded_box
from generators.solve.job import prepare

SPEC = """
[job]
name = "toy"
title = "Toy"
shop = "toy_shop.toml"

[[panel]]
name = "wall"
title = "Wall"
material = "steel"
thickness = "1.5 mm"
origin = ["0 mm", "0 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["400 mm", "0 mm"], ["400 mm", "300 mm"], ["0 mm", "300 mm"]]
witness_hole = "east"

  [[panel.existing]]
  name = "west"
  at = ["100 mm", "100 mm"]
  diameter = "12 mm"
  what = "old hole, west"

  [[panel.existing]]
  name = "east"
  at = ["250 mm", "140 mm"]
  diameter = "16 mm"
  what = "old hole, east"

  [[panel.hole]]
  name = "new"
  kind = "plain"
  diameter = "9 mm"
  purpose = "a new hole"
  at = { from = "west", u = "70 mm", v = "50 mm" }
  drill_from = "FACE"

[[part]]
name = "leader"
kind = "drill_guide"
material = "MATERIAL"
thickness = "12 mm"
  [part.parameters]
  PARAMETERS
  [part.mount]
  panel = "wall"
  face = "FACE"
  at = { from = "west", u = "0 mm", v = "0 mm" }
  rotate = "TURN"
"""


def job(
    folder: Path, *, face: Face = "cab", material: str = "PLA", turn: str = "0 deg", parameters: str = ""
) -> Path:
    text = SPEC.replace("FACE", face).replace("MATERIAL", material).replace("TURN", turn)
    (folder / "toy.toml").write_text(text.replace("PARAMETERS", parameters), encoding="utf-8")
    (folder / "toy_shop.toml").write_text(
        '[printer]\npeg_clearance = "0.4 mm"\nbore_clearance = "0.1 mm"\n', encoding="utf-8"
    )
    return folder / "toy.toml"


def make(thickness_mm: float = 12.0, printer: PartPrinter | None = None, **parameters: Any) -> PartPlan:
    shop = Shop(printer=printer or PartPrinter())
    spec = PartSpec(
        name="guide",
        kind="drill_guide",
        material="PLA",
        thickness_mm=thickness_mm,
        parameters=DrillGuide(**parameters),
    )
    return KIND.plan(spec, bend_rule(shop, "PLA", thickness_mm, None))


def placed(plan: PartPlan) -> dict[str, tuple[float, float]]:
    root = plan.flanges[0]
    seats: list[Hole | Peg] = [*root.holes, *root.pegs]
    return {x.name: (round(x.u_mm, 6), round(x.v_mm, 6)) for x in seats}


@pytest.mark.parametrize(
    ("face", "turn", "wanted"),
    [
        # origin on the left hole: the others where they are measured from it
        ("cab", "0 deg", {"peg_B": (0, 0), "peg_A": (150, 40), "bore_1": (70, 50)}),
        # the part turned left by a quarter sees the panel turned right
        ("cab", "90 deg", {"peg_B": (0, 0), "peg_A": (40, -150), "bore_1": (50, -70)}),
        # from behind, u runs the other way
        ("engine", "0 deg", {"peg_B": (0, 0), "peg_A": (-150, 40), "bore_1": (-70, 50)}),
    ],
)
def test_places_on_the_panel(tmp_path, face, turn, wanted):
    (part,) = prepare(job(tmp_path, face=face, turn=turn)).parts
    assert placed(part.plan) == wanted
    pegs = {p.name: (p.diameter_mm, p.hole_mm) for p in part.plan.flanges[0].pegs}
    # the shop's printer: 0.4 mm off the pegs, 0.1 mm onto the bore of a bush for the 3 mm pilot drill
    assert pegs == {"peg_A": (pytest.approx(15.6), 16.0), "peg_B": (pytest.approx(11.6), 12.0)}
    (bore,) = part.plan.flanges[0].holes
    assert bore.bush is not None
    assert bore.bush.drill_mm == 3.0
    assert bore.diameter_mm == pytest.approx(bore.bush.outside_mm + 0.1)


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        ("0 deg", "at the upper right"),
        ("90 deg", "at the upper left"),
        ("-45 deg", "on the right"),
        ("180 deg", "at the lower left"),
    ],
)
def test_the_cut_corner_in_words(tmp_path, turn, words):
    # the corner lies at 45 degrees in the part; looking at the face, the part is turned left by the angle
    (part,) = prepare(job(tmp_path, turn=turn)).parts
    assert part.plan.notes[0].endswith(f"the cut corner is {words}.")


def test_it_is_a_tool_and_takes_no_room(tmp_path):
    prepared = prepare(job(tmp_path))
    (part,) = prepared.parts
    assert part.plan.tool
    assert part.mount is None
    (layout,) = prepared.layouts
    assert layout.footprints == ()
    assert [h.name for h in layout.holes] == ["new", "east", "west"]
    assert [f for f in prepared.findings if f.severity.value != "note"] == []


@pytest.mark.parametrize(
    ("change", "place", "wanted"),
    [
        ({"parameters": 'pegs = ["west"]'}, "parameters.pegs", "a guide needs pegs in two holes"),
        ({"parameters": 'pegs = ["west", "middle"]'}, "parameters.pegs", "'middle' is not a hole for a peg"),
        ({"parameters": 'over = ["west"]'}, "parameters.over", "'west' is not another hole to drill"),
        ({"parameters": 'bush_outside = "3 mm"'}, "parameters.bush_outside", "does not go through that bush"),
        ({"parameters": 'cut_corner = "60 mm"'}, "parameters.cut_corner", "runs into a bore or a peg"),
        ({"parameters": 'pegs = ["west", "east", "new"]'}, "parameters.over", "does not have another hole"),
        ({"material": "1008 steel"}, "material", "printed of plastic"),
    ],
)
def test_faults(tmp_path, change, place, wanted):
    with pytest.raises(SpecError) as caught:
        prepare(job(tmp_path, **change))
    (fault,) = caught.value.faults
    assert wanted in fault.found
    assert fault.path.endswith(place)


def test_a_hole_drilled_from_the_other_face(tmp_path):
    path = job(tmp_path)
    path.write_text(
        path.read_text(encoding="utf-8").replace('drill_from = "cab"', 'drill_from = "engine"'),
        encoding="utf-8",
    )
    with pytest.raises(SpecError, match="is drilled from the other face"):
        prepare(path)


def test_sheet_kinds_refuse_plastic(tmp_path):
    path = job(tmp_path)
    path.write_text(
        path.read_text(encoding="utf-8").replace("drill_guide", "blanking_plate"), encoding="utf-8"
    )
    with pytest.raises(SpecError, match="blanking_plate is cut from sheet"):
        prepare(path)


def test_pegs_in_holes_drilled_first():
    plan = make(pegs=("hole_a", "hole_1"))
    assert [p.name for p in plan.flanges[0].pegs] == ["peg_1", "peg_A"]
    assert [h.name for h in plan.flanges[0].holes] == ["bore_2", "bore_3"]
    assert plan.notes[-1].startswith("Drill 1 first, to size: pegs go there.")


def test_outline_and_volume_by_hand():
    # the sample: pegs of 11.7 at (-45, 0) and 19.7 at (55, -8), bores of 7.2, 7.2 and 8.2; margin 6
    plan = make()
    u0, v0, u1, v1 = bounds(plan.flanges[0].contour)
    assert (u0, u1) == pytest.approx((-45 - 5.85 - 6, 55 + 9.85 + 6))
    assert (v0, v1) == pytest.approx((-16 - 4.1 - 6, 14 + 3.6 + 6))
    # a rectangle less half the square of the cut corner and three roundings of r² (1 - pi/4)
    outline = (u1 - u0) * (v1 - v0) - 10**2 / 2 - 3 * 9 * (1 - math.pi / 4)
    assert area(plan.flanges[0].contour) == pytest.approx(outline)
    block = (outline - math.pi / 4 * (2 * 7.2**2 + 8.2**2)) * 12
    # pegs 3.2 high: 2.2 of cylinder and 1 of frustum, pi h / 3 (R² + R r + r²)
    pegs = sum(math.pi * (2.2 * r**2 + (r**2 + r * (r - 1) + (r - 1) ** 2) / 3) for r in (11.7 / 2, 19.7 / 2))
    assert folded_volume(plan) == pytest.approx(block + pegs)
    low, high = folded_box(plan)
    assert (low[2], high[2]) == pytest.approx((-3.2, 12.0))


def test_bushes_and_bare_bores():
    # the longest bush the block takes: of 8, 12 and 16 mm in a block of 15 the middle one
    assert [h.bush.length_mm for h in make(15.0).flanges[0].holes if h.bush] == [12.0] * 3
    assert [h.bush.length_mm for h in make(25.0).flanges[0].holes if h.bush] == [16.0] * 3
    bare = make(bush=False).flanges[0].holes
    assert [h.diameter_mm for h in bare] == pytest.approx([4.2, 4.2, 5.2])
    assert {h.bush.outside_mm for h in bare if h.bush} == {0.0}
    own = make(bush_outside_mm=9.5).flanges[0].holes
    assert [h.diameter_mm for h in own] == pytest.approx([9.7] * 3)
    # in sheet a hole of 22 mm takes a step drill, which no bush leads: the guide leads its 5 mm pilot
    stepped = replace(
        SAMPLE, holes=tuple(replace(h, by_twist_drill=h.diameter_mm < 13) for h in SAMPLE.holes)
    )
    spec = PartSpec(
        name="guide",
        kind="drill_guide",
        material="PLA",
        thickness_mm=12.0,
        parameters=DrillGuide(over=("hole_1", "hole_3"), drill="final"),
    )
    plan = drill_guide(spec, bend_rule(Shop(), "PLA", 12.0, None), stepped)
    assert [h.bush.drill_mm for h in plan.flanges[0].holes if h.bush] == [9.0, 5.0]
    assert "open 3 to size without it" in plan.notes[-1]
    final = make(over=("hole_1",), drill="final").flanges[0].holes
    assert [h.bush.drill_mm for h in final if h.bush] == [9.0]


def test_no_bush_for_a_hole_saw():
    large = replace(SAMPLE.holes[0], diameter_mm=35.0)
    under = replace(SAMPLE, holes=(large, *SAMPLE.holes[1:]))
    spec = PartSpec(
        name="guide",
        kind="drill_guide",
        material="PLA",
        thickness_mm=12.0,
        parameters=DrillGuide(drill="final"),
        mount=Mount(panel="sample", face="cab", at=Position(u_mm=0.0, v_mm=0.0)),
    )
    with pytest.raises(LookupFault, match="drill bush"):
        drill_guide(spec, bend_rule(Shop(), "PLA", 12.0, None), under)


def test_a_hole_too_small_for_a_peg():
    small = replace(SAMPLE.holes[3], diameter_mm=1.2)
    under = replace(SAMPLE, holes=(*SAMPLE.holes[:3], small, SAMPLE.holes[4]))
    spec = PartSpec(
        name="guide", kind="drill_guide", material="PLA", thickness_mm=12.0, parameters=DrillGuide()
    )
    with pytest.raises(GeometryFault, match="too small for a peg"):
        drill_guide(spec, bend_rule(Shop(), "PLA", 12.0, None), under)
