"""Artefacts written and read back on all cores.

What needs the solid modeller is done by as few processes as pay for loading it. The others take what is
next. Workers are forked where that is sound (Linux) and started afresh elsewhere; they leave interrupts to
their parent, and end when it is gone.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from generators.drawing.pieces import laid_out
from generators.errors import ExportError
from generators.issue.apart import CONTEXT, as_worker, readable
from generators.issue.artefact import Artefact, Done
from generators.issue.reuse import last_pieces
from generators.issue.shelf import Shelf
from generators.issue.stamp import places, stamped
from generators.verify.readback import ReadBack

CORES = "PEDALPLATE_CORES"
"""Environment variable: how many processes to use; 1 does everything in this one."""

KERNEL_FILES_A_LOAD = 24
"""Files that take about as long as loading the solid modeller once more: measured, ours."""

Progress = Callable[[str, int, int], None]
MOST_WORKERS = 61
"""As many processes as Windows can wait for at once (its limit of 63 handles, less two of the pool's own)."""

_MINE: list[Artefact] = []
"""A worker's own copy of the artefacts, filled when it begins; empty in the parent."""

_SHELVES: dict[Path | None, Shelf] = {}
"""A worker's own shelf; a worker lives for one run."""

DIED = "a process that wrote files died (out of memory, or killed)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What to do with an artefact: write it into ``folder`` with the revision, read the file in ``found``.

    ``found`` is None where nothing is read back. A file in another folder is read only if it is the same to
    the byte. Pieces of pages are taken from the folder of the ``last`` run, if there is one.
    """

    index: int
    folder: Path
    revision: str
    found: Path | None
    last: Path | None = None


def cores() -> int:
    """How many processes may work at once."""
    asked = os.environ.get(CORES, "")
    if asked.isdecimal() and int(asked) > 0:
        return int(asked)
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def carry_out(artefact: Artefact, order: Order, shelf: Shelf | None = None) -> Done:
    """Write one artefact, stamp it, read it back; pieces of its pages are asked of the ``shelf``.

    Raises ``ExportError`` when it cannot be written.
    """
    path = order.folder / artefact.entry.path
    shelf = shelf or Shelf()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with laid_out(shelf):
            remarks = artefact.body(path=path)
        body = path.read_bytes()
        where = places(body)
        data = stamped(body, where, order.revision)
        if data is not body:
            path.write_bytes(data)
    except OSError as error:
        raise ExportError(f"cannot write {artefact.entry.path}: {error.strerror or error}") from error
    reading = ReadBack(path=artefact.entry.path, facts=("written as planned",))
    if order.found is not None:
        found = order.found / artefact.entry.path
        if found != path and not _holds(found, data):
            # it is not what was made, and may be damaged: who compares the two reads it apart
            reading = ReadBack(path=artefact.entry.path)
        elif artefact.read is not None:
            reading = readable(artefact.read, found, artefact.entry.path)
        if artefact.revised and not where:
            problem = f"does not carry revision {order.revision}"
            reading = replace(reading, problems=(*reading.problems, problem))
    return Done(
        path=artefact.entry.path,
        sha256=hashlib.sha256(data).hexdigest(),
        places=where,
        remarks=tuple(remarks) if isinstance(remarks, tuple) else (),
        reading=reading,
        cuts=shelf.cuts(body),
    )


def _holds(path: Path, data: bytes) -> bool:
    """True for a file, not a link, of those bytes."""
    try:
        return path.is_file() and not path.is_symlink() and path.read_bytes() == data
    except OSError:
        return False


def _lanes(artefacts: Sequence[Artefact], wanted: Sequence[int], count: int) -> list[list[list[int]]]:
    """Bundles of groups of indices: first those with the kernel, in few bundles; then each group alone."""
    groups: dict[tuple[bool, str], list[int]] = {}
    for index in wanted:
        one = artefacts[index]
        groups.setdefault((one.kernel, one.group or one.entry.path), []).append(index)
    kernel = [items for (loads, _), items in groups.items() if loads]
    files = sum(map(len, kernel))
    bundles = min(count, max(1, files // KERNEL_FILES_A_LOAD))
    lanes = [kernel[k::bundles] for k in range(bundles) if kernel[k::bundles]]
    return [*lanes, *([items] for (loads, _), items in groups.items() if not loads)]


def _begin(artefacts: tuple[Artefact, ...]) -> None:
    """First thing in a worker."""
    _MINE[:] = artefacts
    as_worker()


def _run(orders: Sequence[Order]) -> list[Done]:
    return [carry_out(_MINE[order.index], order, _shelf(order.last, _SHELVES)) for order in orders]


def _shelf(last: Path | None, known: dict[Path | None, Shelf]) -> Shelf:
    """The shelf with the pieces of that folder, laid out when it is first asked for."""
    if last not in known:
        known[last] = Shelf(last_pieces(last) if last is not None else {})
    return known[last]


class Team:
    """Does orders; made by ``team``."""

    def __init__(self, artefacts: tuple[Artefact, ...], pool: ProcessPoolExecutor | None, count: int) -> None:
        self.artefacts, self._pool, self._count = artefacts, pool, count

    def do(self, orders: Sequence[Order], progress: Progress) -> list[Done]:
        """All orders; what comes back is in the order of the artefacts.

        Raises ``ExportError`` for the first file that cannot be written, or a worker that died.
        """
        by_index = {order.index: order for order in orders}
        total, done = len(orders), list[Done]()
        shelves: dict[Path | None, Shelf] = {}
        lanes = _lanes(self.artefacts, sorted(by_index), self._count)
        if self._pool is None:
            for index in [i for lane in lanes for group in lane for i in group]:
                progress(f"make {self.artefacts[index].entry.path}", len(done), total)
                order = by_index[index]
                done.append(carry_out(self.artefacts[index], order, _shelf(order.last, shelves)))
        else:
            waiting: set[Future[list[Done]]] = set()
            try:
                for lane in lanes:
                    waiting.add(self._pool.submit(_run, [by_index[i] for group in lane for i in group]))
                while waiting:
                    ended, waiting = wait(waiting, return_when=FIRST_COMPLETED)
                    for future in ended:
                        done += future.result()
                        progress(f"made {done[-1].path}", len(done), total)
            except BrokenProcessPool as error:
                raise ExportError(DIED) from error
            except BaseException:
                _end(self._pool)  # before anybody takes away the folder they write to
                raise
        place = {one.entry.path: k for k, one in enumerate(self.artefacts)}
        return sorted(done, key=lambda d: place[d.path])


def _end(pool: ProcessPoolExecutor) -> None:
    """End the workers, whatever they are doing, and wait until they are gone."""
    for process in list((pool._processes or {}).values()):  # no public way to end a worker at once
        process.terminate()
    pool.shutdown(wait=True, cancel_futures=True)


def _pool(artefacts: tuple[Artefact, ...], count: int) -> ProcessPoolExecutor | None:
    """Workers that know these artefacts; None where the system has no means for them.

    A container may lack the shared memory their locks need, or the right to begin another process.
    Raises ``ExportError`` when a worker dies as it begins.
    """
    context = multiprocessing.get_context(start_method())
    try:
        pool = ProcessPoolExecutor(count, mp_context=context, initializer=_begin, initargs=(artefacts,))
    except (OSError, ImportError, NotImplementedError):
        return None
    try:
        # begun before any lock is held, so that no worker can hold on to one
        pool.submit(_run, ()).result()
    except BrokenProcessPool as error:
        _end(pool)
        raise ExportError(DIED) from error
    except OSError:
        _end(pool)
        return None
    except BaseException:
        _end(pool)
        raise
    return pool


def start_method() -> str:
    """How workers begin: forked where that is sound, started afresh elsewhere."""
    return CONTEXT


@contextmanager
def team(artefacts: tuple[Artefact, ...]) -> Iterator[Team]:
    """Processes for these artefacts, ended with the block. Raises ``ExportError`` when they cannot begin."""
    count = min(cores(), max(1, len(artefacts) // 2), MOST_WORKERS)
    pool = _pool(artefacts, count) if count > 1 else None
    if pool is None:
        yield Team(artefacts, None, 1)
        return
    try:
        yield Team(artefacts, pool, count)
    except BaseException:
        _end(pool)
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
