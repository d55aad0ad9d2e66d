"""The minimax fit, fastener clearances and the chance of assembly against other means."""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from generators.measure.fitting.chance import PART_MM, assembly_chance
from generators.measure.fitting.fit import Joint, fit, kabsch
from generators.measure.fitting.goes import assembles
from generators.measure.fitting.rescue import (
    SPARE_MM,
    Rescue,
    least_extra,
    needs,
    next_drill,
    opened_rescues,
    placed_rescues,
)

SQUARE = [(0.0, 0.0), (80.0, 0.0), (80.0, 60.0), (0.0, 60.0)]


def joint(name: str, part: tuple[float, float], panel: tuple[float, float], **more: Any) -> Joint:
    given_: dict[str, Any] = {
        "name": name,
        "kind": "bolt",
        "part": part,
        "panel": panel,
        "part_dia_mm": 9.0,
        "panel_dia_mm": 9.0,
        "shank_mm": 8.0,
        "nut_circle_mm": 15.01,
    }
    return Joint(**{**given_, **more})


def square(off: dict[int, tuple[float, float]] | None = None, **more: Any) -> list[Joint]:
    moved = off or {}
    return [
        joint(f"h{i}", p, (p[0] + moved.get(i, (0, 0))[0], p[1] + moved.get(i, (0, 0))[1]), **more)
        for i, p in enumerate(SQUARE)
    ]


# ASME Y14.5 appendix B by public transcriptions: floating T = H - F on each part, fixed T = (H - F)/2.
# ISO 273 M8 medium, H 9.0 and F 8.0: T = 1.0 floating, 0.5 fixed, as diameters of position zones; each
# part may move T/2. Inch: B18.2.8 normal 1/4, .281 - .250 = .031 floating, .0155 fixed.
@pytest.mark.parametrize(
    ("hole", "shank", "floating", "fixed"),
    [(9.0, 8.0, 1.0, 0.5), (0.281 * 25.4, 6.35, 0.031 * 25.4, 0.0155 * 25.4)],
)
def test_clearance_is_that_of_the_published_formulas(
    hole: float, shank: float, floating: float, fixed: float
) -> None:
    free = joint("a", (0, 0), (0, 0), part_dia_mm=hole, panel_dia_mm=hole, shank_mm=shank)
    stud = joint("a", (0, 0), (0, 0), part_dia_mm=hole, panel_dia_mm=hole, shank_mm=shank, fixed=True)
    assert free.clearance_mm == pytest.approx(floating / 2 + floating / 2, abs=1e-9)
    assert stud.clearance_mm == pytest.approx(fixed / 2 + fixed / 2, abs=1e-9)


@pytest.mark.parametrize(("fixed", "allowed"), [(False, 1.0), (True, 0.5)])
def test_two_holes_apart_assemble_up_to_both_clearances(fixed: bool, allowed: float) -> None:
    """Two holes can only be too far apart: by the clearance at either end, by hand."""
    for extra, goes in ((2 * allowed - 0.01, True), (2 * allowed + 0.01, False)):
        pair = [joint("a", (0, 0), (0, 0), fixed=fixed), joint("b", (100, 0), (100 + extra, 0), fixed=fixed)]
        assert (fit(pair).worst_mm >= 0) == goes
        assert fit(pair).worst_mm == pytest.approx(allowed - extra / 2, abs=1e-4)


