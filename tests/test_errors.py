"""Every error comes out of another process as it went in: words, and what it says beside them."""

from __future__ import annotations

import pickle

import pytest

from generators.errors import (
    ExportError,
    Fault,
    GeometryFault,
    LookupFault,
    PedalplateError,
    ReadBackError,
    SolverMissing,
    SpecError,
    UnitError,
)

FAULT = Fault(file="a.toml", line=2, column=3, path="part[0]", found="nothing", expected="a name")
ERRORS = [
    PedalplateError("anything"),
    SpecError([FAULT]),
    UnitError("three", "a length"),
    LookupFault("material", "tin", ["steel", "brass"]),
    GeometryFault("no length", "width"),
    ExportError("cannot write a.step"),
    ReadBackError("a.step", "is missing"),
    SolverMissing("not installed"),
]


@pytest.mark.parametrize("error", ERRORS, ids=lambda e: type(e).__name__)
def test_an_error_is_the_same_on_the_other_side(error: PedalplateError) -> None:
    other = pickle.loads(pickle.dumps(error))
    assert type(other) is type(error)
    assert (str(other), vars(other)) == (str(error), vars(error))
