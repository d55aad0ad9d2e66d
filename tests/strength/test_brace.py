"""Braces as struts: columns by hand, the rule's edge, and the force on the step that asks for one."""

from __future__ import annotations

import math

import pytest

from generators.checks.joint.braces import check_brace
from generators.errors import GeometryFault
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.spec.dressing import HeldThing
from generators.strength.joint.strut import BraceLoad, Tube, pushed_n

E, YIELD = 200e3, 235.0


def test_a_slender_bar_is_eulers_column():
    """A round bar of 10 mm, 1 m long: π² E I / L² with I = π d⁴ / 64 = 490.9 mm⁴ is 969 N."""
    got = pushed_n(Tube(outside_mm=10, wall_mm=5), 1000.0, E, YIELD)
    assert got == pytest.approx(math.pi**2 * E * (math.pi * 10**4 / 64) / 1000.0**2)
    assert got == pytest.approx(969.0, abs=0.5)


def test_a_short_tube_bears_its_yield_and_the_two_meet_at_half_of_it():
    """Johnson's parabola leaves the yield stress at no length and meets Euler's curve at half of it."""
    tube = Tube(outside_mm=20, wall_mm=1.5)
    assert tube.area_mm2 == pytest.approx(math.pi / 4 * (400 - 289))
    assert pushed_n(tube, 1e-3, E, YIELD) == pytest.approx(YIELD * tube.area_mm2)
    meet = tube.gyration_mm * math.sqrt(2 * math.pi**2 * E / YIELD)
    for length in (meet * (1 - 1e-9), meet * (1 + 1e-9)):
        assert pushed_n(tube, length, E, YIELD) == pytest.approx(YIELD / 2 * tube.area_mm2)


@pytest.mark.parametrize(
    ("low", "structure", "holds", "severity"),
    [
        (1.0, False, 1501.0, None),
        (1.0, False, 1499.0, Severity.FAIL),
        (1.25, False, 1876.0, None),
        (1.25, False, 1874.0, Severity.WARN),
        (1.25, False, 1499.0, Severity.FAIL),
        (1.0, True, 1001.0, None),
        (1.0, True, 999.0, Severity.WARN),
    ],
)
def test_the_rule_asks_for_one_and_a_half_times_the_force(low, structure, holds, severity):
    load = BraceLoad(part="p", hole="brace_1", force_n=1000.0, case="c", low=low, structure=structure)
    found = [*check_brace(load, "a tube", holds, Limits())]
    assert [f.severity for f in found] == ([] if severity is None else [severity])


@pytest.mark.parametrize(
    ("sizes", "key"),
    [
        ({"tube_mm": 20.0, "wall_mm": 2.0}, "length"),
        ({"tube_mm": 20.0, "wall_mm": 11.0, "length_mm": 200.0}, "wall"),
    ],
)
def test_half_a_strut_is_refused(sizes, key):
    with pytest.raises(GeometryFault) as raised:
        HeldThing(holes=("brace_1",), thickness_mm=3.0, what="brace", **sizes)
    assert raised.value.parameter == key
