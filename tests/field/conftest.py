"""A job as a kit: the bus with the invented spread it is shipped with, prepared once."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from made_once import solved
from playwright.sync_api import Browser

from generators.jobs.form.form import MeasureForm, form_of
from generators.measure.chance.kit import Kit
from generators.model.spec.forms.spread import Spread
from generators.solve.job import Prepared
from generators.solve.spread.build import kit_of

sys.path.insert(0, str(Path(__file__).parents[1] / "phone"))

from browsers import opened_or_skipped


@pytest.fixture(scope="package")
def bus() -> Prepared:
    """The country bus."""
    return solved("ferrow_bus")


@pytest.fixture(scope="package")
def bus_spread(bus: Prepared) -> Spread:
    """How buses differ, as its spec has it."""
    assert bus.file.job.spread is not None
    return bus.file.job.spread


@pytest.fixture(scope="package")
def bus_kit(bus: Prepared, bus_spread: Spread) -> Kit:
    """The bus as a kit."""
    return kit_of(bus, bus_spread)


@pytest.fixture(scope="module")
def form(bus: Prepared, bus_spread: Spread) -> MeasureForm:
    """The bus's own form."""
    return form_of(bus, bus_spread)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A real browser."""
    yield from opened_or_skipped()
