"""One short name for what a file is made from: equal content, equal name."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import partial, singledispatch
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from platform import python_version
from types import BuiltinFunctionType, FunctionType, ModuleType
from typing import Any

import numpy as np

import generators

LIBRARIES = ("cadquery", "cadquery-ocp", "ezdxf", "numpy", "reportlab", "scipy", "shapely", "trimesh")
"""Those whose release can change a byte of a finished file."""

ROOT = Path(generators.__file__).parent
CODE = (".py", ".csv", ".html", ".css", ".js", ".txt")


def _mark(hasher: Any, kind: str, content: bytes = b"") -> None:
    """Content under its kind and length, so that no two different values add the same bytes."""
    hasher.update(f"{kind}{len(content)}:".encode())
    hasher.update(content)


def _feed_all(items: Collection[Any], hasher: Any, kind: str) -> None:
    _mark(hasher, f"{kind}{len(items)}")
    for item in items:
        _feed(item, hasher)


@singledispatch
def _feed(value: Any, hasher: Any) -> None:
    """Add a value. Raises ``TypeError`` for one that cannot be told from another by its content."""
    if is_dataclass(value) and not isinstance(value, type):
        _mark(hasher, f"d{type(value).__module__}.{type(value).__qualname__}")
        for declared in fields(value):
            _feed(getattr(value, declared.name), hasher)
    elif _is_named(value):
        _mark(hasher, "q", f"{value.__module__}.{value.__qualname__}".encode())
    else:
        raise TypeError(f"{type(value).__name__} cannot be told from another by its content")


def _is_named(value: Any) -> bool:
    """True for a function or class whose name says all of it: a method or an inner function may hold more."""
    if isinstance(value, BuiltinFunctionType):
        return isinstance(value.__self__, ModuleType)
    return isinstance(value, type | FunctionType) and "<" not in value.__qualname__


@_feed.register(type(None))
@_feed.register(int)
@_feed.register(float)
@_feed.register(complex)
def _number(value: complex | None, hasher: Any) -> None:
    _mark(hasher, type(value).__name__, repr(value).encode())


@_feed.register
def _word(value: Enum, hasher: Any) -> None:
    _mark(hasher, type(value).__qualname__, value.name.encode())


@_feed.register
def _text(value: str, hasher: Any) -> None:
    _mark(hasher, "s", value.encode("utf-8", "surrogatepass"))


@_feed.register
def _bytes(value: bytes, hasher: Any) -> None:
    _mark(hasher, "b", value)


@_feed.register
def _path(value: Path, hasher: Any) -> None:
    _mark(hasher, "p", str(value).encode("utf-8", "surrogateescape"))


@_feed.register
def _array(value: np.ndarray, hasher: Any) -> None:
    _mark(hasher, f"a{value.dtype}{value.shape}", np.ascontiguousarray(value).tobytes())


@_feed.register
def _scalar(value: np.generic, hasher: Any) -> None:
    _mark(hasher, f"n{value.dtype}", value.tobytes())


@_feed.register(tuple)
@_feed.register(list)
def _items(value: Collection[Any], hasher: Any) -> None:
    _feed_all(value, hasher, "t")


@_feed.register(Mapping)
def _mapping(value: Mapping[Any, Any], hasher: Any) -> None:
    _feed_all([piece for item in value.items() for piece in item], hasher, "m")


@_feed.register(set)
@_feed.register(frozenset)
def _set(value: Collection[Any], hasher: Any) -> None:
    _feed_all(sorted(map(_digest, value)), hasher, "f")


@_feed.register(partial)
def _partial(value: partial[Any], hasher: Any) -> None:
    _feed_all((value.func, value.args, value.keywords), hasher, "c")


def _digest(value: Any) -> str:
    hasher = hashlib.sha256()
    _feed(value, hasher)
    return hasher.hexdigest()


def made_from(body: partial[Any], made_with: Mapping[str, str]) -> str:
    """What a body is made from: its writer with every argument, and the versions that write it."""
    return _digest((body, made_with))


def made_with() -> dict[str, str]:
    """Versions of everything that can change a byte: this program, its code and tables, Python, libraries."""
    out = {"pedalplate": generators.__version__, "code": _code(), "python": python_version()}
    for name in LIBRARIES:
        try:
            out[name] = version(name)
        except PackageNotFoundError:
            out[name] = ""
    return out


def _code() -> str:
    """The program's own files, so that a changed program never takes what another one made."""
    hasher = hashlib.sha256()
    for path in sorted(p for p in ROOT.rglob("*") if p.suffix in CODE):
        hasher.update(path.relative_to(ROOT).as_posix().encode())
        # line ends differ between checkouts of the same code
        hasher.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return hasher.hexdigest()[:12]
