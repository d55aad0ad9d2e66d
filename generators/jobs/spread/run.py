"""All installs of a kit, in blocks: in this process, or by workers of Dask, with the same counts."""

from __future__ import annotations

import os

from generators.errors import ExportError, SolverMissing
from generators.issue.work import Progress
from generators.jobs.sweep.run import gathered, workers
from generators.measure.chance.draws import BLOCK, block
from generators.measure.chance.kit import Kit
from generators.measure.chance.run import Tally, added, installs, tally

MOST = 10_000_000


def counted(kit: Kit, seed: int, number: int, count: int) -> Tally:
    """One block of installs: drawn, put on, counted."""
    return tally(installs(kit, block(kit.columns, seed, number, count)))


def sizes(count: int) -> list[int]:
    """How many installs each block has."""
    return [min(BLOCK, count - start) for start in range(0, count, BLOCK)]


def all_installs(
    kit: Kit, count: int, seed: int, *, on: str = "", cores: int = 1, progress: Progress
) -> Tally:
    """The counts of ``count`` installs. ``on`` is a scheduler's address; ``cores`` workers of this machine.

    Blocks are drawn from seeds of their own and counts are whole numbers, so the answer is the same whoever
    counts them and in whatever order. Raises ``SolverMissing`` without Dask where it is asked for, and
    ``ExportError`` for a scheduler that does not answer or workers that are lost again and again.
    """
    blocks = sizes(count)
    cores = min(cores, len(blocks), os.cpu_count() or 1) if not on else cores
    found: dict[int, Tally] = {}
    if not on and (cores < 2 or os.environ.get("PEDALPLATE_CORES") == "1"):
        for number, size in enumerate(blocks):
            found[number] = counted(kit, seed, number, size)
            progress("install", number + 1, len(blocks))
        return added([found[k] for k in range(len(blocks))])
    try:
        import distributed
    except ImportError:
        raise SolverMissing("workers need Dask: pip install 'pedalplate[sweep]'") from None
    tasks = {str(number): (kit, seed, number, size) for number, size in enumerate(blocks)}
    with workers(distributed, on, cores) as client:
        for key, result, lost in gathered(distributed, client, counted, tasks):
            if lost:
                raise ExportError(f"block {key} of the installs: {lost}")
            found[int(key)] = result
            progress("install", len(found), len(blocks))
    return added([found[k] for k in range(len(blocks))])
