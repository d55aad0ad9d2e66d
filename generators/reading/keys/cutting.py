"""What the keys of the shop's cutting profile say of each other."""

from __future__ import annotations

import itertools
import re

from generators.model.spec.fields import spec_fields
from generators.model.spec.shop import Cutting, TemplateLayers
from generators.reading.toml import words
from generators.reading.toml.tables import TableReader

LAYER_NAME = re.compile(r"[A-Za-z0-9_$-]{1,31}")
"""What R12 takes as the name of a layer; later releases take it too."""

BEND_KEYS = ("bend_up_layer", "bend_down_layer")
ALONE = ("cut_layer", "notes_layer", "grain_layer", "etch_layer", "corners_layer")
LAYER_KEYS = ("cut_layer", "mark_layer", *BEND_KEYS, *ALONE[1:])


def check_cutting(reader: TableReader) -> None:
    """Report layer names that no DXF takes or that mean two things, and a kerf that cannot be declared."""
    path = ("cutting",)
    _check_layers(reader)
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


def check_template_layers(reader: TableReader) -> None:
    """Report names of the plotter's layers that no DXF takes, or that two things share."""
    path = ("template_layers",)
    raw = reader.raw(path, dict)
    taken: dict[str, str] = {}
    # names that were given are blamed, not the defaults they meet
    for declared in sorted(spec_fields(TemplateLayers), key=lambda f: f.key in raw):
        name = raw.get(declared.key, declared.default)
        if not isinstance(name, str):
            continue
        if not LAYER_NAME.fullmatch(name):
            wanted = "letters, digits, _, $ and -, 31 at most"
            reader.refuse((*path, declared.key), words.quoted(name), wanted)
        elif name.upper() in ("0", "DEFPOINTS"):
            reader.refuse((*path, declared.key), f"{words.quoted(name)}, which every DXF has", "another name")
        elif name.upper() in taken:
            other = taken[name.upper()]
            reader.refuse(
                (*path, declared.key),
                f"{words.quoted(name)}, the name of {other} as well",
                "a name of its own",
            )
        else:
            taken[name.upper()] = declared.key


def _check_layers(reader: TableReader) -> None:
    """Cuts and text have a layer each to themselves; bends and centre marks may share one."""
    path = ("cutting",)
    raw = reader.raw(path, dict)
    one_mark = raw.get("layers") == "cut_and_mark"
    default = Cutting()
    names: dict[str, str] = {}
    for key in LAYER_KEYS:
        if one_mark and key in BEND_KEYS:
            if key in raw:
                reader.refuse(
                    (*path, key),
                    'a layer of bend lines with layers = "cut_and_mark"',
                    'mark_layer alone, which bend lines share, or layers = "by_operation"',
                )
            continue
        name = raw.get(key, getattr(default, key))
        if not isinstance(name, str):
            continue
        if not LAYER_NAME.fullmatch(name):
            reader.refuse((*path, key), words.quoted(name), "letters, digits, _, $ and -, 31 at most")
        elif name.upper() == "DEFPOINTS":
            reader.refuse((*path, key), f"{words.quoted(name)}, which is never printed", "another name")
        elif name == "0" and key != "cut_layer":
            reader.refuse((*path, key), f"{words.quoted(name)}, kept for cuts", "another name")
        else:
            names[key] = name
    for first, second in itertools.combinations(names, 2):
        one, two = names[first], names[second]
        shared = first in ALONE or second in ALONE or one != two
        if one.upper() == two.upper() and shared:
            blamed, other = (second, first) if second in raw else (first, second)
            reader.refuse(
                (*path, blamed),
                f"{words.quoted(names[blamed])}, the name of {other} as well",
                "a name of its own: only bends and centre marks may share a layer, spelt alike",
            )
