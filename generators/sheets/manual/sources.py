"""Where the numbers of the tables come from, as their rows say it themselves."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType

from generators.standards import Trust

TRUST: Mapping[Trust, str] = MappingProxyType(
    {
        Trust.PUBLISHED: "read in the published document itself",
        Trust.AGREED: "several independent transcriptions agree",
        Trust.CLOSED_FORM: "follows from a formula",
        Trust.TRANSCRIBED: "one transcription read",
        Trust.MEMORY_SURE: "from memory, sure",
        Trust.MEMORY_UNSURE: "from memory, not sure: a default to override",
        Trust.MEMORY_WEAK: "from memory, weak: a default to override",
        Trust.COMMON_PRACTICE: "common practice, no source: a default to override",
    }
)
"""What each mark of trust means."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One source of one table: how many values rest on it, its edition, and how far it is believed."""

    table: str
    words: str
    edition: str
    trust: str
    values: int


def sources() -> list[Source]:
    """All sources of all tables, by table, in the order of their rows."""
    out = []
    folder = files("generators.standards").joinpath("data")
    for path in sorted(folder.iterdir(), key=lambda p: p.name):
        if not path.name.endswith(".csv"):
            continue
        table = path.name.removesuffix(".csv").replace("_", " ")
        rows = csv.DictReader(io.StringIO(path.read_text(encoding="utf-8")))
        counted = Counter(one for row in rows for one in _named(row))
        out += [
            Source(table=table, words=words, edition=edition, trust=trust, values=count)
            for (words, edition, trust), count in counted.items()
        ]
    return out


def _named(row: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """The sources a row names: one for all of it, and one for each value that has its own."""
    for key, words in row.items():
        if key != "source" and not key.endswith("_source"):
            continue
        trust = row.get(f"{key.removesuffix('source')}trust", "")
        if words and trust:
            yield words, row.get("edition", "") if key == "source" else "", trust
