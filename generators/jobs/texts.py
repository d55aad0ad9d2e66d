"""A file of plain text as an artefact: its bytes are the whole of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.verify.readback import ReadBack


def _write(path: Path, *, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))


def text_file(
    path: str,
    kind: str,
    text: str,
    *,
    owner: str = "",
    units: str = "mm",
    read: Callable[[Path], ReadBack] | None = None,
) -> Artefact:
    """A file that holds just this text; what it says of a revision is in the text."""
    return Artefact(
        entry=Entry(path=path, kind=kind, owner=owner, units=units),
        body=partial(_write, text=text),
        read=read,
        revised=False,
    )
