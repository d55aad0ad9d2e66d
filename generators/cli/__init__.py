"""The command line; thin. Exit: 0 fine, 1 a check failed, 2 usage, 3 spec invalid, 4 export or read-back.

A run that was told to stop ends with 128 and the signal's number.
"""

from __future__ import annotations

import gc
import signal
import sys

__all__ = ["main"]

GARBAGE = (50_000, 50, 100)
"""How rarely rubbish in circles is looked for: nearly all a run makes lives until it ends, and looking
through the libraries' own things over and over is a twentieth of its time."""


def main() -> None:
    """Entry point of the ``pedalplate`` command."""
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
    sys.exit(code)
