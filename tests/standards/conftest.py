"""An independent set of the same tables: the CSV files of bd_warehouse, read and not imported."""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Callable
from pathlib import Path

import pytest

Rows = list[dict[str, str]]


@pytest.fixture(scope="session")
def other_table() -> Callable[[str], Rows]:
    # Importing the package would load the CAD kernel; only its data files are wanted.
    spec = importlib.util.find_spec("bd_warehouse")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("bd_warehouse is not installed")
    data = Path(next(iter(spec.submodule_search_locations))) / "data"

    def read(name: str) -> Rows:
        with (data / name).open(encoding="utf-8", newline="") as stream:
            return list(csv.DictReader(stream, skipinitialspace=True))

    return read
