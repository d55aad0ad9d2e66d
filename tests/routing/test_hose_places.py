"""Where a port may sit and where it sits best, against circles, brute force and plain geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from routing_samples import LIMITS, run, sheet
from shapely.geometry import Point, Polygon

from generators.model.hose_path import Box3, HoseRun, Opening3, Port3, Waypoint
from generators.model.hose_results import Ring
from generators.routing.around.detour import surroundings
from generators.routing.lengths import spans
from generators.routing.paths.chains import shortest_path
from generators.routing.placing import best_place
from generators.routing.reach import reach_region
from generators.routing.regions import (
    Bound,
    Seat,
    clamp_row,
    ending_at,
    joined_at,
    panel_bounds,
    polygon,
    row_bounds,
    within,
)

PANEL = sheet(half=200)
EMPTY = surroundings([], [], LIMITS)


def seat(direction: tuple[float, float, float], height: float = 0.0, panel=PANEL, body: str = "") -> Seat:
    port = Port3(name="tank", position=(0, 0, 0), direction=(1, 0, 0), straight_mm=0, body=body)
    return Seat(panel=panel, port=port, offset_mm=(0, 0, height), direction=direction)


def covered(rings: tuple[Ring, ...], place: tuple[float, float]) -> bool:
    return any(polygon(ring).contains(Point(place)) for ring in rings)


def test_seat_in_space() -> None:
    """u is to the right (+y), v up, w rearward (+x)."""
    port = Seat(panel=PANEL, port=seat((0, 0, 1)).port, offset_mm=(5, -10, 40), direction=(0, -1, 0)).at(
        (100, 50)
    )
    assert port.position == (40.0, 105.0, 40.0)
    assert port.direction == (0.0, 0.0, -1.0)


def test_reach_of_a_limp_hose_is_a_disc() -> None:
    """With next to no radius the hose is a string: a disc of radius sqrt(L² - h²), less what the panel cuts off."""
    wanted = run((300, 0, 0), (-1, 0, 0), (0, 0, 0), (1, 0, 0), radius_mm=0.001)
    most = math.hypot(300, 150)
    found = reach_region(
        PANEL, ending_at(wanted, seat((0, 0, 1))), (0.0, most), panel_bounds(PANEL, 0, 0, ()), tolerance_mm=8
    )
    assert found.reach_mm2 == pytest.approx(math.pi * 150**2, rel=0.01)
    ring = polygon(found.reach[0])
    assert ring.exterior.hausdorff_distance(Point(0, 0).buffer(150, 64).exterior) < 8.0
    band = reach_region(
        PANEL,
        ending_at(wanted, seat((0, 0, 1))),
        (math.hypot(300, 90), most),
        panel_bounds(PANEL, 0, 0, ()),
        tolerance_mm=8,
    )
    assert band.reach_mm2 == pytest.approx(math.pi * (150**2 - 90**2), rel=0.02)
    assert len(band.reach[0].holes) == 1


@pytest.mark.parametrize(("direction", "most"), [((0.0, 0.0, 1.0), 420.0), ((0.0, -1.0, 0.0), 425.0)])
def test_reach_against_brute_force(direction: tuple[float, float, float], most: float) -> None:
    """Every node of a 50 mm grid, routed on its own, agrees unless it is within the tolerance of the boundary."""
    wanted = run((300, -60, -140), (-1, 0, 0), (0, 0, 0), (1, 0, 0), radius_mm=75)
    there = seat(direction, 40.0)
    found = reach_region(
        PANEL, ending_at(wanted, there), (0.0, most), panel_bounds(PANEL, 0, 0, ()), tolerance_mm=8
    )
    counts = [0, 0]
    for u in np.arange(-190.0, 200.0, 50.0):
        for v in np.arange(-190.0, 200.0, 50.0):
            path = shortest_path(ending_at(wanted, there)((float(u), float(v)))[0])
            assert path is not None
            near = min((polygon(r).exterior.distance(Point(u, v)) for r in found.reach), default=math.inf)
            if near > found.tolerance_mm:
                suits = path.length_mm <= most
                assert covered(found.reach, (float(u), float(v))) == suits
                counts[suits] += 1
    assert min(counts) > 2


def test_reach_keeps_off_edges_holes_and_keepouts() -> None:
    """All of the panel is in reach: what is left is the inset square less a grown hole and a keep-out."""
    panel = sheet((Opening3(name="old", u_mm=-100, v_mm=-100, diameter_mm=40),), half=200)
    fuse = Bound(
        name="fuse panel",
        ring=Ring(outer=((50.0, 50.0), (120.0, 50.0), (120.0, 90.0), (50.0, 90.0))),
        inside=False,
    )
    wanted = run((300, 0, 0), (-1, 0, 0), (0, 0, 0), (1, 0, 0), radius_mm=0.001)
    found = reach_region(
        panel,
        ending_at(wanted, seat((0, 0, 1))),
        (0, 2000),
        panel_bounds(panel, 20, 15, (fuse,)),
        tolerance_mm=8,
    )
    assert found.reach_mm2 == pytest.approx(400**2, rel=1e-6)
    assert found.allowed_mm2 == pytest.approx(360**2 - math.pi * 35**2 - 70 * 40, rel=2e-4)
    assert not covered(found.allowed, (80, 70))
    assert not covered(found.allowed, (-100, -70))
    assert covered(found.allowed, (0, 0))


def test_reach_leaves_out_what_is_blocked() -> None:
    """A box between the panel's right half and the other port."""
    wanted = run((300, 0, 0), (-1, 0, 0), (0, 0, 0), (1, 0, 0), radius_mm=20)
    box = Box3(name="box", centre=(150, 150, 0), u=(1, 0, 0), v=(0, 1, 0), half_mm=(30, 100, 300))
    found = reach_region(
        PANEL, ending_at(wanted, seat((0, 0, 1))), (0, 2000), panel_bounds(PANEL, 0, 0, ()),
        around=surroundings([box], [], LIMITS), tolerance_mm=12,
    )  # fmt: skip
    assert covered(found.reach, (-100, 0))
    assert not covered(found.reach, (150, 0))


