"""Runs of pytest in forked processes: one that learns which test runs which line, one per mutant."""

from __future__ import annotations

import importlib
import json
import os
import py_compile
import signal
import sys
import time
from collections.abc import Generator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from mutants import Mutant

BASE_S = 15.0
LEARN_S = 3600.0
TIMES = 6.0
# heavy and never mutated: imported once, before the forks
PRELOAD = ("numpy", "shapely", "pint", "tomlkit", "matplotlib")
PRELOAD_FILES = ("cadquery", "ezdxf", "reportlab", "pypdfium2", "trimesh", "pdfplumber", "scipy.spatial")


@dataclass(frozen=True, slots=True)
class Map:
    """Tests by file and line, the seconds each took, and the files pytest is given."""

    lines: dict[str, dict[int, set[str]]]
    seconds: dict[str, float]
    paths: tuple[str, ...] = field(default=())

    def tests_of(self, mutant: Mutant) -> list[str]:
        """Tests that run a mutant's lines, quickest first; for a line run on import, those that run its file."""
        rows = self.lines.get(mutant.path, {})
        found = {t for line in range(mutant.line, mutant.last_line + 1) for t in rows.get(line, ())}
        if not found - {""} and "" in found:
            found = {t for tests in rows.values() for t in tests}
        return sorted(found - {""}, key=lambda t: (self.seconds.get(t, 0.0), t))


def preload(tree: Path, room: str) -> None:
    """Imports what is heavy, and sets up the path that the forked runs inherit."""
    os.environ["PYTHONPATH"] = str(tree)
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    sys.path.insert(0, str(tree))
    for name in PRELOAD + (PRELOAD_FILES if room in {"verify", "sheetmetal"} else ()):
        importlib.import_module(name)


class _Learn:
    """Tells coverage which test is running; a shared fixture's lines belong to all that use it."""

    def __init__(self, cover: Any) -> None:
        self.cover = cover
        self.users: dict[str, set[str]] = {}
        self.seconds: dict[str, float] = {}
        self.current = ""

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: Any) -> Generator[None, object, object]:
        self.current = item.nodeid
        for name in item.fixturenames:
            self.users.setdefault(name, set()).add(item.nodeid)
        self.cover.switch_context(item.nodeid)
        begun = time.monotonic()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = time.monotonic() - begun
            self.cover.switch_context("")

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Generator[None, object, object]:
        if fixturedef.scope == "function":
            return (yield)
        self.cover.switch_context(f"fixture {fixturedef.argname}")
        try:
            return (yield)
        finally:
            self.cover.switch_context(self.current)


class _Choose:
    """Keeps the chosen tests, in the order given."""

    def __init__(self, chosen: Sequence[str]) -> None:
        self.place = {name: k for k, name in enumerate(chosen)}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = sorted((i for i in items if i.nodeid in self.place), key=lambda i: self.place[i.nodeid])


def _forked(work: Any, limit_s: float) -> int | None:
    """The exit code of ``work`` run in a child; None when it took too long and was ended."""
    child = os.fork()
    if child == 0:
        code = 70
        try:
            os.setsid()
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            code = int(work())
        finally:
            os._exit(code)
    until = time.monotonic() + limit_s
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return None


ARGS = ("-x", "-n", "0", "-q", "-p", "no:cacheprovider")


def mapped(tree: Path, room: str, paths: tuple[str, ...]) -> Map | None:
    """Which test runs which line of a room; None when a test fails."""
    out = tree / "map.json"

    def learn() -> int:
        import coverage

        cover = coverage.Coverage(data_file=None, source=[str(tree / "generators" / room)])
        plugin = _Learn(cover)
        cover.start()
        code = int(pytest.main([*ARGS, *paths], plugins=[plugin]))
        cover.stop()
        data = cover.get_data()
        rows: dict[str, dict[int, list[str]]] = {}
        for file in data.measured_files():
            lines = rows.setdefault(str(Path(file).relative_to(tree)), {})
            for line, contexts in data.contexts_by_lineno(file).items():
                tests: set[str] = set()
                for context in contexts:
                    if context.startswith("fixture "):
                        tests |= plugin.users.get(context.removeprefix("fixture "), set())
                    else:
                        tests.add(context)
                lines[line] = sorted(tests)
        out.write_text(json.dumps({"lines": rows, "seconds": plugin.seconds}))
        return code

    if _forked(learn, LEARN_S) != 0:
        return None
    read = json.loads(out.read_text())
    lines = {f: {int(k): set(v) for k, v in rows.items()} for f, rows in read["lines"].items()}
    return Map(lines, read["seconds"], paths)


def killed(tree: Path, mutant: Mutant, ran: Map) -> str:
    """What became of a mutant: killed, too long, survived, or no test runs it."""
    chosen = ran.tests_of(mutant)
    if not chosen:
        return "no test"
    file = tree / mutant.path
    source = file.read_bytes()
    for cached in file.parent.glob(f"__pycache__/{file.stem}.*.pyc"):
        cached.unlink()
    file.write_bytes(mutant.apply(source))
    try:
        files = {test.split("::")[0] for test in chosen}
        rest = [t for t in ran.seconds if t.split("::")[0] in files and t not in set(chosen)]
        for tests in (chosen, rest):
            if not tests:
                continue
            limit = BASE_S + TIMES * sum(ran.seconds[t] for t in tests)
            code = _forked(lambda tests=tests: _run(tests), limit)
            if code is None:
                return "too long"
            if code == pytest.ExitCode.NO_TESTS_COLLECTED:
                raise RuntimeError(f"none of the chosen tests were found again: {tests[:3]}")
            if code != 0:
                return "killed"
        return "survived"
    finally:
        file.write_bytes(source)
        py_compile.compile(str(file), doraise=True)


def _run(tests: list[str]) -> int:
    sys.dont_write_bytecode = True
    files = sorted({test.split("::")[0] for test in tests})
    return int(pytest.main([*ARGS, *files], plugins=[_Choose(tests)]))
