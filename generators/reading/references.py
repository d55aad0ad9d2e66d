"""What one table says of another: names that must be there, and names that must not be twice.

Names are gathered from the text as it stands, so that a table refused for another reason does
not make everything that refers to it look wrong as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from generators.errors import LookupFault
from generators.model.fields import NAME_PATTERN
from generators.model.job import Bead, Fold, HoleSpec, Mount, Obstacle, Panel, PartSpec, Position
from generators.model.shop import Stock
from generators.reading import words
from generators.reading.datums import EDGES, datum_marks, datums_giving
from generators.reading.hole_kinds import check_hole, check_obstacle, check_outline
from generators.reading.paths import Path
from generators.reading.pedals import check_pedals
from generators.reading.tables import TableReader
from generators.standards import material

PANEL_LISTS = ("datum", "existing", "hole", "obstacle", "bead")
"""The lists of a panel whose names share one space: a name means one thing on one panel."""

# Reserved by one common system whatever their ending; a folder of that name cannot be made there.
_DEVICE_NAMES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10))}
)
_SAME_MM = 1e-6
_NOTHING_RESERVED: Mapping[str, str] = MappingProxyType({})
_RESERVED_DATUMS = MappingProxyType(dict.fromkeys(EDGES, "the edge of the panel"))
_RESERVED_PARTS = MappingProxyType(
    {
        "panel": "the panel's own holes in the hole tables",
        "existing": "the holes a panel already has in the hole tables",
    }
)


def check_job(reader: TableReader) -> None:
    """Report every reference in the spec that leads nowhere and every name given twice."""
    _folder_name(reader, ("job", "name"))
    # panels and parts share one name space: folders, --only and the assembly's nodes go by name
    _names_once(reader, [("panel",), ("part",)], "among panels and parts", _RESERVED_PARTS)
    _names_once(reader, [("pedal",)], "among the pedals")
    for path, panel in reader.items(("panel",), Panel):
        _check_panel(reader, path, panel)
    names = [name for _, name in _raw_names(reader, [("panel",)])]
    _check_folds(reader, names)
    panels = {panel.name: (path, panel) for path, panel in reader.items(("panel",), Panel)}
    for path, part in reader.items(("part",), PartSpec):
        _check_material(reader, path, part.material)
        if part.mount is not None:
            _check_mount(reader, (*path, "mount"), part.mount, panels, names)
    check_pedals(
        reader, {name: reader.raw((*path, "family"), str) for path, name in _raw_names(reader, [("part",)])}
    )
    for index in range(len(reader.raw(("panel",), list))):
        _folder_name(reader, ("panel", index, "name"))
    for index in range(len(reader.raw(("part",), list))):
        _folder_name(reader, ("part", index, "name"))


def check_shop(reader: TableReader) -> None:
    """Report unknown materials and sheets listed twice in the shop file."""
    seen: list[Stock] = []
    for path, stock in reader.items(("stock",), Stock):
        _check_material(reader, path, stock.material)
        for other in seen:
            if other.material == stock.material and abs(other.thickness_mm - stock.thickness_mm) < _SAME_MM:
                sheet = f"{stock.material} of {words.millimetres(stock.thickness_mm)}"
                reader.refuse(path, f"{sheet} again", "each sheet once")
                break
        seen.append(stock)


def _raw_names(reader: TableReader, lists: Iterable[Path]) -> list[tuple[Path, str]]:
    paths = [(*each, index) for each in lists for index in range(len(reader.raw(each, list)))]
    named = ((path, reader.raw((*path, "name"), str)) for path in paths)
    # Only sound names: these are printed in lists, and the reader has refused the others.
    return [(path, name) for path, name in named if re.fullmatch(NAME_PATTERN, name)]


def _names_once(
    reader: TableReader, lists: list[Path], where: str, reserved: Mapping[str, str] = _NOTHING_RESERVED
) -> None:
    first: dict[str, Path] = {}
    for path, name in _raw_names(reader, lists):
        here = (*path, "name")
        if name in reserved:
            wanted = f"another name: {words.quoted(name)} means {reserved[name]}"
            reader.refuse(here, f"the reserved name {words.quoted(name)}", wanted)
        elif name in first:
            line = reader.source.places.value((*first[name], "name")).line
            wanted = f"each name once {where}"
            reader.refuse(here, f"the name {words.quoted(name)} again", wanted, f"first used on line {line}")
        else:
            first[name] = path


def _folder_name(reader: TableReader, path: Path) -> None:
    name = reader.raw(path, str)
    if name in _DEVICE_NAMES:
        reader.refuse(path, f"the name {words.quoted(name)}", "a name every system can make a folder of")


def _check_panel(reader: TableReader, path: Path, panel: Panel) -> None:
    lists: list[Path] = [(*path, each) for each in PANEL_LISTS]
    _names_once(reader, lists, f"on the panel {words.quoted(panel.name)}", _RESERVED_DATUMS)
    check_outline(reader, (*path, "outline"), panel.outline)
    if panel.key_hole:
        known = [name for _, name in _raw_names(reader, [(*path, "existing")])]
        _known_name(reader, (*path, "key_hole"), panel.key_hole, known, "existing hole of this panel")
    for hole_path, hole in reader.items((*path, "hole"), HoleSpec):
        _check_position(reader, (*hole_path, "at"), hole.at, path, panel)
        check_hole(reader, hole_path, hole)
    for obstacle_path, obstacle in reader.items((*path, "obstacle"), Obstacle):
        check_obstacle(reader, obstacle_path, obstacle)
    for bead_path, bead in reader.items((*path, "bead"), Bead):
        if bead.start == bead.end:
            reader.refuse((*bead_path, "end"), "a bead of no length", "an end apart from its start")


def _known_name(reader: TableReader, path: Path, name: str, known: list[str], what: str) -> bool:
    if name in known:
        return True
    hint = words.suggestion(name, known)
    reader.refuse(path, f"the unknown name {words.quoted(name)}", f"an {what}: {words.listed(known)}", hint)
    return False


def _check_position(reader: TableReader, path: Path, position: Position, at: Path, panel: Panel) -> None:
    marks = datum_marks(panel)
    # A datum refused elsewhere is known by name; what it gives is not, so it is let pass here.
    refused = {name for _, name in _raw_names(reader, [(*at, "datum"), (*at, "existing")])} - set(marks)
    shared = ("" if position.u_from else "u") + ("" if position.v_from else "v")
    if position.from_ and not shared:
        reader.refuse((*path, "from"), "from beside both u_from and v_from", "two of the three", at_key=True)
    for key, name, axes in (
        ("from", position.from_, shared),
        ("u_from", position.u_from, "u"),
        ("v_from", position.v_from, "v"),
    ):
        if not name or name in refused:
            continue
        known = [*marks, *sorted(refused)]
        if not _known_name(reader, (*path, key), name, known, "existing hole, datum or edge of this panel"):
            continue
        for axis in axes:
            giving = datums_giving(panel, axis)
            if name not in giving:
                found = f"{words.quoted(name)}, a {marks[name].kind} datum, which gives no {axis}"
                hint = f"add {axis}_from" if key == "from" else ""
                reader.refuse((*path, key), found, f"a datum that gives {axis}: {words.listed(giving)}", hint)


def _check_mount(
    reader: TableReader,
    path: Path,
    mount: Mount,
    panels: Mapping[str, tuple[Path, Panel]],
    known: list[str],
) -> None:
    if _known_name(reader, (*path, "panel"), mount.panel, known, "existing panel") and mount.panel in panels:
        at, panel = panels[mount.panel]
        _check_position(reader, (*path, "at"), mount.at, at, panel)


def _check_folds(reader: TableReader, known: list[str]) -> None:
    seen: set[frozenset[str]] = set()
    for path, fold in reader.items(("fold",), Fold):
        here = (*path, "panels")
        for index, name in enumerate(fold.panels):
            _known_name(reader, (*here, index), name, known, "existing panel")
        pair = frozenset(fold.panels)
        if len(pair) < 2:
            reader.refuse(here, "a panel folded to itself", "two different panels")
        elif pair in seen:
            reader.refuse(here, "a fold between the same two panels again", "each pair of panels once")
        seen.add(pair)


def _check_material(reader: TableReader, path: Path, name: str) -> None:
    try:
        material(name)
    except LookupFault as fault:
        wanted = f"a material of the table: {words.listed(fault.known)}"
        hint = words.suggestion(name, fault.known)
        reader.refuse((*path, "material"), f"the unknown material {words.quoted(name)}", wanted, hint)
