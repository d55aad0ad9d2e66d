"""The issues of a spec, in a folder of plain files beside it.

``<spec>.issues/issues.toml`` lists them; ``<spec>.issues/B/`` holds the spec, the shop file and the files it
uses as they were, and ``numbers.json`` what was computed of them. They lie beside the spec and not in the
register of the shop: who copies the folder of a job to another machine, or keeps it under version control,
has its letters with it and can read them without this program; shops that share a design share its letters.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generators.errors import LookupFault, ReadBackError, SpecError
from generators.model.sold.letters import next_letter
from generators.model.spec import fields as key
from generators.reading import read_table
from generators.reading.toml.source import parse_bytes, read_bytes

TAIL, LIST, NUMBERS = ".issues", "issues.toml", "numbers.json"
HEAD = "# Written by `pedalplate issue`. A letter stands for its content for good: change nothing in here.\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedForm:
    """One form of the job under a letter: the check value its sheets show, the digest of what is written."""

    name: str = key.text("The variant; empty for the job as written", hi=40, default="")
    revision: str = key.text("Check value on its sheets", lo=7, hi=7)
    content: str = key.text("Digest of what is written, whatever the program's version", lo=12, hi=64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """One letter."""

    letter: str = key.text("The letter", lo=1, hi=3)
    date: str = key.text("Date it was given, as ISO 8601 writes it", lo=10, hi=10)
    why: str = key.text("Why it was given", lo=3, hi=300)
    form: tuple[IssuedForm, ...] = key.tables("What it stands for", IssuedForm, hi=21)

    def of(self, name: str) -> IssuedForm | None:
        """What it stands for in that form."""
        return next((form for form in self.form if form.name == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Issues:
    """All letters of a spec, in order."""

    issue: tuple[Issue, ...] = key.tables("Issues in order", Issue, hi=8_000)


def issues_folder(spec: Path) -> Path:
    """Where the issues of a spec are kept."""
    return spec.with_name(f"{spec.stem}{TAIL}")


def read_issues(path: Path, data: bytes | None = None) -> tuple[Issue, ...]:
    """The issues a list names; none where there is no list. Raises ``SpecError`` with every fault of it."""
    if data is None and not path.exists():
        return ()
    source = parse_bytes(str(path), read_bytes(path) if data is None else data, may_be_empty=True)
    found, faults = read_table(source, Issues)
    if found is None or faults:
        raise SpecError(faults)
    wanted = ""
    for index, one in enumerate(found.issue):
        wanted = next_letter(wanted)
        if one.letter != wanted:
            raise SpecError(
                [source.fault(("issue", index, "letter"), repr(one.letter), f"{wanted!r}, the next one")]
            )
        if not is_date(one.date):
            raise SpecError(
                [source.fault(("issue", index, "date"), repr(one.date), "a date like 2026-11-29")]
            )
    return found.issue


def issues_of(spec: Path) -> tuple[Issue, ...]:
    """The issues of a spec. Raises ``SpecError``."""
    return read_issues(issues_folder(spec) / LIST)


def is_date(text: str) -> bool:
    """True for a day as ISO 8601 writes it: ``2026-11-29``."""
    try:
        return len(text) == 10 and datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def kept_spec_of(spec: Path, letter: str) -> Path:
    """The spec as it was under a letter. Raises ``ReadBackError`` where it is gone."""
    path = issues_folder(spec) / letter / spec.name
    if not path.is_file():
        raise ReadBackError(str(path), f"is missing: it is what issue {letter} stands for")
    return path


def issued_spec(spec: Path, letter: str) -> Path:
    """A spec as it was under a letter; itself for none.

    Raises ``LookupFault`` for a letter it does not have, and as ``issues_of`` and ``kept_spec_of``.
    """
    if not letter:
        return spec
    known = [issue.letter for issue in issues_of(spec)]
    if letter not in known:
        raise LookupFault("issue", letter, known)
    return kept_spec_of(spec, letter)


def numbers_under(spec: Path, letter: str) -> Mapping[str, Any]:
    """What was computed under a letter, by form. Raises ``ReadBackError``."""
    path = issues_folder(spec) / letter / NUMBERS
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise ReadBackError(str(path), f"cannot be read: {error}") from None
    if not isinstance(content, dict):
        raise ReadBackError(str(path), "is no table of numbers")
    return content


def listed(issues: Sequence[Issue]) -> str:
    """The list's text."""

    def quoted(text: str) -> str:
        return json.dumps(text, ensure_ascii=False)

    lines = [HEAD]
    for one in issues:
        lines += [
            "[[issue]]",
            f"letter = {quoted(one.letter)}",
            f"date = {quoted(one.date)}",
            f"why = {quoted(one.why)}",
        ]
        for form in one.form:
            lines += [
                "",
                "  [[issue.form]]",
                f"  name = {quoted(form.name)}",
                f"  revision = {quoted(form.revision)}",
            ]
            lines += [f"  content = {quoted(form.content)}"]
        lines.append("")
    return "\n".join(lines)
