"""Shared by all tests."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

# the tests already run on all cores, and some put a liar in a writer's place
os.environ.setdefault("PEDALPLATE_CORES", "1")


@pytest.fixture(scope="session")
def demo_spec() -> Path:
    """The main demo's spec."""
    return ROOT / "specs" / "wrenfield_van.toml"
