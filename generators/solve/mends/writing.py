"""A proposal written into the text of a spec: what is typed, and the text it gives."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from generators.errors import LookupFault, PedalplateError
from generators.model.changes import Change, Edit, Insert, NewTable, Proposal, Shift, Step, in_order
from generators.model.spec.job import Job
from generators.model.spec.shelf.things import TAKEN_BY
from generators.model.words import STOP_WORDS, other_hand
from generators.reading.sizes.tokens import LONGEST
from generators.reading.toml.edits import (
    NOTHING,
    Setting,
    edited,
    lent_at,
    line_of,
    new_key,
    text_at,
    value_at,
)
from generators.reading.toml.named import named_path, row_of, spec_path
from generators.reading.toml.paths import Path
from generators.reading.toml.source import TomlSource
from generators.solve.mends.numbers import quantity, written
from generators.solve.mends.shifts import changes_of

_ACROSS = re.compile(
    r"\.u$|_side$|\.side$|(on\.(at|toward)|start_at|end_at|pivot|seat_at|axis_to|origin|body_at)\[1\]$"
    r"|^clamp_row\[[^]]*\]\.(start|end)\[0\]$|^clamp_row\[[^]]*\]\.offset$"
)
"""Keys that lie across the vehicle: a mirror image has them the other way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A proposal as it is typed, and the spec's text with it."""

    proposal: Proposal
    words: str
    edits: tuple[Edit, ...]
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Typed:
    edit: Edit
    setting: Setting | None = None
    moved: str = ""


def draft(proposal: Proposal, source: TomlSource, job: Job) -> Draft | None:
    """The proposal in the text of the spec; None where it changes nothing there."""
    typed: dict[object, _Typed] = {}
    try:
        for step in _plain(proposal.steps, source, job):
            one = _typed(step, source, typed)
            # a value given twice is typed once, as it is in the end
            typed[len(typed) if one.setting is None else one.setting.path] = one
        if not typed or all(one.edit.text == (one.edit.was or one.edit.lent) for one in typed.values()):
            return None
        text = edited(
            source,
            [one.setting for one in typed.values() if one.setting is not None],
            [one.edit.text for one in typed.values() if one.setting is None],
        )
    except PedalplateError:
        # a path, a unit or a table that this spec writes in another way: no change to propose
        return None
    moved = next((one.moved for one in typed.values() if one.moved), "")
    edits = in_order([one.edit for one in typed.values()])
    words = proposal.words.replace("{by}", moved)
    return Draft(proposal=proposal, words=words, edits=edits, text=text)


def _plain(steps: Sequence[Step], source: TomlSource, job: Job) -> Iterator[Change | Insert | NewTable]:
    """Steps in the keys of the spec, in its own hand where the job is the mirror image of what it writes."""
    for step in steps:
        if isinstance(step, Shift):
            for change in changes_of(step, job, source.table):
                yield as_written(change) if source.mirror else change
        elif source.mirror:
            yield as_written(step)
        else:
            yield step


def as_written(step: Change | Insert | NewTable) -> Change | Insert | NewTable:
    """A step asked of a mirrored job as the spec writes it. Raises ``LookupFault`` for a new table."""
    if isinstance(step, NewTable):
        raise LookupFault("table without places", step.kind, [])
    if isinstance(step, Insert):
        return step
    if isinstance(step.word, str):
        return replace(step, word=other_hand(step.word))
    if not _ACROSS.search(step.path):
        return step
    return replace(
        step,
        by=None if step.by is None else -step.by,
        to=None if step.to is None else -step.to,
        start=-step.start,
        rounding={"up": "down", "down": "up"}.get(step.rounding, step.rounding),  # type: ignore[arg-type]
    )


def _typed(step: Change | Insert | NewTable, source: TomlSource, so_far: Mapping[object, _Typed]) -> _Typed:
    if isinstance(step, NewTable):
        lines = [f"[[{step.kind}]]", *(f"{key} = {text}" for key, text in step.keys)]
        return _Typed(edit=Edit(path=step.kind, text="\n".join(lines), was="", line=0))
    path = spec_path(source.table, step.path)
    if isinstance(step, Change):
        text, moved = _value(step, value_at(source, path))
        if path in source.worked:
            text = _kept(step, source.worked[path], str(value_at(source, path)), text)
        return _one(path, text, source, moved)
    there = value_at(source, path)
    names = list(there) if isinstance(there, list) else []
    if path in so_far:
        names = json.loads(so_far[path].edit.text)
    names.insert(_index(names, step.before, source), step.name)
    return _one(path, f"[{', '.join(json.dumps(name) for name in names)}]", source)


def _one(path: Path, text: str, source: TomlSource, moved: str = "") -> _Typed:
    lent = lent_at(source, path)
    was = text_at(source, path)
    into, key, braces = ((), "", False) if was else new_key(source, path)
    head = source.places.header(into) if into else None
    edit = Edit(
        path=named_path(source.table, path),
        text=text,
        was=was,
        line=line_of(source, path) if head is None else head.line,
        lent=lent,
        key=key,
        into=named_path(source.table, into),
        braces=braces,
        thing=_bought(source, path) if lent and lent != text else "",
    )
    return _Typed(edit=edit, setting=Setting(path=path, text=text), moved=moved)


def _bought(source: TomlSource, path: Path) -> str:
    """The thing of the shelf a value was measured on; empty for an opening of a part made for it."""
    if path[0] == "part":
        return ""
    tables = (value_at(source, path[:k]) for k in range(len(path) - 1, 0, -1))
    named = (table.get(key) for table in tables if isinstance(table, dict) for key in TAKEN_BY)
    return next((name for name in named if isinstance(name, str)), "")


def _index(names: list[Any], before: str, source: TomlSource) -> int:
    if not before:
        return len(names)
    if before in names:
        return names.index(before)
    return names.index(source.table["clamp_row"][row_of(source.table, before)]["name"])


def _kept(change: Change, written_as: str, was: str, text: str) -> str:
    """Arithmetic with what the new value differs by after it: what the value comes from stays.

    Raises ``LookupFault`` where that would be longer than a value may be, or the new one is a word.
    """
    new = json.loads(text)
    if change.word is not None or not isinstance(new, str):
        raise LookupFault("quantity", change.path, [])
    far = quantity(new, change.unit) - quantity(was, change.unit)
    if not far:
        return json.dumps(written_as, ensure_ascii=False)
    sign = "+" if far > 0 else "-"
    joined = f"{written_as} {sign} {written(abs(far), change.unit, '', 'exact')}"
    if len(joined) > LONGEST:
        raise LookupFault("room for a change", change.path, [])
    return json.dumps(joined, ensure_ascii=False)


def _value(change: Change, there: Any) -> tuple[str, str]:
    """TOML text of the new value, and how far it moved in words."""
    if change.word is not None:
        return json.dumps(change.word, ensure_ascii=False), ""
    # a word such as the floor gives way to a length
    worded = there in STOP_WORDS and change.to is not None
    was = there if isinstance(there, str) and not worded else ""
    old = quantity(was, change.unit) if was else change.start
    if there is not NOTHING and not was and not worded:
        raise LookupFault("quantity", change.path, [])
    if change.by is not None:
        text = written(old + change.by, change.unit, was, "up" if change.by > 0 else "down")
    elif change.to is not None:
        text = written(change.to, change.unit, was, change.rounding)
    else:
        raise LookupFault("value of the change", change.path, [])
    far = abs(quantity(text, change.unit) - old)
    return json.dumps(text, ensure_ascii=False), written(far, change.unit, was, "near")
