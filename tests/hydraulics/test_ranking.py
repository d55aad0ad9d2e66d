"""The ranking agrees with the full solution and keeps the right front."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pedal_samples import FRAME, SLAVE, clutch_pedal

from generators.errors import GeometryFault
from generators.hydraulics.clutch import curves, pads_up_to
from generators.hydraulics.linkage import moved_pin
from generators.hydraulics.ranking import (
    BEATEN,
    BOTH,
    FRONT,
    HEAVY,
    LONG,
    RATIOS,
    RUNS_OUT,
    pareto,
    rank,
)
from generators.hydraulics.result import solve_clutch
from generators.model.spec.hydraulics import Slave, Targets

RANKING = rank(clutch_pedal(), FRAME)


def test_every_combination_is_there_once() -> None:
    rows = set(zip(RANKING.master_mm, RANKING.slave_mm, RANKING.ratio, strict=True))
    assert len(rows) == len(RANKING.ratio) == 7 * 7 * len(RATIOS)


@pytest.mark.parametrize("row", [0, 3, 20, 100, 300])
def test_a_row_is_what_the_full_solution_says(row: int) -> None:
    base = clutch_pedal(
        master_bore_mm=float(RANKING.master_mm[row]),
        slave_bore_mm=float(RANKING.slave_mm[row]),
        targets=Targets(travel_mm=400.0),
    )
    ratio = math.hypot(*base.pad) / math.hypot(*base.pin)
    pedal, frame = moved_pin(base, FRAME, ratio / float(RANKING.ratio[row]))
    result = solve_clutch(pedal, frame)
    assert result.window.earliest_mm == pytest.approx(RANKING.travel_mm[row], rel=1e-9)
    assert result.lever_ratio == pytest.approx(RANKING.ratio[row], rel=1e-12)
    stroke = curves(result.setup, pads_up_to(result.setup, result.window.earliest_mm, 1001))
    # the ranking samples the load line, the full solution the pad: the peak lies between samples
    assert float(stroke.effort_n.max()) == pytest.approx(RANKING.effort_n[row], rel=1e-3)
    assert float(stroke.pressure_mpa.max()) == pytest.approx(RANKING.pressure_mpa[row], rel=1e-9)


def test_the_front_against_brute_force() -> None:
    works = np.flatnonzero(RANKING.on_front | (RANKING.code == BEATEN))
    for i in np.flatnonzero(RANKING.on_front)[:40]:
        better = (RANKING.travel_mm[works] < RANKING.travel_mm[i]) & (
            RANKING.effort_n[works] < RANKING.effort_n[i]
        )
        assert not better.any()
    for i in np.flatnonzero(RANKING.code == BEATEN)[:200]:
        by = RANKING.beaten_by[i]
        assert RANKING.on_front[by]
        assert RANKING.travel_mm[by] <= RANKING.travel_mm[i]
        assert RANKING.effort_n[by] <= RANKING.effort_n[i]
    assert set(RANKING.beaten_by[RANKING.code != BEATEN]) == {-1}


@given(st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), max_size=40))
def test_pareto_by_definition(points: list[tuple[int, int]]) -> None:
    travel, effort = (np.array([p[k] for p in points], dtype=float) for k in (0, 1))
    expected = [not any(q[0] <= p[0] and q[1] <= p[1] and q != p for q in points) for p in points]
    assert pareto(travel, effort).tolist() == expected


def test_best_meets_both_targets_and_is_on_the_front() -> None:
    best = RANKING.best
    assert best is not None
    assert RANKING.code[best] == FRONT
    assert RANKING.effort_n[best] <= 180.0
    assert RANKING.travel_mm[best] <= 150.0


def test_reasons_in_words() -> None:
    said = [RANKING.reason(row) for row in range(len(RANKING.ratio))]
    for start in (
        "best compromise",
        "beaten in effort and travel by ",
        "the master bottoms before",
    ):
        assert any(reason.startswith(start) for reason in said), start
    assert any("N of effort over the 180 N wanted" in reason for reason in said)
    assert any("mm of travel over the 150 mm wanted" in reason for reason in said)
    assert all(said)
    none = rank(clutch_pedal(targets=Targets(effort_n=5.0, travel_mm=20.0)), FRAME)
    assert none.best is None
    assert any(", and " in none.reason(row) for row in range(10))
    short = rank(replace(clutch_pedal(), slave=replace(SLAVE, stroke_mm=10.0)), FRAME)
    assert {short.reason(row) for row in range(len(short.ratio))} >= {
        "the slave runs out before the clutch releases"
    }
    low = rank(clutch_pedal(travel_mm=60.0), FRAME)
    assert any("the floor is at 60 mm" in low.reason(row) for row in range(len(low.ratio)))
    weak = rank(clutch_pedal(clutch_over_travel_mm=7.0), FRAME)
    assert {weak.reason(row) for row in range(5)} == {
        "release travel and margin are more than the fingers allow"
    }


def test_a_ratio_the_linkage_cannot_make() -> None:
    found = rank(clutch_pedal(), FRAME, masters_mm=[19.05], slaves_mm=[22.0], ratios=[5.0, 40.0])
    assert found.reason(0).startswith("best compromise")
    assert found.reason(1) == "the linkage does not give this much stroke at this ratio"
    assert found.label(1) == "19.05 mm master, 22.00 mm slave, 40.00:1"


def test_a_concentric_slave_keeps_its_size() -> None:
    ring = Slave(kind="concentric", bore_mm=50.0, inner_mm=40.0, stroke_mm=30.0)
    found = rank(clutch_pedal(slave=ring, clutch_fork_ratio=1.0), FRAME)
    assert set(found.slave_mm) == {50.0}


def test_a_bore_of_nothing() -> None:
    with pytest.raises(GeometryFault, match="a bore of 0 mm") as caught:
        rank(clutch_pedal(), FRAME, masters_mm=[0.0])
    assert caught.value.parameter == "master.bore"


def test_ten_thousand_combinations() -> None:
    found = rank(
        clutch_pedal(),
        FRAME,
        masters_mm=list(np.linspace(14, 26, 25)),
        slaves_mm=list(np.linspace(18, 30, 20)),
        ratios=list(np.linspace(3.5, 7, 20)),
    )
    assert len(found.ratio) == 10_000


def test_the_peak_of_a_load_curve_is_a_sample() -> None:
    # highest load 1650 N at 5.013 mm, no round place: 1650 / 1.6 over the slave's area, by hand
    points = ((0.0, 300.0), (2.0, 1400.0), (5.013, 1650.0), (8.0, 1450.0), (11.0, 1350.0))
    found = rank(
        clutch_pedal(clutch_load_n=None, clutch_curve=points),
        FRAME,
        masters_mm=[19.05],
        slaves_mm=[22.225],
        ratios=[5.5],
    )
    assert found.pressure_mpa == pytest.approx([1650.0 / 1.6 / (math.pi / 4 * 22.225**2)], rel=1e-12)


@pytest.mark.parametrize(("stroke", "runs_out"), [(19.21, False), (19.19, True)])
def test_the_slave_keeps_stroke_for_wear(stroke: float, runs_out: bool) -> None:
    # 1.5 of free play, 7.5 to release, 0.5 of margin and 2.5 of wear at the bearing: 12 mm, at the slave 12 · 1.6 = 19.2
    found = rank(
        clutch_pedal(slave_stroke_mm=stroke), FRAME, masters_mm=[19.05], slaves_mm=[22.225], ratios=[5.5]
    )
    assert bool(found.code[0] == RUNS_OUT) is runs_out


def test_a_row_is_heavy_long_or_both_by_its_own_numbers() -> None:
    found = rank(clutch_pedal(targets=Targets(effort_n=120.0, travel_mm=130.0)), FRAME)
    works = np.isin(found.code, [FRONT, BEATEN, HEAVY, LONG, BOTH])
    met = set()
    for effort, travel, code in zip(
        found.effort_n[works], found.travel_mm[works], found.code[works], strict=True
    ):
        wanted = {(True, False): {HEAVY}, (False, True): {LONG}, (True, True): {BOTH}}
        assert code in wanted.get((effort > 120.0, travel > 130.0), {FRONT, BEATEN})
        met.add(int(code))
    assert {HEAVY, LONG, BOTH} <= met
