"""Drill guides: bores and pegs where the panel has the holes, on either face, by hand calculation."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, Point
from spec_pieces import existing, panel

from generators.errors import GeometryFault, LookupFault, SpecError
from generators.geometry.contours import area, bounds, fits_turned, polyline
from generators.geometry.hull import hull_of_discs
from generators.model.plan import Hole, PartPlan, Peg
from generators.model.spec.job import Mount, PartSpec, Position
from generators.model.spec.shop import PartPrinter, Shop
from generators.model.words import Face
from generators.parts.drill_guide import KIND, SAMPLE, DrillGuide, drill_guide
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.volume import folded_volume
from generators.solids.extents import folded_box
from generators.solve.job import prepare

SPEC = (
    """
[job]
name = "toy"
title = "Toy"
shop = "toy_shop.toml"

"""
    + panel("wall", 400, 300, material="steel", thickness="1.5 mm", witness="east")
    + "\n"
    + existing("west", 100, 100, 12, "old hole, west")
    + "\n"
    + existing("east", 250, 140, 16, "old hole, east")
    + """
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
)


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
        parameters=DrillGuide(**{"ribbed": False, **parameters}),
    )
    return KIND.plan(spec, bend_rule(shop, "PLA", thickness_mm, None))


def placed(plan: PartPlan) -> dict[str, tuple[float, float]]:
    root = plan.flanges[0]
    seats: list[Hole | Peg] = [*(h for h in root.holes if h.bush), *root.pegs]
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
    (bore,) = (h for h in part.plan.flanges[0].holes if h.bush)
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
    (part,) = prepare(job(tmp_path, turn=turn, parameters="ribbed = false")).parts
    assert part.plan.notes[0].endswith(f"the cut corner is {words}.")


@pytest.mark.parametrize(
    ("turn", "face"), [("0 deg", "cab"), ("90 deg", "cab"), ("-45 deg", "cab"), ("0 deg", "engine")]
)
def test_which_way_round_by_its_pegs(tmp_path, turn, face):
    """Wherever the part is turned, its pegs lie on the panel where the holes are: east of west by u."""
    (part,) = prepare(job(tmp_path, turn=turn, face=face)).parts
    # the holes' own line, from the panel: (150, 40) apart; from behind, u runs the other way
    left, right = ("B", "A") if face == "cab" else ("A", "B")  # west is B
    note = part.plan.notes[0]
    first, second = (
        re.search(rf"panel hole {name} [^,]*?is ([a-z ]+?)(?: and|\.)", note) for name in (left, right)
    )
    assert first is not None
    assert second is not None
    assert "left" in first[1]
    assert "right" in second[1]


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
        (
            {"parameters": 'ribbed = false\n  cut_corner = "60 mm"'},
            "parameters.cut_corner",
            "runs into a bore or a peg",
        ),
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


def test_windows_leave_ribs_and_bosses() -> None:
    """Every window keeps 6 mm to the outside, to bores, pegs and to each other, by their middles and radii."""
    plan, solid = make(ribbed=True), make()
    root = plan.flanges[0]
    found = [h for h in root.holes if h.fitting.label == "window"]
    assert found
    kept = [(h.u_mm, h.v_mm, h.diameter_mm) for h in root.holes if h not in found]
    kept += [(p.u_mm, p.v_mm, p.diameter_mm) for p in root.pegs]
    outside = LineString(polyline(root.contour, 1e-3) + polyline(root.contour, 1e-3)[:1])
    for i, one in enumerate(found):
        r = one.diameter_mm / 2
        assert outside.distance(Point(one.u_mm, one.v_mm)) - r >= 6.0
        others = [*kept, *((h.u_mm, h.v_mm, h.diameter_mm) for h in found[i + 1 :])]
        for u, v, wide in others:
            assert math.dist((one.u_mm, one.v_mm), (u, v)) - r - wide / 2 >= 6.0 - 1e-9
    assert folded_volume(plan) < 0.75 * folded_volume(solid)
    assert [h for h in root.holes if h.bush] == [h for h in solid.flanges[0].holes if h.bush]
    # ribs too wide for any window: the tight outline is left
    assert len(make(ribbed=True, rib_mm=30.0).flanges[0].holes) == 3


def test_an_outline_tight_round_circles() -> None:
    """Two of one size: a stadium. More: as wide as the circles everywhere, by their support in every way."""
    stadium = hull_of_discs([(0.0, 0.0, 5.0), (30.0, 0.0, 5.0)])
    assert area(stadium) == pytest.approx(math.pi * 25 + 300)
    discs = [(0.0, 0.0, 8.0), (60.0, 10.0, 15.0), (20.0, 45.0, 4.0), (30.0, 15.0, 6.0), (75.0, -30.0, 5.0)]
    ring = polyline(hull_of_discs(discs), 1e-5)
    for turn in (k * math.pi / 36 for k in range(72)):
        way = math.cos(turn), math.sin(turn)
        reach = max(u * way[0] + v * way[1] for u, v in ring)
        assert reach == pytest.approx(max(u * way[0] + v * way[1] + r for u, v, r in discs), abs=2e-3)
    with pytest.raises(GeometryFault, match="one circle holds all"):
        hull_of_discs([(0.0, 0.0, 20.0), (3.0, 0.0, 5.0)])


@pytest.mark.parametrize("turn_deg", range(0, 180, 7))
def test_circles_in_a_row_leave_no_side_without_a_length(turn_deg: int) -> None:
    """A row of clamp holes, all of one size: a stadium, of four vertices, however it lies on the panel."""
    turn = math.radians(turn_deg)
    row = [
        (-418.85 + 54.137 * k * math.cos(turn), 51.79 + 54.137 * k * math.sin(turn), 9.1) for k in range(11)
    ]
    outline = hull_of_discs(row)
    assert len(outline.vertices) == 4
    assert area(outline) == pytest.approx(math.pi * 9.1**2 + 541.37 * 18.2)
    assert len(polyline(outline)) > 20


def test_the_note_says_what_keeps_a_print_flat_and_how_a_long_one_lies() -> None:
    assert "PLA keeps flat" in make().notes[1]
    # 127.7 x 49.7 mm; on a bed of 126 x 126 it goes in: (252 / 177.4)² = 2.018
    small = PartPrinter(bed_width_mm=126.0, bed_depth_mm=126.0)
    assert "lay it corner to corner" in make(printer=small).notes[1]
    assert "corner to corner" not in make().notes[1]


@pytest.mark.parametrize("room", [(100.0, 100.0), (150.0, 90.0), (220.0, 120.0)])
def test_a_rectangle_fits_turned_as_every_angle_tried_says(room: tuple[float, float]) -> None:
    for p, q in itertools.product(range(20, 240, 11), range(5, 120, 9)):
        if q > p:
            continue
        turns = [k * math.pi / 3600 for k in range(1801)]
        over = min(
            max(
                p * math.cos(t) + q * math.sin(t) - max(room),
                p * math.sin(t) + q * math.cos(t) - min(room),
            )
            for t in turns
        )
        if abs(over) > 0.05:  # nearer than the angles tried can tell
            assert fits_turned(p, q, *room) == (over < 0)
    assert fits_turned(140.0, 1.0, 100.0, 100.0)
    assert not fits_turned(140.0, 1.0, 100.0, 100.0, square=True)
