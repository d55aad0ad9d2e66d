"""Any tree of flanges in the kernel: one solid, or the flanges that run into each other are named."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from hypothesis import HealthCheck, assume, given, settings
from sheetmetal.random_trees import trees

from generators.checks.part.clash import TOUCH_MM, clashes, overlaps
from generators.errors import GeometryFault
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.sheetmetal.volume import folded_volume
from generators.solids import kernel
from generators.solids.shapes import folded_shape


def grazes(plan, fault: str) -> bool:
    """True when the pieces share no more than a touch over the section of the longest bend."""
    fills = re.search(r"fills ([\d.]+) mm3 instead of ([\d.]+)", fault)
    if fills is None:
        return False
    longest = max(bend_length(b) for b in plan.bends)
    return float(fills[2]) - float(fills[1]) < TOUCH_MM * plan.thickness_mm * longest


def check(examples: int, seeded: bool, tight: bool) -> None:
    met: Counter[str] = Counter()

    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        derandomize=seeded,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )
    @given(trees(least=4 if tight else 2, tight=tight))
    def run(plan) -> None:
        assume(not list(overlaps(plan, flat_pattern(plan))))
        named = list(clashes(plan))
        try:
            shape = folded_shape(plan)
        except GeometryFault as fault:
            # the kernel counts what two flanges share as lost volume, however little
            assert named or grazes(plan, str(fault)), f"{fault}, and no flanges are named"
            met["clash" if named else "grazes"] += 1
            return
        assert not named, f"{named}, and the kernel finds nothing"
        assert len(kernel.solids_of(shape)) == 1
        assert kernel.is_valid(shape)
        assert kernel.volume(shape) == pytest.approx(folded_volume(plan), rel=1e-8)
        met["built"] += 1

    run()
    assert met["clash" if tight else "built"] > examples / 10, met


@pytest.mark.parametrize("tight", [False, True], ids=["loose", "tight"])
def test_any_tree_is_one_solid_or_its_clash_is_named(tight: bool) -> None:
    check(8, seeded=True, tight=tight)


@pytest.mark.nightly
@pytest.mark.parametrize("tight", [False, True], ids=["loose", "tight"])
def test_any_tree_at_length(tight: bool) -> None:
    check(500, seeded=False, tight=tight)
