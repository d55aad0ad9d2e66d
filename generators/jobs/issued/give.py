"""Give the next letter to a spec."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path

from generators.errors import ExportError
from generators.issue.folder import locked
from generators.jobs.issued.store import LIST, NUMBERS, Issue, IssuedForm, issues_folder, issues_of, listed
from generators.jobs.make.run import spec_files
from generators.model.sold.letters import next_letter
from generators.reading import JobFile
from generators.solve.comparing.numbers import numbers_of
from generators.solve.job import Prepared


def add_issue(spec: Path, forms: Sequence[Prepared], *, why: str, date: str, last: str) -> Issue:
    """Give the next letter to a spec; ``forms`` are the job as written, then its variants.

    The folder is there before the list names it, and the list is put in place whole: a run killed in between
    leaves the letters as they were. ``last`` is the letter the caller held the job against: where another run
    has given one since, nothing is given. Raises ``ExportError``, and ``SpecError`` for a list that does not
    read.
    """
    folder = issues_folder(spec)
    with locked(folder):
        issues = issues_of(spec)
        if (issues[-1].letter if issues else "") != last:
            raise ExportError(
                f"another run gave {spec} the letter {issues[-1].letter} meanwhile; look, then ask again"
            )
        letter = next_letter(issues[-1].letter if issues else "")
        issue = Issue(letter=letter, date=date, why=why, form=tuple(form_of(p.file) for p in forms))
        numbers = {p.file.form.name: numbers_of(p) for p in forms}
        fresh, place = folder / f".{letter}.new", folder / letter
        kept_files = {kept.entry.path.lstrip("/"): kept.content for kept in spec_files(forms[0].file, "")}
        try:
            _require_same(place, kept_files)
            for old in (fresh, place):  # what a killed run left: the list does not name it
                if old.exists():
                    shutil.rmtree(old)
            fresh.mkdir(parents=True)
            for name, content in kept_files.items():
                path = fresh / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
            text = json.dumps(numbers, indent=1, ensure_ascii=False) + "\n"
            (fresh / NUMBERS).write_text(text, encoding="utf-8", newline="\n")
            fresh.rename(place)
            _put(folder / LIST, listed([*issues, issue]))
        except OSError as error:
            raise ExportError(f"cannot keep issue {letter}: {error.strerror or error}") from error
    return issue


def _require_same(place: Path, files: Mapping[str, bytes]) -> None:
    """Raises ``ExportError`` where a letter's folder that no list names holds other content.

    A run killed before the list was written left what would be written again; anything else was issued once,
    and its list is lost.
    """
    if place.exists() and any(
        not (place / name).is_file() or (place / name).read_bytes() != content
        for name, content in files.items()
    ):
        raise ExportError(
            f"{place} holds other content, and {place.parent / LIST} does not name it: bring the list back, "
            "or move that folder away if nothing was issued from it"
        )


def form_of(file: JobFile) -> IssuedForm:
    """What a form of a job is known by."""
    return IssuedForm(name=file.form.name, revision=file.revision, content=file.content)


def _put(path: Path, text: str) -> None:
    """A file in place whole, or not at all."""
    fresh = path.with_name(f".{path.name}.new")
    with fresh.open("w", encoding="utf-8", newline="\n") as stream:
        stream.write(text)
        stream.flush()
        os.fsync(stream.fileno())
    fresh.replace(path)