def bulkhead(radius: float = 0.001) -> tuple[HoseRun, HoseRun]:
    a = run((400, -100, -60), (-1, 0, 0), (0, 0, 0), (1, 0, 0), radius_mm=radius, name="in")
    b = run((0, 0, 0), (1, 0, 0), (-200, 80, 120), (-1, 0, 0), radius_mm=radius, name="out")
    return a, b


def placed(bounds: tuple[Bound, ...], around=EMPTY, panel=PANEL):
    a, b = bulkhead()
    return best_place(joined_at(a, seat((0, 0, 1), 0, panel), b, seat((0, 0, -1), 0, panel)), bounds, around)


def test_best_bulkhead_is_on_the_straight_line() -> None:
    """The string from (400, -100, -60) to (-200, 80, 120) meets the panel at two thirds: u = 20, v = 60."""
    found = placed(panel_bounds(PANEL, 15, 0, ()))
    assert found.found
    assert found.at == pytest.approx((20, 60), abs=0.5)
    assert found.length_mm == pytest.approx(math.dist((400, -100, -60), (-200, 80, 120)), abs=0.01)
    assert found.bound_by == ()


def test_best_bulkhead_says_what_held_it() -> None:
    """A keep-out over the best place: the answer is on its edge and names it, as an outline too small does."""
    box = Bound(
        name="heater",
        ring=Ring(outer=((-40.0, 0.0), (100.0, 0.0), (100.0, 75.0), (-40.0, 75.0))),
        inside=False,
    )
    found = placed(panel_bounds(PANEL, 15, 0, (box,)))
    assert found.at[1] == pytest.approx(75.0, abs=0.01)
    assert [b.name for b in found.bound_by] == ["heater"]
    assert found.bound_by[0].saves_mm > 0
    low = sheet(half=40)
    found = placed(panel_bounds(low, 12, 0, ()), panel=low)
    assert found.at[1] == pytest.approx(28.0, abs=0.01)
    assert [b.name for b in found.bound_by] == ["edge distance"]


def test_best_bulkhead_keeps_its_hoses_clear() -> None:
    bar = Box3(name="beam", centre=(100, -10, 30), u=(1, 0, 0), v=(0, 1, 0), half_mm=(10, 60, 20))
    found = placed(panel_bounds(PANEL, 15, 0, ()), surroundings([bar], [], LIMITS))
    assert found.found
    assert any("beam" in b.name for b in found.bound_by)
    assert found.length_mm > math.dist((400, -100, -60), (-200, 80, 120))


