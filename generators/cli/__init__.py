"""The command line; thin. Exit: 0 fine, 1 a check failed, 2 usage, 3 spec invalid, 4 export or read-back.

A run that was told to stop ends with 128 and the signal's number.
"""

from __future__ import annotations

import gc
import os
import signal
import sys

__all__ = ["main"]

GARBAGE = (200_000, 50, 100)
"""How rarely rubbish in circles is looked for: nearly all a run makes lives until it ends, and looking
through the libraries' own things over and over is a twentieth of its time."""


ONE_THREAD = "OPENBLAS_NUM_THREADS"
"""Matrices here are small: on all cores the threads spend more time waiting for each other than counting, and
the files of a job are written on all cores anyhow."""


def main() -> None:
    """Entry point of the ``pedalplate`` command."""
    # read once, when the first library that counts with matrices is loaded
    os.environ.setdefault(ONE_THREAD, "1")
    from generators.cli import stopping, terminal

    gc.set_threshold(*GARBAGE)
    try:
        stopping.listen()
        terminal.guard()
        from generators.cli.app import finish, run

        code = run()
        stopping.ignore()
        code = finish(code)
    except (stopping.Stopped, KeyboardInterrupt) as stop:
        # before the command began, or after it ended
        number = stop.number if isinstance(stop, stopping.Stopped) else signal.SIGINT
        print(stopping.sentence(number), file=sys.stderr)
        code = stopping.exit_code(number)
    # nothing is looked through once more on the way out: all of it ends with the process
    gc.freeze()
    sys.exit(code)
