"""Lets the tests of this folder import its helpers whichever test runs first."""

from __future__ import annotations

import sys
from pathlib import Path

TESTS = Path(__file__).parents[1]
for folder in (TESTS, TESTS / "solve", TESTS / "jobs", TESTS / "space"):
    sys.path.insert(0, str(folder))
