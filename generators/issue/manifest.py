"""The list of everything in an output folder, with the hash of each file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from generators.errors import ReadBackError
from generators.model.findings import Finding

NAME = "manifest.json"
FORMAT = 1
DIGITS = 6
NUMBERS = ("value", "limit")
"""What of a finding is a number or null; all else is text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One file: path relative to the folder, kind, the part or panel it belongs to, units, hash."""

    path: str
    kind: str
    owner: str = ""
    units: str = ""
    face: str = ""
    sha256: str = ""

    def hashed(self, folder: Path) -> Entry:
        """The same entry with the hash of the file as it stands."""
        return Entry(
            path=self.path,
            kind=self.kind,
            owner=self.owner,
            units=self.units,
            face=self.face,
            sha256=file_hash(folder / self.path),
        )


def file_hash(path: Path) -> str:
    """SHA-256 of a file, hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def finding_json(finding: Finding) -> dict[str, str | float | None]:
    """A finding as plain data; numbers to ``DIGITS`` decimals, the same on every machine."""
    return {
        key: round(value, DIGITS) + 0.0 if isinstance(value, float) else value
        for key, value in asdict(finding).items()
    }


def write_manifest(
    folder: Path,
    entries: Sequence[Entry],
    *,
    head: dict[str, Any],
    findings: Sequence[Finding],
) -> None:
    """Write ``manifest.json``: no times, no machine paths, so that reruns are identical."""
    content = {
        "format": FORMAT,
        **head,
        "files": [asdict(e) for e in sorted(entries, key=lambda e: e.path)],
        "findings": [finding_json(f) for f in findings],
        "waivers": {f.code: f.waived for f in findings if f.waived},
    }
    text = json.dumps(content, indent=2, ensure_ascii=False) + "\n"
    (folder / NAME).write_text(text, encoding="utf-8")


def read_manifest(folder: Path) -> dict[str, Any]:
    """The manifest of an output folder. Raises ``ReadBackError`` when it is missing or broken."""
    try:
        content = json.loads((folder / NAME).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ReadBackError(NAME, "is missing, so this is not a finished output folder") from None
    except (OSError, ValueError, RecursionError) as error:
        raise ReadBackError(NAME, f"cannot be read: {error}") from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise ReadBackError(NAME, f"is not a manifest of format {FORMAT}")
    files = content.get("files")
    wanted = set(Entry.__dataclass_fields__)
    if not isinstance(files, list) or not all(isinstance(f, dict) and set(f) == wanted for f in files):
        raise ReadBackError(NAME, "does not list its files as it should")
    if not all(isinstance(v, str) for f in files for v in f.values()):
        raise ReadBackError(NAME, "does not list its files as it should")
    if not isinstance(content.get("findings"), list) or not isinstance(content.get("waivers"), dict):
        raise ReadBackError(NAME, "does not list findings and waivers as it should")
    rows = [*content["findings"], content["waivers"]]
    if not all(isinstance(r, dict) and all(_readable(k, v) for k, v in r.items()) for r in rows):
        raise ReadBackError(NAME, "does not list findings and waivers as it should")
    return content


def _readable(key: str, value: object) -> bool:
    if isinstance(value, str):
        return True
    return key in NUMBERS and not isinstance(value, bool) and isinstance(value, int | float | None)


def entries_of(content: dict[str, Any]) -> list[Entry]:
    """The file entries of a manifest that was read. Raises ``ReadBackError`` for a path that climbs out."""
    entries = [Entry(**f) for f in content["files"]]
    for entry in entries:
        path = Path(entry.path)
        if path.is_absolute() or ".." in path.parts:
            raise ReadBackError(NAME, f"lists a path outside the folder: {entry.path!r}")
    return entries
