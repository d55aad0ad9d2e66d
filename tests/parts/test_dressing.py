"""Lightening holes and rounded corners: where they lie, what they keep clear of, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from checks.small_jobs import SHOP, STEEL, codes, only, part_hole, plate
from drawing.part_cases import make, tree
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from generators.checks.part.part import check_part
from generators.errors import GeometryFault, SpecError
from generators.geometry.contours import area, polygon, polyline, rectangle
from generators.geometry.corners import convex_corners, round_corners
from generators.model.limits import Limits
from generators.model.plan import PartPlan
from generators.model.spec.dressing import FlangeFillet, Lightening
from generators.model.spec.job import PartSpec
from generators.parts.building.dressing import dress
from generators.sheetmetal.folding import flat_pattern
from generators.solve.job import prepare


def dressed(plan: PartPlan, *lightening: Lightening, **more: Any) -> PartPlan:
    spec = PartSpec(
        name="p",
        kind="t",
        material=STEEL,
        thickness_mm=plan.thickness_mm,
        lightening=lightening,
        **more,
    )
    return dress(plan, spec, Limits())


def centres(plan: PartPlan, flange: str) -> list[tuple[float, float]]:
    return [
        (round(h.u_mm, 9), round(h.v_mm, 9))
        for h in plan.flange(flange).holes
        if h.fitting.kind == "lightening"
    ]


# ----------------------------------------------------------------------------------- lightening
def test_a_row_has_both_its_ends_and_even_steps() -> None:
    row = Lightening(flange="plate", diameter_mm=20, from_=(-60.0, 10.0), to=(60.0, 10.0), count=4)
    assert centres(dressed(plate(), row), "plate") == [(-60, 10), (-20, 10), (20, 10), (60, 10)]


def test_rows_go_to_the_left_of_the_way_walked() -> None:
    """By hand: walking toward +u, left is +v; walking toward +v, left is -u."""
    east = Lightening(
        flange="plate", diameter_mm=10, from_=(0.0, 0.0), to=(40.0, 0.0), count=2, rows=2, pitch_mm=15
    )
    assert centres(dressed(plate(), east), "plate") == [(0, 0), (40, 0), (0, 15), (40, 15)]
    north = replace(east, to=(0.0, 40.0))
    assert centres(dressed(plate(), north), "plate") == [(0, 0), (0, 40), (-15, 0), (-15, 40)]


def test_a_fill_takes_as_many_as_go_by_hand() -> None:
    """200 x 200, t 3: the rules ask max(2 t, 3 mm) = 6 mm. A centre may lie 100 - 10 - 6 = 84 mm out, less
    0.08 for rounding; the pitch is 20 + 6 = 26; 2 x 83.92 / 26 = 6.4, so 7 x 7 about the middle."""
    got = centres(dressed(plate(), Lightening(flange="plate", diameter_mm=20, fill=True)), "plate")
    assert len(got) == 49
    assert got[0] == (-78.0, -78.0)
    assert got[-1] == (78.0, 78.0)


def test_more_margin_and_gap_than_the_rules_ask() -> None:
    """By hand: centres to 100 - 10 - 30 = 60 less 0.08, pitch 40: 2 x 59.92 / 40 = 2.996, so 3 x 3."""
    want = Lightening(flange="plate", diameter_mm=20, fill=True, margin_mm=30, gap_mm=20)
    got = centres(dressed(plate(), want), "plate")
    assert len(got) == 9
    assert got[0] == (-40.0, -40.0)


@settings(max_examples=25, deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.floats(12, 30).map(lambda x: round(x, 2)),
    st.floats(0, 12),
    st.floats(0, 12),
    st.sampled_from((1.0, 2.0, 4.0)),
    st.tuples(st.floats(-70, 70), st.floats(-70, 70)),
)
def test_a_fill_keeps_the_metal_it_was_asked_for(
    diameter: float, margin: float, gap: float, t: float, bolt: tuple[float, float]
) -> None:
    """Measured with shapely, and by our own rules: no rule has anything to say of a fill."""
    base = plate(part_hole("bolt", *bolt, 9.0, nut=15.0), thickness=t)
    want = Lightening(flange="plate", diameter_mm=diameter, fill=True, margin_mm=margin, gap_mm=gap)
    plan = dressed(base, want)
    rim = Polygon(polyline(plan.flanges[0].contour)).exterior
    got = np.array(centres(plan, "plate"))
    assert len(got)
    metal = shapely.distance(shapely.points(got), rim) - diameter / 2
    assert metal.min() >= margin - 1e-3
    assert (np.hypot(*(got - bolt).T) - diameter / 2 - 4.5).min() >= margin - 1e-3
    apart = np.hypot(*(got[:, None] - got[None, :]).transpose(2, 0, 1)) + np.eye(len(got)) * 1e6
    assert apart.min() - diameter >= gap - 1e-3
    mentioned = [f for f in check_part(plan, Limits(), SHOP) if "lightening" in f.where]
    assert [f for f in mentioned if f.code != "hole-process-limit"] == []


def test_a_fill_keeps_off_every_bend() -> None:
    plan = dressed(tree(), Lightening(flange="base", diameter_mm=4, fill=True, margin_mm=1))
    assert len(centres(plan, "base")) > 4
    assert "hole-bend-distance" not in codes(
        [f for f in check_part(plan, Limits(), SHOP) if "lightening" in f.where]
    )


@pytest.mark.parametrize(("metal", "fires"), [(5.9, True), (6.1, False)])
def test_a_lightening_hole_is_judged_by_the_metal_left_not_by_diameters(metal: float, fires: bool) -> None:
    """t 3: 6 mm. The 2 D of a bolt (AC 43.13-1B 4-57c) would ask for 40 mm to the centre."""
    one = Lightening(flange="plate", diameter_mm=20, from_=(100 - 10 - metal, 0.0))
    found = check_part(dressed(plate(), one), Limits(), SHOP)
    assert "hole-edge-distance" not in codes(found)
    assert ("hole-ligament" in codes(found)) == fires
    if fires:
        assert "lightening_1" in only(found, "hole-ligament").where


@pytest.mark.parametrize(("clear", "fires"), [(5.9, True), (6.1, False)])
def test_a_lightening_hole_near_a_bend_is_found(clear: float, fires: bool) -> None:
    """t 3: 2 t = 6 mm from the tangent line, which is v = 0 of the shelf."""
    shelf = make("reservoir_bracket")
    hole = Lightening(flange="shelf", diameter_mm=10, from_=(45.0, 5 + clear))
    found = [f for f in check_part(dressed(shelf, hole), Limits(), SHOP) if "lightening" in f.where]
    assert ("hole-bend-distance" in codes(found)) == fires


# ------------------------------------------------------------------------------------- corners
def test_four_rounded_corners_take_off_four_minus_pi_r_squared() -> None:
    plan = dressed(plate(), edge_fillet_mm=12.0)
    assert area(plan.flanges[0].contour) == pytest.approx(200 * 200 - (4 - math.pi) * 12**2, abs=1e-9)


def test_a_radius_that_meets_itself_mid_side_makes_a_circle() -> None:
    round_plate = round_corners(rectangle(-10, -10, 10, 10), {0, 1, 2, 3}, 10.0)
    assert area(round_plate) == pytest.approx(math.pi * 100, abs=1e-9)
    with pytest.raises(GeometryFault, match="10 mm is the most"):
        round_corners(rectangle(-10, -10, 10, 10), {0, 1, 2, 3}, 10.01)


def test_concave_corners_and_ends_of_bends_stay_sharp() -> None:
    """By hand: the tree's base has two free corners, (0, 0) and (80, 0); (0, 40) and (80, 40) are ends of
    bend one, (80, 8) and (80, 32) lie in a straight side. Its riser's top corners (80, 30) and (0, 30) are free."""
    plan = dressed(tree(), edge_fillet_mm=2.0)
    arcs = {f.name: sum(1 for v in f.contour.vertices if v.bulge) for f in plan.flanges}
    assert arcs["base"] == 2
    assert arcs["riser"] == 2
    before = {f.name: sum(1 for v in f.contour.vertices if v.bulge) for f in tree().flanges}
    assert arcs["lip"] == before["lip"]
    flat_pattern(plan)  # every bend still finds its edge
    notched = polygon([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)])
    assert len(convex_corners(notched)) == 5


