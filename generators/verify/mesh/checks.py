"""A closed mesh against the plan: one body, its openings, volume, box and every hole's rim.

A mesh of chords loses or gains at most the sagitta over each round face: with the chord tolerance
``tol`` and angle ``a`` of the file's own words, no point lies further than ``min(tol, r (1 - cos(a/2)))``
from a cylinder of radius ``r``. Summed over area times sagitta that bounds the volume's error;
rounding to float32 adds its step times the whole surface.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import trimesh

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Flange, Hole, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.volume import folded_volume
from generators.solids.extents import folded_box, print_frame
from generators.verify.folded_cylinders import expected_cones, expected_cylinders

WORDS = re.compile(r"mm tol=(\S+) angle=(\S+) rev=(\S*) part=(\S+)")
FARTHEST_MM = 1e5
RIM_MM = 1e-3
PLANE_MM = 1e-3
WIDEST_GAP_RAD = math.pi / 3
FLOAT32_RATIO = 2.0**-23


def mesh_problems(
    mesh: trimesh.Trimesh, plan: PartPlan, words: str, where: str, facts: list[str]
) -> Iterator[str]:
    """Everything about a part's mesh that does not agree with its plan; what does goes to ``facts``.

    ``words`` are the file's own: unit, tolerances, revision and part; ``where`` is what they stand in.
    """
    found = WORDS.match(words)
    if found is None:
        yield f"its {where} does not give unit, tolerance, revision and part"
        return
    try:
        tolerance_mm, angle_rad = float(found[1]), float(found[2])
    except ValueError:
        yield f"its tolerances are no numbers: {found[1]}, {found[2]}"
        return
    if found[4] != plan.name:
        yield f"its {where} names the part {found[4]}, plan {plan.name}"
    facts.append(f"mm, chord tolerance {tolerance_mm:g} mm, revision {found[3]}")
    yield from _closed(mesh, plan, facts)
    yield from _sizes(mesh, plan, tolerance_mm, angle_rad, facts)
    yield from _rims(mesh, plan, facts)


def _closed(mesh: trimesh.Trimesh, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    good = True
    if not mesh.is_watertight:
        good = False
        yield "is not watertight"
    if not mesh.is_winding_consistent:
        good = False
        yield "its triangles do not all turn the same way"
    flat = int(np.count_nonzero(mesh.area_faces <= 0.0))
    if flat:
        yield f"{flat} triangles have no area"
    if not good:
        return
    if mesh.body_count != 1:
        yield f"holds {mesh.body_count} bodies, plan 1"
        return
    # Flanges and bends make a tree, so each opening is one handle: V - E + F = 2 - 2 openings.
    through = (2 - int(mesh.euler_number)) / 2
    openings = sum(len(f.holes) + len(f.slots) for f in plan.flanges)
    if through == openings:
        facts.append(f"{len(mesh.faces)} triangles, watertight, one body with {openings} openings")
    else:
        yield f"{through:g} openings go through it, plan {openings}"


def volume_bound(plan: PartPlan, tolerance_mm: float, angle_rad: float, surface_mm2: float) -> float:
    """How far the mesh's volume may be from the plan's, mm³ (see the module)."""
    bound = 0.0
    for c in expected_cylinders(plan):
        sagitta = min(tolerance_mm, c.radius * (1 - math.cos(min(angle_rad, math.pi) / 2)))
        bound += c.radius * c.sweep * c.length * sagitta
    for cone in expected_cones(plan):
        sagitta = min(tolerance_mm, cone.wide / 2 * (1 - math.cos(min(angle_rad, math.pi) / 2)))
        slant = math.hypot(float(np.linalg.norm(cone.far - cone.near)), (cone.wide - cone.narrow) / 2)
        bound += math.pi * (cone.wide + cone.narrow) / 2 * slant * sagitta
    low, high = folded_box(plan)
    return bound + surface_mm2 * float(np.abs([low, high]).max() + 2 * plan.thickness_mm) * FLOAT32_RATIO


def _sizes(
    mesh: trimesh.Trimesh, plan: PartPlan, tolerance_mm: float, angle_rad: float, facts: list[str]
) -> Iterator[str]:
    volume, planned = float(mesh.volume), folded_volume(plan)
    bound = volume_bound(plan, tolerance_mm, angle_rad, float(mesh.area))
    words = f"volume {volume:.1f} mm3, plan {planned:.1f} within {bound:.1f}"
    if abs(volume - planned) <= bound:
        facts.append(words)
    else:
        yield words
    pose = print_frame(plan)
    corners = apply(pose, np.array(folded_box(plan)))
    low, high = corners.min(axis=0), corners.max(axis=0)
    off = float(np.abs(mesh.bounds - np.array([low, high])).max())
    extent = " x ".join(f"{float(c):.2f}" for c in mesh.extents)
    if off <= tolerance_mm + RIM_MM:
        facts.append(f"box {extent} mm, standing on z = {float(mesh.bounds[0][2]) + 0.0:.3f}")
    else:
        wanted = " x ".join(f"{float(c):.2f}" for c in high - low)
        yield f"box {extent} mm, plan {wanted}; a side lies {off:.4f} mm from its place"


def _rims(mesh: trimesh.Trimesh, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    pose, frames = print_frame(plan), folded_frames(plan)
    points = np.asarray(mesh.vertices, dtype=np.float64)
    worst = 0.0
    rims = pegs = 0
    for flange in plan.flanges:
        into = np.asarray(np.linalg.inv(pose @ frames[flange.name]), dtype=np.float64)
        local = apply(into, points)
        for rim, where, w in _rims_of(flange, plan.thickness_mm):
            error, problem = _measured(local[np.abs(local[:, 2] - w) <= PLANE_MM], rim)
            if problem:
                yield f"{rim.label} {where} of {flange.name}: {problem}"
            else:
                worst = max(worst, error)
                rims += 1
        for peg in flange.pegs:
            for what, diameter, w in (
                ("peg", peg.diameter_mm, -peg.straight_mm),
                ("tip of peg", peg.tip_mm, -peg.height_mm),
            ):
                rim = _Rim(label=f"{what} {peg.name}", u=peg.u_mm, v=peg.v_mm, radius=diameter / 2)
                error, problem = _measured(local[np.abs(local[:, 2] - w) <= PLANE_MM], rim)
                if problem:
                    yield f"{rim.label}: {problem}"
                else:
                    worst = max(worst, error)
                    pegs += 1
    if pegs:
        facts.append(f"{pegs // 2} pegs as planned")
    if rims:
        facts.append(f"{rims} rims of holes and slots as planned, diameters within {worst:.1e} mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rim:
    """A circle (``half`` false) or the half circle toward ``facing`` (rad) in a flange's frame."""

    label: str
    u: float
    v: float
    radius: float
    half: bool = False
    facing: float = 0.0


