"""Folders of the small jobs, made once a run: spoil copies only."""

from __future__ import annotations

from pathlib import Path

import pytest
from issue.finished import Finished, finished, silent
from issue.small import small_spec
from made_once import once

from generators.jobs.make.run import make
from generators.solve.job import prepare


def _small(place: Path) -> Path:
    return make(prepare(small_spec(place)), place / "out", paper="A4", progress=silent).folder


def _whole(place: Path) -> Finished:
    return finished("whole", place)


@pytest.fixture(scope="session")
def small_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the small job on A4; its spec lies beside ``out``."""
    return once(tmp_path_factory, "small_made", _small)


@pytest.fixture(scope="session")
def rich_whole(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """The folder of the small job with every kind of file, and the same made again."""
    return once(tmp_path_factory, "rich_whole", _whole)
