"""Shared by all tests."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="session")
def demo_spec() -> Path:
    """The main demo's spec."""
    return ROOT / "specs" / "wrenfield_van.toml"
