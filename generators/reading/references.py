"""What one table says of another: names that must be there, and names that must not be twice.

Names are gathered from the text as it stands, so that a table refused for another reason does
not make everything that refers to it look wrong as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from generators.errors import LookupFault
from generators.model.spec.fields import NAME_PATTERN
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import (
    ExistingHole,
    Fold,
    HoleSpec,
    Mount,
    Obstacle,
    Panel,
    PanelPattern,
    PartSpec,
    Position,
)
from generators.model.spec.load import Bead
from generators.model.spec.shop import PaperPrinter, Stock
from generators.reading.folder_names import refuse_device_name
from generators.reading.keys.bending.folder import check_folder
from generators.reading.keys.bending.press import check_brake
from generators.reading.keys.cutting import check_cutting, check_template_layers
from generators.reading.keys.datums import EDGES, datum_marks, datums_giving
from generators.reading.keys.hole_kinds import check_hole, check_obstacle, check_outline
from generators.reading.keys.lines import FITTED, check_lines
from generators.reading.keys.loads import check_loads
from generators.reading.keys.patterns import check_patterns
from generators.reading.keys.pedals import check_pedals
from generators.reading.keys.rack import check_rack
from generators.reading.keys.selling import check_kit, check_labels
from generators.reading.keys.spread import check_spread
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.standards import material

PANEL_LISTS = ("datum", "existing", "hole", "obstacle", "bead")
"""The lists of a panel whose names share one space: a name means one thing on one panel."""

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
    refuse_device_name(reader, ("job", "name"))
    # panels and parts share one name space: folders, --only and the assembly's nodes go by name
    # and so do the things that are fitted: the order of work calls them by name
    named = ("panel", *FITTED, "obstacle")
    _names_once(reader, [(each,) for each in named], f"among {words.listed(named)} tables", _RESERVED_PARTS)
    _names_once(reader, [("pedal",)], "among the pedals")
    _names_once(reader, [("load",)], "among the load cases")
    _panel_titles_once(reader)
    for path, panel in reader.items(("panel",), Panel):
        _check_panel(reader, path, panel)
    names = [name for _, name in _raw_names(reader, [("panel",)])]
    _check_folds(reader, names)
    check_patterns(reader, len(reader.raw(("panel",), list)))
    check_kit(reader)
    panels = {panel.name: (path, panel) for path, panel in reader.items(("panel",), Panel)}
    made = [name for _, name in _raw_names(reader, [("part",)])]
    made += [part.opposite.name for _, part in reader.items(("part",), PartSpec) if part.opposite is not None]
    for path, _ in reader.items(("panel",), Panel):
        for hole_path, hole in reader.items((*path, "existing"), ExistingHole):
            if hole.length_mm is not None and hole.length_mm <= hole.diameter_mm:
                found = f"a slot {words.millimetres(hole.length_mm)} long"
                wanted = f"more than its width of {words.millimetres(hole.diameter_mm)}"
                reader.refuse((*hole_path, "length"), found, wanted, "leave length out of a round hole")
            if hole.serves:
                _known_name(reader, (*hole_path, "serves"), hole.serves, made, "existing part")
            _check_served(reader, hole_path, hole)
        _check_served_once(reader, path)
    for path, part in reader.items(("part",), PartSpec):
        _check_material(reader, path, part.material)
        if part.mount is not None:
            _check_mount(reader, (*path, "mount"), part.mount, panels, names)
        if part.opposite is not None and part.opposite.mount is not None:
            _check_mount(reader, (*path, "opposite", "mount"), part.opposite.mount, panels, names)
    check_loads(
        reader,
        [name for _, name in _raw_names(reader, [("part",)])],
        [name for _, name in _raw_names(reader, [("pedal",)])],
    )
    for path, pedal in reader.items(("pedal",), Pedal):
        if pedal.arm_material:
            _check_material(reader, path, pedal.arm_material, "arm_material")
    check_pedals(
        reader,
        {name: reader.raw((*path[:2], "kind"), str) for path, name in _raw_names(reader, [("part",)])},
    )
    check_lines(
        reader, {each: [name for _, name in _raw_names(reader, [(each,)])] for each in ("panel", *FITTED)}
    )
    for index in range(len(reader.raw(("panel",), list))):
        refuse_device_name(reader, ("panel", index, "name"))
    for index in range(len(reader.raw(("part",), list))):
        refuse_device_name(reader, ("part", index, "name"))
        refuse_device_name(reader, ("part", index, "opposite", "name"))
    check_spread(reader)


def _check_served(reader: TableReader, path: Path, hole: ExistingHole) -> None:
    """Report what is said of a part's hole that lies on an existing one, and does not hold together."""
    if not hole.serves_hole:
        if hole.open_to_mm is not None:
            wanted = "`serves` and `serves_hole`: the part and its hole that it is opened for"
            reader.refuse((*path, "open_to"), "a diameter to open to", wanted)
        return
    if not hole.serves:
        reader.refuse((*path, "serves_hole"), "a hole of no part", "`serves`: the part it is a hole of")
    if hole.action != "reuse":
        wanted = '"reuse": a bolt of the part goes through it'
        reader.refuse((*path, "action"), words.quoted(hole.action), wanted)
    if hole.open_to_mm is not None and hole.open_to_mm <= hole.diameter_mm:
        wanted = f"more than the {words.millimetres(hole.diameter_mm)} it has"
        reader.refuse((*path, "open_to"), words.millimetres(hole.open_to_mm), wanted)


