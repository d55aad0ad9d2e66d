"""Reliefs cut by the fold engine: sizes by hand, and no rule finds a bend that would tear."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter

import pytest
from drawing.part_cases import bend, cases, make, tree
from hypothesis import given, settings
from shapely.geometry import Polygon
from sheetmetal.random_trees import trees

from generators.checks.part.bends import check_bends
from generators.errors import GeometryFault
from generators.geometry.clipping import clipped
from generators.geometry.contours import (
    arc_of,
    area,
    bounds,
    circle,
    polygon,
    polyline,
    rectangle,
    segments,
)
from generators.model.limits import Limits
from generators.model.plan import Flange, PartPlan
from generators.model.spec.shop import Shop, Stock
from generators.parts import KINDS, kind_named
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.sheetmetal.relief import relief_diameter, relief_width
from generators.sheetmetal.relieving import relieved

# FAA-H-8083-31 ch. 4, folding a box: 1/8 in up to .064 in, 3/16 in to .128 in
EIGHTH, THREE_16 = 3.175, 4.7625
SHOP = Shop()


def torn(plan: PartPlan) -> list[str]:
    return [f.where for f in check_bends(plan, Limits(), SHOP) if f.code == "bend-relief"]


def box(t: float = 1.5, sides: int = 4, height: float = 25.0) -> PartPlan:
    """A tray of 80 × 60 with walls that meet edge to edge at its corners."""
    around = (
        ("front", (0.0, 0.0), (80.0, 0.0)),
        ("right", (80.0, 0.0), (80.0, 60.0)),
        ("back", (80.0, 60.0), (0.0, 60.0)),
        ("left", (0.0, 60.0), (0.0, 0.0)),
    )[:sides]
    return PartPlan(
        name="box",
        kind="by_hand",
        title="Box",
        material="1008 steel",
        thickness_mm=t,
        flanges=(
            Flange(name="floor", contour=rectangle(0, 0, 80, 60)),
            *(Flange(name=n, contour=rectangle(0, 0, math.dist(a, b), height)) for n, a, b in around),
        ),
        bends=tuple(bend(n, "floor", n, a, b, 90, "up") for n, a, b in around),
    )


def test_a_narrow_flange_gets_a_notch_at_each_end() -> None:
    plan = tree()  # 2 mm sheet = .079 in: 3/16 in; the lip and the ear are narrower than their edges
    assert len(torn(plan)) == 4
    new = relieved(plan, THREE_16)
    assert torn(new) == []
    riser, base = new.flange("riser"), new.flange("base")
    # the lip leaves 10 mm of the riser's edge at each end: a U of 3/16 in, half as deep straight, then round
    notch = THREE_16 * THREE_16 / 2 + math.pi * THREE_16**2 / 8
    assert area(plan.flange("riser").contour) - area(riser.contour) == pytest.approx(2 * notch)
    # the ear leaves 8 mm of the base's edge at each end: the same
    assert area(plan.flange("base").contour) - area(base.contour) == pytest.approx(2 * notch)
    # bends and flanges stay where they were
    assert new.bends == plan.bends
    assert new.flange("lip") == plan.flange("lip")


def test_corners_of_a_box_by_hand() -> None:
    plan = box()  # 1.5 mm = .059 in: 1/8 in
    assert len(torn(plan)) == 8
    new = relieved(plan, EIGHTH)
    assert torn(new) == []
    assert [bend_length(b) for b in new.bends] == pytest.approx(
        [80 - 2 * EIGHTH, 60 - 2 * EIGHTH, 80 - 2 * EIGHTH, 60 - 2 * EIGHTH]
    )
    for b in new.bends:
        assert bounds(new.flange(b.child).contour)[2:] == pytest.approx((bend_length(b), 25.0))
    # each corner loses a square of a relief, rounded on its inside by half of one
    square = EIGHTH**2 - (1 - math.pi / 4) * (EIGHTH / 2) ** 2
    assert area(new.flange("floor").contour) == pytest.approx(80 * 60 - 4 * square)


def test_what_hangs_on_a_narrowed_wall_is_narrowed_too() -> None:
    plan = box(sides=2)
    lip = Flange(name="lip", contour=polygon([(0, 0), (80, 0), (80, 12), (0, 12)], [0, 0, 4, 4]))
    over = bend("lip", "front", "lip", (80.0, 25.0), (0.0, 25.0), 45, "up")
    hung = dataclasses.replace(plan, flanges=(*plan.flanges, lip), bends=(*plan.bends, over))
    new = relieved(hung, EIGHTH)
    assert torn(new) == []
    # front and right meet at one corner: both lose one relief there, and so does the lip
    assert bend_length(new.bends[2]) == pytest.approx(80 - EIGHTH)
    assert len(flat_pattern(new).bends) == 3
    # on the right wall, which loses its other end; a lip that does not reach the corner keeps its length
    for reach, left in ((60.0, 60 - EIGHTH), (50.0, 50.0), (58.0, 60 - EIGHTH)):
        wall = polygon(
            [(0, 0), (60, 0), (60, 25), (reach, 25), (0, 25)]
            if reach < 60
            else [(0, 0), (60, 0), (60, 25), (0, 25)]
        )
        brim = Flange(name="brim", contour=rectangle(0, 0, reach, 12))
        on_right = dataclasses.replace(
            plan,
            flanges=(*plan.flanges[:2], dataclasses.replace(plan.flanges[2], contour=wall), brim),
            bends=(*plan.bends, bend("brim", "right", "brim", (reach, 25.0), (0.0, 25.0), 45, "up")),
        )
        assert bend_length(relieved(on_right, EIGHTH).bends[2]) == pytest.approx(left)


@pytest.mark.parametrize("name", [f.name for f in KINDS])
def test_kinds_have_their_reliefs(name: str) -> None:
    plan = make(name)
    assert relieved(plan, relief_width(bend_rule(SHOP, "1008 steel", 3.0, None), 3.0)) == plan


def test_the_shop_s_relief_goes_before_the_handbook_s() -> None:
    stock = Stock(material="1008 steel", thickness_mm=3.0, inside_radius_mm=3.0, relief_mm=8.0)
    shop = Shop(stock=(stock,))
    rule = bend_rule(shop, "1008 steel", 3.0, None)
    assert relief_width(rule, 3.0) == 8.0
    assert relief_width(bend_rule(SHOP, "1008 steel", 3.0, None), 3.0) == pytest.approx(THREE_16)
    spec = dataclasses.replace(_spec("pedal_hanger"))
    tops = {}
    for key, one in (("shop", rule), ("book", bend_rule(SHOP, "1008 steel", 3.0, None))):
        web = kind_named("pedal_hanger").plan(spec, one).flange("web").contour.vertices
        tops[key] = sorted({round(p.v, 6) for p in web})[-1] - min(
            b.start[1] for b in kind_named("pedal_hanger").plan(spec, one).bends if b.name == "left"
        )
    # the cheeks' bends end one relief below the tab's
    assert tops == pytest.approx({"shop": 8.0, "book": THREE_16})
    # and the rule asks for the shop's: what was cut for the handbook is too narrow now
    plan = kind_named("pedal_hanger").plan(spec, bend_rule(SHOP, "1008 steel", 3.0, None))
    assert any(f.code == "bend-relief" for f in check_bends(plan, Limits(), shop))


def _spec(name: str):
    from generators.model.spec.job import PartSpec

    return PartSpec(
        name=name,
        kind=name,
        material="1008 steel",
        thickness_mm=3.0,
        parameters=kind_named(name).parameters(),
    )


@pytest.mark.parametrize("examples", [40, pytest.param(500, marks=pytest.mark.nightly)])
def test_any_tree_is_relieved_or_says_why_not(examples: int) -> None:
    met: Counter[str] = Counter()

    @settings(max_examples=examples, deadline=None, database=None)
    @given(trees())
    def run(plan: PartPlan) -> None:
        before = flat_pattern(plan)
        if not Polygon(polyline(before.contour)).is_valid:
            return
        try:
            new = relieved(plan, 2.0)
        except GeometryFault as fault:
            assert "relief" in str(fault)
            met["refused"] += 1
            return
        flat = flat_pattern(new)
        shape = Polygon(polyline(flat.contour, 1e-3))
        assert shape.is_valid
        # nothing is added anywhere, and a second time there is nothing to do
        if [b.start for b in new.bends] == [b.start for b in plan.bends]:
            assert shape.difference(Polygon(polyline(before.contour, 1e-3))).area < 1e-6
        again = relieved(new, 2.0)
        assert again == new
        shop = Shop(
            stock=(
                Stock(
                    material=plan.material,
                    thickness_mm=plan.thickness_mm,
                    inside_radius_mm=3.0,
                    relief_mm=2.0,
                ),
            )
        )
        found = [f for f in check_bends(new, Limits(), shop) if f.code in ("bend-relief", "blank-overlap")]
        assert not found, [f.where for f in found]
        met["relieved" if new != plan else "as it was"] += 1

    run()
    assert met["relieved"] > examples / 20, met


def test_no_room_for_a_relief_is_said() -> None:
    plan = box(sides=2)
    with pytest.raises(GeometryFault, match="leave nothing of bend"):
        relieved(plan, 45.0)
    # a tongue of 2 mm with a round corner leaves nothing to cut square
    round_corner = polygon([(0, 0), (70, 0), (72, 0), (72, 60), (0, 60)], [0, 0, 1, 0, 0])
    one = dataclasses.replace(
        plan,
        flanges=(
            Flange(name="floor", contour=round_corner),
            Flange(name="front", contour=rectangle(0, 0, 70, 20)),
        ),
        bends=(bend("front", "floor", "front", (0.0, 0.0), (70.0, 0.0), 90, "up"),),
    )
    with pytest.raises(GeometryFault, match=r"beside bend 'front': 1\.00 mm of edge left"):
        relieved(one, 3.0)


def test_a_slim_tongue_goes_with_its_corner() -> None:
    plan = box(sides=1)
    floor = polygon([(0, 0), (80, 0), (83, 0), (83, 60), (0, 60)])
    one = dataclasses.replace(plan, flanges=(Flange(name="floor", contour=floor), plan.flanges[1]))
    assert torn(one) == ["part:box bend front, its end"]
    new = relieved(one, EIGHTH)
    assert torn(new) == []
    # 3 mm of edge: a step as deep as the relief, its inside corner rounded by half the tongue
    step = 3 * EIGHTH - (1 - math.pi / 4) * 1.5**2
    assert area(floor) - area(new.flange("floor").contour) == pytest.approx(step)


@pytest.mark.parametrize("keep", [True, False])
@pytest.mark.parametrize("u", [-7.0, 0.0, 3.3, 9.0])
def test_clipping_agrees_with_shapely(u: float, keep: bool) -> None:
    for contour in (circle(0, 0, 20), rectangle(-10, -5, 12, 9, 4), cases()["tree"].flange("lip").contour):
        low, _, high, _ = bounds(contour)
        if not low + 1e-6 < u < high - 1e-6:
            continue
        window = Polygon(
            [(u, -999), (999, -999), (999, 999), (u, 999)]
            if keep
            else [(-999, -999), (u, -999), (u, 999), (-999, 999)]
        )
        wanted = Polygon(polyline(contour, 1e-4)).intersection(window)
        got = Polygon(polyline(clipped(contour, u, keep_above=keep), 1e-4))
        assert got.symmetric_difference(wanted).area < 3e-3


@pytest.mark.parametrize("sides", [3, 4, 6])
def test_corners_that_are_not_square_by_hand(sides: int) -> None:
    """A tray on a regular polygon: at a corner of angle p both bends end a relief w before it, and walls square to
    them meet at a depth of w tan(p/2). What goes is that kite, w² tan(p/2), less what an arc of radius r tangent to
    both walls leaves in its inner corner of 180° - p: r² (cot((180° - p)/2) - p/2). r is half of the smaller of
    width and depth. Plane geometry.
    """
    corner = math.pi * (sides - 2) / sides
    points = [
        (50 * math.cos(2 * math.pi * k / sides), 50 * math.sin(2 * math.pi * k / sides)) for k in range(sides)
    ]
    around = [(points[k], points[(k + 1) % sides]) for k in range(sides)]
    floor = polygon(points)
    plan = PartPlan(
        name="tray",
        kind="by_hand",
        title="Tray",
        material="1008 steel",
        thickness_mm=1.5,
        flanges=(
            Flange(name="floor", contour=floor),
            *(
                Flange(name=f"w{k}", contour=rectangle(0, 0, math.dist(a, b), 20))
                for k, (a, b) in enumerate(around)
            ),
        ),
        bends=tuple(bend(f"w{k}", "floor", f"w{k}", a, b, 60, "up") for k, (a, b) in enumerate(around)),
    )
    new = relieved(plan, 4.0)
    depth = 4.0 * math.tan(corner / 2)
    r = min(4.0, depth) / 2
    left = r**2 * (1 / math.tan((math.pi - corner) / 2) - corner / 2)
    lost = area(floor) - area(new.flange("floor").contour)
    assert lost == pytest.approx(sides * (4.0 * depth - left), rel=1e-9)
    # tangent: no corner is left where an arc meets its walls
    for a, b in segments(new.flange("floor").contour):
        if a.bulge:
            assert arc_of(a, b).radius == pytest.approx(r, rel=1e-9)


@pytest.mark.parametrize(
    ("inches", "relief"),
    [(0.064, EIGHTH), (0.0641, THREE_16), (0.128, THREE_16), (0.1281, 1.5 * 0.1281 * 25.4)],
)
def test_relief_diameters_at_the_ends_of_the_handbook_s_rows(inches: float, relief: float) -> None:
    # FAA-H-8083-31 ch. 4; above its last row 1.5 t (common practice, no source)
    assert relief_diameter(inches * 25.4) == pytest.approx(relief)
