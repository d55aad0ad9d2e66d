"""The register is explicit and complete; every parameter says what it is."""

from __future__ import annotations

import pkgutil
from importlib import import_module

import generators.parts
from generators.model.spec.fields import spec_fields
from generators.parts import KINDS


def test_every_kind_file_is_in_the_register() -> None:
    """A file of the folder that says ``KIND`` is a kind, and is called like it."""
    names = [module.name for module in pkgutil.iter_modules(generators.parts.__path__)]
    files = {name: import_module(f"generators.parts.{name}") for name in names}
    kinds = {name: module.KIND for name, module in files.items() if hasattr(module, "KIND")}
    assert all(name == kind.name for name, kind in kinds.items())
    assert sorted(kinds) == sorted(f.name for f in KINDS)


def test_names_are_unique_and_parameters_documented() -> None:
    assert len({f.name for f in KINDS}) == len(KINDS)
    for kind in KINDS:
        fields = list(spec_fields(kind.parameters))
        assert kind.origin, f"{kind.name}: which point does mount.at place?"
        assert fields
        assert all(len(field.spec.doc) > 8 for field in fields)
        assert not any(field.required for field in fields), "a kind works with its defaults"
