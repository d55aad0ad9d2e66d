"""From a path with names to the keys of the spec as it is written, whatever brings the thing named."""

from __future__ import annotations

import re
from typing import Any

from generators.errors import LookupFault
from generators.reading.toml.paths import Path

_STEP = re.compile(r"([A-Za-z0-9_-]+)|\[([^\]]+)\]")
_MEMBER = re.compile(r"(.+)_([1-9][0-9]*)")
_OF_PART = ("parameters", "inside_radius", "thickness", "material", "edge_fillet", "lightening", "fillet")
"""Keys of a part that its opposite hand shares."""


def spec_path(table: dict[str, Any], text: str) -> Path:
    """``part[hanger].mount.at.u`` as keys and numbers. Raises ``LookupFault`` for a name that is not there.

    The opposite hand of a part, the clamps of a row and the holes of a shared pattern are found where the
    spec writes them.
    """
    path: list[str | int] = []
    here: Any = table
    for key, name in _STEP.findall(text):
        if not name:
            if path[-1:] == ["opposite"] and key in _OF_PART:
                path.pop()
                here = _at(table, path)
            path.append(key)
            here = here.get(key) if isinstance(here, dict) else None
            continue
        path = _entry(table, path, here, name)
        here = _at(table, path)
    return tuple(path)


def named_path(table: dict[str, Any], path: Path) -> str:
    """A path as it is printed: entries of lists by the name they have in the spec, else by number."""
    text = ""
    here: Any = table
    for step in path:
        here = here[step] if isinstance(here, list) or step in (here or {}) else None
        if isinstance(step, str):
            text += f"{'.' if text else ''}{step}"
            continue
        entry = here if isinstance(here, dict) else {}
        text += f"[{entry.get('label') or entry.get('name') or entry.get('hose') or step}]"
    return text


def _at(table: dict[str, Any], path: list[str | int]) -> Any:
    here: Any = table
    for step in path:
        here = here[step]
    return here


def _entry(table: dict[str, Any], path: list[str | int], here: Any, name: str) -> list[str | int]:
    """The path of the entry of that name in the list at ``path``, or where the spec writes it instead."""
    entries = here if isinstance(here, list) else []
    named = [entry for entry in entries if isinstance(entry, dict)]
    for index, entry in enumerate(named):
        # a line of a pedal goes by its hose, the holes of a pattern by their label
        if name in (entry.get("name"), entry.get("hose"), entry.get("label")):
            return [*path, index]
    if path == ["part"]:
        for index, entry in enumerate(named):
            if isinstance(entry.get("opposite"), dict) and entry["opposite"].get("name") == name:
                return [*path, index, "opposite"]
    if path == ["clamp"]:
        return ["clamp_row", row_of(table, name)]
    if name.isdecimal() and int(name) < len(entries) and _nameless(entries[int(name)]):
        return [*path, int(name)]
    raise LookupFault(str(path[-1]) if path else "table", name, [str(entry.get("name")) for entry in named])


def _nameless(entry: Any) -> bool:
    """True for a value, or a table without a name to be found by: a pipe of a pedal's line."""
    return not (isinstance(entry, dict) and any(entry.get(key) for key in ("name", "hose", "label")))


def row_of(table: dict[str, Any], clamp: str) -> int:
    """The number of the row a clamp belongs to. Raises ``LookupFault`` for a clamp of none."""
    match = _MEMBER.fullmatch(clamp)
    rows = table.get("clamp_row", [])
    for index, row in enumerate(rows if match else []):
        if match and row.get("name") == match[1]:
            return index
    raise LookupFault("clamp", clamp, [])


def pattern_of(panel: dict[str, Any], hole: str) -> int:
    """The number of the shared pattern of a panel that drills a hole. Raises ``LookupFault`` for none."""
    match = _MEMBER.fullmatch(hole)
    for index, use in enumerate(panel.get("pattern", []) if match else []):
        if match and match[1] == (use.get("label") or use.get("name")):
            return index
    raise LookupFault("hole", hole, [])
