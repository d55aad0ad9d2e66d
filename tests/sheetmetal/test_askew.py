"""How far a bend line may be askew: by hand, and folded about lines that are."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from bending.bent_parts import bend, plan_of
from drawing.part_cases import make

from generators.model.plan import Fitting, Hole, PartPlan
from generators.sheetmetal.askew.most import askew_most_rad
from generators.sheetmetal.askew.ties import ties_of
from generators.sheetmetal.folding import bend_allowance

WIDE, LONG, DEEP = 90.0, 130.0, 160.0
OUT = 120.0
"""How far out of each bend's tangent line a cheek has its pivot."""


def hole(name: str, u: float, v: float, kind: str) -> Hole:
    fitting = Fitting(kind="pivot" if kind == "pivot" else "bolt", label="M8 bolt")
    return Hole(name=name, u_mm=u, v_mm=v, diameter_mm=9.0, purpose="M8 bolt", fitting=fitting)


def cheeked(mounted: float = 20.0, pivots: bool = True) -> PartPlan:
    """A web of 90 by 130 with a cheek up on either side, a hole so far inside the right bend and a pivot in each."""
    plan = plan_of(
        {"web": (WIDE, LONG), "right": (LONG, DEEP), "left": (LONG, DEEP)},
        [
            bend("r", "web", "right", (WIDE, 0.0), (WIDE, LONG)),
            bend("l", "web", "left", (0.0, LONG), (0.0, 0.0)),
        ],
    )
    web, right, left = plan.flanges
    # u runs against the bend: a pivot level with 100 along the web
    right = replace(right, holes=(hole("a", LONG - 100.0, OUT, "pivot"),) if pivots else ())
    left = replace(left, holes=(hole("b", 100.0, OUT, "pivot"),) if pivots else ())
    web = replace(web, holes=(hole("m", WIDE - mounted, 20.0, "bolt"),))
    return replace(plan, flanges=(web, right, left))


def test_two_pivots_are_the_nearest_by_hand() -> None:
    """Along the fold they may differ by 0.4, and lie on the blank 2 (120 + A) + 90 apart; without them 0.5 of 130."""
    plan = cheeked()
    allowance = bend_allowance(plan.bends[0], plan.thickness_mm)
    near, far = 20.0 + allowance + OUT, WIDE - 20.0 + allowance + OUT
    most = askew_most_rad(plan)
    assert most["r"] == most["l"] == pytest.approx(0.4 / (near + far))
    assert near + far == pytest.approx(2 * (OUT + allowance) + WIDE)
    bare = askew_most_rad(cheeked(pivots=False))
    assert bare["r"] == bare["l"] == pytest.approx(0.5 / LONG)
    # one tied hole alone: the 0.5 of its own row
    one = replace(plan, flanges=(*plan.flanges[:2], replace(plan.flanges[2], holes=())))
    assert askew_most_rad(one)["r"] == pytest.approx(min(0.5 / LONG, 0.5 / near))
    assert askew_most_rad(one)["l"] == pytest.approx(0.5 / LONG)


@pytest.mark.parametrize("askew", [1e-4, -2e-3])
def test_what_a_line_askew_shifts_along_its_fold_by_folding(askew: float) -> None:
    """The pivot turned by 90 degrees about the line itself, askew: measured along that line from the web's hole."""
    plan = cheeked()
    tie = next(t for t in ties_of(plan) if t.own.flange == "right")
    allowance = bend_allowance(plan.bends[0], plan.thickness_mm)
    first, own = np.array([-20.0 - allowance / 2, 20.0]), np.array([OUT + allowance / 2, 100.0])
    along = np.array([-math.sin(askew), math.cos(askew)])
    # a turn about a line changes no place along it
    shift = float((own - first) @ along) - 80.0 * math.cos(askew)
    assert tie.along_mm == pytest.approx(80.0)
    across = 20.0 + allowance + OUT
    assert shift == pytest.approx(-across * math.sin(askew))
    assert abs(shift) <= 0.5 or abs(askew) > 0.5 / across


def test_a_welded_edge_comes_as_near_as_the_blank_is_cut() -> None:
    """The sample's gussets: 0.2 of how far their welded edge goes from the middle of their bend."""
    plan = make("slave_bracket")
    most = askew_most_rad(plan)
    gussets = [b for b in plan.bends if "gusset" in b.name]
    assert gussets
    for this in gussets:
        tall = max(v.v for v in plan.flange(this.child).contour.vertices)
        reach = tall + bend_allowance(this, plan.thickness_mm) / 2
        assert 0.2 / reach <= most[this.name] < 0.2 / (reach * 0.8)
