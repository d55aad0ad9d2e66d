"""What of the last run may be used again: files made from the same things by the same versions.

``reuse.json`` holds, for each file, a name for everything it was made from, and where its revision stands.
A file is used again when that name is still the same and its bytes are those it was made with; then only
the revision on it is changed. It holds the slow answers of the run as well, see ``answers``, and which pieces
of pages stand in a file, see ``shelf``.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generators.errors import ExportError, ReadBackError
from generators.issue.artefact import Artefact, Done
from generators.issue.manifest import Manifest, read_manifest
from generators.issue.shelf import Cut
from generators.issue.stamp import Place, stamped
from generators.verify.readback import ReadBack

NAME = "reuse.json"
KIND = "reuse"
AGAIN = ("used again: nothing it is made from has changed since it was read back",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One file of the last run: what it was made from, where its revision stands, remarks, its pieces."""

    key: str
    places: tuple[Place, ...]
    remarks: tuple[str, ...]
    cuts: tuple[Cut, ...]


def reuse_text(keys: Mapping[str, str], done: Sequence[Done], answers: Mapping[str, Any]) -> str:
    """The text of ``reuse.json``: a line a file, a line an answer."""
    rows = {
        d.path: {
            "key": keys[d.path],
            "places": [list(p) for p in d.places],
            "remarks": list(d.remarks),
            "pieces": [[c.key, c.at, c.length, list(c.fonts), list(c.said)] for c in d.cuts],
        }
        for d in done
    }
    return f'{{\n"files": {_lines(rows)},\n"answers": {_lines(answers)}\n}}\n'


def _lines(rows: Mapping[str, Any]) -> str:
    lines = [f"{json.dumps(key)}: {json.dumps(rows[key], ensure_ascii=False)}" for key in sorted(rows)]
    return "{\n" + ",\n".join(lines) + "\n}"


def _last(target: Path, manifest: Manifest) -> dict[str, Any]:
    """The content of the last run's list. Raises ``ValueError`` or ``OSError`` where it is not sound."""
    entry = manifest.entry(NAME)
    data = (target / NAME).read_bytes()
    if entry is None or hashlib.sha256(data).hexdigest() != entry.sha256:
        raise ValueError(f"{NAME} is not the one of its folder")
    return dict(json.loads(data))


_UNSOUND = (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError)


def _last_made(target: Path, manifest: Manifest) -> dict[str, Made]:
    """What the last run says of its files; nothing where that is not sound."""
    try:
        return {path: _made(row) for path, row in _last(target, manifest)["files"].items()}
    except _UNSOUND:
        return {}


def last_answers(target: Path) -> dict[str, Any]:
    """The answers of the last run into a folder; nothing where there was none, or its list is not sound."""
    try:
        return dict(_last(target, read_manifest(target))["answers"])
    except (*_UNSOUND, ReadBackError):
        return {}


def _made(row: Mapping[str, Any]) -> Made:
    where = tuple((str(member), int(at)) for member, at in row["places"])
    cuts = tuple(
        Cut(str(key), int(at), int(length), tuple(map(str, fonts)), tuple(map(str, said)))
        for key, at, length, fonts, said in row["pieces"]
    )
    return Made(key=str(row["key"]), places=where, remarks=tuple(map(str, row["remarks"])), cuts=cuts)


def last_pieces(target: Path) -> dict[str, tuple[bytes, Cut]]:
    """Pieces of the last run into a folder by key, each with the file it stands in.

    Nothing of a file that is not to the byte what that run made, and nothing where its list is not sound.
    """
    try:
        manifest = read_manifest(target)
    except (OSError, ReadBackError):
        return {}
    hashes = {e.path: e.sha256 for e in manifest.entries}
    out: dict[str, tuple[bytes, Cut]] = {}
    for path, made in _last_made(target, manifest).items():
        if not made.cuts or path not in hashes:
            continue
        try:
            data = (target / path).read_bytes()
        except OSError:
            continue
        if hashlib.sha256(data).hexdigest() == hashes[path]:
            out |= {cut.key: (data, cut) for cut in made.cuts}
    return out


def taken_again(
    target: Path,
    manifest: Manifest | None,
    artefacts: Sequence[Artefact],
    keys: Mapping[str, str],
    *,
    fresh: Path,
    revision: str,
) -> list[Done]:
    """Put into ``fresh`` what need not be made again, with the revision of now.

    Files of one group go together. Raises ``ExportError`` when a file cannot be written.
    """
    if manifest is None:
        return []
    last = _last_made(target, manifest)
    hashes = {e.path: e.sha256 for e in manifest.entries}
    found: dict[str, tuple[Made, bytes]] = {}
    for one in artefacts:
        made = last.get(one.entry.path)
        if made is None or made.key != keys[one.entry.path]:
            continue
        try:
            data = (target / one.entry.path).read_bytes()
        except OSError:
            continue
        if hashlib.sha256(data).hexdigest() == hashes.get(one.entry.path):
            found[one.entry.path] = made, data
    broken = {one.group for one in artefacts if one.group and one.entry.path not in found}
    out = []
    for one in artefacts:
        path = one.entry.path
        if path not in found or one.group in broken:
            continue
        made, data = found[path]
        try:
            data = stamped(data, made.places, revision)
            (fresh / path).parent.mkdir(parents=True, exist_ok=True)
            (fresh / path).write_bytes(data)
        except OSError as error:
            raise ExportError(f"cannot write {path}: {error.strerror or error}") from error
        out.append(
            Done(
                path=path,
                sha256=hashlib.sha256(data).hexdigest(),
                places=made.places,
                remarks=made.remarks,
                reading=ReadBack(path=path, facts=AGAIN),
                reused=True,
                cuts=made.cuts,
            )
        )
    return out
