"""The register is explicit and complete; every parameter says what it is."""

from __future__ import annotations

from pathlib import Path

import generators.parts
from generators.model.fields import spec_fields
from generators.parts import FAMILIES

NOT_FAMILIES = {"__init__", "channel", "family", "bends", "openings"}


def test_every_family_file_is_in_the_register() -> None:
    folder = Path(generators.parts.__file__).parent
    files = {p.stem for p in folder.glob("*.py")} - NOT_FAMILIES
    assert files == {f.name for f in FAMILIES}


def test_names_are_unique_and_parameters_documented() -> None:
    assert len({f.name for f in FAMILIES}) == len(FAMILIES)
    for family in FAMILIES:
        fields = list(spec_fields(family.parameters))
        assert family.origin, f"{family.name}: which point does mount.at place?"
        assert fields
        assert all(len(field.spec.doc) > 8 for field in fields)
        assert not any(field.required for field in fields), "a family works with its defaults"