def _by_scipy(joints: list[Joint]) -> float:
    """The smallest largest violation by SLSQP from several starts, with the geometry written out again."""
    part = np.array([j.part for j in joints])
    panel = np.array([j.panel for j in joints])
    middle = part.mean(axis=0)

    def over(x: np.ndarray) -> np.ndarray:
        c, s = math.cos(x[2]), math.sin(x[2])
        q = (part - middle) @ np.array([[c, s], [-s, c]]) + middle + x[:2]
        out = []
        for j, m, at in zip(joints, panel, q, strict=True):
            way = np.array([math.cos(j.slot_rad + x[2]), math.sin(j.slot_rad + x[2])])
            along = float(np.clip((m - at) @ way, -j.travel_mm / 2, j.travel_mm / 2))
            own = (j.part_dia_mm - j.shank_mm) / 2
            room = own if j.fixed else own + (j.panel_dia_mm - j.shank_mm) / 2
            out.append(float(np.hypot(*(m - at - along * way))) - room)
        return np.array(out)

    best = math.inf
    rng = np.random.default_rng(0)
    first = kabsch(part - middle, (panel - middle)[None])[0]
    for k in range(2):
        x = np.append(first + (rng.normal(0, 1, 3) * (0.5, 0.5, 0.01) if k else 0), 0.0)
        x[3] = over(x[:3]).max()
        found = optimize.minimize(  # type: ignore[call-overload] # the stubs know no 'ineq' in a plain dict
            lambda z: z[3],
            x,
            method="SLSQP",
            constraints={"type": "ineq", "fun": lambda z: z[3] - over(z[:3])},
            options={"maxiter": 120, "ftol": 1e-12},
        )
        best = min(best, float(over(found.x[:3]).max()))
    return best


@pytest.mark.parametrize("seed", [1, 2, 7])
def test_fit_against_scipy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = 2 + seed % 5
    turn = rng.normal(0, 0.05)
    c, s = math.cos(turn), math.sin(turn)
    part = rng.uniform(-100, 100, (count, 2))
    panel = part @ np.array([[c, s], [-s, c]]) + rng.normal(0, 5, 2) + rng.normal(0, 0.6, (count, 2))
    joints = [
        joint(
            f"h{i}",
            (float(part[i][0]), float(part[i][1])),
            (float(panel[i][0]), float(panel[i][1])),
            panel_dia_mm=8.5 + float(rng.uniform(0, 1.5)),
            fixed=bool(i % 3 == 2),
            travel_mm=6.0 if i == 0 and seed > 4 else 0.0,
            slot_rad=0.4,
        )
        for i in range(count)
    ]
    mine = -fit(joints).worst_mm
    other = _by_scipy(joints)
    # never worse than scipy by more than log(6)/65536 mm, and scipy never better by more than its own tolerance
    assert mine <= other + 5e-5
    assert mine >= other - 2e-3


@settings(max_examples=8, deadline=None)
@given(
    du=st.floats(-50, 50),
    dv=st.floats(-50, 50),
    turn=st.floats(-3.0, 3.0),
    off=st.lists(st.tuples(st.floats(-1, 1), st.floats(-1, 1)), min_size=4, max_size=4),
)
def test_clearance_left_does_not_depend_on_where_the_panel_lies(
    du: float, dv: float, turn: float, off: list[tuple[float, float]]
) -> None:
    plain = square(dict(enumerate(off)))
    c, s = math.cos(turn), math.sin(turn)
    moved = [
        joint(j.name, j.part, (du + c * j.panel[0] - s * j.panel[1], dv + s * j.panel[0] + c * j.panel[1]))
        for j in plain
    ]
    assert fit(moved).worst_mm == pytest.approx(fit(plain).worst_mm, abs=2e-4)


@pytest.mark.nightly
@settings(max_examples=500, deadline=None)
@given(off=st.lists(st.tuples(st.floats(-2, 2), st.floats(-2, 2)), min_size=4, max_size=4))
def test_fit_against_scipy_many(off: list[tuple[float, float]]) -> None:
    joints = square(dict(enumerate(off)))
    assert -fit(joints).worst_mm <= _by_scipy(joints) + 5e-5


def test_many_at_once_say_what_each_says_alone() -> None:
    rng = np.random.default_rng(4)
    joints = square({2: (1.5, 0.0)})
    panel = np.array([j.panel for j in joints]) + rng.normal(0, 0.6, (20, 4, 2))
    clear = np.tile([j.clearance_mm for j in joints], (20, 1))
    alone = [
        fit(
            [replace(j, panel=(float(p[0]), float(p[1]))) for j, p in zip(joints, each, strict=True)]
        ).worst_mm
        >= 0
        for each in panel
    ]
    assert assembles(joints, panel, clear).tolist() == alone
    assert 2 < sum(alone) < 18