def _levels(hole: Hole, t: float) -> Iterator[tuple[str, float, float]]:
    """Where along w a hole has a rim of which radius, mm: wider at a countersink, at the end of a ring."""
    bore, finish = hole.diameter_mm / 2, hole.finish
    for side, w, off in (("lower", 0.0, -1.0), ("upper", t, 1.0)):
        radius = bore
        if finish is not None and finish.side == side:
            if (sink := finish.sink) is not None:
                radius = sink.head_mm / 2
                yield f"below the {side} side", w - off * sink.depth_mm(hole.diameter_mm), bore
            if (ring := finish.ring) is not None:
                radius = ring.outside_mm / 2
                yield f"over the {side} side", w + off * ring.height_mm, bore
        yield f"on the {side} side", w, radius


def _rims_of(flange: Flange, t: float) -> Iterator[tuple[_Rim, str, float]]:
    """Every rim of a flange's openings, where it is in words, and at which w, mm."""
    for hole in flange.holes:
        for where, w, radius in _levels(hole, t):
            yield _Rim(label=f"hole {hole.name}", u=hole.u_mm, v=hole.v_mm, radius=radius), where, w
    for slot in flange.slots:
        for facing in (slot.angle_rad, slot.angle_rad + math.pi):
            end = _Rim(
                label=f"slot {slot.name}",
                u=slot.u_mm + slot.travel_mm / 2 * math.cos(facing),
                v=slot.v_mm + slot.travel_mm / 2 * math.sin(facing),
                radius=slot.width_mm / 2,
                half=True,
                facing=facing,
            )
            yield end, "on the lower side", 0.0
            yield end, "on the upper side", t


def _measured(points: Matrix, rim: _Rim) -> tuple[float, str]:
    """Largest error of the rim's diameter, and a problem in words or nothing."""
    du, dv = points[:, 0] - rim.u, points[:, 1] - rim.v
    away = np.hypot(du, dv)
    on = np.abs(away - rim.radius) <= RIM_MM
    if not np.any(on):
        nearest = f", nearest points lie on {2 * float(away.min()):.3f} mm" if len(away) else ""
        return 0.0, f"no rim of {2 * rim.radius:.3f} mm at its place{nearest}"
    if np.any(away < rim.radius - RIM_MM):
        return 0.0, f"metal inside its circle of {2 * rim.radius:.3f} mm"
    turned = np.arctan2(dv[on], du[on]) - rim.facing
    angles = np.sort((turned + math.pi) % (2 * math.pi) - math.pi)
    if rim.half:
        quarter = math.pi / 2
        angles = np.concatenate([[-quarter], angles[np.abs(angles) <= quarter], [quarter]])
    else:
        angles = np.append(angles, angles[0] + 2 * math.pi)
    gap = float(np.diff(angles).max())
    if gap > WIDEST_GAP_RAD:
        return 0.0, f"its rim is open over {math.degrees(gap):.0f} deg"
    return float(2 * np.abs(away[on] - rim.radius).max()), ""
