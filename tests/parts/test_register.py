"""The register is explicit and complete; every parameter says what it is."""

from __future__ import annotations

import pkgutil
from importlib import import_module

import generators.parts
from generators.model.fields import spec_fields
from generators.parts import FAMILIES


def test_every_family_file_is_in_the_register() -> None:
    """A file of the folder that says ``FAMILY`` is a family, and is called like it."""
    names = [module.name for module in pkgutil.iter_modules(generators.parts.__path__)]
    files = {name: import_module(f"generators.parts.{name}") for name in names}
    families = {name: module.FAMILY for name, module in files.items() if hasattr(module, "FAMILY")}
    assert all(name == family.name for name, family in families.items())
    assert sorted(families) == sorted(f.name for f in FAMILIES)


def test_names_are_unique_and_parameters_documented() -> None:
    assert len({f.name for f in FAMILIES}) == len(FAMILIES)
    for family in FAMILIES:
        fields = list(spec_fields(family.parameters))
        assert family.origin, f"{family.name}: which point does mount.at place?"
        assert fields
        assert all(len(field.spec.doc) > 8 for field in fields)
        assert not any(field.required for field in fields), "a family works with its defaults"
