"""A folder written apart and swapped in whole, by one run at a time.

The new content is written to ``.<name>.new-<digits>`` beside the target. Swapping is two renames on the
same file system, the old folder standing aside as ``.<name>.old`` in between; a run killed between the
two is mended by the next one, which puts the old folder back.

The lock is the operating system's own, on ``.<name>.lock`` beside the target. It is let go when its holder
ends, however it ends, so no number of a process has to be trusted: two containers that share the folder on
one machine see the same lock.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from generators.errors import ExportError, ReadBackError
from generators.issue.manifest import NAME, Manifest, file_hash, read_manifest

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


SHOWN = 3
LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file browsers leave in a folder that was only looked at."""


def _beside(target: Path, what: str) -> Path:
    return target.with_name(f".{target.name}.{what}")


@contextlib.contextmanager
def locked(target: Path) -> Iterator[None]:
    """Hold the folder for this run. Raises ``ExportError`` when another run has it, or none can be made."""
    path = _beside(target, "lock")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle = _held(path)
    except OSError as error:
        raise ExportError(f"cannot write beside {target}: {error.strerror or error}") from error
    if handle is None:
        raise ExportError(f"{target} is being made by another run; wait until that has ended, then try again")
    try:
        yield
    finally:
        # taken away while held, so that nobody can lock a file that is about to go
        with contextlib.suppress(OSError):
            path.unlink()
        os.close(handle)


def _held(path: Path) -> int | None:
    """A locked handle of the file that has that name now, or None when somebody else has it."""
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
    while True:
        handle = os.open(path, flags, 0o666)
        try:
            _lock(handle)
        except (BlockingIOError, PermissionError):
            os.close(handle)
            return None
        except BaseException:
            os.close(handle)
            raise
        try:
            if os.path.samestat(os.fstat(handle), os.stat(path)):
                return handle
        except FileNotFoundError:
            pass
        os.close(handle)  # its last holder took the name away between our two calls


def mend(target: Path) -> None:
    """Tidy what a killed run left: restore the old folder, drop half-written ones. Needs the lock.

    Raises ``ExportError`` for something in the way that no run of this program left there.
    """
    aside = _beside(target, "old")
    if aside.is_symlink() or (aside.exists() and not aside.is_dir()):
        raise ExportError(f"{aside} is in the way and is no folder of this program's; move or delete it")
    try:
        if aside.exists():
            if target.exists():
                shutil.rmtree(aside)
            else:
                aside.rename(target)
        for leftover in target.parent.glob(f".{_glob(target.name)}.new-*"):
            if leftover.is_dir() and not leftover.is_symlink():
                shutil.rmtree(leftover)
    except OSError as error:
        raise ExportError(f"cannot tidy up beside {target}: {error.strerror or error}") from error


def _glob(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


@contextlib.contextmanager
def swapped_in(target: Path) -> Iterator[Path]:
    """An empty folder to write to; when the block ends well it becomes ``target``. Needs the lock.

    Raises ``ExportError`` when the folder cannot be made or swapped. Whatever ends the block otherwise, the
    new folder is removed and ``target`` stays as it was.
    """
    fresh, aside = _beside(target, f"new-{secrets.token_hex(4)}"), _beside(target, "old")
    try:
        # within the block that takes it away again: a signal may come as soon as it is there
        try:
            fresh.mkdir()
        except OSError as error:
            raise ExportError(f"cannot write beside {target}: {error.strerror or error}") from error
        yield fresh
        try:
            _swap(fresh, target, aside)
        except OSError as error:
            raise ExportError(
                f"cannot swap in {target}: {error.strerror or error}; is a file in it open elsewhere?"
            ) from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        if target.exists():
            shutil.rmtree(aside, ignore_errors=True)


def _swap(fresh: Path, target: Path, aside: Path) -> None:
    try:
        if target.exists():
            target.rename(aside)
        fresh.rename(target)
    except BaseException:
        # also an interrupt between the two renames: the old folder must not be left under another name
        if aside.exists() and not target.exists():
            aside.rename(target)
        raise


def last_run(target: Path) -> Manifest | None:
    """The manifest of the folder that the new one will take the place of; None where there is none.

    Raises ``ExportError`` when something would be lost: a folder that is not of this program, a link, or
    anything in it that it did not make.
    """
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise ExportError(
            f"{target} is there and is not a folder of its own; move it, or choose another --out"
        )
    if not target.exists() or not any(target.iterdir()):
        return None
    try:
        manifest = read_manifest(target)
    except ReadBackError as error:
        raise ExportError(
            f"{target} was not made by this program ({error}); move it, or choose another --out"
        ) from error
    strange = foreign(target, [NAME, *(e.path for e in manifest.entries)])
    if strange:
        more = f" and {len(strange) - SHOWN} more" if len(strange) > SHOWN else ""
        raise ExportError(
            f"{target} holds what this program did not make ({', '.join(strange[:SHOWN])}{more}); "
            "move that elsewhere"
        )
    return manifest


def foreign(folder: Path, listed: Iterable[str]) -> list[str]:
    """What a folder holds beside its listed files and their folders: other files, links, empty folders.

    Not what a file browser leaves there by itself.
    """
    known = set(listed)
    parents = {parent.as_posix() for path in known for parent in Path(path).parents}
    out = []
    for root, folders, files in os.walk(folder):
        here = Path(root).relative_to(folder)
        for name in folders:
            relative = (here / name).as_posix()
            if (folder / relative).is_symlink():
                out.append(relative)
            elif relative not in parents:
                out.append(f"{relative}/")
        out += [
            relative
            for name in files
            if (relative := (here / name).as_posix()) not in known
            and (name not in LITTER or (folder / relative).is_symlink())
        ]
        folders[:] = [name for name in folders if (here / name).as_posix() in parents]
    return sorted(out)


def keep_edited(target: Path, manifest: Manifest) -> list[str]:
    """Copies of files that were changed by hand since they were made, put into a folder beside the target.

    Returns a remark for each. Raises ``ExportError`` when they cannot be copied.
    """
    edited = [
        entry.path
        for entry in manifest.entries
        if (target / entry.path).is_file() and file_hash(target / entry.path) != entry.sha256
    ]
    if not edited:
        return []
    number = 1
    while (place := target.with_name(f"{target.name}_edited_{number}")).exists():
        number += 1
    try:
        for path in edited:
            (place / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(target / path, place / path)
    except OSError as error:
        raise ExportError(
            f"cannot keep {path}, which was changed by hand: {error.strerror or error}"
        ) from error
    return [f"{path} was changed by hand since it was made; your copy is {place / path}" for path in edited]
