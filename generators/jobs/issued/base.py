"""The issue a job for one vehicle was made from: its spec as it was kept is what that letter stands for.

What was drilled or fixed otherwise is no issue and has no letter; its sheets name the one behind it.
"""

from __future__ import annotations

from pathlib import Path

from generators.errors import ReadBackError
from generators.issue.artefact import Kept
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.jobs.issued.mark import KIND
from generators.jobs.issued.store import LIST, Issue, issues_folder, issues_of, read_issues
from generators.model.sold.letters import IssueMark
from generators.reading import JobFile

BASE = "from_issue"
"""Where a manifest names the letter."""


def _same(issue: Issue, file: JobFile) -> bool:
    own = issue.of(file.form.name)
    return own is not None and own.content == file.content


def base_of(file: JobFile) -> IssueMark | None:
    """The last letter of a spec, where it stands for what the spec holds; None where it has none or differs.

    Raises ``SpecError`` for a list of issues that does not read.
    """
    issues = issues_of(file.spec_path)
    if not issues or not _same(issues[-1], file):
        return None
    listed = (issues_folder(file.spec_path) / LIST).read_bytes()
    return IssueMark(letter=issues[-1].letter, date=issues[-1].date, listed=listed)


def base_files(base: IssueMark | None, folder: str) -> tuple[Kept, ...]:
    """The list of issues, so that the letter can be proven anywhere."""
    if base is None:
        return ()
    return (Kept(entry=Entry(path=f"{folder}/{LIST}", kind=KIND), content=base.listed),)


def kept_base(folder: Path, manifest: Manifest, file: JobFile) -> IssueMark | None:
    """The letter a finished folder names, proven by the list in it.

    Raises ``ReadBackError`` where that list gives the letter to another content.
    """
    letter = manifest.said(BASE)
    if not letter:
        return None
    path = require_kept(folder, manifest.of_kind(KIND), "list of issues")
    data = path.read_bytes()
    issue = next((i for i in read_issues(path, data) if i.letter == letter), None)
    if issue is None or not _same(issue, file):
        raise ReadBackError(NAME, f"says it is made from issue {letter}, which stands for another content")
    return IssueMark(letter=letter, date=issue.date, listed=data)
