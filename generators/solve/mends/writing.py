"""A proposal written into the text of a spec: what is typed, and the text it gives."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from generators.errors import LookupFault, PedalplateError
from generators.model.changes import Change, Edit, Insert, NewTable, Proposal, Shift
from generators.model.spec.job import Job
from generators.reading.toml.edits import NOTHING, Setting, edited, line_of, text_at, value_at
from generators.reading.toml.paths import Path
from generators.reading.toml.source import TomlSource
from generators.solve.mends.numbers import quantity, written
from generators.solve.mends.paths import row_of, spec_path
from generators.solve.mends.shifts import changes_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A proposal as it is typed, and the spec's text with it."""

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
    try:
        typed = [one for step in proposal.steps for one in _typed(step, source, job)]
        if not typed or all(one.edit.text == one.edit.was for one in typed):
            return None
        text = edited(
            source,
            [one.setting for one in typed if one.setting is not None],
            [one.edit.text for one in typed if one.setting is None],
        )
    except PedalplateError:
        # a path, a unit or a table that this spec writes in another way: no change to propose
        return None
    moved = next((one.moved for one in typed if one.moved), "")
    return Draft(
        words=proposal.words.replace("{by}", moved), edits=tuple(one.edit for one in typed), text=text
    )


def _typed(step: Change | Shift | Insert | NewTable, source: TomlSource, job: Job) -> Iterator[_Typed]:
    if isinstance(step, Shift):
        for change in changes_of(step, job, source.table):
            yield from _typed(change, source, job)
    elif isinstance(step, Change):
        path = spec_path(source.table, step.path)
        text, moved = _value(step, value_at(source, path))
        yield _one(step.path, path, text, source, moved)
    elif isinstance(step, Insert):
        path = spec_path(source.table, step.path)
        there = value_at(source, path)
        names = list(there) if isinstance(there, list) else []
        names.insert(_index(names, step.before, source), step.name)
        yield _one(step.path, path, f"[{', '.join(json.dumps(name) for name in names)}]", source)
    else:
        lines = [f"[[{step.kind}]]", *(f"{key} = {text}" for key, text in step.keys)]
        yield _Typed(edit=Edit(path=step.kind, text="\n".join(lines), was="", line=0))


def _one(label: str, path: Path, text: str, source: TomlSource, moved: str = "") -> _Typed:
    edit = Edit(path=label, text=text, was=text_at(source, path), line=line_of(source, path))
    return _Typed(edit=edit, setting=Setting(path=path, text=text), moved=moved)


def _index(names: list[Any], before: str, source: TomlSource) -> int:
    if not before:
        return len(names)
    if before in names:
        return names.index(before)
    return names.index(source.table["clamp_row"][row_of(source.table, before)]["name"])


def _value(change: Change, there: Any) -> tuple[str, str]:
    """TOML text of the new value, and how far it moved in words."""
    if change.word is not None:
        return json.dumps(change.word, ensure_ascii=False), ""
    was = there if isinstance(there, str) else ""
    old = quantity(was, change.unit) if was else change.start
    if there is not NOTHING and not was:
        raise LookupFault("quantity", change.path, [])
    if change.by is not None:
        text = written(old + change.by, change.unit, was, "up" if change.by > 0 else "down")
    elif change.to is not None:
        text = written(change.to, change.unit, was, change.rounding)
    else:
        raise LookupFault("value of the change", change.path, [])
    far = abs(quantity(text, change.unit) - old)
    return json.dumps(text, ensure_ascii=False), written(far, change.unit, was, "near")
