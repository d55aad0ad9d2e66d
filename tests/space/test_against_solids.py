"""Distances of the demos' bodies against those of exact solids (OpenCASCADE)."""

from __future__ import annotations

import itertools
import random
from functools import cache

import pytest
from demo_solids import distance, solids
from made_once import solved

from generators.solve.job import Prepared
from generators.space.distance import Space

DEMOS = ("wrenfield_van", "tarn_special", "dray_tractor")
EXACT_MM = 0.05
NEAR_MM = 200.0
FOLD_MM = 15.0
PAIRS = 16


@cache
def demo(name: str) -> Prepared:
    return solved(name)


def beside_fold(job: Prepared, at: tuple[float, float, float]) -> bool:
    """The modeller's panels are flat to the sharp line; a body's follow the bend."""
    return any(
        min(abs(x - y) for x, y in ((at[2], p.origin[2]),)) < FOLD_MM
        for p in job.file.job.panel
        if job.file.job.fold
    )


@pytest.mark.parametrize("name", DEMOS)
def test_distances_are_those_of_exact_solids(name: str) -> None:
    job = demo(name)
    exact = solids(job)
    space = Space(job.scene.bodies)
    pairs = [
        pair
        for pair in itertools.combinations(sorted(exact), 2)
        if not all(p.split(":")[0] in ("panel", "obstacle") for p in pair)
    ]
    random.Random(7).shuffle(pairs)
    looked = 0
    for one, two in pairs:
        if looked == PAIRS:
            break
        gap = space.gap(space.number(one), space.number(two), NEAR_MM)
        if gap is None or gap.gap_mm < 1.0 or beside_fold(job, gap.at) or beside_fold(job, gap.to):
            continue
        ends = [
            space.gap(space.number(f"{a}.{end}"), space.number(b), gap.gap_mm)
            for a, b in ((one, two), (two, one))
            if a.startswith("hose:")
            for end in ("from", "to")
        ]
        if any(end is not None for end in ends):
            continue  # nearer at an end of the hose, which is a body of its own
        assert gap.gap_mm == pytest.approx(distance(exact[one], exact[two]), abs=EXACT_MM), (one, two)
        looked += 1
    assert looked == PAIRS


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_are_clear(name: str) -> None:
    codes = {"bodies-meet", "spanner-on-part", "no-room-for-nut", "through-uncut-metal"}
    assert [f for f in demo(name).findings if f.code in codes] == []
