"""What the keys of the shop's cutting profile say of each other."""

from __future__ import annotations

import re

from generators.model.spec.shop import OWN_LAYERS, Cutting
from generators.reading.toml import words
from generators.reading.toml.tables import TableReader

LAYER_NAME = re.compile(r"[A-Za-z0-9_$-]{1,31}")
"""What R12 takes as the name of a layer; later releases take it too."""

TAKEN = ("0", "DEFPOINTS", *OWN_LAYERS)


def check_cutting(reader: TableReader) -> None:
    """Report layer names that no DXF takes or that mean two things, and a kerf that cannot be declared."""
    path = ("cutting",)
    raw = reader.raw(path, dict)
    default = Cutting()
    names = {}
    for key, otherwise in (("cut_layer", default.cut_layer), ("mark_layer", default.mark_layer)):
        name = raw.get(key, otherwise)
        if not isinstance(name, str):
            continue
        names[key] = name
        if not LAYER_NAME.fullmatch(name):
            reader.refuse((*path, key), words.quoted(name), "letters, digits, _, $ and -, 31 at most")
        elif name.upper() in TAKEN:
            reader.refuse(
                (*path, key), f"{words.quoted(name)}, which the file uses otherwise", "another name"
            )
    if len(names) == 2 and names["cut_layer"].upper() == names["mark_layer"].upper():
        reader.refuse(
            (*path, "mark_layer"),
            f"{words.quoted(names['mark_layer'])} again",
            "another layer than the cuts'",
        )
    cutting = reader.built.get(path)
    if not isinstance(cutting, Cutting) or cutting.kerf_mm is None:
        return
    if cutting.kerf_mm >= cutting.smallest_hole_mm:
        reader.refuse(
            (*path, "kerf"),
            f"a cut {words.millimetres(cutting.kerf_mm)} wide",
            f"less than smallest_hole, {words.millimetres(cutting.smallest_hole_mm)}",
        )
    if not cutting.notes:
        reader.refuse((*path, "notes"), "a kerf offset without notes", "notes = true: the file declares it")
