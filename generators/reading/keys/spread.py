"""What the rows of ``[spread]`` name, and with which of its keys each says how far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from generators.model.spec.forms.spread import BY_SHARE, BY_TURN, SpreadInput, SpreadOf
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader

_TABLE = ("spread",)
_LISTS: Mapping[SpreadOf, str] = {"existing": "existing", "hole_size": "existing", "obstacle": "obstacle"}
_NAMED: Mapping[SpreadOf, str] = {
    "panel_angle": "panel",
    "paper": "panel",
    "print_scale": "panel",
    "drill": "panel",
    "component": "component",
    "cut": "part",
    "bend_angle": "part",
    "hose_length": "hose",
}


def check_spread(reader: TableReader) -> None:
    """Report a row without its figure or with another kind's, things that are not there, a thing twice."""
    seen: dict[tuple[SpreadOf, str], int] = {}
    for index, (path, row) in enumerate(reader.items((*_TABLE, "input"), SpreadInput)):
        _check_figure(reader, path, row)
        known = _known(reader, row.of)
        for place, name in enumerate(row.things):
            at = (*path, "things", place)
            if name not in known:
                hint = words.suggestion(name, known)
                wanted = f"one of {words.listed(known)}" if known else f"nothing: the spec has no {row.of}"
                reader.refuse(at, f"the unknown name {words.quoted(name)}", wanted, hint)
            elif (row.of, known[name]) in seen:
                reader.refuse(at, f"{words.quoted(name)} again", f"each thing once of {row.of}")
            seen[row.of, known.get(name, name)] = index
        if not row.things and (row.of, "") in seen:
            reader.refuse((*path, "of"), f"all of {row.of} again", "one row without `things` of a kind")
        if not row.things:
            seen[row.of, ""] = index


def _check_figure(reader: TableReader, path: Path, row: SpreadInput) -> None:
    given = {"off": row.off_mm, "turn": row.turn_rad, "share": row.share}
    wanted = "turn" if row.of in BY_TURN else "share" if row.of in BY_SHARE else "off"
    if given[wanted] is None:
        reader.refuse(path, f"{row.of} without `{wanted}`", f"`{wanted}`: how far it varies")
    for name, value in given.items():
        if name != wanted and value is not None:
            reader.refuse((*path, name), f"`{name}` of {row.of}", f"`{wanted}`, by which {row.of} varies")


def _known(reader: TableReader, of: SpreadOf) -> dict[str, str]:
    """Names a row may use, each with the whole name it stands for."""
    if of in _NAMED:
        return {name: name for name in _names(reader, (_NAMED[of],))}
    out: dict[str, str] = {}
    twice: set[str] = set()
    for index in range(len(reader.raw(("panel",), list))):
        panel = reader.raw(("panel", index, "name"), str)
        for name in _names(reader, ("panel", index, _LISTS[of])):
            twice |= {name} & set(out)
            out[name] = f"{panel}.{name}"
            out[f"{panel}.{name}"] = f"{panel}.{name}"
    if of == "obstacle":
        out |= {name: name for name in _names(reader, ("obstacle",))}
    return {name: whole for name, whole in out.items() if name not in twice}


def _names(reader: TableReader, table: Sequence[str | int]) -> list[str]:
    rows = range(len(reader.raw(tuple(table), list)))
    return [name for index in rows if (name := reader.raw((*table, index, "name"), str))]
