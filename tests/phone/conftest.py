"""The van's page as it is finished, and a real browser to look at it with."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from made_once import solved
from playwright.sync_api import Browser

from generators.issue.artefact import Artefact
from generators.issue.stamp import places, stamped
from generators.jobs.make.line_sheets import with_steps
from generators.jobs.make.phone_file import phone_page

sys.path.insert(0, str(Path(__file__).parent))

from browsers import opened_or_skipped


@pytest.fixture(scope="session")
def artefact() -> Artefact:
    return phone_page(with_steps(solved("wrenfield_van")))


@pytest.fixture(scope="session")
def made_from(artefact: Artefact) -> Mapping[str, Any]:
    """What the page is read against: guide, layouts, revision."""
    assert isinstance(artefact.read, partial)
    return artefact.read.keywords


@pytest.fixture(scope="session")
def page_file(
    artefact: Artefact, made_from: Mapping[str, Any], tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """``install.html`` of the van, written and stamped as ``make`` does it."""
    path = tmp_path_factory.mktemp("page") / artefact.entry.path
    artefact.body(path=path)
    body = path.read_bytes()
    path.write_bytes(stamped(body, places(body), made_from["revision"]))
    return path


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One for each file of tests."""
    yield from opened_or_skipped()
