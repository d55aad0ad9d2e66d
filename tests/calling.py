"""The command as a person calls it, in this process."""

from __future__ import annotations

import sys

import pytest

from generators.cli.app import run


def call(*arguments: object) -> int:
    """Runs ``pedalplate`` with these words and gives back its exit code."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["pedalplate", *map(str, arguments)])
        return run()
