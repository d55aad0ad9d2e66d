"""Printed guides: how far they let a hole wander, which way round they go on, and what they fit in."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_jobs import bore, guide, lying, peg, printed
from scipy.optimize import linprog
from small_jobs import box, codes, number, old, only

from generators.checks.part.printed import wander
from generators.geometry.contours import Placement, rectangle

coordinate = st.floats(-150, 150).map(lambda x: round(x, 1))


SIDES = 24
LARGER = 1 / math.cos(math.pi / SIDES)


def worst_by_linear_programme(place, pegs):
    """The largest move of a point of a rigid body whose pegs keep within their play.

    Small rigid motions are (du, dv, turn); each peg's move lies in a polygon round its circle of play, so
    this comes out at most 1 / cos(pi / sides) too large, and as much too small for the directions tried.
    scipy's solver does the rest: no formula of ours.
    """
    rows, limits = [], []
    angles = np.arange(SIDES) * 2 * math.pi / SIDES
    for p in pegs:
        for a in angles:
            rows.append([math.cos(a), math.sin(a), -p.v_mm * math.cos(a) + p.u_mm * math.sin(a)])
            limits.append((p.hole_mm - p.diameter_mm) / 2)
    u, v = place
    best = 0.0
    for a in angles:
        cost = [-math.cos(a), -math.sin(a), -(-v * math.cos(a) + u * math.sin(a))]
        found = linprog(cost, A_ub=rows, b_ub=limits, bounds=[(None, None)] * 3)
        assert found.success
        best = max(best, -found.fun)
    return best


@settings(max_examples=15, deadline=None)
@given(coordinate, coordinate, st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_no_rigid_motion_moves_a_bore_further(u, v, play, other):
    pegs = [peg("P", -50, 10, 10 - play), peg("Q", 60, -20, 15 - other, 15.0)]
    bound = wander(complex(u, v), pegs)
    real = worst_by_linear_programme((u, v), pegs)
    assert real <= bound * LARGER + 1e-9
    # and it is not idle: beside the line of the pegs a turn moves a bore along it, at most twice too much
    assert bound <= 2.0 * real * LARGER


def test_on_the_line_of_the_pegs_the_bound_is_reached():
    pegs = [peg("P", -50, 0, 9.6), peg("Q", 50, 0, 9.6)]
    for u in (-50.0, 0.0, 50.0, 100.0):
        assert wander(complex(u, 0), pegs) == pytest.approx(worst_by_linear_programme((u, 0), pegs), rel=0.01)


def test_a_third_peg_never_makes_it_worse():
    two = [peg("P", -50, 0), peg("Q", 50, 0)]
    assert wander(80j, [*two, peg("R", 0, 90)]) < wander(80j, two)


def test_severities():
    # floors: half the thinnest wall, one drill diameter, twice the play
    def severity(plan, code, **printer):
        return only(printed(plan, **printer), code).severity.value

    assert severity(guide(bore(0, 50 - 5 - 0.81, 10.0)), "print-wall") == "warn"
    assert severity(guide(bore(0, 50 - 5 - 0.79, 10.0)), "print-wall") == "fail"
    assert severity(guide(bore(0, 20, length=4.1)), "bush-length") == "warn"
    assert severity(guide(bore(0, 20, length=3.9)), "bush-length") == "fail"
    assert severity(guide(bore(0, 20, length=16.0)), "bush-length") == "warn"
    assert severity(guide(), "print-bed", bed_width_mm=199.0, bed_depth_mm=199.0) == "fail"
    loose = (peg("P", -60, 0, 9.0), peg("Q", 20, 0, 9.0))
    assert severity(guide(bore(59, 0), pegs=loose), "guide-play") == "warn"
    assert severity(guide(bore(61, 0), pegs=loose), "guide-play") == "fail"


def test_the_bed_may_be_used_either_way_and_pegs_count_in_the_height():
    assert printed(guide(), bed_width_mm=100.0, bed_depth_mm=200.0) == []
    assert printed(guide(), bed_width_mm=200.0, bed_depth_mm=100.0) == []
    # 12 mm of block and 4 mm of peg; the shop's lowest printer is higher, so a thick guide is needed
    assert only(printed(guide(), bed_width_mm=100.0, bed_depth_mm=199.9), "print-bed").found == (
        "200.00 mm x 100.00 mm x 16.00 mm"
    )


def test_sheet_rules_keep_out_of_printed_parts():
    # a bore of 2 mm in a block of 12: no laser cuts that, and nobody asks it to; no sheet is missing from stock
    assert codes(printed(guide(bore(0, 20, 2.0, drill=1.8)))) == set()


def test_bores_beside_each_other():
    found = printed(guide(bore(0, 20, 10.0), bore(11.5, 20, 10.0)))
    wall = only(found, "print-wall")
    assert number(wall.found) == pytest.approx(1.5)
    assert "leave at least 0.1 mm more" in wall.advice


def test_what_it_lies_on():
    near = box(200, 190, 250, 250)
    assert only(lying(guide(), keepouts=(near,)), "guide-no-room").severity.value == "fail"
    # on the other face, or further off than the block is thick, it does not touch
    assert lying(guide(), keepouts=(box(200, 190, 250, 250, face="engine"),)) == []
    assert lying(guide(), keepouts=(box(200, 190, 250, 250, gap_mm=12.0),)) == []
    assert (
        only(lying(guide(), keepouts=(box(200, 190, 250, 250, movable=True),)), "guide-no-room").severity
        == "note"
    )
    bead = box(200, 190, 250, 250, bead=True, movable=False, reason="bead")
    assert "keeps clear of the bead" in only(lying(guide(), keepouts=(bead,)), "guide-no-room").advice


@pytest.mark.parametrize("turn", [0.0, 0.4, 2.0])
@pytest.mark.parametrize("mirror", [False, True])
def test_half_a_turn_is_found_wherever_it_lies(turn, mirror):
    place = Placement(200.0, 150.0, turn, mirror)
    same = guide(pegs=(peg("P", -50, 0), peg("Q", 50, 0)))
    assert only(lying(same, place=place), "guide-reversible").found == "P in hole Q and Q in hole P"
    assert lying(guide(), place=place) == []


def test_another_hole_of_the_panel_counts():
    # P and Q differ, but the panel has a second pair like them, turned by a quarter
    twins = (old("R", 200, 200, 10.0), old("S", 200, 100, 15.0))
    found = only(lying(guide(), *twins), "guide-reversible")
    assert found.found == "P in hole R and Q in hole S"
    # a new hole is not there yet
    drilled = tuple(old(h.number, h.u_mm, h.v_mm, h.final_dia_mm, status="drill") for h in twins)
    assert lying(guide(), *drilled) == []


def test_a_third_peg_shows_the_way():
    three = (peg("P", -50, 0), peg("Q", 50, 0), peg("R", 20, 30))
    assert lying(guide(pegs=three)) == []
    # an even triangle goes on in three ways
    even = tuple(
        peg(n, 40 * math.cos(a), 40 * math.sin(a))
        for n, a in zip("PQR", (0, 2 * math.pi / 3, 4 * math.pi / 3), strict=True)
    )
    assert codes(lying(guide(pegs=even))) == {"guide-reversible"}


def test_a_peg_in_a_hole_far_too_large_is_noticed():
    # turned half round, the small peg would rattle in the large hole, 2.15 mm to each side
    assert lying(guide(pegs=(peg("P", -50, 0), peg("Q", 50, 0, 13.7, 14.0)))) == []
    # 2 mm to each side passes for a fit, were the large peg not too large for the small hole
    assert lying(guide(pegs=(peg("P", -50, 0), peg("Q", 50, 0, 13.4, 13.7)))) == []


def test_a_square_block_has_its_walls_all_round():
    # by hand: bores of 10 in the corners of a square, 8 from its sides, leave 3 mm of wall everywhere
    square = rectangle(-50, -50, 50, 50)
    corners = [(42, 42), (-42, 42), (-42, -42), (42, -42)]
    plan = guide(
        *(replace(bore(u, v, 10.0), name=f"bore_{i}") for i, (u, v) in enumerate(corners)),
        pegs=(peg("P", 0, 0), peg("Q", 20, 0, 14.7, 15.0)),
        contour=square,
    )
    walls = [f for f in printed(plan, smallest_wall_mm=3.1) if f.code == "print-wall"]
    assert [number(f.found) for f in walls] == [3.0] * 4
    assert [f for f in printed(plan, smallest_wall_mm=3.0) if f.code == "print-wall"] == []


def test_a_guide_too_long_for_the_bed_is_told_as_several() -> None:
    """Pegs at -150, -50, 60 and 150, bores at -100 and 110, 319.7 mm with the margins of 5: on 220 mm each bore goes
    with the pegs on either side of it, the left one first, which lies in the very middle of its own."""
    pegs = tuple(peg(n, u, 0) for n, u in (("A", -150.0), ("B", -50.0), ("C", 60.0), ("D", 150.0)))
    bores = tuple(replace(bore(u, 0), purpose=f"panel hole {n}") for n, u in ((1, -100.0), (2, 110.0)))
    long = guide(*bores, pegs=pegs, contour=rectangle(-159.85, -9.85, 159.85, 9.85))
    found = only(printed(long, bed_width_mm=220.0, bed_depth_mm=60.0), "print-bed")
    assert found.advice == (
        "print 2 guides, each a part of its own with its own over and pegs: "
        "one over hole 1 with pegs in hole A and hole B; one over hole 2 with pegs in hole C and hole D"
    )
    # on a bed of 100 mm no two pegs go with a bore: the nearest are 100 apart
    said = only(printed(long, bed_width_mm=100.0, bed_depth_mm=60.0), "print-bed").advice
    assert "hole 1 and hole 2: no two pegs fit on the bed" in said
