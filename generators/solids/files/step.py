"""A part as a STEP file: ISO 10303-214, mm, one named and coloured solid.

The kernel stamps its own name, the time and running counters into what it writes; the header is
therefore written here, and the same plan gives the same bytes in any process.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

from generators.errors import ExportError
from generators.model.plan import PartPlan
from generators.solids import kernel
from generators.solids.shapes import folded_shape

AP214 = 4
"""The kernel's number for AP214 as an international standard."""

PART_RGB = (0.62, 0.64, 0.66)
"""Neutral grey of a bare sheet, sRGB."""

MAKER = "pedalplate"
TIME = "2000-01-01T00:00:00"
"""The time every file carries: whoever makes it again, anywhere, must get the same bytes."""

# No curves in the parameter space of the surfaces: planes and cylinders need none, and the file
# is less than half as long without them.
SETTINGS = {
    "write.step.schema": AP214,
    "write.surfacecurve.mode": 0,
    "write.step.assembly": 0,
    "write.step.nonmanifold": 0,
}
_FORMATION = re.compile(rb"PRODUCT_DEFINITION_FORMATION\(''")
_OCCURRENCE = re.compile(rb"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('[^']*'([^;]*;)")
_LINE_BREAK = re.compile(rb"\s*\n\s*")


def write_step(plan: PartPlan, path: Path, *, revision: str, job: str) -> None:
    """Write the folded part to ``path``; its lengths are mm and its product is named as the part.

    ``revision`` becomes the version of the product and stands with ``job`` in the header. Its time is
    always the same. Raises ``GeometryFault`` when the plan makes no solid and ``ExportError`` when the file
    cannot be written.
    """
    solid = folded_shape(plan)
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    label = XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).AddShape(solid, False)
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(plan.name))
    paint(document, label, PART_RGB)
    described = f"{plan.title}; {plan.material}, {plan.thickness_mm:g} mm"
    save(document, path, name=plan.name, products=1, described=described, revision=revision, job=job)


def paint(document: Any, label: Any, rgb: tuple[float, float, float]) -> None:
    """Colour one shape of a document, sRGB from 0 to 1."""
    colour = Quantity_Color(*rgb, Quantity_TypeOfColor.Quantity_TOC_sRGB)
    XCAFDoc_DocumentTool.ColorTool_s(document.Main()).SetColor(
        label, colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf
    )


def save(
    document: Any, path: Path, *, name: str, products: int, described: str, revision: str, job: str
) -> None:
    """Write a document of so many ``products`` with our own header, the same bytes in any process.

    The header calls the file ``name``.step wherever it is written: a copy says which part it is.
    Raises ``ExportError`` when the file cannot be written or holds another number of products.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with kernel.quiet(), _settings():
            writer = STEPCAFControl_Writer()
            writer.SetNameMode(True)
            writer.SetColorMode(True)
            done = writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
            if not done or writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
                raise ExportError(f"the kernel could not write {path.name}")
        data = _with_own_header(
            path.read_bytes(),
            name,
            f"{described}; revision {revision}; job {job}",
            revision=revision,
            products=products,
        )
        path.write_bytes(data)
    except OSError as error:
        raise ExportError(f"cannot write {path.name}: {error.strerror}") from error


@contextmanager
def _settings() -> Iterator[None]:
    """The writer's settings are the kernel's globals: set ours, and put back what was there."""
    STEPControl_Controller.Init_s()
    before = {name: Interface_Static.IVal_s(name) for name in SETTINGS}
    unit = Interface_Static.CVal_s("write.step.unit")
    for name, value in SETTINGS.items():
        Interface_Static.SetIVal_s(name, value)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    try:
        yield
    finally:
        for name, value in before.items():
            Interface_Static.SetIVal_s(name, value)
        Interface_Static.SetCVal_s("write.step.unit", unit)


def encoded(text: str) -> str:
    """A text as a STEP string with its quotes (ISO 10303-21: doubled quote and backslash, \\X2\\)."""
    out = []
    for character in text:
        if character in "'\\":
            out.append(character * 2)
        elif " " <= character <= "~":
            out.append(character)
        elif ord(character) <= 0xFFFF:
            out.append(f"\\X2\\{ord(character):04X}\\X0\\")
        else:
            out.append(f"\\X4\\{ord(character):08X}\\X0\\")
    return "'" + "".join(out) + "'"


def _with_own_header(data: bytes, name: str, described: str, *, revision: str, products: int) -> bytes:
    schema = re.search(rb"FILE_SCHEMA\s*\(.*?\)\s*\)\s*;", data, re.DOTALL)
    start = data.find(b"DATA;")
    if schema is None or start < 0:
        raise ExportError(f"the kernel wrote no STEP file for {name!r}")
    maker = encoded(MAKER)
    header = "\n".join(
        [
            "ISO-10303-21;",
            "HEADER;",
            f"FILE_DESCRIPTION(({encoded(described)}),'2;1');",
            f"FILE_NAME({encoded(name + '.step')},'{TIME}',({maker}),({maker}),{maker},{maker},'');",
            schema[0].decode("ascii"),
            "ENDSEC;",
            "",
        ]
    )
    version = f"PRODUCT_DEFINITION_FORMATION({encoded(revision)}".encode("ascii")
    body, count = _FORMATION.subn(lambda _: version, data[start:])
    if count != products:
        raise ExportError(f"the kernel wrote {count} products for {name!r} instead of {products}")
    return header.encode("ascii") + _OCCURRENCE.sub(_recounted(), body)


def _recounted() -> Callable[[re.Match[bytes]], bytes]:
    """Occurrences counted from 1: the kernel goes on counting through all files of a process."""
    count = itertools.count(1)

    def one(found: re.Match[bytes]) -> bytes:
        # the kernel breaks its lines by the width of its own count
        return b"NEXT_ASSEMBLY_USAGE_OCCURRENCE('%d'%s" % (next(count), _LINE_BREAK.sub(b"", found[1]))

    return one