def test_many_holes_are_decided_as_scipy_decides_and_alone_as_together() -> None:
    """Twelve holes, of which few are laid at first; what lies within scipy's own tolerance of the edge is not asked."""
    rng = np.random.default_rng(9)
    part = rng.uniform(-120, 120, (12, 2))
    panel = part + rng.normal(0, 0.5, (6, 12, 2))
    joints = [
        joint(str(k), (float(p[0]), float(p[1])), (float(p[0]), float(p[1]))) for k, p in enumerate(part)
    ]
    clear = np.tile([j.clearance_mm for j in joints], (6, 1))
    together = assembles(joints, panel, clear)
    assert 0 < together.sum() < 6
    for places, room, goes in zip(panel, clear, together, strict=True):
        assert assembles(joints, places[None], room[None]).tolist() == [goes]
        over = _by_scipy(
            [replace(j, panel=(float(p[0]), float(p[1]))) for j, p in zip(joints, places, strict=True)]
        )
        assert abs(over) < 2e-3 or goes == (over < 0)


def test_a_perfect_panel_leaves_the_whole_clearance() -> None:
    laid = fit(square())
    assert laid.left_mm == pytest.approx([1.0] * 4, abs=1e-4)
    assert laid.place(3.0, 4.0) == pytest.approx((3.0, 4.0), abs=1e-4)


# --- chance ---------------------------------------------------------------------------------
@pytest.mark.parametrize("off", [0.0, 1.5, 2.0, 2.6])
def test_chance_of_two_holes_against_the_normal_distribution(off: float) -> None:
    """Two holes go on when their distances differ by at most both clearances: a normal probability."""
    sigma = 0.4
    pair = [joint("a", (0, 0), (0, 0)), joint("b", (100, 0), (100 + off, 0))]
    spread = math.sqrt(2 * (sigma**2 + PART_MM**2))
    wanted = stats.norm.cdf((2.0 - off) / spread) - stats.norm.cdf((-2.0 - off) / spread)
    found = assembly_chance(pair, np.eye(4) * sigma**2)
    assert found.share == pytest.approx(wanted, abs=3 * found.within / 1.96 + 0.005)
    assert [n for n, _ in found.running] == [250, 500, 1000, 2000]
    # it settles: half of the sets say nearly what all say
    assert found.running[2][1] == pytest.approx(found.share, abs=0.05)


def test_a_common_error_of_all_holes_does_no_harm() -> None:
    """Readings that shift the whole set (a bad origin) are taken up by the fit: only shape matters."""
    shift = np.asarray(np.kron(np.ones((4, 4)), np.eye(2)) * 25.0, dtype=np.float64)
    assert assembly_chance(square(), shift, steps=(200,)).share == 1.0


def test_chance_is_the_same_each_time() -> None:
    cov = np.eye(8) * 0.3
    assert assembly_chance(square(), cov, steps=(100,)) == assembly_chance(square(), cov, steps=(100,))


# --- rescues --------------------------------------------------------------------------------
@functools.cache
def _weighed(joints: tuple[Joint, ...]) -> dict[str, Rescue]:
    found = [*opened_rescues(joints, needs(joints), (3.0, 1.2)), *placed_rescues(joints, (3.0, 1.2), 3.0)]
    return {f"{o.kind} {o.changes[0].hole if len(o.changes) == 1 else ''}".strip(): o for o in found}


def _options(joints: list[Joint]) -> dict[str, Rescue]:
    return _weighed(tuple(joints))


