"""A finished STEP file against the plan: unit, name, solid, volume, box and every round face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Standard import Standard_Failure
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_REVERSED

from generators.geometry.frames import Matrix
from generators.model.plan import PartPlan
from generators.sheetmetal.volume import folded_volume
from generators.solids import kernel
from generators.solids.extents import folded_box
from generators.verify.certificates import solid_certificate
from generators.verify.folded_cylinders import (
    Cone,
    Cylinder,
    expected_cones,
    expected_cylinders,
    merged,
    place,
    same_cone,
    same_place,
)
from generators.verify.readback import Mark, ReadBack
from generators.verify.step import part21, part21_kinds

VOLUME_RATIO = 1e-6
BOX_MM = 1e-4
SWEEP_RAD = 1e-6
SCHEMAS = ("AUTOMOTIVE_DESIGN", "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING")
MILLIMETRE = part21.Typed("SI_UNIT", (part21.Word(".MILLI."), part21.Word(".METRE.")))
MOST_NAMED = 12


def read_step(path: Path, plan: PartPlan, *, rel: str) -> ReadBack:
    """Compare a STEP file with the plan it was made from. ``rel`` is how reports call the file.

    Lengths within 1e-4 mm, the volume within 1e-6 of the closed form, every hole and slot where the
    plan has it and through the whole sheet, and no round face that the plan does not have. Raises
    nothing for a bad file: what is wrong with it is in ``problems``.
    """
    facts: list[str] = []
    problems: list[str] = []
    measured: tuple[Mark, ...] = ()
    try:
        content = part21.load(path)
        problems += part21_kinds.faults(content)
        if not problems:
            problems += _heading(content, plan, facts)
            unit = "mm" if "lengths in mm" in facts else "not mm"
            shape = _transferred(path)
            problems += _solid(shape, plan, facts)
            measured = _certificate(shape, unit)
    except part21.Part21Error as error:
        problems.append(str(error))
    except Standard_Failure as error:
        problems.append(f"the kernel cannot make out its shape ({type(error).__name__})")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems), certificate=measured)


def _certificate(shape: kernel.Shape, unit: str) -> tuple[Mark, ...]:
    low, high = corners_of(shape)
    return solid_certificate(
        solids=len(kernel.solids_of(shape)),
        valid=kernel.is_valid(shape),
        volume_mm3=kernel.volume(shape),
        round_faces=sum(1 for face in kernel.faces_of(shape) if _cylinder_of(face) is not None),
        extents=[float(x) for x in high - low],
        unit=unit,
    )


def _heading(content: part21.File21, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    schema = next((str(r.values) for r in content.header if r.kind == "FILE_SCHEMA"), "")
    if not any(known in schema for known in SCHEMAS):
        yield "its schema is neither AP214 nor AP242"
    units = [pieces for pieces in content.instances.values() if any(p.kind == "LENGTH_UNIT" for p in pieces)]
    if not units:
        yield "declares no unit of length"
    elif all(MILLIMETRE in pieces for pieces in units):
        facts.append("lengths in mm")
    else:
        yield "has a unit of length that is not the millimetre"
    names = [product.values[1] for product in content.of_kind("PRODUCT")]
    if names == [plan.name]:
        facts.append(f"one product, {plan.name}")
    else:
        yield f"its products are {', '.join(map(str, names)) or 'none'}, plan {plan.name}"
    if any(content.of_kind("STYLED_ITEM")) and any(content.of_kind("COLOUR_RGB")):
        facts.append("coloured")
    else:
        yield "has no colour"


def _transferred(path: Path) -> kernel.Shape:
    """The shape in the file in mm. Raises ``Part21Error`` when there is none."""
    with kernel.quiet():
        reader = STEPControl_Reader()
        unit = Interface_Static.CVal_s("xstep.cascade.unit")
        Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
        try:
            read = reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
            shape = reader.OneShape() if read and reader.TransferRoots() else None
        finally:
            Interface_Static.SetCVal_s("xstep.cascade.unit", unit)
    if shape is None or shape.IsNull():
        raise part21.Part21Error("holds no shape the kernel can read")
    return shape


def _solid(shape: kernel.Shape, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    solids = kernel.solids_of(shape)
    if len(solids) != 1:
        yield f"holds {len(solids)} solids, plan 1"
        return
    solid = solids[0]
    if kernel.is_valid(solid):
        facts.append("one valid solid")
    else:
        yield "its solid is not valid"
    volume, planned = kernel.volume(solid), folded_volume(plan)
    words = f"volume {volume:.1f} mm3, plan {planned:.1f}"
    if math.isclose(volume, planned, rel_tol=VOLUME_RATIO):
        facts.append(words)
    else:
        yield words
    yield from _box(solid, plan, facts)
    yield from _round_faces(solid, plan, facts)


def corners_of(shape: kernel.Shape) -> tuple[Matrix, Matrix]:
    """Smallest and largest coordinates, mm."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    corners = box.Get()
    return np.array(corners[:3]), np.array(corners[3:])


