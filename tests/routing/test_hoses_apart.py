"""Gaps between hoses against closed forms, shapely in the plane and dense sampling with a k-d tree."""

from __future__ import annotations

import math

import numpy as np
import pytest
from routing_samples import run
from scipy.spatial import cKDTree
from shapely.geometry import LineString

from generators.model.hose_path import Arc, HosePath, Straight, Support
from generators.routing.around.apart import hose_gaps
from generators.routing.paths.chains import shortest_paths
from generators.routing.paths.curves import sampled

FAR = 1000.0


def hose(*segments: Straight | Arc, name: str = "h", outside: float = 10.0) -> HosePath:
    length = math.fsum(s.length_mm for s in segments)
    return HosePath(
        name=name,
        segments=segments,
        supports=(
            Support(name="a", kind="port", station_mm=0.0),
            Support(name="b", kind="port", station_mm=length),
        ),
        outside_dia_mm=outside,
        bend_radius_mm=50.0,
    )


def bar(start: tuple[float, float, float], end: tuple[float, float, float], name: str = "h") -> HosePath:
    return hose(Straight(start=start, end=end), name=name)


def test_crossing_bars_are_their_common_perpendicular_apart() -> None:
    """Bars along x at z 0 and along y at z 30, 10 thick: 20 mm between, at the middle of both."""
    pair = [bar((-100, 0, 0), (100, 0, 0), "low"), bar((0, -60, 30), (0, 140, 30), "high")]
    (gap,) = hose_gaps(pair, 25.0)
    assert (gap.hose, gap.body, gap.what) == ("low", "high", "hose")
    assert gap.gap_mm == pytest.approx(20.0)
    assert gap.station_mm == pytest.approx(100.0)
    assert gap.at == pytest.approx((0, 0, 0))
    assert hose_gaps(pair, 20.0 - 1e-9) == ()
    (touching,) = hose_gaps([pair[0], bar((0, -60, 9), (0, 140, 9))], 25.0)
    assert touching.gap_mm == pytest.approx(-1.0)
    assert not touching.met


def test_side_by_side_and_end_to_end() -> None:
    along = bar((0, 0, 0), (200, 0, 0))
    assert hose_gaps([along, bar((50, 18, 0), (400, 18, 0))], 10.0)[0].gap_mm == pytest.approx(8.0)
    assert hose_gaps([along, bar((203, 14, 0), (300, 14, 0))], 10.0)[0].gap_mm == pytest.approx(
        math.hypot(3, 14) - 10
    )


def test_an_arc_within_its_chords() -> None:
    """Concentric half circles of 50 and 80 mm about one axis: 30 mm between middles all along."""
    arcs = [
        hose(Arc(centre=(0, 0, 0), axis=(0, 0, 1), start=(r, 0, 0), sweep_rad=math.pi), name=f"r{r}")
        for r in (50, 80)
    ]
    (gap,) = hose_gaps(arcs, 25.0)
    assert gap.gap_mm == pytest.approx(20.0, abs=0.05)


def test_in_a_plane_as_shapely_has_it() -> None:
    dice = np.random.default_rng(5)
    for _ in range(30):
        ends = dice.uniform(-100, 100, (2, 2, 2))
        pair = [bar((float(a[0]), float(a[1]), 0.0), (float(b[0]), float(b[1]), 0.0)) for a, b in ends]
        found = hose_gaps(pair, FAR)[0].gap_mm + 10.0
        assert found == pytest.approx(LineString(ends[0]).distance(LineString(ends[1])), abs=1e-9)


def test_routed_hoses_against_a_tree_of_points() -> None:
    """Every two of a dozen hoses in a small room: points 1 mm apart are never nearer, and at most 0.15 mm further."""
    dice = np.random.default_rng(3)
    runs = []
    for number in range(12):
        ends, ways = dice.uniform(-250, 250, (2, 3)), dice.normal(size=(2, 3))
        runs.append(
            run(
                tuple(ends[0]), tuple(ways[0]), tuple(ends[1]), tuple(ways[1]), radius_mm=60, name=f"{number}"
            )
        )
    paths = [path for path in shortest_paths(runs) if path is not None]
    found = {(g.hose, g.body): g.gap_mm for g in hose_gaps(paths, FAR)}
    assert len(found) == len(paths) * (len(paths) - 1) // 2
    points = [sampled(path, 1.0)[1] for path in paths]
    for i, a in enumerate(paths):
        for j in range(i + 1, len(paths)):
            dense = float(np.min(cKDTree(points[i]).query(points[j])[0])) - 12.0
            gap = found[a.name, paths[j].name]
            assert gap <= dense + 0.05
            # two points at most half a step along from the nearest places
            assert dense - gap <= max(0.3, 1.0 / max(gap + 12.0, 1.0) + 0.05)


def test_by_a_shared_component_nothing_is_measured() -> None:
    """Two bars that leave one place 0.2 rad apart: s along each, the middles are 2 s sin 0.1 apart.

    Pieces are 10 mm long and left out when their middle is within 60 mm, so the first two left begin there.
    """
    pair = [bar((0, 0, 0), (200, 0, 0)), bar((0, 0, 0), (200 * math.cos(0.2), 200 * math.sin(0.2), 0))]
    assert hose_gaps(pair, 5.0)[0].gap_mm == pytest.approx(-10.0)
    (gap,) = hose_gaps(pair, 5.0, {(0, 1): 60.0})
    assert gap.gap_mm == pytest.approx(60 * math.sin(0.2) - 10.0, abs=0.3)
    assert gap.gap_mm < 2 * 60 * math.sin(0.1) - 10.0 + 1e-9
    assert hose_gaps(pair, 5.0, {(0, 1): 100.0}) == ()
    assert hose_gaps([pair[0]], 5.0) == ()
