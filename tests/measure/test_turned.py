"""A part that its two bolts let on another way round: found where its holes then lie wrong, told by few of them."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from checks.small_jobs import hole

from generators.jobs.make.line_sheets import job_guide
from generators.measure.fitting.turned import telling, wrong_ways
from generators.model.plan import PanelHole
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"


def holes(*places: tuple[float, float, float]) -> list[PanelHole]:
    return [hole(str(k), u, v, dia) for k, (u, v, dia) in enumerate(places, 1)]


SQUARE = ((0.0, 0.0, 6.6), (100.0, 0.0, 6.6), (0.0, 100.0, 6.6), (100.0, 100.0, 6.6))


def test_a_part_that_is_the_same_every_way_needs_no_words() -> None:
    own = holes(*SQUARE, (50.0, 50.0, 30.0))
    assert wrong_ways(own, [own[0], own[3]], flat=True) == []


@pytest.mark.parametrize(("aside", "wrong"), [(0.74, 0), (0.76, 2)])
def test_a_bore_aside_of_the_middle_lies_wrong_turned_by_half_or_over(aside: float, wrong: int) -> None:
    """It comes to lie twice as far off as it is from the middle: 1.5 mm is seen."""
    own = holes(*SQUARE, (50.0 + aside, 50.0, 30.0))
    assert len(wrong_ways(own, [own[0], own[3]], flat=True)) == wrong
    # a folded part has one face to lie on: turned by half is what is left
    assert len(wrong_ways(own, [own[0], own[3]], flat=False)) == min(wrong, 1)


def test_the_hole_that_tells_is_one_no_wrong_way_puts_in_its_place() -> None:
    own = holes(*SQUARE, (50.0, 50.0, 40.0), (20.0, 40.0, 20.0))
    held = [own[0], own[3]]
    ways = wrong_ways(own, held, flat=True)
    assert ways
    told = telling(own, held, ways)
    # the bore in the middle lies right in every way, and so does each bolt
    assert [h.number for h in told] == ["6"]
    for image in ways:
        assert math.dist(image[5], (20.0, 40.0)) > 1.5


def test_two_bolts_of_two_sizes_go_one_way_only() -> None:
    own = holes((0.0, 0.0, 6.6), (100.0, 60.0, 9.0), (20.0, 10.0, 30.0))
    assert wrong_ways(own, [own[0], own[1]], flat=False) == []
    assert len(wrong_ways(own, [own[0], own[1]], flat=True)) == 1


SAID = re.compile(
    r"hole (\w+) \([^)]*\) lies (?:([0-9.]+) mm to the (right|left))?(?: and )?(?:([0-9.]+) mm (up|down))? of"
)


@pytest.mark.parametrize("demo", ["wrenfield_van", "tarn_special", "dray_tractor"])
def test_a_step_says_where_the_telling_hole_lies_for_whoever_looks_at_that_face(demo: str) -> None:
    job = prepare(SPECS / f"{demo}.toml")
    steps = [s for s in job_guide(job, "r").steps if "Which way round first" in s.how]
    assert steps
    for step in steps:
        side = -1.0 if "on the engine side" in step.do else 1.0
        by = {
            h.number: np.array((h.u_mm, h.v_mm))
            for x in job.layouts
            if x.panel == step.holes[0][0]
            for h in x.holes
        }
        ((number, across, way, along, up),) = SAID.findall(step.how)
        start = re.findall(r"of its hole for (\w+), middle", step.how)[0]
        said = (
            float(across or 0) * (1 if way == "right" else -1) * side,
            float(along or 0) * (1 if up == "up" else -1),
        )
        assert np.allclose(by[start] + said, by[number], atol=0.1)
