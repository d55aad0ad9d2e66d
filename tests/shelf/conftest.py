"""The small job of a shelf, in a folder of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from shelf_jobs import SHELF, SPEC


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """The spec with its shelf beside it."""
    (tmp_path / "shelf.toml").write_text(SHELF, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(SPEC, encoding="utf-8")
    return path
