"""Killed at any moment, interrupted between the renames, started twice at once: nothing is lost."""

from __future__ import annotations

import contextlib
import hashlib
import multiprocessing
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from issue.finished import VAN
from issue.small import small_spec

from generators import cli as command
from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.solve.job import prepare

if TYPE_CHECKING:
    from multiprocessing.context import ForkProcess
    from multiprocessing.synchronize import Barrier, Event

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
    small_made: Path, tmp_path: Path, cores: int
) -> None:
    assert ended(started(small_spec(tmp_path), tmp_path / "out", cores))[0] == 0
    assert files_of(tmp_path / "out" / "small") == files_of(small_made)


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


def _child(spec: Path, out: Path, ready: Event, barrier: Barrier | None, cores: int) -> None:
    """What a cold run does, without the time to begin one."""
    # as a fresh interpreter has it, until the command listens
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    with contextlib.suppress(OSError):
        os.setpgid(0, 0)
    ready.set()
    os.environ["PEDALPLATE_CORES"] = str(cores)
    sys.argv = ["pedalplate", "make", str(spec), "--out", str(out)]
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        os.dup2(nowhere.fileno(), 1)
    if barrier is not None:
        barrier.wait(timeout=120)
    command.main()


def warm(spec: Path, out: Path, barrier: Barrier | None = None, cores: int = 1) -> ForkProcess:
    """A run begun as a copy of this process, which has everything loaded."""
    context = multiprocessing.get_context("fork")
    ready = context.Event()
    process = context.Process(target=_child, args=(spec, out, ready, barrier, cores))
    process.start()
    assert ready.wait(timeout=120)
    return process


def code_of(process: ForkProcess) -> int:
    process.join(timeout=600)
    assert process.exitcode is not None
    return process.exitcode


def warm_two(spec: Path, out: Path) -> tuple[int, int]:
    """Two warm makes of one job let go at once; their exit codes."""
    barrier = multiprocessing.get_context("fork").Barrier(2)
    first, second = warm(spec, out, barrier), warm(spec, out, barrier)
    codes = code_of(first), code_of(second)
    assert set(codes) <= {0, 4}
    return codes


def loaded(spec: Path, out: Path) -> None:
    """Everything a make needs, loaded into this process."""
    make(prepare(spec), out, paper="A4", progress=lambda *_: None)


def doubled(spec: Path, out: Path, times: int, fresh_every: int) -> int:
    """Two warm makes at once so many times; how often both could be made, one after the other."""
    both = 0
    good = files_of(out / spec.stem)
    for number in range(times):
        if number % fresh_every == 0:
            shutil.rmtree(out)
        codes = warm_two(spec, out)
        assert 0 in codes, number
        both += codes == (0, 0)
        assert left(out) == [spec.stem], number
        assert files_of(out / spec.stem) == good, number
    return both


@pytest.mark.nightly
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("job", ["small", "wrenfield_van"])
def test_killed_at_fifty_moments_nothing_is_lost(tmp_path: Path, how: signal.Signals, job: str) -> None:
    spec, out = small_spec(tmp_path) if job == "small" else VAN, tmp_path / "out"
    loaded(spec, out)
    good = files_of(out / job)
    took = dict.fromkeys((True, False), 0.0)
    for anew in took:
        if anew:
            shutil.rmtree(out / job)
        start = time.monotonic()
        assert code_of(warm(spec, out)) == 0
        took[anew] = time.monotonic() - start
    random_ = random.Random(3)
    ends = set()
    for number in range(50):
        anew = number % 2 == 1
        if anew:
            # also from nothing, when everything has to be written
            shutil.rmtree(out / job)
        process = warm(spec, out, cores=1 + number % 3)
        time.sleep(random_.uniform(0, took[anew]))
        assert process.pid is not None
        os.kill(process.pid, how)
        ends.add(code_of(process))
        if not anew:
            there = out / job
            aside = out / f".{job}.old"
            assert files_of(there if there.exists() else aside) == good, number
        # a killed run's own processes end by themselves; one lock must not outlive it
        assert code_of(warm(spec, out, cores=2)) == 0, number
        assert left(out) == [job]
        assert files_of(out / job) == good
    # some were stopped, none ended in another way
    stopped = -how if how is signal.SIGKILL else 128 + how
    assert stopped in ends
    assert ends <= {0, stopped, -how}


@pytest.mark.nightly
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_killed_from_cold_nothing_is_lost(tmp_path: Path, how: signal.Signals) -> None:
    spec, out = small_spec(tmp_path), tmp_path / "out"
    loaded(spec, out)
    good = files_of(out / "small")
    for wait in (0.1, 0.5, 1.0, 2.0, 4.0):
        killed_somewhere(spec, out, wait, how, cores=2)
        assert ended(started(spec, out))[0] == 0
        assert left(out) == ["small"]
        assert files_of(out / "small") == good


@pytest.mark.nightly
def test_two_makes_at_once_a_thousand_times(tmp_path: Path) -> None:
    spec, out = small_spec(tmp_path), tmp_path / "out"
    loaded(spec, out)
    assert doubled(spec, out, 1000, fresh_every=10) < 1000  # they did meet
    for _ in range(3):
        shutil.rmtree(out, ignore_errors=True)
        assert 0 in two_at_once(spec, out)
        assert left(out) == ["small"]


@pytest.mark.nightly
def test_two_makes_of_the_van_at_once_twenty_times(tmp_path: Path) -> None:
    out = tmp_path / "out"
    loaded(VAN, out)
    assert doubled(VAN, out, 20, fresh_every=4) < 20
    assert all(r.good for r in verify(out / "wrenfield_van", progress=lambda *_: None))
