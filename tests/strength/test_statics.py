"""The pedal as a free body, and forces against published figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.errors import GeometryFault
from generators.standards import pedal_load
from generators.strength.bores import Bore
from generators.strength.statics import Pose, middle, pad_movement, reactions

LEFT = Bore(name="pivot_left", centre=(-45.0, 60.0, 95.0), axis=(1.0, 0.0, 0.0), radius_mm=8.0, length_mm=3.0)
RIGHT = Bore(
    name="pivot_right", centre=(45.0, 60.0, 95.0), axis=(-1.0, 0.0, 0.0), radius_mm=8.0, length_mm=3.0
)
MASTER = tuple(
    Bore(name=f"master_{i}", centre=(u, 0.0, 0.0), axis=(0.0, 0.0, 1.0), radius_mm=4.0, length_mm=3.0)
    for i, u in enumerate((-28.0, 28.0))
)
SHAFT = (RIGHT, LEFT)


def pose(across_mm=0.0, pad=(60.0, -330.0)):
    """A pedal at rest whose rod lies along the cylinder; pad given out and up from the pivot."""
    pivot = np.array([across_mm, 60.0, 95.0])
    pad_at = pivot + np.array([0.0, pad[1], pad[0]])
    arm = math.hypot(*pad)
    # pressed, the pad swings toward the panel: about +x the way that carries z of a hanging pad to minus
    press = np.cross([1.0, 0.0, 0.0], (0.0, pad[1] / arm, pad[0] / arm))
    press = press if press[2] < 0 else -press
    return Pose(
        pivot=tuple(pivot),
        pin=(across_mm, 0.0, 109.0),
        pad=tuple(pad_at),
        seat=(across_mm, 0.0, -8.0),
        across=(1.0, 0.0, 0.0),
        press=tuple(press),
        axis=(0.0, 0.0, -1.0),
    )


def total(reaction, names=None):
    return np.sum([f.force for f in reaction.forces if names is None or f.bore in names], axis=0)


COMPONENT = st.floats(-2000, 2000)


@settings(max_examples=60, deadline=None)
@given(force=st.tuples(COMPONENT, COMPONENT, COMPONENT), across=st.floats(-40, 40))
def test_the_hanger_gets_the_foots_force_and_its_moment_and_no_more(force, across):
    p = pose(across)
    bores = {b.name: b for b in (*SHAFT, *MASTER)}
    reaction = reactions(p, force, SHAFT, MASTER)
    assert total(reaction) == pytest.approx(np.array(force), abs=1e-7)
    pivot = np.array(p.pivot)
    shaft = sum(
        np.cross(middle(bores[f.bore]) - pivot, f.force)
        for f in reaction.forces
        if f.bore.startswith("pivot")
    )
    rod = np.array([0.0, 0.0, -1.0])
    wanted = np.cross(np.array(p.pad) - pivot, force) - reaction.rod_n * np.cross(
        np.array(p.pin) - pivot, rod
    )
    assert wanted[0] == pytest.approx(0.0, abs=1e-6)
    assert shaft == pytest.approx(wanted, abs=1e-6 * (1 + float(np.abs(wanted).max())))


def test_rod_force_is_the_foots_force_times_the_lever_ratio():
    # by lengths: pad arm square to its force over the pin's drop below the pivot
    p = pose(pad=(0.0, -330.0))
    reaction = reactions(p, (0.0, 0.0, -100.0), SHAFT, MASTER)
    assert reaction.rod_n == pytest.approx(100.0 * 330.0 / 60.0)
    assert total(reaction, ("pivot_left", "pivot_right"))[2] == pytest.approx(reaction.rod_n - 100.0)


def test_a_side_force_pulls_one_cheek_and_pushes_the_other():
    forces = {f.bore: f.force for f in reactions(pose(), (60.0, 0.0, 0.0), SHAFT, MASTER).forces}
    assert forces["pivot_left"][0] == forces["pivot_right"][0] == pytest.approx(30.0)
    # moment of 60 N at 330 below over the 87 mm between the bores
    assert abs(forces["pivot_left"][1]) == pytest.approx(60.0 * 330.0 / 87.0, rel=1e-9)
    assert forces["pivot_left"][1] == pytest.approx(-forces["pivot_right"][1])


@settings(max_examples=60, deadline=None)
@given(
    share=st.floats(0.05, 0.95),
    moved=st.lists(st.tuples(*[st.floats(-1, 1)] * 3), min_size=4, max_size=4),
    across=st.floats(-40, 40),
)
def test_a_balance_bars_shares_do_on_the_bolts_what_the_foot_does_at_the_pad(share, moved, across):
    # virtual work: the forces on the bores over their movements are the foot's over the pad's
    p, shares = pose(across), (share, 1 - share)
    force = tuple(200.0 * np.array(p.press))
    reaction = reactions(p, force, SHAFT, MASTER, shares)
    first, second = (np.array(f.force) for f in reaction.forces[2:])
    assert first * (1 - share) == pytest.approx(second * share)
    moves = {b.name: v for b, v in zip((*SHAFT, *MASTER), moved, strict=True)}
    inside = sum(float(np.dot(f.force, moves[f.bore])) for f in reaction.forces)
    pad = pad_movement(p, SHAFT, MASTER, moves, shares)
    assert inside == pytest.approx(200.0 * pad.press_mm, abs=1e-6)


def test_one_bore_or_two_in_one_place_carry_no_shaft():
    with pytest.raises(GeometryFault, match="1 bores"):
        reactions(pose(), (0, 0, -1), (LEFT,), MASTER)
    with pytest.raises(GeometryFault, match="one place"):
        reactions(pose(), (0, 0, -1), (LEFT, LEFT), MASTER)


def test_a_hanger_that_moves_as_one_piece_moves_the_pad_with_it():
    shift = (0.3, -0.2, 0.5)
    moved = {b.name: shift for b in (*SHAFT, *MASTER)}
    p = pose()
    pad = pad_movement(p, SHAFT, MASTER, moved)
    assert pad.across_mm == pytest.approx(0.3)
    assert pad.press_mm == pytest.approx(float(np.array(p.press) @ np.array(shift)))


def test_master_and_pivot_shares_add_up_and_the_master_counts_by_the_ratio():
    p = pose(pad=(0.0, -330.0))
    moved = {
        "pivot_left": (0.0, 0.01, 0.2),
        "pivot_right": (0.0, -0.01, 0.24),
        "master_0": (0.0, 0.0, -0.1),
        "master_1": (0.0, 0.0, -0.1),
    }
    pad = pad_movement(p, SHAFT, MASTER, moved)
    assert pad.from_pivot_mm + pad.from_master_mm == pytest.approx(pad.press_mm)
    assert pad.from_master_mm == pytest.approx(0.1 * 330.0 / 60.0)
    # the shaft's middle comes 0.22 out: the pin stays with the rod, so the pad goes in by 0.22 (330/60 - 1)
    assert pad.from_pivot_mm == pytest.approx(0.22 * (330.0 / 60.0 - 1))


def test_published_pad_forces():
    # 14 CFR 27.397(a)(1) 130 lbf and Formula SAE T.5.1.10b 2000 N (R1), FMVSS 105 150 lbf (M-high)
    assert pedal_load("limit", "clutch").force_n == pytest.approx(578.27, abs=0.01)
    assert pedal_load("limit", "brake").force_n == pytest.approx(667.23, abs=0.01)
    assert pedal_load("structure", "brake").force_n == 2000.0
    assert pedal_load("normal", "brake").force_n == 500.0
    assert pedal_load("side", "clutch").trust == "CP"
