"""The solver's memory: bounded where the system can, and told in MiB (getrlimit(2), getrusage(2))."""

from __future__ import annotations

import subprocess
import sys

import pytest


def run(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, encoding="utf-8", timeout=300)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="no such limit there")
def test_more_than_the_bound_is_refused() -> None:
    code = (
        "from generators.strength.memory import bound\nbound(2**30)\n"
        "bytearray(2**28)\n"
        "try:\n    bytearray(2**31)\nexcept MemoryError:\n    print('refused')"
    )
    assert run(code) == "refused"


@pytest.mark.skipif(sys.platform == "win32", reason="not asked there")
def test_the_peak_holds_what_was_held() -> None:
    code = (
        "from generators.strength.memory import peak_mib\n"
        "held = bytearray(b'x') * (256 * 2**20)\nprint(peak_mib())"
    )
    # a new process may count what its parent held as well; a unit amiss would be a factor of 1024
    assert 256 <= float(run(code)) < 256 * 100


def test_a_bound_above_what_is_used_changes_nothing() -> None:
    assert run("from generators.strength.memory import bound\nbound(2**40)\nprint('on')") == "on"
