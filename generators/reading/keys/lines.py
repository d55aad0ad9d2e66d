"""What hoses, clamps and components say of each other, of panels and of parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from generators.errors import LookupFault
from generators.model.spec.job import Panel, PartSpec
from generators.model.spec.lines import Clamp, ClampRow, Component, Hose, Spot
from generators.model.words import FASTENERS
from generators.reading.keys.hole_kinds import check_bolt, check_thread
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.standards import bulkhead, fastener, hose_size

BULKHEAD_PORTS = ("cab", "engine")
FITTED = ("part", "component", "clamp", "clamp_row", "hose")
"""The lists whose items `after` may name: what somebody fits."""


def check_lines(reader: TableReader, names: Mapping[str, Sequence[str]]) -> None:
    """Report names that lead nowhere, ports used twice, and sizes no table has.

    ``names`` gives the sound names of the lists ``panel`` and those of ``FITTED``.
    """
    panels = {panel.name: panel for _, panel in reader.items(("panel",), Panel)}
    fitted = [name for each in FITTED for name in names[each]]
    components = {c.name: c for _, c in reader.items(("component",), Component)}
    for path, part in reader.items(("part",), PartSpec):
        _check_after(reader, path, part.after, part.name, fitted)
    for path, component in reader.items(("component",), Component):
        _check_spot(reader, (*path, "on"), component.on, names, panels)
        _check_after(reader, path, component.after, component.name, fitted)
        _check_bulkhead(reader, path, component, panels)
        _check_ports(reader, path, component)
    for path, clamp in reader.items(("clamp",), Clamp):
        _check_spot(reader, (*path, "on"), clamp.on, names, panels)
        _check_held(reader, path, clamp, panels)
        _check_after(reader, path, clamp.after, clamp.name, fitted)
    for path, row in reader.items(("clamp_row",), ClampRow):
        _check_row(reader, path, row, names, panels)
        _check_row_place(reader, path, row)
        _check_after(reader, path, row.after, row.name, fitted)
    clamps = [
        *names["clamp"],
        *names["clamp_row"],
        *(n for _, row in reader.items(("clamp_row",), ClampRow) for n in row_names(row)),
    ]
    used: dict[str, int] = {}
    for path, hose in reader.items(("hose",), Hose):
        _check_end(reader, (*path, "from"), hose.from_, names["component"], components, used)
        _check_end(reader, (*path, "to"), hose.to, names["component"], components, used)
        for index, name in enumerate(hose.clamps):
            _known(reader, (*path, "clamps", index), name, clamps, "a clamp of this job")
        _check_after(reader, path, hose.after, hose.name, fitted)
        _check_size(reader, path, hose)


def row_names(row: ClampRow) -> tuple[str, ...]:
    """Names of the clamps of a row, and of their holes."""
    return tuple(f"{row.name}_{index + 1}" for index in range(row.count))


def split_port(text: str) -> tuple[str, str]:
    """``component.port`` apart; the port is empty without a point."""
    component, _, port = text.partition(".")
    return component, port


def port_names(component: Component) -> tuple[str, ...]:
    """Names of a component's ports."""
    if component.kind == "bulkhead":
        return BULKHEAD_PORTS
    return tuple(port.name for port in component.port)


def _known(reader: TableReader, path: Path, name: str, known: Iterable[str], what: str) -> bool:
    names = list(known)
    if name in names:
        return True
    hint = words.suggestion(name, names)
    reader.refuse(path, f"the unknown name {words.quoted(name)}", f"{what}: {words.listed(names)}", hint)
    return False


def _hole_names(panel: Panel, rows: Iterable[ClampRow]) -> list[str]:
    names = [hole.name for hole in panel.hole] + [hole.name for hole in panel.existing]
    return names + [name for row in rows if row.panel == panel.name for name in row_names(row)]


def _check_spot(
    reader: TableReader,
    path: Path,
    spot: Spot,
    names: Mapping[str, Sequence[str]],
    panels: Mapping[str, Panel],
) -> None:
    # the holes of a part are known when it is planned, and looked up there
    if spot.part:
        _known(reader, (*path, "part"), spot.part, names["part"], "a part of this job")
    if not spot.panel:
        return
    if not _known(reader, (*path, "panel"), spot.panel, names["panel"], "a panel of this job"):
        return
    panel = panels.get(spot.panel)
    if panel is None:
        return
    rows = [row for _, row in reader.items(("clamp_row",), ClampRow)]
    for index, name in enumerate(spot.holes):
        _known(
            reader,
            (*path, "holes", index),
            name,
            _hole_names(panel, rows),
            f"a hole of the panel {words.quoted(panel.name)}",
        )


def _check_bulkhead(
    reader: TableReader, path: Path, component: Component, panels: Mapping[str, Panel]
) -> None:
    if component.kind != "bulkhead" or component.dash is None:
        return
    try:
        bulkhead(component.dash)
    except LookupFault as fault:
        wanted = f"a size of the table of bulkhead fittings: {words.listed(fault.known)}"
        reader.refuse((*path, "dash"), f"the dash size {component.dash}", wanted)
    panel = panels.get(component.on.panel)
    if component.place == "best" and panel is not None:
        existing = [hole.name for hole in panel.existing]
        if component.on.holes[0] in existing:
            found = f"the best place of {words.quoted(component.on.holes[0])}, which is there already"
            reader.refuse((*path, "place"), found, "a hole that is still to be drilled")
    hole = next((h for h in panel.hole if h.name in component.on.holes), None) if panel else None
    if hole is not None and (hole.kind != "bulkhead" or hole.dash != component.dash):
        found = f"a -{component.dash} bulkhead fitting in the {hole.kind} hole {words.quoted(hole.name)}"
        found += f" of -{hole.dash}" if hole.dash else ""
        reader.refuse((*path, "on", "holes"), found, "a hole for a bulkhead fitting of the same size")


