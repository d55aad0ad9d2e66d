"""How the holes of a panel get their limits, their tool and the size that tool makes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from layout.walls import panel

from generators.layout.openings import panel_holes
from generators.layout.tooling import shared_limits
from generators.model.hole_work import when_words
from generators.model.plan import PanelHole
from generators.model.spec.job import ExistingHole, HoleSpec, Position
from generators.units import UnitSystem
from generators.verify.pdf.template.works import table_work_problems

AT = Position(u_mm=300.0, v_mm=200.0)


def drilled(spec: HoleSpec, units: UnitSystem = "metric", **more) -> PanelHole:
    return next(h for h in panel_holes(panel(hole=(spec,), **more), [], (), units) if h.name == spec.name)


def test_own_limits_go_before_the_usual_ones() -> None:
    # a rivet nut's maker asks for 8.9 to 9.0 mm
    spec = HoleSpec(
        name="a",
        at=AT,
        kind="insert",
        diameter_mm=9.0,
        thread="M6",
        purpose="rivet nut",
        limits_mm=(8.9, 9.0),
    )
    hole = drilled(spec)
    assert (hole.least_mm, hole.most_mm, hole.tolerance) == (8.9, 9.0, "as given")
    assert hole.tool == "twist drill 9 mm"
    # common practice, no source: 0 to +0.1 mm
    usual = drilled(replace(spec, limits_mm=None))
    assert (usual.least_mm, usual.most_mm) == pytest.approx((9.0, 9.1))


def test_a_hole_between_the_drills_is_filed_and_says_so() -> None:
    spec = HoleSpec(
        name="a", at=AT, kind="plain", diameter_mm=14.5, purpose="a tight plug", limits_mm=(14.45, 14.55)
    )
    hole = drilled(spec)
    assert hole.filed
    assert hole.tool == "step drill 14 mm, then file to 14.5 mm"
    assert hole.final_dia_mm == 14.5
    # one tenth wider, and 14.5 is still no step; half a millimetre wider, and 15 is one
    assert drilled(replace(spec, limits_mm=(14.45, 14.99))).filed
    assert drilled(replace(spec, limits_mm=(14.45, 15.0))).tool == "step drill 15 mm"


def test_a_countersink_is_said_in_the_countrys_unit() -> None:
    spec = HoleSpec(
        name="a",
        at=AT,
        kind="countersunk",
        thread="M6",
        head_mm=12.7,
        nut_face="engine",
        purpose="flush screw",
    )
    assert drilled(spec).tool == "twist drill 6.6 mm, countersink 90°, 12.7 mm wide"
    assert drilled(spec, "inch").tool == "twist drill 17/64 in, countersink 90°, 1/2 in wide"


def test_a_reused_hole_within_the_limits_is_left_as_it_is() -> None:
    # -4 fitting: thread 11.1125 mm, 0.2 to 1 mm of play: 11.3125 to 12.1125 mm
    spec = HoleSpec(name="a", at=AT, kind="bulkhead", dash=4, purpose="line through")
    old = ExistingHole(name="old", at=(300.0, 200.0), diameter_mm=11.32, action="reuse", what="old line hole")
    (kept,) = panel_holes(panel(existing=(old,), hole=(spec,)), [])
    assert (kept.tool, kept.final_dia_mm, kept.there_mm) == ("", 11.32, 11.32)
    (opened,) = panel_holes(panel(existing=(replace(old, diameter_mm=11.2),), hole=(spec,)), [])
    assert opened.tool == "open from 11.2 mm: step drill 12 mm"
    assert opened.final_dia_mm == 12.0


def test_what_two_share_has_the_closer_limits() -> None:
    spec = HoleSpec(name="a", at=AT, kind="bolt", thread="M8", purpose="bolt")
    # H13 and H14 of 9 mm: 9.22 and 9.36 mm (ISO 286-1)
    medium, coarse = drilled(spec), replace(drilled(spec), most_mm=9.36, tolerance="H14")
    for a, b in ((medium, coarse), (coarse, medium)):
        both = shared_limits(a, b)
        assert (both.least_mm, both.most_mm) == pytest.approx((9.0, 9.22))
        assert both.tolerance == "H13"
    free = replace(medium, least_mm=0.0, most_mm=0.0, tolerance="")
    assert shared_limits(free, medium).tolerance == "H13"
    assert shared_limits(medium, free).tolerance == "H13"


@pytest.mark.parametrize(("there_mm", "units"), [(8.0, "metric"), (6.35, "inch"), (27.0 / 64 * 25.4, "inch")])
def test_an_opened_holes_two_sizes_are_read_back_in_either_unit(there_mm: float, units: UnitSystem) -> None:
    spec = HoleSpec(name="a", at=AT, kind="bulkhead", dash=4, purpose="line through")
    old = ExistingHole(
        name="old", at=(300.0, 200.0), diameter_mm=there_mm, action="reuse", what="old line hole"
    )
    (hole,) = panel_holes(panel(existing=(old,), hole=(spec,)), [], (), units)
    said = f"{when_words(hole.work, hole.final_dia_mm, hole.there_mm, units)}, {hole.drill_face} side"
    assert table_work_problems(hole, "".join(said.split())) == []
    other = replace(hole, there_mm=there_mm - 0.4)
    assert any("another size" in problem for problem in table_work_problems(other, "".join(said.split())))
