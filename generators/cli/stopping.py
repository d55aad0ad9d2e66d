"""A run that is told to stop ends by its own cleaning up, and with a sentence."""

from __future__ import annotations

import signal
from types import FrameType

# by the shell's custom, 128 and the number of the signal
_FIRST_CODE = 128
_NAMES = ("SIGTERM", "SIGHUP")


class Stopped(BaseException):
    """A signal to end. Not an ``Exception``, so that nothing on the way takes it for a fault."""

    def __init__(self, number: int) -> None:
        self.number = number
        super().__init__(signal.Signals(number).name)


def exit_code(number: int) -> int:
    """The exit code of a run ended by that signal."""
    return _FIRST_CODE + number


def sentence(number: int) -> str:
    """What is said at the end. Folders are written apart and swapped in whole, so it is always true."""
    return f"stopped ({signal.Signals(number).name}); no folder was left half written."


def _stop(number: int, frame: FrameType | None) -> None:
    ignore()  # a second signal must not cut the cleaning up short
    if number == signal.SIGINT:
        raise KeyboardInterrupt
    raise Stopped(number)


def listen() -> None:
    """Turn SIGINT, SIGTERM and SIGHUP into exceptions, where they are not ignored already (``nohup``)."""
    for name in ("SIGINT", *_NAMES):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _stop)


def ignore() -> None:
    """From here to the end no signal is listened to."""
    for name in ("SIGINT", *_NAMES):
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, signal.SIG_IGN)
