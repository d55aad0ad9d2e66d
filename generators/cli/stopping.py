"""A run that is told to stop ends by its own cleaning up, and with a sentence.

The exception a signal raises may be lost on the way: a compiled module that is being loaded turns it into
an ``ImportError``, a destructor swallows it. So the signal is also remembered: whatever a run ends with
after it is that stop, and a run that goes on asks at every step (``check``).
"""

from __future__ import annotations

import signal
import sys
from types import FrameType

# by the shell's custom, 128 and the number of the signal
_FIRST_CODE = 128
_NAMES = ("SIGINT", "SIGTERM", "SIGHUP")
PATIENCE = 5
_received: list[int] = []


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


def asked() -> int | None:
    """The signal this run was told to stop by, if any."""
    return _received[0] if _received else None


def check() -> None:
    """Raises ``Stopped`` when this run was told to stop and is still going."""
    if _received:
        raise Stopped(_received[0])


def _stop(number: int, frame: FrameType | None) -> None:
    _received.append(number)
    if len(_received) == 1:
        raise Stopped(number)
    # a second one must not cut the cleaning up short; somebody who insists is let go
    if len(_received) >= PATIENCE:
        signal.signal(number, signal.SIG_DFL)
        signal.raise_signal(number)


def listen() -> None:
    """Turn SIGINT, SIGTERM and SIGHUP into exceptions, where they are not ignored already (``nohup``)."""
    for name in _NAMES:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _stop)
    usual = sys.unraisablehook

    def quiet(lost: sys.UnraisableHookArgs) -> None:
        if not isinstance(lost.exc_value, Stopped):
            usual(lost)

    sys.unraisablehook = quiet


def ignore() -> None:
    """From here to the end no signal is listened to."""
    for name in _NAMES:
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, signal.SIG_IGN)
