"""All the manual says, as plain data: commands as the program has them, the rest from where it is defined."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

from generators.model.spec.forms.vehicle import HOW_TAKEN, OFF_LEVEL, VehicleReadings
from generators.model.spec.job import Job
from generators.model.spec.readings import Readings
from generators.model.spec.shelf.file import Shelf
from generators.model.spec.shop import Shop
from generators.sheets.manual.keys import Table, tables
from generators.sheets.manual.kinds import KindPage, kind_pages
from generators.sheets.manual.rules import Subject, subjects
from generators.sheets.manual.sources import Source, sources

FORMS: tuple[tuple[str, str, type], ...] = (
    ("job", "Keys of a spec", Job),
    ("shop", "Keys of a shop file", Shop),
    ("shelf", "Keys of a shelf", Shelf),
    ("readings", "Keys of a file of readings", Readings),
    ("vehicle", "Keys of readings of a vehicle", VehicleReadings),
)
GUIDE = ("spec", "board", "forms", "shelf", "printing", "holes", "stiffness", "kits", "fits", "limits")
"""The written chapters, as files of ``guide``, in the order they are read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """What a command may be asked with."""

    written: str
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command: how it is called, what it does in words, examples as they are typed."""

    name: str
    usage: str
    words: tuple[str, ...]
    examples: tuple[str, ...]
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A file the user writes, with all its tables."""

    name: str
    title: str
    tables: tuple[Table, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Manual:
    """Everything of the manual."""

    version: str
    guide: tuple[tuple[str, str], ...]
    commands: tuple[Command, ...]
    exits: Mapping[str, str]
    forms: tuple[Form, ...]
    rules: tuple[Subject, ...]
    kinds: tuple[KindPage, ...]
    sources: tuple[Source, ...]


def manual(version: str, commands: tuple[Command, ...], exits: Mapping[str, str]) -> Manual:
    """The manual of this program; ``exits`` are exit codes with what they mean."""
    folder = files("generators.sheets.manual").joinpath("guide")
    return Manual(
        version=version,
        guide=tuple(
            (name, _chapter(folder.joinpath(f"{name}.md").read_text(encoding="utf-8"))) for name in GUIDE
        ),
        commands=commands,
        exits=exits,
        forms=tuple(Form(name=name, title=title, tables=tuple(tables(cls))) for name, title, cls in FORMS),
        rules=tuple(subjects()),
        kinds=tuple(kind_pages()),
        sources=tuple(sources()),
    )


def _chapter(text: str) -> str:
    """A chapter with what the program itself says put in."""
    rows = [f"| `{kind}` | {how} |" for kind, how in HOW_TAKEN.items()]
    rows.append(f"| `lean` of a panel that lies | {OFF_LEVEL} |")
    return text.replace("$readings", "\n".join(rows))
