"""The spec's file: read bounded, written whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import shutil
from pathlib import Path

from generators.errors import ExportError
from generators.reading.toml.source import parse_bytes, read_bytes


def digest(text: str) -> str:
    """A short name of a text, to tell whether a page has seen it."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def read_text(path: Path) -> str:
    """The text of a spec, be it TOML or not. Raises ``SpecError`` for a file that is none."""
    data = read_bytes(path)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        # says where
        return parse_bytes(str(path), data).text


def write_text(path: Path, text: str) -> None:
    """Put a new text in place of the old one in one step; a link stays a link. Raises ``ExportError``."""
    target = Path(os.path.realpath(path))
    beside = target.with_name(f".{target.name}.{secrets.token_hex(4)}.new")
    try:
        try:
            with open(beside, "xb") as stream:
                stream.write(text.encode())
                stream.flush()
                os.fsync(stream.fileno())
            shutil.copymode(target, beside)
            os.replace(beside, target)
        finally:
            with contextlib.suppress(OSError):
                beside.unlink()
    except OSError as error:
        raise ExportError(f"cannot write {path}: {error.strerror or error}") from error
