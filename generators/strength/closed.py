"""Closed forms for the quick answer: beams and plates by hand, good for a first look and no more.

A hanger is taken as a portal: two cheeks stand on a web that is clamped at its bolts. Beams bend by
Euler-Bernoulli; sources: Roark's formulas (beams, table 8.1), Castigliano for the angle. On the hangers of
the tests and demos the pad's movement by the estimate lies within a factor of 2.5 of finite elements, which
is its stated range; its stress lies from 2.1 times theirs (a tall web) down to 1/2.8 (from the side). Bores,
reliefs and local dents are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault

RANGE = 2.5
"""The real figure lies between the estimate over this and the estimate times this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A quick answer: movement at the force along it (mm), stress (MPa), and by which formula."""

    moved_mm: float
    stress_mpa: float
    formula: str


def second_moment(width_mm: float, thickness_mm: float) -> float:
    """Second moment of area of a strip bent about its flat side, mm4: b t³/12."""
    return width_mm * thickness_mm**3 / 12


def cantilever_end(force_n: float, length_mm: float, ei: float) -> float:
    """End movement of a cantilever under an end load, mm: P L³/3EI (Roark table 8.1 case 1a)."""
    return force_n * length_mm**3 / (3 * ei)


def clamped_beam_at_load(force_n: float, a_mm: float, b_mm: float, ei: float) -> float:
    """Movement under a load at ``a`` and ``b`` from clamped ends, mm: P a³b³/3EI(a+b)³ (Roark, case 1d)."""
    return force_n * a_mm**3 * b_mm**3 / (3 * ei * (a_mm + b_mm) ** 3)


def overhang_with_leg(force_n: float, arm_mm: float, leg_mm: float, ei: float) -> tuple[float, float]:
    """Movement (mm) and root moment (N mm) of an overhang whose end carries a leg of the same strip.

    The leg's far end cannot move sideways, so it resists the end's turn with 3EI/leg: the moment there
    is M0 = P a²/2 / (a + leg/3), and the movement P a³/3EI − M0 a²/2EI (superposition).
    """
    corner = force_n * arm_mm**2 / 2 / (arm_mm + leg_mm / 3)
    moved = force_n * arm_mm**3 / (3 * ei) - corner * arm_mm**2 / (2 * ei)
    return moved, max(abs(force_n * arm_mm - corner), abs(corner))


def angle_bracket_end(force_n: float, base_mm: float, arm_mm: float, ei: float) -> float:
    """End movement of a right-angled bracket, mm: P b² (b + 3a)/3EI with base a and arm b, the force square
    to the arm (Castigliano, bending only)."""
    return force_n * arm_mm**2 * (arm_mm + 3 * base_mm) / (3 * ei)


@dataclass(frozen=True, slots=True, kw_only=True)
class Portal:
    """A hanger as a portal, mm: heights along its web from any one zero.

    ``half_width`` from its middle to a cheek's mid-sheet; ``bolt_across`` to the nearest bolts;
    ``rows`` heights of the lowest and the highest row; ``pivot_up`` and ``pivot_out`` of the shaft, out from
    the web's mid-sheet; ``tall`` of the cheeks at the web; ``master_up`` of the master; ``ring`` that a bolt
    clamps.
    """

    half_width: float
    bolt_across: float
    rows: tuple[float, float]
    pivot_up: float
    pivot_out: float
    tall: float
    master_up: float
    ring: float
    thickness: float
    e_mpa: float


def hanger_estimate(
    portal: Portal,
    force_n: float,
    shaft: tuple[float, float],
    rod: tuple[float, float],
    flex_mm_per_n: float = 0.0,
) -> Estimate:
    """A pedal's force on a portal, by superposition.

    ``shaft`` is the force of the shaft on both cheeks, up and out; ``rod`` that of the master on the web, up
    and out. The rows share the shaft's force like a beam on two supports; the web overhangs the bolts
    to the cheeks; the master bends the web between the rows. Bolts give ``flex_mm_per_n`` each, two to a
    row. The movement at the pad is the work of these forces over ``force_n``.
    """
    low, high = portal.rows
    span = high - low
    if span < 1e-6:
        raise GeometryFault("one row of bolts holds no hanger")
    arm = portal.half_width - portal.bolt_across
    tilt = shaft[1] * (portal.pivot_up - low) - shaft[0] * portal.pivot_out
    at_high = tilt / span
    at_low = shaft[1] - at_high
    works, stresses = 0.0, []
    for row in (at_low, at_high):
        each = row / 2
        width = min(portal.ring + 2 * abs(arm), portal.tall / 2)
        ei = portal.e_mpa * second_moment(width, portal.thickness)
        moved, moment = overhang_with_leg(each, abs(arm), portal.pivot_out, ei)
        works += 2 * each * (moved + each * flex_mm_per_n)
        stresses.append(6 * abs(moment) / (width * portal.thickness**2))
    below, above = portal.master_up - low, high - portal.master_up
    if rod[1] and below > 0 and above > 0:
        width = 2 * portal.half_width
        ei = portal.e_mpa * second_moment(width, portal.thickness)
        works += rod[1] * clamped_beam_at_load(rod[1], below, above, ei)
        moment = abs(rod[1]) * below * above * max(below, above) / span**2
        stresses.append(6 * moment / (width * portal.thickness**2))
    return Estimate(
        moved_mm=works / force_n,
        stress_mpa=max(stresses),
        formula="web as clamped strips, bolts to cheeks and row to row (Roark table 8.1, superposed)",
    )


def cheek_side_estimate(portal: Portal, force_n: float, drop_mm: float) -> Estimate:
    """A side load at the pad: both cheeks as cantilevers P L³/3EI, and the couple of the pad's drop below the
    shaft as pull and push along the cheeks, which hardly gives.

    ``drop_mm`` is how far the pad hangs below the shaft.
    """
    width = 0.75 * portal.tall
    ei = portal.e_mpa * second_moment(width, portal.thickness)
    moved = cantilever_end(force_n / 2, portal.pivot_out, ei)
    stress = 6 * force_n / 2 * portal.pivot_out / (portal.tall * portal.thickness**2)
    # the shaft holds the cheeks parallel; what the pad swings out is the turn of the web under the couple
    arm = max(portal.half_width - portal.bolt_across, 0.0)
    strip = min(portal.ring + 2 * arm, portal.tall / 2)
    couple = force_n * drop_mm / (2 * portal.half_width)
    roll, moment = overhang_with_leg(
        couple / 2, arm, portal.pivot_out, portal.e_mpa * second_moment(strip, portal.thickness)
    )
    swing = roll / portal.half_width * drop_mm
    return Estimate(
        moved_mm=moved + swing,
        stress_mpa=max(stress, 6 * moment / (strip * portal.thickness**2)),
        formula="cheeks as cantilevers P L^3/3EI (Roark table 8.1 case 1a)",
    )


def arm_estimate(
    force_n: float, base_mm: float, arm_mm: float, width_mm: float, thickness_mm: float, e_mpa: float
) -> Estimate:
    """A force square to a flange, ``arm`` from its bend; the bolts lie ``base`` from it on the other."""
    ei = e_mpa * second_moment(width_mm, thickness_mm)
    return Estimate(
        moved_mm=angle_bracket_end(force_n, base_mm, arm_mm, ei),
        stress_mpa=6 * force_n * arm_mm / (width_mm * thickness_mm**2),
        formula="right-angled bracket, P b^2 (b + 3a)/3EI (Castigliano)",
    )
