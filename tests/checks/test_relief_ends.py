"""Each end of a bend is asked about its relief by itself, on either flange."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_jobs import angle_part, part

from generators.geometry.contours import polygon

LEAN = 30 * math.tan(math.radians(10))


@pytest.mark.parametrize(
    ("leg", "end"),
    [
        ([(0, 0), (100, 0), (100 + LEAN, 30), (-8, 30), (-8, 0)], "end"),
        ([(0, 0), (100, 0), (108, 0), (108, 30), (-LEAN, 30)], "start"),
    ],
)
def test_a_leg_needs_a_relief_where_it_steps_out_and_none_where_it_leans_out(
    leg: list[tuple[float, float]], end: str
) -> None:
    """Over a bend of 100 mm; the leg runs backward along it, its own 0 is where the bend ends.

    A side that leans out by 10 degrees leaves the bend free at once; one that steps out square beside the
    bend would have to tear (FAA-H-8083-31 ch. 4, folding a box).
    """
    plan = angle_part()
    wide = replace(plan, flanges=(plan.flanges[0], replace(plan.flanges[1], contour=polygon(leg))))
    found = [f.where for f in part(wide) if f.code == "bend-relief"]
    assert found == [f"part:p bend b, its {end}"]
