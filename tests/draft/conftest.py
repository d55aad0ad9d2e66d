"""A draft of a van that rules hold back."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from generators.jobs.draft import run
from generators.solve.job import Prepared, prepare

ROOT = Path(__file__).parents[2]
GOOD = 'at = { from = "heater_pipe", u = "-190 mm", v = "-100 mm" }'
BAD = 'at = { from = "heater_pipe", u = "-190 mm", v = "-156 mm" }'
"""Hole 14 of the firewall (line_out) moved from (140, 60) to (140, 4): its rim is over the panel's edge."""


def quiet(_what: str, _done: int, _total: int) -> None:
    """No progress."""


@pytest.fixture(scope="session")
def failing(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's spec with one hole where a rule fails."""
    folder = tmp_path_factory.mktemp("failing")
    shutil.copy(ROOT / "specs" / "shop.toml", folder)
    text = (ROOT / "specs" / "wrenfield_van.toml").read_text(encoding="utf-8")
    assert text.count(GOOD) == 1
    spec = folder / "wrenfield_van.toml"
    spec.write_text(text.replace(GOOD, BAD), encoding="utf-8")
    return spec


@pytest.fixture(scope="session")
def prepared(failing: Path) -> Prepared:
    """That spec, solved."""
    return prepare(failing)


@pytest.fixture(scope="session")
def drafted(prepared: Prepared, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its draft: everything but the views of the whole job, which take longest."""
    out = tmp_path_factory.mktemp("drafts")
    whats = ("panels", "parts", "pedal")
    run.draft(prepared, out, whats=whats, forms=run.FORMS, paper="A4", progress=quiet)
    return out / "wrenfield_van_draft"