def test_no_place_is_said() -> None:
    wall = Box3(name="wall", centre=(100, 0, 0), u=(1, 0, 0), v=(0, 1, 0), half_mm=(10, 5000, 5000))
    found = placed(panel_bounds(PANEL, 15, 0, ()), surroundings([wall], [], LIMITS))
    assert not found.found
    assert any("wall" in b.name for b in found.bound_by)
    with pytest.raises(ValueError, match="no room"):
        placed(panel_bounds(PANEL, 300, 0, ()))


def test_clamp_row_on_a_rail() -> None:
    """A rail 1000 long beside a straight run: three clamps, spans within 24 in, and the rail's bounds hold."""
    wanted = run((0, 0, 0), (1, 0, 0), (1500, 0, 0), (1, 0, 0), radius_mm=75)
    line = np.array([250.0, 40, 0]), np.array([1250.0, 40, 0])
    bounds = row_bounds(1000.0, 3, 50.0, 609.6)
    found = best_place(clamp_row(wanted, 0, line, 3, 6.0), bounds, EMPTY, longest_span_mm=609.6)
    assert found.found
    (path,) = found.paths
    assert [s.kind for s in path.supports] == ["port", "clamp", "clamp", "clamp", "port"]
    assert max(s.length_mm for s in spans(path)) <= 609.6
    first, last = found.at
    assert 0 <= first < last <= 1000
    # ramps as long as the spacing allows: strings of 609.6 to 40 aside; the bends cost next to nothing
    string = 1500 + 2 * (609.6 - math.sqrt(609.6**2 - 40**2))
    assert string <= found.length_mm < string + 0.15
    assert any("support spacing" in b.name for b in found.bound_by)


def test_clamp_row_that_cannot_hold_the_hose() -> None:
    """A short rail far from both ends leaves spans too long: said by name."""
    wanted = run((0, 0, 0), (1, 0, 0), (2000, 0, 0), (1, 0, 0), radius_mm=75)
    line = np.array([900.0, 40, 0]), np.array([1100.0, 40, 0])
    found = best_place(
        clamp_row(wanted, 0, line, 2, 6.0), row_bounds(200, 2, 50, 609.6), EMPTY, longest_span_mm=609.6
    )
    assert not found.found
    assert any("support spacing" in b.name for b in found.bound_by)


def test_row_bounds() -> None:
    """Three clamps on 1000 mm, 50 to 300 apart: last - first between 100 and 600, both on the line."""
    room = within(row_bounds(1000.0, 3, 50.0, 300.0))
    for place, inside in (
        ((0, 100), True),
        ((0, 99), False),
        ((100, 701), False),
        ((500, 1001), False),
        ((-1, 300), False),
        ((400, 1000), True),
    ):
        assert room.covers(Point(place)) == inside
    assert room.area == pytest.approx(900**2 / 2 - 400**2 / 2)


def test_own_waypoints_stay_in_order() -> None:
    way = Waypoint(name="first", kind="clamp", position=(100, 0, 0), axis=(1, 0, 0))
    wanted = run((0, 0, 0), (1, 0, 0), (1500, 0, 0), (1, 0, 0), via=(way,))
    line = np.array([250.0, 0, 0]), np.array([1250.0, 0, 0])
    (row,) = clamp_row(wanted, 1, line, 2, 0.0)((10.0, 600.0))
    assert [w.name for w in row.via] == ["first", "clamp 1", "clamp 2"]
    assert row.via[2].position == (850.0, 0.0, 0.0)


def test_bounds_of_an_l_shaped_panel() -> None:
    """The inset of an outline with a notch, by shapely's area of the same mitred offset."""
    outline = ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (100.0, 100.0), (100.0, 300.0), (0.0, 300.0))
    panel = sheet()
    panel = panel.__class__(
        name="l",
        origin=panel.origin,
        u=panel.u,
        v=panel.v,
        low_mm=-1,
        high_mm=0,
        outline=outline,
        openings=(),
    )
    room = within(panel_bounds(panel, 10, 0, ()))
    # 280 × 80 + 80 × 200 by hand
    assert room.area == pytest.approx(280 * 80 + 80 * 200)
    assert Polygon(outline).contains(room)
