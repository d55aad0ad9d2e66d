"""Shared by all tests."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import settings

ROOT = Path(__file__).parents[1]

# the tests already run on all cores, and some put a liar in a writer's place
os.environ.setdefault("PEDALPLATE_CORES", "1")
# as the command does: threads of small matrices only wait for each other
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("normal", derandomize=True, database=None, deadline=None)
"""The same examples everywhere, so that the normal run says the same on every machine."""

settings.register_profile("random", derandomize=False, deadline=None, print_blob=True)
"""New examples each time."""


def pytest_configure(config: pytest.Config) -> None:
    """Random search only where nightly tests alone are asked for (``-m nightly``)."""
    settings.load_profile("random" if config.option.markexpr.strip() == "nightly" else "normal")


@pytest.fixture(scope="session")
def demo_spec() -> Path:
    """The main demo's spec."""
    return ROOT / "specs" / "wrenfield_van.toml"


@pytest.fixture(scope="session")
def hose_van(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A van whose reservoir goes where a made-up hose puts it, with the shop file beside it."""
    folder = tmp_path_factory.mktemp("hose_van")
    shutil.copy(ROOT / "specs" / "shop.toml", folder)
    return Path(shutil.copy(Path(__file__).parent / "vans" / "hose_van.toml", folder / "wrenfield_van.toml"))
