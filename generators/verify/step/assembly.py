"""A finished STEP assembly: every body there by name, coloured, of its volume, and where it belongs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from OCP.gp import gp_Trsf
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Quantity import Quantity_Color
from OCP.Standard import Standard_Failure
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from generators.geometry.frames import Matrix
from generators.solids import kernel
from generators.verify.assembled import Expected
from generators.verify.readback import ReadBack
from generators.verify.step import part21
from generators.verify.step.solid import corners_of

VOLUME_RATIO = 1e-5
"""The kernel's own integration over the many bends of a long line is out by 1e-6."""


@dataclass(frozen=True, slots=True)
class _Found:
    shape: kernel.Shape
    coloured: bool
    group: str


def read_step_assembly(path: Path, bodies: Sequence[Expected], *, rel: str, revision: str) -> ReadBack:
    """Compare an assembly with what it must hold. ``rel`` is how reports call the file.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    facts: list[str] = []
    problems: list[str] = []
    try:
        if revision.encode() not in path.read_bytes():
            problems.append(f"does not carry revision {revision}")
        # the kernel ends the process over some damaged files
        part21.require_linked(part21.load(path))
        found = _read(path)
        problems += _compare(found, bodies, facts)
    except OSError as error:
        problems.append(f"cannot be read: {error.strerror}")
    except part21.Part21Error as error:
        problems.append(str(error))
    except Standard_Failure as error:
        problems.append(f"the kernel cannot make out its shapes ({type(error).__name__})")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))


def _name(label: Any) -> str:
    attribute = TDataStd_Name()
    if not label.FindAttribute(TDataStd_Name.GetID_s(), attribute):
        return ""
    return str(attribute.Get().ToExtString())


def _read(path: Path) -> dict[str, list[_Found]]:
    """Bodies in the vehicle frame by the name of their product; empty for what is no assembly."""
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    with kernel.quiet():
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            return {}
        if not reader.Transfer(document):
            return {}
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    roots = TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    out: dict[str, list[_Found]] = {}
    for root in _labels(roots):
        for part, product in _components(shapes, root):
            inner = _components(shapes, product) if shapes.IsAssembly_s(product) else []
            for leaf, own in inner or [(part, product)]:
                shape = shapes.GetShape_s(leaf)
                if inner:
                    shape = shape.Moved(shapes.GetLocation_s(part))
                group = _name(product) if inner else ""
                found = _Found(shape, _coloured(colours, own), group)
                out.setdefault(_name(own), []).append(found)
    return out


def _components(shapes: Any, whole: Any) -> list[tuple[Any, Any]]:
    """Occurrences in a product, each with the product it is one of."""
    parts = TDF_LabelSequence()
    shapes.GetComponents_s(whole, parts)
    out = []
    for part in _labels(parts):
        product = TDF_Label()
        shapes.GetReferredShape_s(part, product)
        out.append((part, product))
    return out


def _labels(sequence: Any) -> Iterator[Any]:
    for index in range(1, sequence.Length() + 1):
        yield sequence.Value(index)


def _coloured(colours: Any, label: Any) -> bool:
    """True when the product, or each of its solids, has a colour."""
    colour = Quantity_Color()
    kinds = (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen)
    if any(colours.GetColor_s(label, kind, colour) for kind in kinds):
        return True
    # the kernel keeps the colours of several solids with the product, not with its occurrence
    own = XCAFDoc_ShapeTool.GetShape_s(label)
    return all(
        any(colours.GetColor(solid, kind, colour) for kind in kinds) for solid in kernel.solids_of(own)
    )


def _compare(found: dict[str, list[_Found]], bodies: Sequence[Expected], facts: list[str]) -> Iterator[str]:
    for body in bodies:
        there = found.get(body.name, [])
        if len(there) != 1:
            yield f"holds {len(there)} bodies called {body.name}, plan 1"
            continue
        before = len(facts)
        troubles = list(_body(there[0], body))
        yield from troubles
        if not troubles and len(facts) == before:
            facts.append(f"{body.name} named, coloured, in its place")
    for extra in sorted(set(found) - {body.name for body in bodies}):
        yield f"holds a body called {extra or 'nothing'}, which the plan does not have"


def _body(found: _Found, body: Expected) -> Iterator[str]:
    if not found.coloured:
        yield f"{body.name} has no colour"
    if found.group != body.group:
        yield f"{body.name} belongs to {found.group or 'no group'}, plan {body.group or 'none'}"
    solids = kernel.solids_of(found.shape)
    if len(solids) != len(body.solids) or not all(map(kernel.is_valid, solids)):
        count = "one valid solid" if len(body.solids) == 1 else f"{len(body.solids)} valid solids"
        yield f"{body.name} is not {count}"
        return
    for solid, wanted in zip(solids, body.solids, strict=True):
        volume = kernel.volume(solid)
        if wanted.volume_mm3 and not math.isclose(volume, wanted.volume_mm3, rel_tol=VOLUME_RATIO):
            yield f"{body.name} has {volume:.1f} mm3, plan {wanted.volume_mm3:.1f}"
        low, high = corners_of(_moved_back(solid, body.matrix))
        off = max(float(np.abs(low - wanted.low).max()), float(np.abs(high - wanted.high).max()))
        if off > body.box_mm:
            yield f"{body.name} is {off:.3f} mm away from its place"


def _moved_back(shape: kernel.Shape, matrix: Matrix) -> kernel.Shape:
    move = gp_Trsf()
    move.SetValues(*(float(matrix[row, column]) for row in range(3) for column in range(4)))
    return shape.Moved(TopLoc_Location(move.Inverted()))
