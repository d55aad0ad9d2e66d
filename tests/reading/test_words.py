"""The typed words against the keys of the spec: what mypy allows is what the reader allows."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import pkgutil
import typing
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import generators
import generators.model
from generators.model.spec.fields import spec_fields
from generators.model.spec.job import Job
from generators.model.spec.readings import Readings
from generators.model.spec.shop import Shop
from generators.parts import KINDS


def tables(cls: type, seen: set[type]) -> Iterator[type]:
    if cls in seen:
        return
    seen.add(cls)
    yield cls
    for f in spec_fields(cls):
        if f.spec.item is not None:
            yield from tables(f.spec.item, seen)


def choices() -> Iterator[tuple[str, type, str, tuple[str, ...]]]:
    seen: set[type] = set()
    roots = (Job, Shop, Readings, *(kind.parameters for kind in KINDS))
    for cls in [c for root in roots for c in tables(root, seen)]:
        for f in spec_fields(cls):
            if f.spec.kind == "choice":
                yield f"{cls.__name__}.{f.attribute}", cls, f.attribute, f.spec.choices


@pytest.mark.parametrize(("cls", "attribute", "words"), [pytest.param(*c[1:], id=c[0]) for c in choices()])
def test_type_of_a_choice_is_its_words(cls: type, attribute: str, words: tuple[str, ...]) -> None:
    kind = typing.get_type_hints(cls)[attribute]
    default = next(f.default for f in dataclasses.fields(cls) if f.name == attribute)
    if default is None:  # a key that may be left out without a word standing in
        (kind,) = (one for one in typing.get_args(kind) if one is not type(None))
    assert typing.get_origin(kind) is typing.Literal
    assert typing.get_args(kind) == words
    assert default in (dataclasses.MISSING, None) or default in words


@cache
def words_of_attributes() -> dict[str, set[str]]:
    """The words of each attribute of the model that holds nothing but words."""
    out: dict[str, set[str]] = {}
    mixed: set[str] = set()
    for info in pkgutil.walk_packages(generators.model.__path__, "generators.model."):
        for cls in vars(importlib.import_module(info.name)).values():
            if isinstance(cls, type) and dataclasses.is_dataclass(cls):
                for name, kind in typing.get_type_hints(cls).items():
                    if typing.get_origin(kind) is typing.Literal:
                        out.setdefault(name, set()).update(typing.get_args(kind))
                    else:
                        mixed.add(name)
    return {name: words for name, words in out.items() if name not in mixed}


def misspelt(source: str) -> list[str]:
    known = words_of_attributes()
    return [
        f"{node.lineno}: {node.left.attr} in {word.value!r}"
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Compare) and isinstance(node.left, ast.Attribute) and node.left.attr in known
        for listed in node.comparators
        if isinstance(listed, ast.Tuple | ast.Set | ast.List)
        for word in listed.elts
        if isinstance(word, ast.Constant) and word.value not in known[node.left.attr]
    ]


def test_words_in_lists_are_spelt_right() -> None:
    """mypy refuses a misspelt ``==``, but lets ``in ("a", "b")`` pass."""
    assert misspelt('hole.status in ("drill", "reuze")') == ["1: status in 'reuze'"]
    for path in sorted(Path(generators.__file__).parent.rglob("*.py")):
        assert misspelt(path.read_text(encoding="utf-8")) == [], path
