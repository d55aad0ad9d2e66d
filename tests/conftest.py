"""Shared by all tests."""

from __future__ import annotations

import gc
import json
import os
import shutil
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings
from made_once import once

if TYPE_CHECKING:
    from issue.finished import Finished

ROOT = Path(__file__).parents[1]

# the tests already run on all cores, and some put a liar in a writer's place
os.environ.setdefault("PEDALPLATE_CORES", "1")
# as the command does: threads of small matrices only wait for each other
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Where tests that look at a screen keep what was on it."""
    parser.addoption("--pictures", metavar="FOLDER", help="keep pictures of the screen in here")


settings.register_profile("normal", derandomize=True, database=None, deadline=None)
"""The same examples everywhere, so that the normal run says the same on every machine."""

settings.register_profile("random", derandomize=False, deadline=None, print_blob=True)
"""New examples each time."""


def pytest_configure(config: pytest.Config) -> None:
    """Random search only where nightly tests alone are asked for (``-m nightly``)."""
    settings.load_profile("random" if config.option.markexpr.strip() == "nightly" else "normal")


LIGHT = {
    "bending",
    "geometry",
    "hydraulics",
    "layout",
    "manual",
    "parts",
    "reading",
    "report",
    "routing",
    "sheetmetal",
    "standards",
    "starts",
    "verify",
}
"""Rooms whose files are all quickly done: they come last, so that no core waits long for one file at the end."""


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Iterator[None]:
    """Every other worker reads folders from the end: what one has compiled the other finds, and both meet half way."""
    report = yield
    worker = os.environ.get("PYTEST_XDIST_WORKER", "gw0")
    if isinstance(collector, pytest.Directory) and int(worker.removeprefix("gw")) % 2:
        report.result.reverse()
    return report


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files that make folders or solve jobs first; of the others those with most tests first."""
    many = Counter(item.path for item in items)

    def turn(item: pytest.Item) -> tuple[bool, int, str]:
        room = item.path.relative_to(ROOT / "tests").parts[0]
        return room in LIGHT or room.endswith(".py"), -many[item.path], str(item.path)

    items.sort(key=turn)


SELDOM = (100_000, 20, 10)
"""New objects the collector waits for, and its short rounds before a longer one (``gc.set_threshold``)."""


def pytest_collection_finish() -> None:
    """The collector of garbage passes over all tests and libraries there are, and comes seldom."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)


@pytest.fixture(scope="session")
def demo_spec() -> Path:
    """The main demo's spec."""
    return ROOT / "specs" / "wrenfield_van.toml"


@pytest.fixture(scope="session")
def finished_van(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """The main demo's folder on A4, and the same made again: once a run. Spoil copies only."""
    from issue.finished import finished_van

    return once(tmp_path_factory, "finished_van", finished_van)


@pytest.fixture(scope="session")
def hose_van(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A van whose reservoir goes where a made-up hose puts it, with the shop file beside it."""
    folder = tmp_path_factory.mktemp("hose_van")
    shutil.copy(ROOT / "specs" / "shop.toml", folder)
    return Path(shutil.copy(Path(__file__).parent / "vans" / "hose_van.toml", folder / "wrenfield_van.toml"))


def _started(*words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and two workers, each a process of its own."""
    pytest.importorskip("distributed")
    told = tmp_path / "scheduler.json"
    scheduler = _started(
        "distributed.cli.dask_scheduler",
        "--host",
        "127.0.0.1",
        "--port",
        "0",
        "--no-dashboard",
        "--scheduler-file",
        str(told),
    )
    workers: list[subprocess.Popen[bytes]] = []
    try:
        until = time.monotonic() + 60
        while not told.exists() and time.monotonic() < until:
            time.sleep(0.1)
        address = json.loads(told.read_text(encoding="utf-8"))["address"]
        for _ in range(2):
            workers.append(
                _started(
                    "distributed.cli.dask_worker",
                    address,
                    "--nthreads",
                    "1",
                    "--no-nanny",
                    "--no-dashboard",
                    "--local-directory",
                    str(tmp_path / "scratch"),
                )
            )
        yield address, workers
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.wait()
