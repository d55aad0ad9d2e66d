"""The letter on a job: on its sheets, in its manifest, and proven from what lies in its folder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from generators.errors import ReadBackError
from generators.issue.artefact import Kept
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.jobs.issued.store import LIST, read_issues
from generators.model.sold.letters import IssueMark
from generators.solve.job import Prepared

KIND = "issues"


def under(prepared: Prepared, mark: IssueMark) -> Prepared:
    """The job with its letter on every sheet."""
    return replace(prepared, issued=mark)


def letter_of(prepared: Prepared) -> str:
    """The letter a job is made under; empty for none."""
    return prepared.issued.letter if prepared.issued is not None else ""


def issue_head(prepared: Prepared) -> Mapping[str, str]:
    """What a manifest says of the issue beside its letter."""
    return {"issued": prepared.issued.date} if prepared.issued is not None else {}


def issue_files(prepared: Prepared, folder: str) -> tuple[Kept, ...]:
    """The list of issues goes along, so that a folder's letter can be proven anywhere."""
    if prepared.issued is None:
        return ()
    return (Kept(entry=Entry(path=f"{folder}/{LIST}", kind=KIND), content=prepared.issued.listed),)


def as_issued(prepared: Prepared, folder: Path, manifest: Manifest) -> Prepared:
    """The job of a finished folder under the letter its manifest names.

    Raises ``ReadBackError`` where the list in the folder gives that letter to another content.
    """
    letter = manifest.said("letter")
    if not letter:
        return prepared
    path = require_kept(folder, manifest.of_kind(KIND), "list of issues")
    data = path.read_bytes()
    issue = next((i for i in read_issues(path, data) if i.letter == letter), None)
    own = issue.of(prepared.file.form.name) if issue is not None else None
    if (
        issue is None
        or own is None
        or own.content != prepared.file.content
        or issue.date != manifest.said("issued")
    ):
        raise ReadBackError(NAME, f"says issue {letter}, which stands for another content or date")
    return under(prepared, IssueMark(letter=letter, date=issue.date, listed=data))
