"""The quick answer (plates by Ritz) against closed forms, and against the solver on parts drawn at random."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from strength.quick_against_solver import Tally, compare
from strength.random_brackets import KINDS
from strength.random_hangers import BORNE, drawn

from generators.errors import GeometryFault
from generators.geometry.contours import circle, polygon
from generators.model.joints.hole_finish import HoleFinish, Ring
from generators.model.plan import Bend, Fitting, Flange, Hole, PartPlan
from generators.model.words import other_hand
from generators.parts.building.mirror import mirrored
from generators.strength.bores import BoreForce, Hold
from generators.strength.corners import sharp_corners
from generators.strength.plates import MOVED_RANGE, STRESS_RANGE
from generators.strength.plates.derived import Terms
from generators.strength.plates.folded import folded_plates, quick
from generators.strength.plates.plate import BENDING_DEGREE, STRETCH_DEGREE, Material, plate_of
from generators.strength.plates.terms import Functions, Round

E, NU = 200e3, 0.3


def hole(name, u, v, diameter):
    return Hole(
        name=name, u_mm=u, v_mm=v, diameter_mm=diameter, purpose="", fitting=Fitting(kind="bolt", label="")
    )


def plan(thickness, flanges, bends=()):
    return PartPlan(
        name="p",
        kind="test",
        title="P",
        material="S235 steel",
        thickness_mm=thickness,
        flanges=tuple(flanges),
        bends=tuple(bends),
    )


def test_an_annular_plate_clamped_inside_and_loaded_at_its_rim():
    """Timoshenko and Woinowsky-Krieger, bending of circular plates: w = c1 + c2 r² + c3 ln r + c4 r² ln r, with
    w = w' = 0 at b, and at a no moment and the shear P / 2 π a; the constants from these four by hand."""
    a, b, t, load = 60.0, 12.0, 3.0, 100.0
    d = E * t**3 / (12 * (1 - NU**2))

    def row(r):
        ln = math.log(r)
        return {
            "w": (1, r * r, ln, r * r * ln),
            "slope": (0, 2 * r, 1 / r, 2 * r * ln + r),
            "moment": (
                0,
                2 + 2 * NU,
                (NU - 1) / r**2,
                2 * ln + 3 + NU * (2 * ln + 1),
            ),
        }

    # Q = D d/dr(∇²w) = 4 D c4 / r, and in all P = 2 π r Q
    c = np.linalg.solve(
        [row(b)["w"], row(b)["slope"], row(a)["moment"], (0, 0, 0, 8 * math.pi * d)], [0, 0, 0, load]
    )
    wanted = float(np.dot(row(a)["w"], c))
    disc = plan(t, [Flange(name="disc", contour=circle(0, 0, 2 * a), holes=(hole("middle", 0, 0, 2 * b),))])
    ritz = folded_plates(disc, [Hold(bore="middle")], E, NU)
    (plate,) = ritz.plates
    turn = 2 * np.pi * np.arange(64) / 64
    rim = a * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    w = Functions.at(rim, plate.box, BENDING_DEGREE, plate.rounds).bending(BENDING_DEGREE)[0].T
    push = np.zeros(sum(plate.many))
    push[: plate.many[0]] = load * w.mean(axis=0)
    (moved,) = ritz.movements(push[None, :])
    assert float(push @ moved) / load == pytest.approx(abs(wanted), rel=0.01)


def test_a_wide_sheet_with_a_hole_in_tension_is_kirschs():
    """Kirsch 1898: at the rim 3 times the pull across it, minus once along it."""
    half, radius, pull = 100.0, 5.0, 10.0
    square = polygon([(-half, -half), (half, -half), (half, half), (-half, half)])
    sheet = plan(1.0, [Flange(name="sheet", contour=square, holes=(hole("h", 0, 0, 2 * radius),))])
    material = Material(e_mpa=E, poisson=NU, thickness=1.0)
    plate = plate_of(sheet, sheet.flanges[0], material, {})
    nb, ns = plate.many
    side = np.linspace(-half, half, 201)
    weights = np.full(201, 1.0)
    weights[[0, -1]] = 0.5
    load = np.zeros(ns)
    for sign in (-1, 1):
        edge = np.stack([np.full(201, sign * half), side], axis=1)
        at = Functions.at(edge, plate.box, STRETCH_DEGREE, plate.rounds)
        g = at.stretching(STRETCH_DEGREE, material.kappa)[0].T
        load += sign * pull * (weights[:, None] * g.real).sum(axis=0)
    # free in the plane: of all answers the smallest
    found = np.linalg.lstsq(plate.energy[nb:, nb:], load, rcond=1e-10)[0]
    turn = np.array([0.0, np.pi / 2])
    rim = 1.0001 * radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    terms = Terms.empty(BENDING_DEGREE, STRETCH_DEGREE, 1, len(rim))
    terms.fill(slice(None), rim, plate.box, plate.rounds, (BENDING_DEGREE, STRETCH_DEGREE), material.kappa)
    eu, ev, _ = found @ terms.strains
    su, sv = (E / (1 - NU**2) * x for x in (eu + NU * ev, ev + NU * eu))
    # Heywood for a strip of finite width: 2 + (1 - d/W)³ on the net section; here d/W = 0.05
    assert su[1] / pull == pytest.approx((2 + 0.95**3) / 0.95, rel=0.03)
    assert sv[0] / pull == pytest.approx(-1.0, abs=0.1)


