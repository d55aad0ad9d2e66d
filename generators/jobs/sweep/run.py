"""All rows of a sweep: known ones taken again, the rest solved by workers of Dask, each kept as it comes."""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from generators.errors import ExportError, SolverMissing
from generators.issue.work import Progress
from generators.jobs.sweep import worker
from generators.jobs.sweep.one import LOST, Bundle, passing, solved

LOST_TIMES = 3
"""How often a row is given out again after the workers that had it were lost."""
CONNECT_S = 20
_KEPT = frozenset({"key", "values", "measures", "failed", "fault"})


def known_rows(cache: Path) -> dict[str, dict[str, Any]]:
    """Rows kept by an earlier run, by key; a line that was cut short is no row. Raises ``ExportError``.

    Rows with a fault that may be gone by now are solved again.
    """
    out: dict[str, dict[str, Any]] = {}
    try:
        lines = cache.read_bytes().split(b"\n") if cache.exists() else []
    except OSError as error:
        raise ExportError(f"cannot read {cache}: {error.strerror or error}") from error
    for line in lines:
        with contextlib.suppress(ValueError):
            row = json.loads(line)
            sound = isinstance(row, dict) and set(row) == _KEPT and isinstance(row["key"], str)
            if sound and not passing(row):
                out[row["key"]] = row
    return out


def all_rows(
    bundle: Bundle,
    rows: Sequence[Mapping[str, Any]],
    cache: Path,
    *,
    on: str = "",
    progress: Progress,
) -> list[dict[str, Any]]:
    """The result of every row, in order. ``on`` is the address of a scheduler that is there already.

    Each is written to ``cache`` as it comes, so that a run that was stopped goes on where it was. Raises
    ``SolverMissing`` without Dask, ``ExportError`` for a scheduler that does not answer or a cache that
    cannot be written.
    """
    known = known_rows(cache)
    keys = [bundle.key(row) for row in rows]
    todo = {key: row for key, row in zip(keys, rows, strict=True) if key not in known}
    done = len(set(keys)) - len(todo)
    try:
        with cache.open("ab") as kept:
            if kept.tell() and not cache.read_bytes().endswith(b"\n"):
                kept.write(b"\n")  # the last run was cut short within a line
            for count, row in enumerate(_solved(bundle, todo, on), 1):
                known[row["key"]] = row
                if not passing(row):
                    kept.write(json.dumps(row, sort_keys=True).encode() + b"\n")
                    kept.flush()
                progress("solve", done + count, done + len(todo))
    except OSError as error:
        raise ExportError(f"cannot write {cache}: {error.strerror or error}") from error
    return [known[key] for key in keys]


def _solved(bundle: Bundle, todo: Mapping[str, Mapping[str, Any]], on: str) -> Iterator[dict[str, Any]]:
    if not todo:
        return
    if not on and os.environ.get("PEDALPLATE_CORES") == "1":
        yield from (solved(bundle, values) for values in todo.values())
        return
    try:
        import distributed
    except ImportError:
        said = (
            "a sweep on all cores needs Dask: pip install 'pedalplate[sweep]', or PEDALPLATE_CORES=1 for one"
        )
        raise SolverMissing(said) from None
    with workers(distributed, on, len(todo)) as client:
        tasks = {key: (bundle, dict(values)) for key, values in todo.items()}
        for key, row, lost in gathered(distributed, client, solved, tasks):
            empty = {"key": key, "values": dict(todo[key]), "measures": {}, "failed": [], "fault": lost}
            yield empty if lost else row


@contextlib.contextmanager
def workers(distributed: Any, on: str, rows: int) -> Iterator[Any]:
    """A client of the scheduler at an address, or of workers on this machine, one a core."""
    import dask

    with tempfile.TemporaryDirectory(prefix="pedalplate_") as scratch, contextlib.ExitStack() as stack:
        stack.enter_context(
            dask.config.set(
                {
                    "temporary-directory": scratch,
                    "distributed.scheduler.allowed-failures": LOST_TIMES,
                    "distributed.logging.distributed": "error",
                    **worker.SETTINGS,
                }
            )
        )
        if on:
            try:
                yield stack.enter_context(distributed.Client(on, timeout=CONNECT_S, set_as_default=False))
            except (OSError, ValueError) as error:
                raise ExportError(f"no scheduler answers at {on}: {error}") from error
            return
        cores = int(os.environ.get("PEDALPLATE_CORES") or os.cpu_count() or 1)
        # not over a network: the workers are children of this process
        cluster = stack.enter_context(
            distributed.LocalCluster(
                n_workers=max(1, min(cores, rows)),
                threads_per_worker=1,
                processes=True,
                dashboard_address=None,
                host="127.0.0.1",
                silence_logs=50,
            )
        )
        yield stack.enter_context(distributed.Client(cluster, set_as_default=False))


def gathered(
    distributed: Any, client: Any, work: Callable[..., Any], tasks: Mapping[str, tuple[Any, ...]]
) -> Iterator[tuple[str, Any, str]]:
    """Results as they come: key, result, and why there is none.

    What was with workers that were lost is given out again, ``LOST_TIMES`` times, then told as lost.
    """
    times = dict.fromkeys(tasks, 0)
    names = {}

    def given(key: str) -> Any:
        times[key] += 1
        future = client.submit(work, *tasks[key], pure=False, key=f"row-{key}-{times[key]}")
        names[future.key] = key
        return future

    waiting = distributed.as_completed([given(key) for key in tasks], loop=client.loop, raise_errors=False)
    for future in waiting:
        key = names[future.key]
        if future.status == "finished":
            yield key, future.result(), ""
        elif times[key] < LOST_TIMES:
            waiting.add(given(key))
        else:
            yield key, None, f"{LOST} {LOST_TIMES} times: {future.exception()}"[:300]