def test_one_flange_may_have_its_own_radius_or_none() -> None:
    plan = dressed(tree(), edge_fillet_mm=2.0, fillet=(FlangeFillet(flange="riser", radius_mm=0.0),))
    assert not any(v.bulge for v in plan.flange("riser").contour.vertices)
    assert any(v.bulge for v in plan.flange("base").contour.vertices)


# -------------------------------------------------------------------------------------- faults
HEAD = '[job]\nname = "j"\ntitle = "J"\n'
PART = '[[part]]\nname = "p"\nkind = "reservoir_bracket"\nmaterial = "1008 steel"\nthickness = "3 mm"\n'
ROW = '[[part.lightening]]\nflange = "base"\ndiameter = "6 mm"\n'


@pytest.mark.parametrize(
    ("text", "path", "says"),
    [
        (ROW.replace("base", "wing") + "fill = true\n", "lightening[0].flange", "base, shelf"),
        (ROW, "lightening[0].from", "neither placed"),
        (ROW + 'from = ["0 mm", "30 mm"]\ncount = 2\n', "lightening[0].to", "no end of the row"),
        (ROW + 'from = ["-20 mm", "30 mm"]\nto = ["20 mm", "30 mm"]\n', "lightening[0].count", "one hole"),
        (
            ROW + 'from = ["-9 mm", "30 mm"]\nto = ["9 mm", "30 mm"]\ncount = 5\n',
            "lightening[0].count",
            "18 mm",
        ),
        (
            ROW + 'from = ["-20 mm", "30 mm"]\nto = ["20 mm", "30 mm"]\ncount = 2\nrows = 2\n',
            "lightening[0].pitch",
            "no pitch",
        ),
        (ROW + 'from = ["400 mm", "30 mm"]\n', "lightening[0].from", "does not lie whole on the flange"),
        (ROW + 'from = ["-30 mm", "0 mm"]\n', "lightening[0].from", "runs into hole 'mount_1'"),
        (ROW + 'fill = true\nfrom = ["0 mm", "0 mm"]\n', "lightening[0].from", "fill the flange"),
        (ROW + "fill = true\ncount = 3\n", "lightening[0].count", "fill the flange"),
        (ROW + 'margin = "5 mm"\nfrom = ["0 mm", "20 mm"]\n', "lightening[0].margin", "fill = true"),
        (ROW.replace('"6 mm"', '"90 mm"') + "fill = true\n", "lightening[0].diameter", "no hole of 90 mm"),
        ('edge_fillet = "60 mm"\n', "edge_fillet", "is the most"),
        (
            '[[part.fillet]]\nflange = "shelf"\nradius = "2 mm"\n[[part.fillet]]\nflange = "shelf"\nradius = "3 mm"\n',
            "fillet[1].flange",
            "second radius",
        ),
        ('[[part.fillet]]\nflange = "wing"\nradius = "2 mm"\n', "fillet[0].flange", "no flange 'wing'"),
    ],
)
def test_a_fault_names_its_key(tmp_path: Path, text: str, path: str, says: str) -> None:
    parameters = "" if "lightening" in text else '[part.parameters]\ncorner_radius = "0 mm"\n'
    spec = tmp_path / "j.toml"
    spec.write_text(
        HEAD + PART + (text + parameters if text.startswith("edge") else parameters + text), encoding="utf-8"
    )
    with pytest.raises(SpecError) as caught:
        prepare(spec)
    (fault,) = caught.value.faults
    assert fault.path == f"part[0].{path}"
    assert says in fault.found
    assert fault.line > 4


