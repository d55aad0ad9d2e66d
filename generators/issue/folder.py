"""A folder written apart and swapped in whole: a run that fails or is killed changes nothing.

The new content is written to ``.<name>.new-<pid>`` beside the target. Swapping is two renames on
the same file system, the old folder standing aside as ``.<name>.old`` in between; a run killed
between the two is mended by the next one, which puts the old folder back.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from generators.errors import ExportError


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _mend(target: Path) -> None:
    """Tidy what a killed run left: restore the old folder, drop half-written ones."""
    aside = target.with_name(f".{target.name}.old")
    if aside.exists():
        if target.exists():
            shutil.rmtree(aside)
        else:
            aside.rename(target)
    prefix = f".{target.name}.new-"
    for leftover in target.parent.glob(f"{prefix}*"):
        pid = leftover.name.removeprefix(prefix)
        if pid.isdigit() and not _alive(int(pid)):
            shutil.rmtree(leftover)


@contextlib.contextmanager
def swapped_in(target: Path) -> Iterator[Path]:
    """An empty folder to write to; when the block ends well it becomes ``target``.

    Raises ``ExportError`` when the folder cannot be made or swapped. On any error inside the block
    the new folder is removed and ``target`` stays as it was.
    """
    fresh = target.with_name(f".{target.name}.new-{os.getpid()}")
    aside = target.with_name(f".{target.name}.old")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and not target.is_dir():
            raise ExportError(f"{target} is there and is not a folder")
        _mend(target)
        if fresh.exists():
            shutil.rmtree(fresh)
        fresh.mkdir()
    except OSError as error:
        raise ExportError(f"cannot write beside {target}: {error.strerror or error}") from error
    try:
        yield fresh
        try:
            if target.exists():
                target.rename(aside)
            fresh.rename(target)
        except OSError as error:
            if aside.exists() and not target.exists():
                aside.rename(target)
            raise ExportError(f"cannot swap in {target}: {error.strerror or error}") from error
        shutil.rmtree(aside, ignore_errors=True)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
