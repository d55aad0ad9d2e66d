"""A job as a kit: the bus with the invented spread it is shipped with, prepared once."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.measure.chance.kit import Kit
from generators.model.spec.forms.spread import Spread
from generators.solve.job import Prepared, prepare
from generators.solve.spread.build import kit_of

BUS = Path(__file__).parents[2] / "specs" / "ferrow_bus.toml"


@pytest.fixture(scope="package")
def bus() -> Prepared:
    """The country bus."""
    return prepare(BUS)


@pytest.fixture(scope="package")
def bus_spread(bus: Prepared) -> Spread:
    """How buses differ, as its spec has it."""
    assert bus.file.job.spread is not None
    return bus.file.job.spread


@pytest.fixture(scope="package")
def bus_kit(bus: Prepared, bus_spread: Spread) -> Kit:
    """The bus as a kit."""
    return kit_of(bus, bus_spread)