def test_slot_is_as_long_as_the_stray_hole_needs_and_points_to_it() -> None:
    """One hole 4 mm off to the right: by hand, the other three hold the part; 1 mm of the way is clearance."""
    joints = square({2: (4.0, 0.0)})
    assert fit(joints).worst_mm < 0
    extra = least_extra(joints, (2,), 16.0)
    assert extra is not None
    slot = _options(joints)["slot h2"].changes[0]
    assert slot.lengthen_mm >= extra
    assert abs(math.degrees(slot.toward_rad)) < 20
    # never more than the whole error, never less than the error without all clearances
    assert 4.0 - 3 * 1.0 <= extra <= 4.0 - 1.0 + SPARE_MM + 0.05


def test_every_possible_rescue_makes_it_go_on() -> None:
    joints = square({2: (2.6, -1.0)})
    options = _options(joints)
    assert {"slot h2", "enlarge h2", "enlarge_all", "move h2"} <= set(options)
    for option in options.values():
        assert fit(option.joints).worst_mm >= SPARE_MM - 1e-3, option.words
        assert option.metal_mm3 > 0


def test_less_than_the_needed_slot_does_not_do() -> None:
    joints = square({2: (4.0, 0.0)})
    extra = least_extra(joints, (2,), 16.0)
    assert extra is not None
    short = [0.0, 0.0, extra - 0.1, 0.0]
    assert fit(joints, short).worst_mm < SPARE_MM
    assert fit(joints, [0.0, 0.0, extra, 0.0]).worst_mm >= SPARE_MM - 1e-3


def test_a_slot_takes_less_metal_than_a_larger_hole() -> None:
    options = _options(square({2: (2.6, -1.0)}))
    assert options["slot h2"].metal_mm3 < options["enlarge h2"].metal_mm3 < options["enlarge_all"].metal_mm3


def test_enlarging_stops_where_the_nut_would_not_bear() -> None:
    """M8 nut, 13 mm across flats (ISO 4032): 11 mm leave 1 mm each side, more does not."""
    wide = _options(square({2: (4.0, 0.0)}))["enlarge h2"]
    assert wide.changes[0].diameter_mm > 11.0
    assert "bear" in wide.cannot


def test_a_bulkhead_is_moved_not_slotted() -> None:
    joints = square()
    joints.append(
        joint(
            "b1",
            (40.0, 30.0),
            (43.0, 30.0),
            kind="bulkhead",
            part_dia_mm=11.5,
            panel_dia_mm=11.5,
            shank_mm=11.1,
        )
    )
    options = _options(joints)
    assert "must fill" in options["slot b1"].cannot
    moved = options["move b1"]
    assert not moved.cannot
    assert moved.changes[0].move == pytest.approx((3.0, 0.0), abs=0.2)
    best = min(options.values(), key=lambda o: o.rank)
    assert best.kind == "move"


def test_redrilling_needs_metal_between_old_and_new() -> None:
    near = _options(square({2: (4.0, 0.0)}))["redrill"]
    assert "only 4.0 mm" in near.cannot or "only 3." in near.cannot
    far = _options(square({2: (20.0, 0.0)}))["redrill"]
    assert not far.cannot


@pytest.mark.parametrize("wanted", [9.0, 9.05, 10.41, 25.0])
def test_next_drill_is_the_smallest_that_is_large_enough(wanted: float) -> None:
    found = next_drill(wanted)
    assert found is not None
    assert found.diameter_mm >= wanted
    from generators.standards import drills

    assert not [d for d in drills() if wanted <= d.diameter_mm < found.diameter_mm]


def test_a_drill_is_one_sold_where_people_measure_so() -> None:
    # letter Y is 0.404 in = 10.26 mm, 13/32 in 10.32 mm; DIN 338 has 10.3 after 10.2 (from memory, sure)
    names = [
        drill.name for units in ("metric", "inch", None) if (drill := next_drill(10.21, units)) is not None
    ]
    assert names == ["10.3 mm", "Y", "Y"]


def test_no_drill_beyond_the_table() -> None:
    assert next_drill(60.0) is None
