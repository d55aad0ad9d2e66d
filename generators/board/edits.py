"""Changes of a spec's text from the page: one key each, everything else stays as it is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generators.board.numbers import SIZES, Refused, added, has_plain_steps, has_steps, quoted, stepped, typed
from generators.errors import LookupFault, PedalplateError
from generators.model.changes import Change, Mend, Shift
from generators.model.spec.fields import spec_fields
from generators.model.spec.forms.variant import Variant
from generators.model.spec.job import Job
from generators.reading.sizes.table import KEY, read_sizes
from generators.reading.sizes.terms import Find
from generators.reading.sizes.tokens import is_worked_out
from generators.reading.toml.edits import NOTHING, Setting, edited, line_of, text_at, value_at
from generators.reading.toml.named import spec_path
from generators.reading.toml.paths import Path, path_text
from generators.reading.toml.source import TomlSource, parse_bytes
from generators.solve.mends.numbers import quantity, written
from generators.solve.mends.shifts import carried, changes_of

FARTHEST_MM = 5000.0
MOST_STEPS = 1000
HAND = "other_hand"
"""What a mirrored variant is called that is added here."""
LONGEST_TITLE = next(field.spec.hi for field in spec_fields(Variant) if field.key == "title") or 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """The text after an edit, the values that changed, and what is said of it."""

    text: str
    settings: tuple[Setting, ...]
    words: str


def changed(source: TomlSource, job: Job | None, wish: Mapping[str, Any]) -> Changed:
    """The text with what the page asks for. ``job`` is the last that could be read, for moves by hand.

    ``wish`` is ``{"do": "set", "path": …, "text": …}``, ``{"do": "step", "path": …, "by": 1, "size": …}`` or
    ``{"do": "move", "thing": "part:hanger", "u": 3.0, "v": -1.5}`` in mm of its panel, or
    ``{"do": "carry", "thing": "clamp:upper", "by": [x, y, z]}`` in mm of the vehicle. Raises ``Refused`` for
    what cannot be done, in words.
    """
    try:
        settings = [*_settings(source, job, wish)]
        text = edited(source, settings)
        after = parse_bytes(source.file, text.encode())
    except Refused:
        raise
    except PedalplateError as error:
        raise Refused(str(error)) from error
    _require_only(source, after, settings)
    words = "; ".join(
        f"{path_text(one.path)} = {one.text}, was {text_at(source, one.path) or 'not there'}"
        for one in settings
    )
    return Changed(text=text, settings=tuple(settings), words=words)


def mirrored(source: TomlSource) -> Changed:
    """The text with one more variant, the vehicle seen in a mirror. Raises ``Refused`` where there is one."""
    variants = source.table.get("variant", [])
    known = [one for one in variants if isinstance(one, dict)] if isinstance(variants, list) else []
    if any(one.get("mirror") for one in known):
        raise Refused("the spec has a mirrored variant already")
    used = {one.get("name") for one in known}
    name = next(word for word in (HAND, *(f"{HAND}_{k}" for k in range(2, 1000))) if word not in used)
    head = source.table.get("job", {})
    title = f"{head.get('title', '')}, other hand" if isinstance(head, dict) else ""
    added = {"name": name, "title": title, "mirror": "vehicle"}
    if len(title) > LONGEST_TITLE:
        del added["title"]  # the job's own is printed
    rows = "\n".join(f"{key} = {quoted(value)}" for key, value in added.items())
    try:
        text = edited(source, [], [f"[[variant]]\n{rows}"])
        after = parse_bytes(source.file, text.encode()).table
    except PedalplateError:
        after = {}
    if after != {**source.table, "variant": [*known, added]}:
        raise Refused("its variants are written in a way that none can be added here: do it in the file")
    return Changed(text=text, settings=(), words=f"variant {name} added: the vehicle mirrored")


def mended(source: TomlSource, mend: Mend) -> Changed:
    """The text with a mend that was tried. Raises ``Refused`` where the spec's own file has no such place."""
    try:
        settings = [
            Setting(path=spec_path(source.table, one.path), text=one.text) for one in mend.edits if one.line
        ]
        text = edited(source, settings, [one.text for one in mend.edits if not one.line])
        parse_bytes(source.file, text.encode())
    except (PedalplateError, KeyError, IndexError, TypeError) as error:
        raise Refused("this change is to be made in the file by hand") from error
    return Changed(text=text, settings=tuple(settings), words=mend.words)


