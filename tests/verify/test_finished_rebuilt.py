"""Parts with the shop's finishes, rebuilt from their drawing alone: what is cut, and all that is asked of a hole."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

import pytest
from drawing.part_cases import JOB, REVISION, any_part, make
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from parts.finished_plates import with_finished

from generators.drawing.part.drawing import write_part_drawing
from generators.errors import GeometryFault, LookupFault
from generators.model.plan import PartPlan
from generators.parts import KINDS, kind_named
from generators.parts.building.pivots.pressed import with_pivots
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.rebuild.compare import rebuild_problems
from generators.verify.pdf.rebuild.finishes import finish_problems
from generators.verify.pdf.welds import weld_sign_problems

SHEETS = [k.name for k in KINDS if not k.printed]
WAYS = ("", "plain", "reamed", "welded_boss")


def finishes(plan: PartPlan) -> Counter[str]:
    """How many holes of each finish; a boss is one of its own."""
    found: Counter[str] = Counter()
    for hole in (h for f in plan.flanges for h in f.holes if h.finish is not None):
        if hole.finish is not None:
            boss = hole.finish.ring is not None and hole.finish.ring.welded
            found["boss" if boss else hole.finish.kind] += 1
    return found


def problems(plan: PartPlan, path: Path, paper: str) -> list[str]:
    """What does not follow from the words and symbols of the part's drawing."""
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION, paper=paper)
    pdf = read_pdf(path)
    return [
        *rebuild_problems(pdf, flat_pattern(plan)),
        *finish_problems(pdf, plan),
        *weld_sign_problems(pdf, plan),
    ]


def test_a_part_with_finished_holes_follows_from_its_paper(tmp_path: Path) -> None:
    plan = with_finished(make("reservoir_bracket"), Random(3))
    assert finishes(plan).total() > 0
    assert problems(plan, tmp_path / "d.pdf", "A4") == []


@pytest.mark.parametrize(
    ("kind", "thickness", "moved", "seed", "paper"),
    [
        # a symbol's words lay over another view's caption, and over the rows of a table
        ("stop_bracket", 3.2174229982759788, {}, 2737155, "A4"),
        ("pedal_hanger", 3.958482074346017, {}, 1000000, "letter"),
        # two symbols of neighbouring views in one place
        ("slave_bracket", 1.0, {"base_depth_mm": 300.0}, 0, "letter"),
    ],
)
def test_symbols_keep_off_all_else_on_the_sheet(
    kind: str, thickness: float, moved: dict[str, Any], seed: int, paper: str, tmp_path: Path
) -> None:
    plan = with_finished(make(kind, t=thickness, r=thickness, **moved), Random(seed))
    assert problems(plan, tmp_path / "d.pdf", paper) == []


@pytest.mark.nightly
@pytest.mark.parametrize("kind", SHEETS)
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_25_finished_parts_of_a_kind_at_random(
    kind: str, paper: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """New ones each time; the part is printed where one fails."""
    count, seen = 0, Counter[str]()

    @settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(any_part(kind), st.integers(0, 2**32), st.sampled_from(WAYS))
    def one(arguments: Any, seed: int, way: str) -> None:
        nonlocal count
        spec, rule = arguments
        if count >= 25:
            return
        try:
            plan = kind_named(kind).plan(spec, rule)
            if hasattr(spec.parameters, "pivot_build"):
                object.__setattr__(spec.parameters, "pivot_build", way)
                plan = with_pivots(plan, spec.parameters)
            plan = with_finished(plan, Random(seed))
            flat_pattern(plan)
        except (GeometryFault, LookupFault):
            return
        if not finishes(plan):
            return
        count += 1
        seen.update(finishes(plan))
        assert problems(plan, tmp_path / "d.pdf", paper) == [], plan

    one()
    with capsys.disabled():
        print(f"\n{kind} on {paper}: {count} parts, {dict(seen)}")
    assert count == 25
