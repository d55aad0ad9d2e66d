"""Paths and words from the command line: refused where no file system or sheet could take them."""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from generators.errors import ExportError, LookupFault, ReadBackError, UnitError

PAPERS = 'A4, A3, letter, tabloid, both (A4 and letter) or roll:WIDTH (like "roll:610 mm")'

# these say that a process or a connection failed, not a file
_NO_FILE_FAULTS = (BrokenPipeError, ChildProcessError, ConnectionError, InterruptedError, TimeoutError)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _utf8(text: str) -> bool:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


class InputPath(click.ParamType):  # type: ignore[type-arg]  # generic from click 8.2 on; 8.1 is allowed
    """A path to read; whether it can be read is for the reader to say."""

    name = "path"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """The path; a usage error for none, and for one with a NUL in it."""
        if isinstance(value, Path):
            return value
        if not value:
            self.fail("an empty path", param, ctx)
        if "\0" in value:
            self.fail("a path with a NUL character in it", param, ctx)
        return Path(value)


class OutputPath(InputPath):
    """A path to write to, or a folder of ours: it is printed, and handed to libraries that want UTF-8."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """The path; a usage error for one that is not UTF-8 or has control characters."""
        path = super().convert(value, param, ctx)
        _require_printable(str(path), "path", param, ctx)
        return path


class Words(click.ParamType):  # type: ignore[type-arg]  # as above
    """Words that will stand on a sheet or in a file."""

    name = "text"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The text; a usage error when it is not UTF-8 or has control characters."""
        _require_printable(value, "text", param, ctx)
        return str(value)


class SheetWords(Words):
    """Words that are printed: only letters that the standard PDF fonts have."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The text; a usage error for a letter that would come out as a black box."""
        from generators.reading.toml.values import PRINTED

        text = super().convert(value, param, ctx)
        try:
            text.encode(PRINTED)
        except UnicodeEncodeError as error:
            letter = f"{text[error.start]!r} at character {error.start + 1}"
            self.fail(f"{letter}: the sheets print western European letters only", param, ctx)
        return text


class Paper(Words):
    """Paper of a template: a sheet by name, a roll by its width, or ``both`` A4 and letter."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The text; a usage error for paper nobody knows."""
        from generators.drawing.paper.sizes import BOTH, paper_choices

        text = super().convert(value, param, ctx)
        if text.strip().lower() == BOTH:
            return BOTH
        try:
            paper_choices(text)
        except (LookupFault, UnitError) as error:
            self.fail(f"{text!r} is no paper; use {PAPERS} ({error})", param, ctx)
        return text


def _require_printable(
    text: str, what: str, param: click.Parameter | None, ctx: click.Context | None
) -> None:
    if not _utf8(text):
        raise click.BadParameter(f"a {what} that is not UTF-8", ctx, param)
    if not text.isprintable():
        raise click.BadParameter(f"a {what} with a line break or another control character in it", ctx, param)


def require_file_or_nothing(path: Path) -> None:
    """Raises ``ExportError`` unless a file can be written at ``path`` without waiting for anybody.

    A folder cannot be written over, and a named pipe or a device would wait for ever, or worse.
    """
    try:
        mode = os.stat(path).st_mode
    except FileNotFoundError:
        return
    except OSError as error:
        raise ExportError(f"cannot write {path}: {_reason(error)}") from error
    if not stat.S_ISREG(mode):
        what = "a folder" if stat.S_ISDIR(mode) else "a device or a pipe"
        raise ExportError(f"cannot write {path}: it is {what}")


def require_folder_or_nothing(path: Path) -> None:
    """Raises ``ExportError`` when something that is no folder stands at ``path``."""
    try:
        mode = os.stat(path).st_mode
    except FileNotFoundError:
        return
    except OSError as error:
        raise ExportError(f"cannot write into {path}: {_reason(error)}") from error
    if not stat.S_ISDIR(mode):
        raise ExportError(f"cannot write into {path}: it is not a folder")


def require_finished(folder: Path, manifest: str) -> None:
    """Raises ``ReadBackError`` unless ``folder`` is one, and its manifest, if any, a file.

    A named pipe of that name would keep whoever reads it waiting.
    """
    with proving(folder):
        if not stat.S_ISDIR(os.stat(folder).st_mode):
            raise ReadBackError(str(folder), "is not a folder")
        place = folder / manifest
        if os.path.lexists(place) and not stat.S_ISREG(os.stat(place).st_mode):
            raise ReadBackError(manifest, "is not a file")


@contextlib.contextmanager
def writing(where: Path) -> Iterator[None]:
    """What the system refuses inside becomes an ``ExportError`` that names ``where``."""
    try:
        yield
    except _NO_FILE_FAULTS:
        raise
    except OSError as error:
        raise ExportError(f"cannot write {where}: {_reason(error)}") from error


@contextlib.contextmanager
def proving(folder: Path) -> Iterator[None]:
    """What the system refuses inside becomes a ``ReadBackError`` that names ``folder``."""
    try:
        yield
    except _NO_FILE_FAULTS:
        raise
    except OSError as error:
        raise ReadBackError(str(folder), f"cannot be read: {_reason(error)}") from error
