"""What is said where a value does nothing, or a hole lies off its flange, by hand from the flange's own size."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from drawing.part_cases import make

from generators.checks.part.hands import symmetrical
from generators.errors import GeometryFault
from generators.geometry.contours import rectangle
from generators.model.joints.hole_finish import HoleFinish
from generators.model.limits import Limits
from generators.model.plan import Fitting, Flange, Hole, PartPlan, Slot
from generators.model.spec.dressing import FlangeFillet, Lightening
from generators.model.spec.job import PartSpec
from generators.parts.building.dressing import dress
from generators.parts.building.mirror import mirrored
from generators.parts.building.openings import require_inside
from generators.sheets.manual.flange_axes import faces
from generators.standards import press_tolerance

BOLT = Fitting(kind="bolt", label="M8 bolt")


def plate(*openings: Hole | Slot) -> PartPlan:
    """A plate 100 by 60 about its origin."""
    flange = Flange(
        name="plate",
        contour=rectangle(-50.0, -30.0, 50.0, 30.0),
        holes=tuple(o for o in openings if isinstance(o, Hole)),
        slots=tuple(o for o in openings if isinstance(o, Slot)),
    )
    return PartPlan(name="p", kind="f", title="P", material="1008 steel", thickness_mm=3.0, flanges=(flange,))


def test_a_hole_off_its_flange_is_told_where_it_may_be() -> None:
    """10 mm wide: 5 in from each edge, u -45 to 45 and v -25 to 25."""
    hole = Hole(name="h", u_mm=60.0, v_mm=0.0, diameter_mm=10.0, purpose="bolt", fitting=BOLT)
    with pytest.raises(GeometryFault) as caught:
        require_inside(plate(hole))
    assert "its middle is at u 60.0 v 0.0 mm" in str(caught.value)
    assert "u -45.0 to 45.0, v -25.0 to 25.0 mm" in str(caught.value)


def test_a_slot_s_ends_count() -> None:
    """10 wide, 20 between end centres along u: 10 less each way than a hole."""
    slot = Slot(
        name="s",
        u_mm=40.0,
        v_mm=0.0,
        width_mm=10.0,
        travel_mm=20.0,
        angle_rad=0.0,
        purpose="bolt",
        fitting=BOLT,
    )
    with pytest.raises(GeometryFault) as caught:
        require_inside(plate(slot))
    assert "u -35.0 to 35.0, v -25.0 to 25.0 mm" in str(caught.value)


def spec(**keys: object) -> PartSpec[None]:
    return PartSpec(name="p", kind="f", material="1008 steel", thickness_mm=3.0, parameters=None, **keys)  # type: ignore[arg-type]


def test_a_lightening_hole_off_its_flange_is_told_too() -> None:
    want = Lightening(flange="plate", diameter_mm=20.0, from_=(45.0, 0.0))
    with pytest.raises(GeometryFault) as caught:
        dress(plate(), spec(lightening=(want,)), Limits())
    assert "u -40.0 to 40.0, v -20.0 to 20.0 mm" in str(caught.value)


def test_a_radius_that_changes_no_corner_is_refused() -> None:
    assert dress(plate(), spec(edge_fillet_mm=4.0), Limits()) != plate()
    round_plate = make("blanking_plate")
    with pytest.raises(GeometryFault) as caught:
        dress(round_plate, spec(edge_fillet_mm=2.0), Limits())
    assert "changes nothing" in str(caught.value)
    assert caught.value.parameter == ".edge_fillet"
    # 0 leaves corners sharp on purpose
    own = (FlangeFillet(flange="plate", radius_mm=0.0),)
    assert dress(plate(), spec(fillet=own), Limits()) == plate()


def test_axes_of_flanges_by_hand() -> None:
    """The van's kind of hanger: cheeks stand on the web, their v runs away from it, along the root's +w."""
    plan = make("pedal_hanger")
    rows = {row["flange"]: row for row in faces(plan)}
    assert rows["web"]["origin"] == "the part's own"
    assert rows["right_cheek"]["v"] == "along +w"
    assert {rows[f"{side}_cheek"]["u"] for side in ("left", "right")} == {"along +v", "along -v"}
    (u, _, w) = rows["right_cheek"]["origin"].removeprefix("at ").removesuffix(" of web").split(", ")
    # 90 inside, 3 thick: the outer faces are 48 from the middle; the lower side of an up bend is the outer one
    assert float(u) == pytest.approx(48.0)
    assert float(w) == pytest.approx(3.0 + plan.bends[0].inside_radius_mm)


@pytest.mark.parametrize(("u", "same"), [(0.0, True), (10.0, False)])
def test_one_hole_makes_a_hand(u: float, same: bool) -> None:
    hole = Hole(name="h", u_mm=u, v_mm=12.0, diameter_mm=10.0, purpose="bolt", fitting=BOLT)
    assert symmetrical(mirrored(plate(hole))) == same


def test_bends_the_other_way_make_a_hand() -> None:
    bracket = make("reservoir_bracket")
    assert symmetrical(bracket)
    turned = replace(bracket.flanges[0], holes=bracket.flanges[0].holes[:1])
    assert not symmetrical(replace(bracket, flanges=(turned, *bracket.flanges[1:])))


TAP = HoleFinish(kind="tapped", cut_mm=6.8, words="tap M8", thread="M8 x 1.25")


@pytest.mark.parametrize(
    ("change", "etched"),
    [
        ({"finish": TAP}, ""),
        ({"tolerance": press_tolerance(6.8)}, ""),
        ({"fitting": Fitting(kind="tapped", label="M8 tapped")}, ""),
        ({}, "P-12"),
    ],
    ids=["tapped", "fit", "thread in it", "etched"],
)
def test_holes_that_are_finished_otherwise_make_a_hand(change: dict[str, Any], etched: str) -> None:
    """6.8 drilled is the tap drill of M8 (DIN 336): left tapped and right plain are cut alike, and are two."""
    left, right = (
        Hole(name=n, u_mm=u, v_mm=12.0, diameter_mm=6.8, purpose="bolt", fitting=BOLT)
        for n, u in (("left", -30.0), ("right", 30.0))
    )
    assert symmetrical(mirrored(plate(left, right)))
    assert symmetrical(mirrored(plate(replace(left, **change), replace(right, **change))))
    other = replace(plate(replace(left, **change), right), etch=etched)
    assert not symmetrical(mirrored(other))