# -------------------------------------------------------------------------------- both hands
def test_both_hands_come_from_one_table(tmp_path: Path) -> None:
    spec = tmp_path / "j.toml"
    spec.write_text(
        HEAD
        + PART
        + 'opposite = { name = "q", title = "The other", quantity = 3 }\n'
        + ROW
        + 'from = ["-10 mm", "12 mm"]\n',
        encoding="utf-8",
    )
    one, two = prepare(spec).parts
    assert (one.spec.name, one.plan.mirrored, one.plan.quantity) == ("p", False, 1)
    assert (two.spec.name, two.plan.mirrored, two.plan.quantity) == ("q", True, 3)
    assert two.plan.title == "The other"
    assert centres(one.plan, "base") == [(-10.0, 12.0)]
    assert centres(two.plan, "base") == [(10.0, 12.0)]


@pytest.mark.parametrize(
    ("other", "path"),
    [
        ('{ name = "p" }', "part[0].opposite.name"),
        ('{ name = "con" }', "part[0].opposite.name"),
        (
            '{ name = "q", mount = { panel = "wall", face = "cab", at = { u = "0 mm", v = "0 mm" } } }',
            "part[0].opposite.mount.panel",
        ),
    ],
)
def test_the_other_hand_is_read_as_strictly_as_a_part(tmp_path: Path, other: str, path: str) -> None:
    spec = tmp_path / "j.toml"
    spec.write_text(f"{HEAD}{PART}opposite = {other}\n", encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        prepare(spec)
    assert [f.path for f in caught.value.faults] == [path]


def test_a_fault_of_both_hands_is_said_once_and_at_the_parameter(tmp_path: Path) -> None:
    spec = tmp_path / "j.toml"
    text = PART.replace("reservoir_bracket", "pedal_hanger") + 'opposite = { name = "q" }\n'
    spec.write_text(HEAD + text + '[part.parameters]\npivot_boss = "100 mm"\n', encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        prepare(spec)
    (fault,) = caught.value.faults
    assert fault.path.startswith("part[0].parameters")
