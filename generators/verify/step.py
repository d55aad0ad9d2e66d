"""A finished STEP file against the plan: unit, name, solid, volume, box and every round face."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_Cylinder, GeomAbs_Plane
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
from generators.verify.folded_cylinders import Cylinder, expected_cylinders, merged, place, same_place
from generators.verify.readback import ReadBack

VOLUME_RATIO = 1e-6
BOX_MM = 1e-4
SWEEP_RAD = 1e-6
MILLIMETRE = re.compile(r"SI_UNIT\s*\(\s*\.MILLI\.\s*,\s*\.METRE\.\s*\)")
LENGTH = re.compile(r"#\d+\s*=\s*\(([^;]*?LENGTH_UNIT[^;]*?)\)\s*;")
PRODUCT = re.compile(r"=\s*PRODUCT\s*\(\s*'((?:[^']|'')*)'\s*,\s*'((?:[^']|'')*)'")
COLOUR = re.compile(r"=\s*(?:COLOUR_RGB|DRAUGHTING_PRE_DEFINED_COLOUR)\s*\(")
BIGGEST_BYTES = 50_000_000
MOST_NAMED = 12


def read_step(path: Path, plan: PartPlan, *, rel: str) -> ReadBack:
    """Compare a STEP file with the plan it was made from. ``rel`` is how reports call the file.

    Lengths within 1e-4 mm, the volume within 1e-6 of the closed form, every hole and slot where the
    plan has it and through the whole sheet, and no round face that the plan does not have. Raises
    nothing for a bad file: what is wrong with it is in ``problems``.
    """
    facts: list[str] = []
    try:
        if path.stat().st_size > BIGGEST_BYTES:
            return ReadBack(path=rel, problems=(f"larger than {BIGGEST_BYTES} bytes",))
        text = path.read_text(encoding="latin-1")
    except OSError as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error.strerror}",))
    problems = list(_envelope(text))
    if problems:
        return ReadBack(path=rel, problems=tuple(problems))
    problems += _heading(text, plan, facts)
    shape = _transferred(path)
    if shape is None:
        return ReadBack(
            path=rel, facts=tuple(facts), problems=(*problems, "the kernel cannot read a shape from it")
        )
    try:
        problems += _solid(shape, plan, facts)
    except Standard_Failure as error:
        problems.append(f"the kernel cannot measure the shape in it ({type(error).__name__})")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))


def _envelope(text: str) -> Iterator[str]:
    if not text.strip():
        yield "is empty"
    elif not text.startswith("ISO-10303-21;"):
        yield "is no STEP file: it does not begin with ISO-10303-21"
    elif not text.rstrip().endswith("END-ISO-10303-21;"):
        yield "is cut short: END-ISO-10303-21 is missing"


def _heading(text: str, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    units = LENGTH.findall(text)
    if not units:
        yield "declares no unit of length"
    elif all(MILLIMETRE.search(unit) for unit in units):
        facts.append("lengths in mm")
    else:
        yield f"has a unit of length that is not the millimetre: {' '.join(units[0].split())}"
    products = PRODUCT.findall(text)
    names = [name for _, name in products]
    if names == [plan.name]:
        facts.append(f"one product, {plan.name}")
    else:
        yield f"its products are {', '.join(names) or 'none'}, plan {plan.name}"
    if COLOUR.search(text):
        facts.append("coloured")
    else:
        yield "has no colour"


def _transferred(path: Path) -> kernel.Shape | None:
    """The shape in the file in mm, or None."""
    with kernel.quiet():
        reader = STEPControl_Reader()
        unit = Interface_Static.CVal_s("xstep.cascade.unit")
        Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
        try:
            if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
                return None
            if reader.TransferRoots() < 1:
                return None
            shape = reader.OneShape()
        except Standard_Failure:
            return None
        finally:
            Interface_Static.SetCVal_s("xstep.cascade.unit", unit)
    return None if shape.IsNull() else shape


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


def _box(solid: kernel.Shape, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    corners = box.Get()
    low, high = np.array(corners[:3]), np.array(corners[3:])
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
    # A cylinder's natural normal points away from its axis when its frame is right-handed.
    outward = bool(cylinder.Direct()) != (face.Orientation() == TopAbs_REVERSED)
    return Cylinder(
        label="",
        near=base + along * v0,
        far=base + along * v1,
        radius=float(cylinder.Radius()),
        sweep=kernel.area(face) / (float(cylinder.Radius()) * (v1 - v0)),
        hollow=not outward,
    )


def _round_faces(solid: kernel.Shape, plan: PartPlan, facts: list[str]) -> Iterator[str]:
    measured: list[Cylinder] = []
    curved = 0
    for face in kernel.faces_of(solid):
        cylinder = _cylinder_of(face)
        if cylinder is not None:
            measured.append(cylinder)
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
    yield from wrong[:MOST_NAMED]
    if len(wrong) > MOST_NAMED:
        yield f"and {len(wrong) - MOST_NAMED} more round faces that do not agree"
    holes = sum(len(f.holes) for f in plan.flanges)
    slots = sum(len(f.slots) for f in plan.flanges)
    facts.append(
        f"{agreed} round faces as planned ({holes} holes, {slots} slots), diameters within {worst:.1e} mm"
    )


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
