"""The command line; thin. Exit: 0 fine, 1 a check failed, 2 usage, 3 spec invalid, 4 export or read-back."""

from __future__ import annotations

import sys

__all__ = ["main"]


def main() -> None:
    """Entry point of the ``pedalplate`` command."""
    from generators.cli.app import run

    sys.exit(run())
