"""A part as a 3MF file: mm by declaration, one closed object, standing as it would be printed.

3MF Core Specification 1.4.0 (3MF Consortium, an open standard): an OPC package, that is a ZIP archive,
with a list of content types, a relationship to the model, and the model in XML. Title, Description and
Application are metadata names it knows; its numbers allow the shortest decimal that gives a float back,
which is what is written: the points are bit for bit those of the STL.

The entries are stored, not compressed, and carry the archive format's first date, so the same plan
gives the same bytes whatever compression library is there.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from generators.errors import ExportError
from generators.model.plan import PartPlan
from generators.solids.files.printable import ANGLE_RAD, TOLERANCE_MM, mesh_words, part_mesh
from generators.solids.mesh import Faces, Points

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MODEL_PART = "3D/3dmodel.model"
CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
RELATIONSHIPS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Id="rel0" Target="/{MODEL_PART}"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)
FIRST_DATE = (1980, 1, 1, 0, 0, 0)
MAKER = "pedalplate"


def _number(value: np.float32) -> str:
    return np.format_float_positional(value, unique=True, trim="-")


def _model(plan: PartPlan, points: Points, faces: Faces, words: str) -> str:
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<model unit="millimeter" xml:lang="en" xmlns="{CORE}">',
        f'<metadata name="Title">{escape(plan.title)}</metadata>',
        f'<metadata name="Description">{escape(words)}</metadata>',
        f'<metadata name="Application">{MAKER}</metadata>',
        "<resources>",
        f'<object id="1" type="model" name={quoteattr(plan.name)}>',
        "<mesh>",
        "<vertices>",
    ]
    out += [f'<vertex x="{_number(x)}" y="{_number(y)}" z="{_number(z)}"/>' for x, y, z in points]
    out += ["</vertices>", "<triangles>"]
    out += [f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces.tolist()]
    out += [
        "</triangles>",
        "</mesh>",
        "</object>",
        "</resources>",
        '<build><item objectid="1"/></build>',
        "</model>",
        "",
    ]
    return "\n".join(out)


def write_three_mf(
    plan: PartPlan,
    path: Path,
    *,
    revision: str,
    tolerance_mm: float = TOLERANCE_MM,
    angle_rad: float = ANGLE_RAD,
) -> None:
    """Write the folded part to ``path``, from the same mesh as its STL.

    Raises ``GeometryFault`` when the plan makes no solid, ``ExportError`` when there is no clean mesh or
    the file cannot be written.
    """
    points, faces = part_mesh(plan, tolerance_mm, angle_rad)
    words = mesh_words(plan, revision=revision, tolerance_mm=tolerance_mm, angle_rad=angle_rad)
    package = io.BytesIO()
    with zipfile.ZipFile(package, "w", zipfile.ZIP_STORED) as archive:
        for name, text in (
            ("[Content_Types].xml", CONTENT_TYPES),
            ("_rels/.rels", RELATIONSHIPS),
            (MODEL_PART, _model(plan, points, faces, words)),
        ):
            entry = zipfile.ZipInfo(name, FIRST_DATE)
            # the archive says which system wrote it: always the same one
            entry.create_system = 0
            archive.writestr(entry, text.encode("utf-8"))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(package.getvalue())
    except OSError as error:
        raise ExportError(f"cannot write {path.name}: {error.strerror}") from error