def _settings(source: TomlSource, job: Job | None, wish: Mapping[str, Any]) -> Iterator[Setting]:
    match wish:
        case {"do": "set", "path": str(path), "text": str(text)}:
            where, value = _there(source, path)
            yield Setting(path=where, text=typed(value, text, _find(source)))
        case {"do": "step", "path": str(path), "by": int(by), "size": str(size)} if size in SIZES:
            if not 0 < abs(by) <= MOST_STEPS:
                raise Refused("too many steps at once")
            where, value = _there(source, path)
            yield Setting(path=where, text=stepped(value, by, SIZES[SIZES.index(size)], _find(source)))
        case {"do": "move", "thing": str(thing), "u": int() | float() as u, "v": int() | float() as v}:
            if not (abs(u) <= FARTHEST_MM and abs(v) <= FARTHEST_MM):
                raise Refused("too far")
            if job is None:
                raise Refused("the spec has faults: mend them first, or type the number")
            try:
                changes = changes_of(Shift(thing=thing, u=float(u), v=float(v)), job, source.table)
            except (KeyError, StopIteration, IndexError):
                raise Refused("this cannot be moved on the picture: type its numbers") from None
            yield from (_moved(source, change) for change in changes)
        case {
            "do": "carry",
            "thing": str(thing),
            "by": [int() | float(), int() | float(), int() | float()] as by,
        }:
            if not all(abs(one) <= FARTHEST_MM for one in by):
                raise Refused("too far")
            try:
                changes = carried(thing, (float(by[0]), float(by[1]), float(by[2])), source.table)
            except (LookupFault, KeyError, StopIteration, IndexError):
                raise Refused("this stands on something: move it there, or type its numbers") from None
            yield from (_moved(source, change) for change in changes)
        case _:
            raise Refused("not understood")


def _find(source: TomlSource) -> Find:
    """What the sizes of the spec's own file stand for; their faults are told by its reader."""
    return read_sizes(source.table.get(KEY, {}), lambda *said: None).find


def _there(source: TomlSource, path: str) -> tuple[Path, Any]:
    # looked up rather than parsed: a key may be quoted
    found = [(where, value) for where, value in _leaves(source.table, ()) if path_text(where) == path]
    if len(found) != 1:
        raise Refused(f"the spec has no value {path}")
    return found[0]


def _moved(source: TomlSource, change: Change) -> Setting:
    """A coordinate moved, to what can be set by hand: 0.1 mm, or 1/32 in where inches are fractions."""
    path = spec_path(source.table, change.path)
    value = value_at(source, path)
    if value is NOTHING:
        return Setting(path=path, text=quoted(written(change.start + (change.by or 0.0), "mm", "", "near")))
    if not isinstance(value, str) or change.by is None:
        raise Refused(f"{path_text(path)} is no length: type it")
    if is_worked_out(value, sizes=bool({"sizes", "use"} & source.table.keys())):
        return Setting(path=path, text=quoted(added(value, change.by)))
    return Setting(path=path, text=quoted(written(quantity(value, "mm") + change.by, "mm", value, "near")))


def _require_only(before: TomlSource, after: TomlSource, settings: Sequence[Setting]) -> None:
    """Nothing but what was asked for reads otherwise. Raises ``Refused``."""
    wanted = {one.path for one in settings}
    if not wanted:
        raise Refused("nothing to change")
    found = {*differing(before.table, after.table)}
    if not found <= wanted:
        raise Refused("this value is written in a way that cannot be changed here: change it in the file")


def differing(one: Any, two: Any, path: Path = ()) -> Iterator[Path]:
    """Paths at which two tables read otherwise."""
    if isinstance(one, dict) and isinstance(two, dict):
        for key in {**one, **two}:
            yield from differing(one.get(key, NOTHING), two.get(key, NOTHING), (*path, key))
    elif isinstance(one, list) and isinstance(two, list) and len(one) == len(two):
        for index, (a, b) in enumerate(zip(one, two, strict=True)):
            yield from differing(a, b, (*path, index))
    elif type(one) is not type(two) or one != two:
        yield path


def values_of(source: TomlSource) -> list[dict[str, Any]]:
    """Every value of a spec with its path, as it is written, and the line it stands in."""
    find = _find(source)
    sized = bool({KEY, "use"} & source.table.keys())
    return [
        {
            "path": path_text(path),
            "text": _shown(value),
            "line": line_of(source, path),
            "steps": has_steps(value, find) if sized else has_plain_steps(value),
        }
        for path, value in _leaves(source.table, ())
    ]


def _shown(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _leaves(data: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _leaves(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _leaves(value, (*path, index))
    elif isinstance(data, str | int | float | bool):
        yield path, data
