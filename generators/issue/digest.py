"""One short name for what a file is made from: equal content, equal name."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, lru_cache, partial, singledispatch
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from platform import python_version
from types import BuiltinFunctionType, FunctionType, ModuleType
from typing import Any

import numpy as np

import generators
from generators.model.changes import Later

LIBRARIES = (
    "cadquery",
    "cadquery-ocp",
    "ezdxf",
    "numpy",
    "python-fcl",
    "reportlab",
    "scipy",
    "shapely",
    "trimesh",
)
"""Those whose release can change a byte of a finished file, or an answer that is kept."""

ROOT = Path(generators.__file__).parent
CODE = (".py", ".csv", ".html", ".css", ".js", ".txt")


class Digests:
    """Short names of many things of one moment; what several of them hold is looked at once.

    A plan stands in the arguments of a dozen writers. Nothing named may be changed as long as this is in use.
    """

    def __init__(self) -> None:
        # the value is held with its name, so that its id is nobody else's
        self._known: dict[int, tuple[Any, bytes]] = {}

    def of(self, value: Any) -> str:
        """The name of a value. Raises ``TypeError`` for what cannot be told from another by its content."""
        return self._name(value).hex()

    def _name(self, value: Any) -> bytes:
        hasher = hashlib.sha256()
        _feed(value, hasher, self)
        return hasher.digest()

    def held(self, value: Any) -> bytes:
        """The name of a record, taken from memory where it was asked for before."""
        known = self._known.get(id(value))
        if known is None:
            known = self._known[id(value)] = value, self._name_of_record(value)
        return known[1]

    def _name_of_record(self, value: Any) -> bytes:
        hasher = hashlib.sha256()
        _mark(hasher, f"d{type(value).__module__}.{type(value).__qualname__}")
        for declared in fields(value):
            _feed(getattr(value, declared.name), hasher, self)
        return hasher.digest()


def _mark(hasher: Any, kind: str, content: bytes = b"") -> None:
    """Content under its kind and length, so that no two different values add the same bytes."""
    hasher.update(f"{kind}{len(content)}:".encode() + content)


def _feed_all(items: Collection[Any], hasher: Any, kind: str, names: Digests) -> None:
    _mark(hasher, f"{kind}{len(items)}")
    for item in items:
        _feed(item, hasher, names)


def _feed(value: Any, hasher: Any, names: Digests) -> None:
    """Add a value. Raises ``TypeError`` for one that cannot be told from another by its content."""
    how = _PLAIN.get(type(value))
    if how is not None:
        how(value, hasher)
    else:
        _other(value, hasher, names)


@singledispatch
def _other(value: Any, hasher: Any, names: Digests) -> None:
    if is_dataclass(value) and not isinstance(value, type):
        _mark(hasher, "r", names.held(value))
    elif _is_named(value):
        _mark(hasher, "q", f"{value.__module__}.{value.__qualname__}".encode())
    else:
        raise TypeError(f"{type(value).__name__} cannot be told from another by its content")


def _is_named(value: Any) -> bool:
    """True for a function or class whose name says all of it: a method or an inner function may hold more."""
    if isinstance(value, BuiltinFunctionType):
        return isinstance(value.__self__, ModuleType)
    return isinstance(value, type | FunctionType) and "<" not in value.__qualname__


def _number(value: complex | None, hasher: Any) -> None:
    _mark(hasher, type(value).__name__, repr(value).encode())


def _text(value: str, hasher: Any) -> None:
    _mark(hasher, "s", value.encode("utf-8", "surrogatepass"))


def _bytes(value: bytes, hasher: Any) -> None:
    _mark(hasher, "b", value)


_PLAIN: Mapping[type, Callable[[Any, Any], None]] = {
    type(None): _number,
    bool: _number,
    int: _number,
    float: _number,
    complex: _number,
    str: _text,
    bytes: _bytes,
}
"""How what holds nothing else is added."""


@_other.register
def _word(value: Enum, hasher: Any, _names: Digests) -> None:
    _mark(hasher, type(value).__qualname__, value.name.encode())


@_other.register(int)
@_other.register(float)
@_other.register(complex)
def _kind_of_number(value: complex, hasher: Any, _names: Digests) -> None:
    _number(value, hasher)


@_other.register
def _kind_of_text(value: str, hasher: Any, _names: Digests) -> None:
    _text(value, hasher)


@_other.register
def _path(value: Path, hasher: Any, _names: Digests) -> None:
    _mark(hasher, "p", str(value).encode("utf-8", "surrogateescape"))


@_other.register
def _array(value: np.ndarray, hasher: Any, _names: Digests) -> None:
    if value.dtype.hasobject:
        # its bytes are addresses, not what stands there
        raise TypeError("an array of objects cannot be told from another by its content")
    _mark(hasher, f"a{value.dtype}{value.shape}", np.ascontiguousarray(value).tobytes())


@_other.register
def _scalar(value: np.generic, hasher: Any, _names: Digests) -> None:
    _mark(hasher, f"n{value.dtype}", value.tobytes())


@_other.register(tuple)
@_other.register(list)
@_other.register(Later)
def _items(value: Collection[Any], hasher: Any, names: Digests) -> None:
    _feed_all(value, hasher, "t", names)


@_other.register(Mapping)
def _mapping(value: Mapping[Any, Any], hasher: Any, names: Digests) -> None:
    _feed_all([piece for item in value.items() for piece in item], hasher, "m", names)


@_other.register(set)
@_other.register(frozenset)
def _set(value: Collection[Any], hasher: Any, names: Digests) -> None:
    _feed_all(sorted(map(names.of, value)), hasher, "f", names)


@_other.register(partial)
def _partial(value: partial[Any], hasher: Any, names: Digests) -> None:
    _feed_all((value.func, value.args, value.keywords), hasher, "c", names)


def made_from(body: partial[Any], made_with: Mapping[str, str], names: Digests | None = None) -> str:
    """What a body is made from: its writer with every argument, and the versions that write it.

    ``names`` are those of all bodies that are looked at in the same moment.
    """
    return (names or Digests()).of((body, made_with))


def made_with() -> dict[str, str]:
    """Versions of everything that can change a byte: this program, its code and tables, Python, libraries."""
    own = {"pedalplate": generators.__version__, "code": _code(), "python": python_version()}
    return {**own, **{name: _installed(name) for name in LIBRARIES}}


@cache
def _installed(name: str) -> str:
    """The version of a library; none while it is not there."""
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


@lru_cache(maxsize=1)
def _code() -> str:
    """The program's own files, so that a changed program never takes what another one made."""
    hasher = hashlib.sha256()
    for path in sorted(p for p in ROOT.rglob("*") if p.suffix in CODE):
        hasher.update(path.relative_to(ROOT).as_posix().encode())
        # line ends differ between checkouts of the same code
        hasher.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return hasher.hexdigest()[:12]
