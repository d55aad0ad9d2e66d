"""A board that runs in this process, as the command runs it."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from generators.board.server import Board, served

PATIENCE_S = 60.0


def until(true: Callable[[], bool]) -> None:
    """Wait for something that must come. Fails when it does not."""
    end = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


@contextmanager
def running(spec: Path, *, solves: bool = True, others: tuple[Path, ...] = ()) -> Iterator[tuple[str, Board]]:
    """A board of a spec in a thread of its own; without ``solves`` it stays at its first look."""
    begun: list[tuple[str, Board]] = []
    loop = asyncio.new_event_loop()
    ended = asyncio.Event()

    async def serve() -> None:
        async with served(spec, others=others) as both:
            if not solves:
                both[1].desk.whole = lambda: None  # type: ignore[method-assign]
            begun.append(both)
            await ended.wait()

    thread = threading.Thread(target=loop.run_until_complete, args=(serve(),), daemon=True)
    thread.start()
    until(lambda: bool(begun) or not thread.is_alive())
    try:
        yield begun[0]
    finally:
        loop.call_soon_threadsafe(ended.set)
        thread.join(PATIENCE_S)
        loop.close()
