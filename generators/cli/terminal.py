"""Standard output and error that cannot end a run: any encoding, a reader that went away, a full disk.

A program must not fail because of where its words go. Letters the encoding lacks become plain ones
(``plain``). When the reader of a pipe or a terminal goes away, the rest is dropped and the command goes
on to its own end and exit code: a folder half way to being swapped in is worth more than its listing.
Any other failure (a full disk) is kept, so that the command can say so at the end.
"""

from __future__ import annotations

import errno
import io
import os
import select
import stat
import sys
from typing import TextIO, cast

from generators.cli import plain

_READER_GONE = {errno.EPIPE, errno.ECONNRESET, errno.ESHUTDOWN}


class PatientFile(io.FileIO):
    """A file that takes every write; ``failure`` is why the first one that counted was lost."""

    def __init__(self, fd: int) -> None:
        super().__init__(fd, "w", closefd=False)
        self.failure: OSError | None = None
        self._dropping = False

    def write(self, data: bytes | bytearray | memoryview, /) -> int:  # type: ignore[override]  # any buffer
        """Write what the system takes; after a failure take everything and write nothing."""
        size = memoryview(data).nbytes
        while not self._dropping:
            try:
                written = super().write(data)
            except OSError as error:
                self._dropping = True
                # a terminal that was closed answers EIO; on a disk that is a fault to tell
                gone = error.errno in _READER_GONE or (error.errno == errno.EIO and self._no_file())
                self.failure = None if gone else error
                break
            if written is not None:
                return written
            select.select([], [self], [])  # a pipe set not to wait, and full
        return size

    def _no_file(self) -> bool:
        return not stat.S_ISREG(os.fstat(self.fileno()).st_mode)


def guarded(stream: TextIO | None) -> TextIO:
    """The stream with plain letters where its encoding has none, and patient where it is a real file."""
    handler = plain.register()
    if stream is None:  # it was closed before we began
        return open(os.devnull, "w", encoding="utf-8")
    if not isinstance(stream, io.TextIOWrapper):
        return stream
    raw = getattr(stream.buffer, "raw", stream.buffer)
    if type(raw) is not io.FileIO:  # a console of its own kind, or bytes in memory
        stream.reconfigure(errors=handler)
        return stream
    stream.flush()
    return io.TextIOWrapper(
        io.BufferedWriter(cast(io.RawIOBase, PatientFile(raw.fileno()))),
        encoding=stream.encoding,
        errors=handler,
        line_buffering=stream.line_buffering,
        write_through=stream.write_through,
    )


def guard() -> None:
    """Put guarded streams in the place of ``sys.stdout`` and ``sys.stderr``; closed ones go nowhere."""
    for fd in range(3):
        try:
            os.fstat(fd)
        except OSError:
            # the next file opened would take this number, and get our words written into it
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)
    sys.stdout, sys.stderr = guarded(sys.stdout), guarded(sys.stderr)


def lost() -> str:
    """Flush both streams; why results on stdout were lost, or nothing."""
    for stream in (sys.stderr, sys.stdout):
        stream.flush()
    raw = getattr(getattr(sys.stdout, "buffer", None), "raw", None)
    failure = raw.failure if isinstance(raw, PatientFile) else None
    return (failure.strerror or str(failure)) if failure else ""
