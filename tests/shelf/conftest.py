"""The small job of a shelf, in a folder of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from shelf_jobs import shelf_job


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """The spec with its shelf beside it."""
    return shelf_job(tmp_path)