def _check_ports(reader: TableReader, path: Path, component: Component) -> None:
    seen: set[str] = set()
    for index, port in enumerate(component.port):
        if port.name in seen:
            reader.refuse(
                (*path, "port", index, "name"), f"the name {words.quoted(port.name)} again", "each port once"
            )
        seen.add(port.name)


def _check_after(
    reader: TableReader, path: Path, after: Sequence[str], own: str, fitted: Sequence[str]
) -> None:
    for index, name in enumerate(after):
        here = (*path, "after", index)
        if name == own:
            reader.refuse(here, f"its own name {words.quoted(name)}", "something fitted before it")
        else:
            _known(reader, here, name, fitted, "a part, component, clamp or hose of this job")


def _check_row(
    reader: TableReader,
    path: Path,
    row: ClampRow,
    names: Mapping[str, Sequence[str]],
    panels: Mapping[str, Panel],
) -> None:
    if not row.panel or not _known(
        reader, (*path, "panel"), row.panel, names["panel"], "a panel of this job"
    ):
        return
    panel = panels.get(row.panel)
    if panel is None:
        return
    if row.fastener == "bolt":
        check_thread(reader, path, row.thread, row.fit)
    elif check_bolt(reader, (*path, "thread"), row.thread) and row.hole_mm is not None:
        major = fastener(row.thread).major_mm
        if row.hole_mm <= major:
            wanted = f"wider than the {words.millimetres(major)} thread {row.thread}"
            reader.refuse((*path, "hole"), f"an insert's hole of {words.millimetres(row.hole_mm)}", wanted)
    if row.along:
        beads = [bead.name for bead in panel.bead]
        _known(reader, (*path, "along"), row.along, beads, f"a bead of the panel {words.quoted(panel.name)}")
    taken = {hole.name for hole in panel.hole} | {hole.name for hole in panel.existing}
    for name in row_names(row):
        if name in taken:
            wanted = f"a name whose {words.quoted(name)} is free on the panel {words.quoted(panel.name)}"
            reader.refuse((*path, "name"), f"the name {words.quoted(row.name)}", wanted)
            return


def _check_row_place(reader: TableReader, path: Path, row: ClampRow) -> None:
    if row.place == "best" and not any(row.name in hose.clamps for _, hose in reader.items(("hose",), Hose)):
        found = f"the best place of {words.quoted(row.name)}, which no hose goes through"
        reader.refuse((*path, "place"), found, "a row that a hose names in its clamps")


def _check_end(
    reader: TableReader,
    path: Path,
    text: str,
    names: Sequence[str],
    components: Mapping[str, Component],
    used: dict[str, int],
) -> None:
    name, port = split_port(text)
    if not _known(reader, path, name, names, "component.port, with a component of this job"):
        return
    component = components.get(name)
    if component is None:
        return
    if not _known(
        reader, path, port, port_names(component), f"a port of {words.quoted(name)} after the point"
    ):
        return
    if text in used:
        line = used[text]
        reader.refuse(
            path, f"the port {words.quoted(text)} again", "each port once", f"first used on line {line}"
        )
    else:
        used[text] = reader.source.places.value(path).line


def _check_held(reader: TableReader, path: Path, clamp: Clamp, panels: Mapping[str, Panel]) -> None:
    """Report a clamp held by something else than its hole is for, and a thread no bolt has."""
    if clamp.thread:
        check_bolt(reader, (*path, "thread"), clamp.thread)
    panel = panels.get(clamp.on.panel)
    if panel is not None and clamp.fastener != "grommet":
        kinds = {hole.name: hole.kind for hole in panel.hole}
        for index, name in enumerate(clamp.on.holes):
            kind = kinds.get(name)
            if kind in FASTENERS and kind != clamp.fastener:
                found = f"{words.quoted(name)}, a hole of kind {kind}, for a clamp held by {clamp.fastener}"
                wanted = f'a hole of kind {clamp.fastener}, or fastener = "{kind}"'
                reader.refuse((*path, "on", "holes", index), found, wanted)
    if clamp.fastener != "grommet" or panel is None:
        return
    holes = [hole.name for hole in panel.hole if hole.kind in ("grommet", "plain")]
    holes += [hole.name for hole in panel.existing]
    if clamp.on.holes[0] in {hole.name for hole in panel.hole} - set(holes):
        found = f"a grommet in {words.quoted(clamp.on.holes[0])}"
        reader.refuse((*path, "on", "holes"), found, f"a grommet or an existing hole: {words.listed(holes)}")


def _check_size(reader: TableReader, path: Path, hose: Hose) -> None:
    if hose.kind == "rigid" or (hose.radius_mm is not None and hose.outside_mm is not None):
        return
    try:
        hose_size(hose.dash)
    except LookupFault as fault:
        wanted = f"a size of the hose table: {words.listed(fault.known)}"
        reader.refuse((*path, "dash"), f"the dash size {hose.dash}", wanted, "or give outside and radius")
