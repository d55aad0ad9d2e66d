"""The library that draws in 3D: three.js, as it comes inside the mesh library this program depends on."""

from __future__ import annotations

import io
import re
import zipfile
from functools import cache
from importlib.resources import files

PACKAGE, ARCHIVE, MEMBER = "trimesh", "resources/templates/viewer.zip", "viewer.html.template"
_LIBRARY = re.compile(
    r"<script>\s*(?P<library>/\*\*.*?Three\.js Authors.*?THREE\.GLTFLoader\s*=\s*GLTFLoader;\s*\}\)\(\);)",
    re.DOTALL,
)
"""From its licence comment to the end of its loader; what follows is that package's own viewer."""


def licence() -> str:
    """What the library asks to be said wherever it goes along."""
    return files("generators.sheets.phone").joinpath("three_licence.txt").read_text(encoding="utf-8")


@cache
def three_js() -> str:
    """The library's text with its licence comment; empty where this release of the package has none."""
    try:
        with zipfile.ZipFile(io.BytesIO(files(PACKAGE).joinpath(ARCHIVE).read_bytes())) as archive:
            page = archive.read(MEMBER).decode("utf-8")
    except (OSError, KeyError, zipfile.BadZipFile, UnicodeDecodeError):
        return ""
    found = _LIBRARY.search(page)
    return found["library"] if found is not None and "</script" not in found["library"].lower() else ""
