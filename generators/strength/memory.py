"""What a process may use of memory and has used, on systems that tell."""

from __future__ import annotations

import sys
from contextlib import suppress

_SHARE_MIB = 1 / 1024 if sys.platform != "darwin" else 1 / 2**20
"""``ru_maxrss`` counts KiB on Linux and bytes on macOS (getrusage(2) of each)."""


def bound(address_bytes: int) -> None:
    """Let this process take no more address space than that, or than it was allowed already.

    Windows has no such limit for a process that sets it itself, macOS refuses it: there nothing is done, and
    the caller's time limit alone ends a solver that grows.
    """
    if sys.platform != "win32":
        import resource  # noqa: PLC0415  (not on Windows)

        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        limit = address_bytes if hard == resource.RLIM_INFINITY else min(address_bytes, hard)
        with suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_AS, (limit, hard))


def peak_mib() -> float:
    """The most memory this process has held, MiB; 0 on Windows, which is not asked."""
    if sys.platform != "win32":
        import resource  # noqa: PLC0415  (not on Windows)

        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * _SHARE_MIB
    return 0.0