def test_what_is_written_out_at_many_points_is_what_the_functions_do():
    """Against central differences of the functions' own slopes, and of the curvatures for the slope of Δw."""
    holes = (Round(u=3.0, v=4.0, radius=5.0), Round(u=-20.0, v=14.0, radius=4.5))
    box, kappa, h = (-40.0, -41.0, 61.0, 60.0), 2.07, 1e-4
    points = np.array([[20.0, 11.0], [-31.0, 2.5], [4.5, -7.0], [-13.0, 30.0]])

    def functions(du: float, dv: float) -> tuple[Any, Any]:
        at = Functions.at(points + np.array([du, dv]), box, BENDING_DEGREE, holes)
        return at.bending(BENDING_DEGREE), at.stretching(STRETCH_DEGREE, kappa)[0]

    def written(du: float, dv: float) -> Terms:
        terms = Terms.empty(BENDING_DEGREE, STRETCH_DEGREE, len(holes), len(points))
        degrees = BENDING_DEGREE, STRETCH_DEGREE
        terms.fill(slice(None), points + np.array([du, dv]), box, holes, degrees, kappa)
        return terms

    found = written(0, 0)
    right, left, above, below = (functions(*way) for way in ((h, 0), (-h, 0), (0, h), (0, -h)))
    by_u, by_v = (right[0] - left[0]) / (2 * h), (above[0] - below[0]) / (2 * h)
    moved_u, moved_v = (right[1] - left[1]) / (2 * h), (above[1] - below[1]) / (2 * h)
    laplacian = [one.curves[0] + one.curves[2] for one in map(written, (h, -h, 0, 0), (0, 0, h, -h))]
    wanted = {
        "curves": np.array([by_u[1], by_v[1], by_v[2]]),
        "strains": np.array([moved_u.real, moved_v.imag, moved_u.imag + moved_v.real]),
        "steepness": np.array([laplacian[0] - laplacian[1], laplacian[2] - laplacian[3]]) / (2 * h),
    }
    for name, rows in wanted.items():
        scale = np.abs(rows).max(axis=(0, 2), keepdims=True)
        assert np.abs(getattr(found, name) - rows).max() > 0
        assert (np.abs(getattr(found, name) - rows) <= 1e-6 * scale + 1e-9 * scale.max()).all(), name


def test_two_strips_joined_at_a_bend_are_castiglianos_angle():
    """P b² (b + 3a)/3EI, a and b between the middles; strips 40 wide, held by a bolt that takes nearly all of the
    width and pushed at a small hole near the end."""
    t, radius, width, leg, force = 4.0, 4.0, 40.0, 160.0, 10.0
    base = polygon([(0, 0), (leg, 0), (leg, width), (0, width)])
    arm = polygon([(0, 0), (width, 0), (width, leg), (0, leg)])
    bend = Bend(
        name="arm", parent="base", child="arm", start=(leg, 0), end=(leg, width), angle_rad=math.pi / 2,
        inside_radius_mm=radius, direction="up", k_factor=0.4, k_source="test",
    )  # fmt: skip
    held, pushed = hole("held", 22.0, width / 2, 36.0), hole("pushed", width / 2, leg - 10.0, 6.0)
    angle = plan(
        t,
        [Flange(name="base", contour=base, holes=(held,)), Flange(name="arm", contour=arm, holes=(pushed,))],
        [bend],
    )
    ritz = folded_plates(angle, [Hold(bore="held")], E, NU)
    (got,) = quick(ritz, [[BoreForce(bore="pushed", force=(force, 0.0, 0.0))]], [Hold(bore="held")], [], [])
    corner = radius + t / 2
    a, b = leg - 40.0 + corner, leg - 10.0 + corner
    inertia = width * t**3 / 12
    wanted = force * b**2 * (b + 3 * a) / (3 * E * inertia)
    # the bolt's round rim lets the sides bend a little further back, and holds the strip from curving across
    assert got.work_nmm / force == pytest.approx(wanted, rel=0.05)


