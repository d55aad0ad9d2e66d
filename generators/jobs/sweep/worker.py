"""What a worker of a sweep does before its first row, and the surroundings it is started with.

Dask imports this module in each worker it starts. A row makes and drops many small objects beside those of
the libraries: a collector that goes through all of them each time, a C library that gives every large array
back to the system and asks for it again, and clocks that look in fifty times a second cost a worker a third
of the time of a row.
"""

from __future__ import annotations

import gc
from collections.abc import Mapping

from generators.jobs.sweep.one import this_program

HELD = str(2**28)
"""Bytes the C library keeps and takes from its own heap before it asks the system (``mallopt(3)``, glibc)."""

SURROUNDINGS: Mapping[str, str] = {
    "MALLOC_TRIM_THRESHOLD_": HELD,
    "MALLOC_MMAP_THRESHOLD_": HELD,
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
}
"""Variables a worker is started with. It has one core: a library that takes them all slows its neighbours."""

SETTINGS: Mapping[str, object] = {
    "distributed.nanny.pre-spawn-environ": dict(SURROUNDINGS),
    "distributed.worker.preload": [__name__],
    "distributed.worker.profile.enabled": False,
    "distributed.admin.tick.interval": "1s",
    "distributed.admin.system-monitor.interval": "5s",
    "distributed.worker.memory.monitor-interval": "1s",
}
"""What Dask is told: this module is loaded in each worker, and nothing looks in more often than it must."""

SELDOM = (20_000, 20, 20)
"""New objects the collector waits for, and its short rounds before a longer one (``gc.set_threshold``)."""


def dask_setup(_worker: object) -> None:
    """Called by Dask before the first row: all it needs is loaded, and the collector passes that over."""
    this_program()
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)
