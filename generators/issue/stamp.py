"""The check value of a job on its finished files: put on last, so that a body can be used again.

A body is written with ``PLACEHOLDER`` where the revision stands. It has the revision's length, so that
putting the revision in its place moves nothing. Where it stands is noted: seven digits may also be met by
chance among coordinates, and those are left alone.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

PLACEHOLDER = "e5e5e5e"
"""Seven letters and digits no coordinate can hold: an ``e`` first is no number."""

_TOKEN = PLACEHOLDER.encode("ascii")
_ZIP = b"PK\x03\x04"
Place = tuple[str, int]
"""Member of a ZIP archive, ``""`` in a plain file, and the offset in its bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What every file of a job says of where it belongs.

    ``letter`` is the drawing office's issue letter, empty until one is given. ``revision`` is put on last;
    the others are part of what a body is made from.
    """

    job: str
    title: str
    revision: str
    letter: str = ""
    waived: tuple[tuple[str, str], ...] = ()
    paper: str = ""
    printer: str = ""


def waiting(shown: str) -> str:
    """Words that end with a revision, as a body holds them: its place is open."""
    return shown[: -len(PLACEHOLDER)] + PLACEHOLDER


def _found(data: bytes) -> Iterator[int]:
    at = data.find(_TOKEN)
    while at >= 0:
        yield at
        at = data.find(_TOKEN, at + 1)


def _members(data: bytes) -> Iterator[tuple[zipfile.ZipInfo, bytes]]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for info in archive.infolist():
            yield info, archive.read(info)


def places(body: bytes) -> tuple[Place, ...]:
    """Where a body waits for its revision."""
    if body.startswith(_ZIP):
        return tuple((info.filename, at) for info, data in _members(body) for at in _found(data))
    return tuple(("", at) for at in _found(body))


def stamped(data: bytes, where: Sequence[Place], revision: str) -> bytes:
    """``data`` with the revision at each of those places. Raises ``ValueError`` for one of another length."""
    token = revision.encode("ascii")
    if len(token) != len(_TOKEN):
        raise ValueError(f"a revision of {len(token)} letters; {len(_TOKEN)} have room")
    if not where:
        return data
    if not data.startswith(_ZIP):
        return _put(data, [at for _, at in where], token)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for info, content in _members(data):
            mine = [at for member, at in where if member == info.filename]
            archive.writestr(info, _put(content, mine, token), compress_type=info.compress_type)
    return out.getvalue()


def _put(data: bytes, where: Sequence[int], token: bytes) -> bytes:
    out = bytearray(data)
    for at in where:
        out[at : at + len(token)] = token
    return bytes(out)
