"""What routing keeps off is what stands and moves: each obstacle is made from a body, and none is left out."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from made_once import solved
from space_jobs import job, others
from spec_pieces import line_ends

from generators.model.hose_path import Block, Limb, Sweep3
from generators.routing.around.bodies import collect, distances
from generators.solve.job import Prepared
from generators.solve.scene import ROUTED_ROUND, clearance_limits, kept_name
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.pieces import Box, Rod


@pytest.fixture(scope="module")
def tarn() -> Prepared:
    return solved("tarn_special")


def ball(at: np.ndarray) -> Body:
    x, y, z = at.tolist()
    rod = Rod(start=(x, y, z), end=(x, y, z), radius_mm=1e-3, round_ends=True)
    return Body(name="probe", title="probe", what="obstacle", owner="probe", forms=(rod,))


def test_routing_measures_to_the_same_bodies(tarn: Prepared) -> None:
    """From places beside each body: routing's closed forms against the distance library on the convex pieces.

    Routing fills the openings of flanges, so where it says less the place is over one; arcs are within 0.05 mm.
    """
    lines, dice = tarn.lines, np.random.default_rng(5)
    rows = collect(lines.obstacles, lines.panels, clearance_limits(tarn.file.job.limits))
    named = [row.name for row in rows.rows]
    looked, filled = 0, 0
    for body in tarn.scene.bodies:
        if body.what not in ROUTED_ROUND:
            continue
        which = np.array(
            [k for k, name in enumerate(named) if name == kept_name(body) and rows.rows[k].what != "edge"]
        )
        assert len(which), body.name
        low, high = body.box
        for at in dice.uniform(low - 30, high + 30, (6, 3)):
            least = distances(rows, np.repeat(at[None], len(which), axis=0), which).min()
            gap = Space([body, ball(at)]).gap(0, 1)
            assert gap is not None
            if gap.gap_mm > 0.1:
                looked += 1
                # the flange of a cylinder has its name, and so has the strip of a fold that of its first panel
                filled += least < gap.gap_mm - 0.06
                assert least <= gap.gap_mm + 0.06, body.name
    assert looked > 100
    assert filled < looked / 4


def test_a_pedal_is_kept_off_with_its_pad(tarn: Prepared) -> None:
    """Arm and pad, turned as far as they go: the rod and what stands are no part of it."""
    sweeps = {o.name: o for o in tarn.lines.obstacles if isinstance(o, Sweep3)}
    for mover in tarn.scene.movers:
        if mover.body.what == "pad":
            sweep = sweeps[f"{mover.body.owner} pedal"]
            assert sweep.turn_rad == mover.motion.end_rad
            blocks = [limb for limb in sweep.limbs if isinstance(limb, Block)]
            pad = mover.body.forms[0]
            assert isinstance(pad, Box)
            assert any(limb.half_mm == pad.half_mm for limb in blocks)
            for limb in sweep.limbs:
                # turned with the library's own pose, both ends of the way are in it
                at = limb.centre if isinstance(limb, Block) else limb.start
                rows = collect([sweep], [], clearance_limits(tarn.file.job.limits))
                for share in (0.0, 0.4, 1.0):
                    pose = mover.motion.pose(share * mover.motion.end_rad)
                    place = pose[:3, :3] @ np.array(at) + pose[:3, 3]
                    every = np.arange(len(rows.rows))
                    assert distances(rows, np.repeat(place[None], len(every), axis=0), every).min() < 1e-6
    assert all(isinstance(limb, Block | Limb) for sweep in sweeps.values() for limb in sweep.limbs)


def test_sides_that_go_on_in_a_fold_have_no_bare_edge() -> None:
    van = solved("wrenfield_van")
    folded = {panel.name: panel.folded for panel in van.lines.panels}
    assert any(folded.values())
    for layout in van.layouts:
        assert len(folded[layout.panel]) >= (1 if layout.folds else 0)
        panel = next(p for p in van.lines.panels if p.name == layout.panel)
        for side in panel.folded:
            # the tangent line lies before the sharp line by no more than radius and thickness times tan 45
            a, b = panel.outline[side], panel.outline[(side + 1) % len(panel.outline)]
            fold = layout.folds[0]
            back = (fold.inside_radius_mm + layout.thickness_mm) * math.tan(fold.angle_rad / 2)
            start, end = np.array(fold.start), np.array(fold.end)
            along = (end - start) / np.linalg.norm(end - start)
            for corner in (a, b):
                off = np.array(corner) - start
                assert abs(off[0] * along[1] - off[1] * along[0]) <= back + 1e-9
    strips = [o for o in van.lines.obstacles if getattr(o, "what", "") == "face"]
    assert len(strips) == sum(len(layout.folds) for layout in van.layouts) / 2


def test_a_hose_in_the_way_of_a_pad_is_one_finding(tmp_path: Path) -> None:
    """A line across the cab 40 mm before the wall at the pad's height: the arm passes beside it, the pad does not.

    The pad hangs 330 mm under the pivot at u 300, v 262 and swings to the wall; the arm is 25 mm wide at most,
    the line ends 15 mm beside the arm's middle, within the pad's 35 mm.
    """
    line = others(
        line_ends((150, 320, -60), (150, 560, -60))
        + """
[[hose]]
name = "across"
kind = "rigid"
service = "pressure"
from = "near.out"
to = "far.out"
dash = 3
radius = "30 mm"
"""
    )
    said = job(tmp_path, line).findings
    told = [f for f in said if f.code in ("hose-near-moving", "hose-clearance", "pedal-swing", "bodies-meet")]
    assert [f.code for f in told] == ["hose-near-moving"]
