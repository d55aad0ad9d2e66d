"""What each thing on a part is inspected with: by how far it reaches and how near it reads."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from verify.inspected_channel import bored, by_key, hole, problems

from generators.drawing.inspection.item import bore, caliper
from generators.geometry.contours import polygon
from generators.model.plan import Flange, PartPlan
from generators.standards import HoleTolerance, Trust


@pytest.mark.parametrize("v", [20.0, 80.0])
def test_a_far_rim_is_read_with_the_blank_stood_on_its_edge(
    v: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An L of 100 by 100, its left edge up to 60 only. Edge and far rim look the same way: no jaws close on them, be
    the hole beside the edge or not; nor does a rule tell the 0.2 mm that the place of a hole may be off."""
    outline = polygon([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (50.0, 100.0), (50.0, 60.0), (0.0, 60.0)])
    flat = Flange(name="web", contour=outline, holes=(hole("a", 75.0, v),))
    plan = PartPlan(
        name="ell",
        kind="flat_plate",
        title="L, invented",
        thickness_mm=3.0,
        material="S235 steel",
        flanges=(flat,),
    )
    assert {by_key(plan)[key].using for key in ("E1", "E2")} == {"height gauge, edge down"}
    assert problems(tmp_path / "i.pdf", plan) == ()
    monkeypatch.setattr("generators.drawing.inspection.items.from_the_edge", lambda _: "caliper")
    assert any(
        "item E1: measured with 'caliper', it takes 'height" in p for p in problems(tmp_path / "i.pdf", plan)
    )


# 4 : 1 of jaws that read a hole to 0.03, of a rule that reads to 0.5; calipers end at 150, 300, 600 and 1000
@pytest.mark.parametrize(
    ("wide", "within", "using"),
    [
        (12.0, 0.049, "plug gauge, go and not go"),
        (9.9, 0.1, "pins"),
        (12.0, 0.1, "bore gauge"),
        (12.0, 0.119, "bore gauge"),
        (12.0, 0.121, "caliper"),
    ],
)
def test_a_hole_that_may_be_off_by_little_is_not_read_with_jaws(
    wide: float, within: float, using: str, tmp_path: Path
) -> None:
    assert bore(wide, (0.0, within)) == using
    plan = bored()
    web = plan.flanges[0]
    fit = HoleTolerance(
        name="as asked", lower_mm=0.0, upper_mm=within, source="asked", trust=Trust.COMMON_PRACTICE
    )
    asked = replace(web, holes=(replace(web.holes[0], diameter_mm=wide, tolerance=fit), *web.holes[1:]))
    plan = replace(plan, flanges=(asked, *plan.flanges[1:]))
    assert by_key(plan)["1"].using == using
    assert problems(tmp_path / "i.pdf", plan) == ()


@pytest.mark.parametrize(
    ("long", "within", "using"),
    [
        (149.0, 1.0, "caliper"),
        (151.0, 1.0, "long caliper"),
        (299.0, 9.0, "long caliper"),
        (301.0, 1.99, "600 mm caliper"),
        (301.0, 2.01, "steel rule or tape"),
        (601.0, 1.0, "1 m caliper"),
        (1001.0, 1.0, "steel rule or tape"),
    ],
)
def test_a_tape_is_named_where_it_reads_near_enough(long: float, within: float, using: str) -> None:
    assert caliper(long, (-within / 2, within / 2)) == using


@pytest.mark.parametrize("size", [(320.0, 200.0), (650.0, 450.0), (1100.0, 700.0)])
@pytest.mark.parametrize("tolerance", ["ISO 2768-1 m", "ISO 2768-1 c", "ISO 2768-1 v"])
def test_instruments_of_long_parts_read_back(
    size: tuple[float, float], tolerance: str, tmp_path: Path
) -> None:
    wide, high = size
    outline = polygon([(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)])
    holes = (hole("a", 20.0, 20.0), hole("b", wide - 20.0, high - 20.0))
    plan = PartPlan(
        name="long",
        kind="flat_plate",
        title="Plate, invented",
        thickness_mm=3.0,
        material="S235 steel",
        flanges=(Flange(name="web", contour=outline, holes=holes),),
        tolerance=tolerance,
    )
    assert problems(tmp_path / "i.pdf", plan) == ()


# 150.0005 over the far rims is printed 150.00, 150.0145 is printed 150.01: a caliper ends there, and which of two was
# named is not told by what is printed
@pytest.mark.parametrize("over", [0.0005, 0.0145, -0.0005])
def test_a_length_that_is_printed_at_the_end_of_a_caliper_reads_back(over: float, tmp_path: Path) -> None:
    plan = bored()
    web = plan.flanges[0]
    apart = 150.0 + over - 9.0
    wide = polygon([(-20.0, -20.0), (200.0, -20.0), (200.0, 100.0), (-20.0, 100.0)])
    holes = (hole("a", 0.0, 0.0), hole("b", apart, 0.0))
    plan = replace(plan, flanges=(replace(web, contour=wide, holes=holes),), bends=())
    assert problems(tmp_path / "i.pdf", plan) == ()
    assert problems(tmp_path / "i.pdf", plan, "inch") == ()
