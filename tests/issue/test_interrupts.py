"""Killed at any moment, interrupted between the renames, started twice at once: nothing is lost."""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from issue.finished import VAN
from issue.small import small_spec

from generators.jobs.verify import verify

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are of POSIX")


def files_of(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file()
    }


def started(spec: Path, out: Path, cores: int = 1) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "generators.cli", "make", str(spec), "--out", str(out)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PEDALPLATE_CORES": str(cores)},
    )


def ended(process: subprocess.Popen[str]) -> tuple[int, str]:
    _, said = process.communicate(timeout=600)
    assert "Traceback" not in said, said
    return process.returncode, said


def left(out: Path) -> list[str]:
    return sorted(p.name for p in out.iterdir())


def two_at_once(spec: Path, out: Path) -> tuple[int, int]:
    """Two makes of one job at once; their exit codes. The folder must be whole afterwards."""
    first, second = started(spec, out), started(spec, out)
    codes = []
    for process in (first, second):
        code, said = ended(process)
        codes.append(code)
        if code:
            assert code == 4
            assert "is being made by another run" in said
    return codes[0], codes[1]


def killed_somewhere(spec: Path, out: Path, wait: float, how: signal.Signals, cores: int) -> int:
    """Kill a make after so long; its exit code."""
    process = started(spec, out, cores)
    time.sleep(wait)
    process.send_signal(how)
    code, _ = ended(process)
    return code


def test_two_makes_at_once_leave_one_whole_folder(tmp_path: Path) -> None:
    spec, out = small_spec(tmp_path), tmp_path / "out"
    codes = two_at_once(spec, out)
    assert 0 in codes
    assert left(out) == ["small"]
    assert all(r.good for r in verify(out / "small", progress=lambda *_: None))


@pytest.mark.parametrize("cores", [1, 2])
def test_a_make_on_several_cores_gives_the_same_bytes_and_leaves_no_process(
    tmp_path: Path, cores: int
) -> None:
    spec = small_spec(tmp_path)
    assert ended(started(spec, tmp_path / "one"))[0] == 0
    assert ended(started(spec, tmp_path / "two", cores))[0] == 0
    assert files_of(tmp_path / "two" / "small") == files_of(tmp_path / "one" / "small")


def test_workers_end_with_a_killed_parent_and_let_go_of_the_folder(tmp_path: Path) -> None:
    spec, out = small_spec(tmp_path), tmp_path / "out"
    process = started(spec, out, cores=2)
    deadline = time.monotonic() + 120
    while not list(out.glob(".small.new-*")) and time.monotonic() < deadline and process.poll() is None:
        time.sleep(0.005)
    process.kill()
    # the pipes close when the last worker is gone too
    process.communicate(timeout=60)
    code, said = ended(started(spec, out))
    assert code == 0, said
    assert left(out) == ["small"]


@pytest.mark.nightly
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_killed_at_fifty_moments_nothing_is_lost(tmp_path: Path, how: signal.Signals) -> None:
    out = tmp_path / "out"
    start = time.monotonic()
    assert ended(started(VAN, out, 2))[0] == 0
    whole = time.monotonic() - start
    good = files_of(out / "wrenfield_van")
    random_ = random.Random(3)
    for number in range(50):
        if number % 2:
            # also from nothing, when everything has to be written
            shutil.rmtree(out / "wrenfield_van")
        killed_somewhere(VAN, out, random_.uniform(0, whole), how, cores=1 + number % 3)
        if not number % 2:
            there = out / "wrenfield_van"
            aside = out / ".wrenfield_van.old"
            assert files_of(there if there.exists() else aside) == good, number
        assert ended(started(VAN, out, 2))[0] == 0
        assert left(out) == ["wrenfield_van"]
        assert files_of(out / "wrenfield_van") == good


@pytest.mark.nightly
def test_two_makes_at_once_a_thousand_times(tmp_path: Path) -> None:
    spec, out = small_spec(tmp_path), tmp_path / "out"
    both = 0
    for number in range(1000):
        if number % 10 == 0:
            shutil.rmtree(out, ignore_errors=True)
        codes = two_at_once(spec, out)
        assert 0 in codes, number
        both += codes == (0, 0)
        assert left(out) == ["small"]
    assert both < 1000  # they did meet


@pytest.mark.nightly
def test_two_makes_of_the_van_at_once_twenty_times(tmp_path: Path) -> None:
    for number in range(20):
        out = tmp_path / f"out{number % 2}"
        if number % 2:
            shutil.rmtree(out, ignore_errors=True)
        assert 0 in two_at_once(VAN, out)
        assert left(out) == ["wrenfield_van"]
    assert all(r.good for r in verify(out / "wrenfield_van", progress=lambda *_: None))
