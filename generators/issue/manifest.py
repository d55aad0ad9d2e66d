"""The list of everything in an output folder, with the hash of each file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path, PureWindowsPath
from typing import Any

from generators.errors import ReadBackError
from generators.model.findings import Finding

NAME = "manifest.json"
FORMAT = 2
KNOWN = (1, FORMAT)
"""Formats that are understood: 1 has no kind of job and does not say what it was made with."""

DIGITS = 6
"""Decimals of a finding's numbers, the same on every machine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One file: path relative to the folder, kind, the part or panel it belongs to, units, hash."""

    path: str
    kind: str
    owner: str = ""
    units: str = ""
    face: str = ""
    sha256: str = ""

    def hashed(self, sha256: str) -> Entry:
        """The same entry with the hash of its file."""
        return replace(self, sha256=sha256)


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """A manifest as read: its text, its content as plain data, and its entries."""

    text: str
    content: Mapping[str, Any]
    entries: tuple[Entry, ...]

    def said(self, key: str) -> str:
        """What it says under ``key``, in words; empty where it says nothing."""
        value = self.content.get(key, "")
        return value if isinstance(value, str) else ""

    @property
    def kind(self) -> str:
        """The kind of job the folder is of."""
        return self.said("kind") or "make"

    def entry(self, path: str) -> Entry | None:
        """The entry of a path."""
        return next((e for e in self.entries if e.path == path), None)

    def of_kind(self, kind: str) -> Entry | None:
        """The first entry of a kind."""
        return next((e for e in self.entries if e.kind == kind), None)


def file_hash(path: Path) -> str:
    """SHA-256 of a file, hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as plain data; numbers to ``DIGITS`` decimals, the same on every machine.

    A mend is said where one was looked for; what was proposed and not tried is not.
    """
    plain = asdict(replace(finding, proposals=()))
    del plain["about"], plain["proposals"]
    if finding.mend is None:
        del plain["mend"]
    return {
        key: round(value, DIGITS) + 0.0 if isinstance(value, float) else value for key, value in plain.items()
    }


def manifest_text(head: Mapping[str, Any], entries: Sequence[Entry], findings: Sequence[Finding]) -> str:
    """The text of ``manifest.json``: no times, no machine paths, so that reruns are identical."""
    content = {
        "format": FORMAT,
        **head,
        "files": [asdict(e) for e in sorted(entries, key=lambda e: e.path)],
        "findings": [finding_json(f) for f in findings],
        "waivers": {f.code: f.waived for f in findings if f.waived},
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def read_manifest(folder: Path) -> Manifest:
    """The manifest of an output folder.

    Raises ``ReadBackError`` when it is missing or broken, or lists a path twice or one that climbs out of the
    folder.
    """
    path = folder / NAME
    if path.exists() and not path.is_file():
        raise ReadBackError(NAME, "is no file")  # a pipe of that name would keep us waiting
    try:
        text = path.read_bytes().decode("utf-8")
        content = json.loads(text)
    except FileNotFoundError:
        inner = sorted(p.parent.name for p in folder.glob(f"*/{NAME}"))
        hint = f"; {folder / inner[0]} is one" if inner else ""
        raise ReadBackError(NAME, f"is missing, so this is not a finished output folder{hint}") from None
    except OSError as error:
        raise ReadBackError(NAME, f"cannot be read: {error.strerror or 'no reason given'}") from None
    except (ValueError, RecursionError) as error:
        raise ReadBackError(NAME, f"cannot be read: {error}") from None
    if not isinstance(content, dict) or content.get("format") not in KNOWN:
        raise ReadBackError(NAME, f"is not a manifest of format {FORMAT}")
    files = content.get("files")
    wanted = set(Entry.__dataclass_fields__)
    if not isinstance(files, list) or not all(isinstance(f, dict) and set(f) == wanted for f in files):
        raise ReadBackError(NAME, "does not list its files as it should")
    if not all(isinstance(v, str) for f in files for v in f.values()):
        raise ReadBackError(NAME, "does not list its files as it should")
    findings, waivers = content.get("findings"), content.get("waivers")
    if not isinstance(findings, list) or not all(isinstance(f, dict) for f in findings):
        raise ReadBackError(NAME, "does not list findings as it should")
    if not isinstance(waivers, dict) or not all(isinstance(v, str) for v in waivers.values()):
        raise ReadBackError(NAME, "does not list waivers as it should")
    entries = tuple(Entry(**f) for f in files)
    paths = [e.path for e in entries]
    twice = next((p for p in paths if paths.count(p) > 1), None)
    if twice is not None:
        raise ReadBackError(NAME, f"lists {twice!r} twice")
    for entry in entries:
        # as Windows reads it on every system: it knows more ways out, a drive and a backslash
        inside = PureWindowsPath(entry.path)
        if inside.anchor or ".." in inside.parts or not inside.parts:
            raise ReadBackError(NAME, f"lists a path outside the folder: {entry.path!r}")
    return Manifest(text=text, content=content, entries=entries)