@pytest.mark.parametrize(("side", "sign"), [("upper", -1.0), ("lower", 1.0)])
def test_a_force_in_a_boss_turns_its_sheet(side, sign):
    """F along a strip at the end of a boss's middle, z over the sheet's, and P square to it: the end turns by
    P L²/2EI - F z L/EI and sinks by P L³/3EI - F z L²/2EI, so both do P² L³/3EI - P F z L²/EI + F² z² L/EI. The bolt takes
    nearly all of the width, as in the angle above."""
    t, width, along, square = 4.0, 40.0, 10.0, 3.0
    strip = polygon([(0, 0), (200.0, 0), (200.0, width), (0, width)])
    boss = HoleFinish(
        kind="reamed", cut_mm=11.0, words="", side=side,
        ring=Ring(outside_mm=22.0, height_mm=40.0, welded=True, weld_mm=2.0),
    )  # fmt: skip
    end = replace(hole("end", 178.0, width / 2, 12.0), finish=boss)
    part = plan(t, [Flange(name="strip", contour=strip, holes=(hole("held", 22.0, width / 2, 36.0), end))])
    held = [Hold(bore="held")]
    (got,) = quick(
        folded_plates(part, held, E, NU), [[BoreForce(bore="end", force=(along, 0.0, square))]], held, [], []
    )
    ei, reach, z = E * width * t**3 / 12, 178.0 - 40.0, 20.0
    wanted = square**2 * reach**3 / (3 * ei) + along**2 * z**2 * reach / ei
    wanted += sign * square * along * z * reach**2 / ei
    assert got.work_nmm == pytest.approx(wanted, rel=0.03)


def test_plates_that_nothing_holds_are_refused():
    square = polygon([(0, 0), (40, 0), (40, 40), (0, 40)])
    loose = plan(4.0, [Flange(name="plate", contour=square, holes=(hole("one", 20.0, 20.0, 8.0),))], [])
    with pytest.raises(GeometryFault, match="nothing holds"):
        folded_plates(loose, [], E, NU)


def require(tally: Tally) -> None:
    """No case is passed that the solver fails, at any limit: neither movement nor stress beyond its range."""
    assert tally.cases
    assert tally.least_moved >= 1 / MOVED_RANGE, tally
    assert tally.least_stress >= 1 / STRESS_RANGE, tally
    assert tally.false_passes == 0, tally


@pytest.mark.parametrize(
    ("kind", "seed"), [("pedal_hanger", 7), ("carried_hanger", 3), ("pedal_box", 5), (BORNE, 0)]
)
def test_the_mirror_image_of_a_part_gives_and_bears_the_same(tmp_path, kind, seed):
    """Nothing in mechanics knows left from right: loads one-sided, so that the part answers one-sided, too."""
    bracket = drawn(kind, seed, tmp_path)
    heads = [b.name for b in bracket.bores if b.name.startswith("pivot")]
    side = [BoreForce(bore=name, force=(40.0, 25.0 * k, -300.0 * (k + 1))) for k, name in enumerate(heads)]
    plan, holds = bracket.part.plan, bracket.holds
    (one,) = quick(folded_plates(plan, holds, E, NU), [side], holds, (), sharp_corners(plan))
    # the left bore is the mirror image of the right one
    plan = mirrored(plan)
    holds = [replace(h, bore=other_hand(h.bore)) for h in holds]
    side = [replace(f, bore=other_hand(f.bore), force=(-f.force[0], *f.force[1:])) for f in side]
    (other,) = quick(folded_plates(plan, holds, E, NU), [side], holds, (), sharp_corners(plan))
    assert len(heads) == 2
    assert other.work_nmm == pytest.approx(one.work_nmm, rel=1e-6)
    assert other.peak_mpa == pytest.approx(one.peak_mpa, rel=1e-5)


# of those drawn from the first ten seeds of small brackets, and of bosses, where the quick answer was lowest
SAMPLE = (
    ("pedal_hanger", 42),
    ("carried_hanger", 12),
    ("pedal_box", 17),
    (BORNE, 1),
    ("stop_bracket", 5),
    ("clamp_standoff", 8),
)


@pytest.mark.parametrize(("kind", "seed"), SAMPLE)
def test_nothing_passes_that_the_solver_fails(tmp_path, kind, seed):
    pytest.importorskip("ngsolve")
    require(compare(kind, [seed], tmp_path))


@pytest.mark.nightly
@pytest.mark.parametrize(
    ("kind", "many"),
    [
        ("pedal_hanger", 200),
        ("carried_hanger", 60),
        ("pedal_box", 60),
        ("twin_pedal_hanger", 20),
        (BORNE, 20),
        *((small, 20) for small in KINDS),
    ],
)
def test_nothing_passes_that_the_solver_fails_over_many(tmp_path, kind, many):
    pytest.importorskip("ngsolve")
    tally = compare(kind, range(2000, 2000 + many), tmp_path)
    print(tally)
    require(tally)