def _check_served_once(reader: TableReader, panel: Path) -> None:
    """Report two holes that were drilled for one hole of a part."""
    first: set[tuple[str, str]] = set()
    for path, hole in reader.items((*panel, "existing"), ExistingHole):
        served = (hole.serves, hole.serves_hole)
        if hole.serves_hole and served in first:
            reader.refuse((*path, "serves_hole"), f"{hole.serves}.{hole.serves_hole} again", "each hole once")
        first.add(served)


def check_shop(reader: TableReader) -> None:
    """Report unknown materials, sheets listed twice, and a cutting profile that contradicts itself."""
    check_cutting(reader)
    check_template_layers(reader)
    check_brake(reader)
    check_folder(reader)
    check_rack(reader)
    check_labels(reader)
    seen: list[Stock] = []
    for path, stock in reader.items(("stock",), Stock):
        _check_material(reader, path, stock.material)
        for other in seen:
            if other.material == stock.material and abs(other.thickness_mm - stock.thickness_mm) < _SAME_MM:
                sheet = f"{stock.material} of {words.millimetres(stock.thickness_mm)}"
                reader.refuse(path, f"{sheet} again", "each sheet once")
                break
        seen.append(stock)
    printers: set[str] = set()
    for path, printer in reader.items(("paper_printer",), PaperPrinter):
        if printer.name in printers:
            reader.refuse((*path, "name"), f"{words.quoted(printer.name)} again", "each printer once")
        printers.add(printer.name)


def _raw_names(reader: TableReader, lists: Iterable[Path]) -> list[tuple[Path, str]]:
    tables = [(*each, index) for each in lists for index in range(len(reader.raw(each, list)))]
    # a part may name its other hand, which is a part too
    paths = [path for table in tables for path in (table, (*table, "opposite"))]
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


def _panel_titles_once(reader: TableReader) -> None:
    """Sheets and steps tell panels apart by their titles alone."""
    first: dict[str, Path] = {}
    for path, panel in reader.items(("panel",), Panel):
        title, here = " ".join(panel.title.split()).casefold(), (*path, "title")
        if title in first:
            line = reader.source.places.value(first[title]).line
            found = f"the title {words.quoted(panel.title)} again"
            wanted = "each title once among the panels: their sheets are told apart by it"
            reader.refuse(here, found, wanted, f"first used on line {line}")
        else:
            first[title] = here


def _check_panel(reader: TableReader, path: Path, panel: Panel) -> None:
    lists: list[Path] = [(*path, each) for each in PANEL_LISTS]
    _names_once(reader, lists, f"on the panel {words.quoted(panel.name)}", _RESERVED_DATUMS)
    check_outline(reader, (*path, "outline"), panel.outline)
    if panel.witness_hole:
        known = [name for _, name in _raw_names(reader, [(*path, "existing")])]
        _known_name(reader, (*path, "witness_hole"), panel.witness_hole, known, "existing hole of this panel")
    for use_path, use in reader.items((*path, "pattern"), PanelPattern):
        _check_position(reader, (*use_path, "at"), use.at, path, panel)
    _check_labels(reader, path)
    for hole_path, hole in reader.items((*path, "hole"), HoleSpec):
        _check_position(reader, (*hole_path, "at"), hole.at, path, panel)
        check_hole(reader, hole_path, hole)
    for obstacle_path, obstacle in reader.items((*path, "obstacle"), Obstacle):
        check_obstacle(reader, obstacle_path, obstacle)
    for bead_path, bead in reader.items((*path, "bead"), Bead):
        if bead.start == bead.end:
            reader.refuse((*bead_path, "end"), "a bead of no length", "an end apart from its start")


def _check_labels(reader: TableReader, path: Path) -> None:
    """Holes of patterns are called ``label_1``, ``label_2``…: no two may come out the same."""
    taken = [name for _, name in _raw_names(reader, [(*path, each) for each in PANEL_LISTS])]
    seen: set[str] = set()
    for use_path, use in reader.items((*path, "pattern"), PanelPattern):
        label = use.label or use.name
        same = [n for n in taken if n.startswith(f"{label}_") and n.removeprefix(f"{label}_").isdecimal()]
        if label in seen or same:
            found = f"holes {words.quoted(same[0] if same else label + '_1')} again"
            reader.refuse(use_path, found, "a label of its own for each use", 'add label = "…"')
        seen.add(label)


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


def _check_material(reader: TableReader, path: Path, name: str, key: str = "material") -> None:
    try:
        material(name)
    except LookupFault as fault:
        wanted = f"a material of the table: {words.listed(fault.known)}"
        hint = words.suggestion(name, fault.known)
        reader.refuse((*path, key), f"the unknown material {words.quoted(name)}", wanted, hint)
