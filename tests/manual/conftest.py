"""The manual as a user gets it, made once, and a browser to look at it with."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from calling import call
from playwright.sync_api import Browser

sys.path.insert(0, str(Path(__file__).parents[1] / "phone"))

from browsers import opened_or_skipped


@pytest.fixture(scope="session")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A finished manual."""
    folder = tmp_path_factory.mktemp("manual")
    assert call("manual", folder) == 0
    return folder / "manual.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One for each file of tests."""
    yield from opened_or_skipped()
