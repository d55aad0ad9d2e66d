"""A spec to change, and a browser to look at it with."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

sys.path.insert(0, str(Path(__file__).parents[1] / "phone"))

from browsers import opened_or_skipped

ROOT = Path(__file__).parents[2]


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """The van of the tests with its shop file, to be changed."""
    shutil.copy(ROOT / "specs" / "shop.toml", tmp_path)
    return Path(shutil.copy(ROOT / "tests" / "vans" / "hose_van.toml", tmp_path / "van.toml"))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One for each file of tests."""
    yield from opened_or_skipped()
