"""A finished STL file against the plan: closed, one body, volume, box and every hole's rim.

A mesh of chords loses or gains at most the sagitta over each round face: with the chord tolerance
``tol`` and angle ``a`` of the header, no point lies further than ``min(tol, r (1 - cos(a/2)))``
from a cylinder of radius ``r``. Summed over area times sagitta that bounds the volume's error;
rounding to float32 adds its step times the whole surface.
"""

from __future__ import annotations

import io
import math
import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import trimesh

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Flange, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.volume import folded_volume
from generators.solids.extents import folded_box, print_frame
from generators.verify.folded_cylinders import expected_cylinders
from generators.verify.readback import ReadBack

HEADER_BYTES, COUNT_BYTES, RECORD_BYTES = 80, 4, 50
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])
FARTHEST_MM = 1e5
HEADER = re.compile(r"mm tol=(\S+) angle=(\S+) rev=(\S*) part=(\S+)")
RIM_MM = 1e-3
PLANE_MM = 1e-3
WIDEST_GAP_RAD = math.pi / 3
FLOAT32_RATIO = 2.0**-23


def read_stl(path: Path, plan: PartPlan, *, rel: str) -> ReadBack:
    """Compare an STL file with the plan it was made from. ``rel`` is how reports call the file.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error.strerror}",))
    facts: list[str] = []
    problems = list(_envelope(data))
    if problems:
        return ReadBack(path=rel, problems=tuple(problems))
    header = HEADER.match(data[:HEADER_BYTES].decode("ascii", "replace").rstrip())
    if header is None:
        return ReadBack(path=rel, problems=("its header does not give unit, tolerance, revision and part",))
    try:
        tolerance_mm, angle_rad = float(header[1]), float(header[2])
    except ValueError:
        return ReadBack(path=rel, problems=(f"its tolerances are no numbers: {header[1]}, {header[2]}",))
    if header[4] != plan.name:
        problems.append(f"its header names the part {header[4]}, plan {plan.name}")
    facts.append(f"mm, chord tolerance {tolerance_mm:g} mm, revision {header[3]}")
    mesh = trimesh.load_mesh(io.BytesIO(data), file_type="stl")
    problems += _closed(mesh, plan, facts)
    problems += _sizes(mesh, plan, tolerance_mm, angle_rad, facts)
    problems += _rims(mesh, plan, facts)
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))


def _envelope(data: bytes) -> Iterator[str]:
    if not data:
        yield "is empty"
        return
    if len(data) < HEADER_BYTES + COUNT_BYTES:
        yield f"is cut short: {len(data)} bytes are no binary STL"
        return
    (count,) = struct.unpack_from("<I", data, HEADER_BYTES)
    size = HEADER_BYTES + COUNT_BYTES + RECORD_BYTES * count
    if size != len(data):
        yield f"has {len(data)} bytes, its {count} triangles need {size}"
    elif count == 0:
        yield "holds no triangles"
    else:
        corners = np.frombuffer(data, dtype=RECORD, offset=HEADER_BYTES + COUNT_BYTES)["corners"]
        # a comparison is false for what is no number, too
        if not np.all(np.abs(corners) < FARTHEST_MM):
            yield f"has points that are no numbers, or beyond {FARTHEST_MM:g} mm"


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
    rims = 0
    for flange in plan.flanges:
        into = np.asarray(np.linalg.inv(pose @ frames[flange.name]), dtype=np.float64)
        local = apply(into, points)
        for rim in _rims_of(flange):
            for side, w in (("lower", 0.0), ("upper", plan.thickness_mm)):
                error, problem = _measured(local[np.abs(local[:, 2] - w) <= PLANE_MM], rim)
                if problem:
                    yield f"{rim.label} on the {side} side of {flange.name}: {problem}"
                else:
                    worst = max(worst, error)
                    rims += 1
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


def _rims_of(flange: Flange) -> Iterator[_Rim]:
    for hole in flange.holes:
        yield _Rim(label=f"hole {hole.name}", u=hole.u_mm, v=hole.v_mm, radius=hole.diameter_mm / 2)
    for slot in flange.slots:
        for facing in (slot.angle_rad, slot.angle_rad + math.pi):
            yield _Rim(
                label=f"slot {slot.name}",
                u=slot.u_mm + slot.travel_mm / 2 * math.cos(facing),
                v=slot.v_mm + slot.travel_mm / 2 * math.sin(facing),
                radius=slot.width_mm / 2,
                half=True,
                facing=facing,
            )


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
