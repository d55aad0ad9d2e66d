"""Files that may be damaged, read in a process of their own.

The solid modeller follows what a damaged file says without asking, and can end its process with it. Then
that one file is bad, and all others are still looked at.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import replace
from multiprocessing.connection import wait as wait_for
from pathlib import Path

from generators.errors import ReadBackError
from generators.issue.artefact import Artefact
from generators.verify.readback import ReadBack, said

CONTEXT = "fork" if sys.platform == "linux" else "spawn"
"""How processes are begun: forked where that is sound."""

TOOK_DOWN = "cannot be read: what it says made the solid modeller end"


def as_worker() -> None:
    """First thing in a worker: leave interrupts to the parent, and end when it is gone."""
    for name, what in (("SIGINT", signal.SIG_IGN), ("SIGHUP", signal.SIG_IGN), ("SIGTERM", signal.SIG_DFL)):
        if hasattr(signal, name):  # Windows has no SIGHUP
            signal.signal(getattr(signal, name), what)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait_for([sentinel])
    os._exit(1)


def readable(read: Callable[[Path], ReadBack], path: Path, rel: str) -> ReadBack:
    """What a reader says of a file, which ``rel`` names. Raises nothing for a bad file.

    Readers name the faults they know. What a library raises on bytes nobody thought of is a problem of that
    file as well, and must not keep the others from being looked at.
    """
    try:
        found = read(path)
    except ReadBackError as error:
        return ReadBack(path=rel, problems=(str(error).removeprefix(f"{error.path}: "),))
    # the folder's other files are still read: what a library made of this one is a problem of it
    except Exception as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {said(error)}",))
    # a library's words in a reader's may hold line ends
    return replace(found, problems=tuple(" ".join(p.splitlines()) for p in found.problems))


class Apart:
    """One process, begun when it is first needed and again after it was taken down; made by ``apart``."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None

    def read(self, artefact: Artefact, path: Path) -> ReadBack:
        """What the artefact's reader says of a file that may be damaged; nothing where it has none."""
        rel = artefact.entry.path
        if artefact.read is None:
            return ReadBack(path=rel)
        if not artefact.kernel:
            return readable(artefact.read, path, rel)
        if self._pool is None:
            context = multiprocessing.get_context(CONTEXT)
            self._pool = ProcessPoolExecutor(1, mp_context=context, initializer=as_worker)
        try:
            return self._pool.submit(readable, artefact.read, path, rel).result()
        except BrokenProcessPool:
            self.end()
            return ReadBack(path=rel, problems=(TOOK_DOWN,))

    def end(self) -> None:
        """End the process, if there is one."""
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None


@contextmanager
def apart() -> Iterator[Apart]:
    """A process to read in, ended with the block."""
    reader = Apart()
    try:
        yield reader
    finally:
        reader.end()
