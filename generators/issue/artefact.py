"""One record per finished file, and a job as a head with its artefacts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from generators.issue.manifest import Entry
from generators.issue.shelf import Cut
from generators.issue.stamp import Stamp
from generators.model.findings import Finding
from generators.verify.readback import ReadBack


@dataclass(frozen=True, slots=True, kw_only=True)
class Artefact:
    """A finished file: what the manifest holds of it, how it is written, how it is read back.

    ``body`` is a writer with everything the file is made from, but for its ``path``; where the revision
    stands it writes the stamp's placeholder. It returns remarks for a person, or nothing. ``read``
    compares the file with the plan, and is None for text whose bytes are the whole of it. Both are
    partials of module-level functions over plain data, so that another process can run them.
    ``kernel`` says that either loads the solid modeller. Files of one ``group`` are written in turn by one
    process, as one is read against another.
    """

    entry: Entry
    body: partial[Any]
    read: Callable[[Path], ReadBack] | None = None
    kernel: bool = False
    group: str = ""
    revised: bool = True
    """True for a file that must carry the revision."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A file that goes along as it is: what the job was made from."""

    entry: Entry
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What a command makes: a head, the files it was made from, and the artefacts.

    ``head`` is what the manifest says of the folder beside the stamp. ``answers`` is True for a job whose
    files answer its findings, as a rescue does: then a failed rule does not hold them back. ``given`` is what
    slow questions were answered with (``issue.answers``), kept for the next run.
    """

    kind: str
    stamp: Stamp
    head: Mapping[str, Any]
    kept: tuple[Kept, ...]
    artefacts: tuple[Artefact, ...]
    findings: tuple[Finding, ...] = ()
    answers: bool = False
    given: Mapping[str, Any] = field(default_factory=dict)

    def manifest_head(self) -> dict[str, Any]:
        """The first lines of the manifest."""
        return {
            "kind": self.kind,
            "job": self.stamp.job,
            "title": self.stamp.title,
            "revision": self.stamp.revision,
            "letter": self.stamp.letter,
            "units": "mm",
            "paper": self.stamp.paper,
            "printer": self.stamp.printer,
            **self.head,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """An artefact as written: its hash, where its revision stands, and what reading it back gave.

    ``cuts`` are the pieces that stand in it.
    """

    path: str
    sha256: str
    places: tuple[tuple[str, int], ...] = ()
    remarks: tuple[str, ...] = ()
    reading: ReadBack = field(default_factory=lambda: ReadBack(path=""))
    reused: bool = False
    cuts: tuple[Cut, ...] = ()