def _box(solid: kernel.Shape, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    low, high = corners_of(solid)
    planned_low, planned_high = folded_box(plan)
    off = max(float(np.abs(low - planned_low).max()), float(np.abs(high - planned_high).max()))
    if off <= BOX_MM:
        facts.append(f"box {size(high - low)} mm")
    else:
        yield (
            f"box {size(high - low)} mm, plan {size(planned_high - planned_low)}; "
            f"a side lies {off:.4f} mm from its place"
        )


def size(extent: Matrix) -> str:
    """Three lengths as ``90.00 x 60.00 x 80.00``."""
    return " x ".join(f"{float(c):.2f}" for c in extent)


def _cylinder_of(face: kernel.Shape) -> Cylinder | None:
    """A round face as measured; None for a plane. The sweep comes from the area it really has."""
    surface = BRepAdaptor_Surface(face)
    if surface.GetType() != GeomAbs_Cylinder:
        return None
    cylinder = surface.Cylinder()
    axis = cylinder.Axis()
    base = np.array([axis.Location().X(), axis.Location().Y(), axis.Location().Z()])
    along = np.array([axis.Direction().X(), axis.Direction().Y(), axis.Direction().Z()])
    _u0, _u1, v0, v1 = BRepTools.UVBounds_s(face)
    length = v1 - v0
    if along[np.argmax(np.abs(along))] < 0:
        # an axis may run either way: begin at the lower end, as a flange's own side w = 0 mostly is
        v0, v1 = v1, v0
    # A cylinder's natural normal points away from its axis when its frame is right-handed.
    radius = float(cylinder.Radius())
    outward = bool(cylinder.Direct()) != (face.Orientation() == TopAbs_REVERSED)
    return Cylinder(
        label="",
        near=base + along * v0,
        far=base + along * v1,
        radius=radius,
        sweep=kernel.area(face) / (radius * length) if length > 0 else 0.0,
        hollow=not outward,
    )


def _cone_of(face: kernel.Shape) -> Cone | None:
    """A conical face as measured, from its wide end to its narrow one; None for any other."""
    surface = BRepAdaptor_Surface(face)
    if surface.GetType() != GeomAbs_Cone:
        return None
    cone = surface.Cone()
    origin, axis = cone.Axis().Location(), cone.Axis().Direction()
    base, along = np.array([origin.X(), origin.Y(), origin.Z()]), np.array([axis.X(), axis.Y(), axis.Z()])
    _u0, _u1, v0, v1 = BRepTools.UVBounds_s(face)
    slope = float(cone.SemiAngle())
    # v runs along the slant: by sin of the half angle outward, by cos along the axis
    ends = [
        (float(cone.RefRadius()) + v * math.sin(slope), base + along * (v * math.cos(slope)))
        for v in (v0, v1)
    ]
    (narrow, far), (wide, near) = sorted(ends, key=lambda e: e[0])
    return Cone(label="", near=near, far=far, wide=2 * wide, narrow=2 * narrow)


def _cones(measured: list[Cone], plan: PartPlan) -> Iterator[str]:
    for wanted in expected_cones(plan):
        match = next((c for c in measured if same_cone(c, wanted)), None)
        if match is None:
            yield f"{wanted.label}: no cone from diameter {wanted.wide:.4f} to {wanted.narrow:.4f} mm there"
        else:
            measured.remove(match)
    for extra in measured:
        yield f"cone from diameter {extra.wide:.4f} to {extra.narrow:.4f} mm that the plan does not have"


def _round_faces(solid: kernel.Shape, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    measured: list[Cylinder] = []
    cones: list[Cone] = []
    curved = 0
    for face in kernel.faces_of(solid):
        cylinder, cone = _cylinder_of(face), _cone_of(face)
        if cylinder is not None:
            measured.append(cylinder)
        elif cone is not None:
            cones.append(cone)
        elif BRepAdaptor_Surface(face).GetType() != GeomAbs_Plane:
            curved += 1
    if curved:
        yield f"{curved} faces are neither plane nor round"
    left = merged(measured)
    wrong: list[str] = []
    agreed = 0
    worst = 0.0
    for wanted in expected_cylinders(plan):
        match = next((c for c in left if same_place(c, wanted)), None)
        if match is None:
            wrong.append(f"{wanted.label}: no {place(wanted)}{_nearest(wanted, left)}")
            continue
        left.remove(match)
        if abs(match.sweep - wanted.sweep) > max(SWEEP_RAD, 1e-4 / wanted.radius):
            wrong.append(
                f"{wanted.label}: goes round {math.degrees(match.sweep):.3f} deg, "
                f"plan {math.degrees(wanted.sweep):.3f}"
            )
            continue
        agreed += 1
        worst = max(worst, abs(2 * match.radius - 2 * wanted.radius))
    wrong += [f"{place(extra)} that the plan does not have" for extra in left]
    wrong += _cones(cones, plan)
    yield from wrong[:MOST_NAMED]
    if len(wrong) > MOST_NAMED:
        yield f"and {len(wrong) - MOST_NAMED} more round faces that do not agree"
    holes = sum(len(f.holes) for f in plan.flanges)
    slots = sum(len(f.slots) for f in plan.flanges)
    pegs = sum(len(f.pegs) for f in plan.flanges)
    what = f"{holes} holes, {slots} slots" + (f", {pegs} pegs" if pegs else "")
    facts.append(f"{agreed} round faces as planned ({what}), diameters within {worst:.1e} mm")


def _nearest(wanted: Cylinder, left: Sequence[Cylinder]) -> str:
    """What stands where it should be, to say by how much it is off."""
    near = [c for c in left if c.hollow == wanted.hollow]
    if not near:
        return ""
    middle = (wanted.near + wanted.far) / 2

    def distance(c: Cylinder) -> float:
        return float(np.linalg.norm((c.near + c.far) / 2 - middle)) + abs(c.radius - wanted.radius)

    best = min(near, key=distance)
    off = float(np.linalg.norm((best.near + best.far) / 2 - middle))
    return f"; nearest is {place(best)}, {off:.4f} mm off"
